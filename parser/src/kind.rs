//! What kind of file some bytes are, by their content alone.

/// What a file is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Layered artwork (RS-274X, X2, X3).
    Artwork,
    /// Drill or rout program (Excellon, XNC).
    Drill,
    /// Electrical netlist (IPC-D-356 and 356A).
    Netlist,
    /// Job file (JSON that lists the set).
    Job,
    /// A drawing, report, or picture meant for people.
    Drawing,
    /// No bytes at all.
    Empty,
    /// Nothing this program reads.
    Other,
}

impl Kind {
    /// The word used in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Artwork => "artwork",
            Self::Drill => "drill",
            Self::Netlist => "netlist",
            Self::Job => "job",
            Self::Drawing => "drawing",
            Self::Empty | Self::Other => "other",
        }
    }
}

/// Tells the kind of a file from its first 64 KiB.
#[must_use]
pub fn detect(bytes: &[u8]) -> Kind {
    let head = &bytes[..bytes.len().min(1 << 16)];
    let text = trim_start(head);
    if text.is_empty() {
        return Kind::Empty;
    }
    if is_picture(text) {
        return Kind::Drawing;
    }
    if text.contains(&0) {
        return Kind::Other;
    }
    if text.starts_with(b"{") {
        return if contains(text, b"GeneralSpecs") || contains(text, b"FilesAttributes") {
            Kind::Job
        } else {
            Kind::Other
        };
    }
    if looks_like_netlist(text) {
        return Kind::Netlist;
    }
    if looks_like_artwork(text) {
        return Kind::Artwork;
    }
    if looks_like_drill(text) {
        return Kind::Drill;
    }
    Kind::Other
}

fn trim_start(bytes: &[u8]) -> &[u8] {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let start = bytes.iter().position(|b| !b.is_ascii_whitespace()).unwrap_or(bytes.len());
    &bytes[start..]
}

fn contains(haystack: &[u8], needle: &[u8]) -> bool {
    haystack.windows(needle.len()).any(|w| w == needle)
}

fn is_picture(bytes: &[u8]) -> bool {
    const MAGIC: [&[u8]; 5] = [b"%PDF", b"\x89PNG", b"\xFF\xD8\xFF", b"GIF8", b"<svg"];
    MAGIC.iter().any(|m| bytes.starts_with(m))
}

fn lines(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    bytes.split(|b| *b == b'\n' || *b == b'\r').map(<[u8]>::trim_ascii).filter(|l| !l.is_empty())
}

fn looks_like_netlist(bytes: &[u8]) -> bool {
    let mut records = 0;
    for line in lines(bytes).take(400) {
        match line {
            [b'P', b' ', ..] | [b'C', b' ', ..] | [b'C'] => {}
            [b'3' | b'0', b'0'..=b'9', b'7' | b'8' | b'9', rest @ ..] if rest.len() > 20 => records += 1,
            [b'9', b'9', b'9', ..] => {}
            _ => return false,
        }
    }
    records > 0
}

fn looks_like_artwork(bytes: &[u8]) -> bool {
    let has_command = [b"%FS".as_slice(), b"%MO", b"%AD", b"%AM", b"%LP", b"%TF", b"%IP", b"%AS", b"%IN", b"%SF"]
        .iter()
        .any(|c| contains(bytes, c));
    let is_word = |line: &[u8]| {
        line.ends_with(b"*") && matches!(line.first(), Some(b'G' | b'X' | b'Y' | b'D' | b'M' | b'g' | b'x'))
    };
    has_command || lines(bytes).take(50).filter(|l| is_word(l)).count() >= 3
}

fn looks_like_drill(bytes: &[u8]) -> bool {
    let mut tools = 0;
    let mut hits = 0;
    for line in lines(bytes).take(400) {
        if line == b"M48" {
            return true;
        }
        match line {
            [b'T', b'0'..=b'9', ..] => tools += 1,
            [b'X' | b'Y', b'0'..=b'9' | b'-' | b'+' | b'.', ..] => hits += 1,
            [b'A'..=b'Z', b'a'..=b'z', b'a'..=b'z', ..] => return false,
            _ => {}
        }
    }
    hits > 0 && (tools > 0 || hits > 3)
}
