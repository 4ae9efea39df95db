//! Errors in capability and order files: file, line, key, what was expected.

/// Something wrong in a capability or order file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileError {
    /// The file's name.
    pub file: String,
    /// Line from 1.
    pub line: u32,
    /// Column from 1.
    pub column: u32,
    /// The key, with the section it stands in; empty where the text is no TOML at all.
    pub key: String,
    /// What is wrong and what was expected.
    pub text: String,
}

impl std::fmt::Display for FileError {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{}, line {}, column {}", self.file, self.line, self.column)?;
        if !self.key.is_empty() {
            write!(out, ", key `{}`", self.key)?;
        }
        write!(out, ": {}", self.text)
    }
}

impl std::error::Error for FileError {}

impl FileError {
    /// An error of the TOML reader, with its place turned into line and key.
    pub(crate) fn of_toml(file: &str, text: &str, error: &toml::de::Error) -> Self {
        let start = error.span().map_or(0, |s| s.start).min(text.len());
        let before = text.get(..start).unwrap_or_default();
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        Self {
            file: file.to_owned(),
            line: before.matches('\n').count() as u32 + 1,
            column: before[line_start..].chars().count() as u32 + 1,
            key: key_at(text, start, line_start, error.message()),
            text: format!("{}. Correct this key and read the file again.", error.message().trim_end_matches('.')),
        }
    }

    /// An error found after reading, at a key.
    pub(super) fn at_key(file: &str, text: &str, key: &str, what: &str) -> Self {
        Self { file: file.to_owned(), line: line_of(text, key), column: 1, key: key.to_owned(), text: what.to_owned() }
    }
}

fn key_at(text: &str, start: usize, line_start: usize, message: &str) -> String {
    let section = text[..start]
        .lines()
        .chain(text[line_start..].lines().take(1))
        .filter_map(|l| l.trim().strip_prefix('[')?.split(']').next())
        .last()
        .unwrap_or_default();
    let named = ["unknown field `", "missing field `"]
        .iter()
        .find_map(|p| message.split_once(p))
        .and_then(|(_, r)| r.split('`').next());
    let key = named.or_else(|| key_before(&text[line_start..start])).unwrap_or_default();
    match (section, key) {
        ("", key) => key.to_owned(),
        (section, "") => section.to_owned(),
        (section, key) => format!("{section}.{key}"),
    }
}

/// The key of the value that follows `before` on its line.
fn key_before(before: &str) -> Option<&str> {
    let upto = before.rfind('=')?;
    let name = before[..upto].trim_end();
    let from = name.rfind(|c: char| !(c.is_alphanumeric() || c == '_' || c == '-')).map_or(0, |i| i + 1);
    Some(&name[from..]).filter(|k| !k.is_empty())
}

/// The line of a dotted key: its section's header, or the key's own line within the section. 1 where it is missing.
#[must_use]
pub(super) fn line_of(text: &str, key: &str) -> u32 {
    let own = key.rsplit('.').next().unwrap_or(key);
    let mut in_section = false;
    let mut best = 0;
    for (number, line) in (1u32..).zip(text.lines().map(str::trim)) {
        if let Some(header) = line.strip_prefix('[').and_then(|l| l.split(']').next()) {
            in_section = key == header || key.strip_prefix(header).is_some_and(|r| r.starts_with('.'));
            if in_section {
                best = number;
            }
        } else if names_key(line, own) && (in_section || !key.contains('.')) {
            return number;
        }
    }
    best.max(1)
}

/// Whether a line sets the key, or is the row of a table for that copper.
fn names_key(line: &str, own: &str) -> bool {
    let row = format!("copper = {own},");
    line.contains(&row) || line.split_once('=').is_some_and(|(name, _)| name.trim() == own)
}
