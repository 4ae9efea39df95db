//! Names of files as shown: made from bytes nobody vouches for, and never used as a path.

/// Longest shown path, in characters.
const LONGEST: usize = 400;

/// A shown path made from raw bytes: `/` between parts, no `..`, no drive, no control characters.
#[must_use]
pub fn shown(raw: &[u8]) -> String {
    let text = String::from_utf8_lossy(raw).replace('\\', "/");
    let parts: Vec<String> = text.split('/').map(part).filter(|p| !p.is_empty()).collect();
    let joined = parts.join("/");
    if joined.is_empty() {
        return "unnamed".to_owned();
    }
    let length = joined.chars().count();
    // The end tells more than the beginning: it has the file's own name and its extension.
    if length > LONGEST { joined.chars().skip(length - LONGEST).collect() } else { joined }
}

/// The shown path of an archive's entry, or that path and why the entry is refused.
pub fn entry(raw: &[u8]) -> Result<String, (String, &'static str)> {
    let text = String::from_utf8_lossy(raw).replace('\\', "/");
    let why = if text.chars().any(char::is_control) {
        "its name holds control characters"
    } else if text.starts_with('/') {
        "its name is an absolute path"
    } else if text.as_bytes().get(1) == Some(&b':') && text.as_bytes()[0].is_ascii_alphabetic() {
        "its name begins with a drive letter"
    } else if text.split('/').any(|p| p == "..") {
        "its name leads out of the archive"
    } else {
        return Ok(shown(raw));
    };
    Err((shown(raw), why))
}

fn part(part: &str) -> String {
    let is_drive = part.len() == 2 && part.ends_with(':');
    if matches!(part, "." | "..") || is_drive {
        return String::new();
    }
    part.chars().map(|c| if unprintable(c) { '\u{FFFD}' } else { c }).collect()
}

/// Control characters, and those that turn the direction of text so that a name reads as another.
#[must_use]
pub fn unprintable(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}')
}

/// Whether a shown path is something the packing program left behind.
#[must_use]
pub fn is_litter(path: &str) -> bool {
    path.split('/').any(|p| p == "__MACOSX" || p.starts_with('.') || p == "Thumbs.db" || p == "desktop.ini")
}

/// The last part of a shown path.
#[must_use]
pub fn base(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_lose_what_could_lead_astray() {
        assert_eq!(shown(b"../../etc/passwd"), "etc/passwd");
        assert_eq!(shown(b"/abs/y.gbr"), "abs/y.gbr");
        assert_eq!(shown(br"C:\w\z.txt"), "w/z.txt");
        assert_eq!(shown(b"a\x1b[31m.gbr"), "a\u{FFFD}[31m.gbr");
        assert_eq!(shown("a\u{202E}rbg.exe".as_bytes()), "a\u{FFFD}rbg.exe");
        assert_eq!(shown(b"l\xF6tstopp.gbr"), "l\u{FFFD}tstopp.gbr");
        assert_eq!(shown(b"///"), "unnamed");
    }

    #[test]
    fn entries_that_lead_astray_are_refused_by_a_name_that_can_be_shown() {
        let refused = |raw: &[u8]| entry(raw).unwrap_err();
        assert_eq!(refused(b"../top.gbr"), ("top.gbr".to_owned(), "its name leads out of the archive"));
        assert_eq!(refused(b"/etc/top.gbr").1, "its name is an absolute path");
        assert_eq!(refused(br"C:\w\top.gbr"), ("w/top.gbr".to_owned(), "its name begins with a drive letter"));
        assert_eq!(refused(b"a\x1b[2J.gbr").0, "a\u{FFFD}[2J.gbr");
        assert_eq!(entry(b"./b\\top..gbr"), Ok("b/top..gbr".to_owned()));
    }

    #[test]
    fn long_names_keep_their_end() {
        let long = format!("{}/top.gbr", "x".repeat(2000));
        let name = shown(long.as_bytes());
        assert!(name.ends_with("/top.gbr") && name.chars().count() == LONGEST);
    }

    #[test]
    fn litter_is_known() {
        assert!(is_litter("__MACOSX/._top.gbr") && is_litter("x/.DS_Store") && is_litter("a/Thumbs.db"));
        assert!(!is_litter("x/top.gbr") && !is_litter("v1.0/top.gbr"));
    }
}
