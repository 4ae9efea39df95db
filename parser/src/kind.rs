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

/// Bytes at the beginning of a file that are looked at.
const HEAD: usize = 1 << 16;

/// Tells the kind of a file from its first 64 KiB.
#[must_use]
pub fn detect(bytes: &[u8]) -> Kind {
    let head = &bytes[..bytes.len().min(HEAD)];
    let text = trim_start(head);
    if text.is_empty() {
        return Kind::Empty;
    }
    if let Some(sight) = sight(head) {
        return if sight.for_people { Kind::Drawing } else { Kind::Other };
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
    if looks_like_prose(text) { Kind::Drawing } else { Kind::Other }
}

/// What a file is, as the rest of a sentence that begins with its name; where it is not read, with
/// what to send instead.
#[must_use]
pub fn telling(bytes: &[u8]) -> &'static str {
    match detect(bytes) {
        Kind::Artwork => "is artwork",
        Kind::Drill => "is a drill program",
        Kind::Empty => "is empty (no bytes but white space)",
        Kind::Netlist => "is a netlist",
        Kind::Job => "is a job file",
        Kind::Drawing | Kind::Other => {
            sight(&bytes[..bytes.len().min(HEAD)]).map_or_else(|| unseen(bytes), |sight| sight.words)
        }
    }
}

fn unseen(bytes: &[u8]) -> &'static str {
    if detect(bytes) == Kind::Drawing {
        "is a text or table for people, which is left alone"
    } else {
        "holds neither Gerber commands nor drill commands"
    }
}

/// A kind of content that is known by its looks and not read.
struct Sight {
    looks: fn(&[u8]) -> bool,
    for_people: bool,
    words: &'static str,
}

fn sight(head: &[u8]) -> Option<&'static Sight> {
    SIGHTS.iter().find(|s| (s.looks)(trim_start(head)))
}

const fn people(looks: fn(&[u8]) -> bool, words: &'static str) -> Sight {
    Sight { looks, for_people: true, words }
}

const fn machines(looks: fn(&[u8]) -> bool, words: &'static str) -> Sight {
    Sight { looks, for_people: false, words }
}

/// Known by structure or by the first bytes that a published format prescribes. From memory.
static SIGHTS: [Sight; 11] = [
    people(is_picture, "is a picture or document for people, which is left alone"),
    people(is_office, "is a document or table of an office program, which is left alone"),
    people(is_markup, "is a page or picture for people, which is left alone"),
    people(|b| b.starts_with(b"ISO-10303-21"), "is a solid model (STEP), which is left alone"),
    people(is_drafting, "is a drawing of a drafting program, which is left alone"),
    machines(
        |b| b.starts_with(b"<") && contains(b, b"<IPC-2581"),
        "holds IPC-2581 data, which are not read yet; send layered artwork, drill programs and the netlist",
    ),
    machines(is_board_markup, BOARD_FILE),
    machines(is_board_list, BOARD_FILE),
    machines(|b| b.starts_with(b"|RECORD="), BOARD_FILE),
    machines(
        |b| b.starts_with(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1"),
        "is a compound file of an office or design program; send layered artwork and drill programs plotted from it",
    ),
    machines(
        |b| b.starts_with(b"\xFF\xFE") || b.starts_with(b"\xFE\xFF"),
        "is text of two bytes a character (UTF-16); save it as plain text",
    ),
];

const BOARD_FILE: &str =
    "is a design program's own board file; send layered artwork, drill programs and the netlist plotted from it";

fn trim_start(bytes: &[u8]) -> &[u8] {
    let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let start = bytes.iter().position(|b| !b.is_ascii_whitespace()).unwrap_or(bytes.len());
    &bytes[start..]
}

fn contains(haystack: &[u8], needle: &[u8]) -> bool {
    haystack.windows(needle.len()).any(|w| w == needle)
}

fn is_picture(bytes: &[u8]) -> bool {
    const MAGIC: [&[u8]; 9] =
        [b"%PDF", b"%!PS", b"{\\rtf", b"\x89PNG", b"\xFF\xD8\xFF", b"GIF8", b"II*\0", b"MM\0*", b"RIFF"];
    let bitmap = bytes.starts_with(b"BM") && bytes.get(6..10) == Some(&[0; 4]);
    bitmap || MAGIC.iter().any(|m| bytes.starts_with(m))
}

fn is_office(bytes: &[u8]) -> bool {
    let names = contains(bytes, b"[Content_Types].xml") || bytes.get(30..38) == Some(b"mimetype");
    bytes.starts_with(b"PK\x03\x04") && names
}

fn is_markup(bytes: &[u8]) -> bool {
    let start = bytes[..bytes.len().min(4096)].to_ascii_lowercase();
    bytes.starts_with(b"<") && (contains(&start, b"<svg") || contains(&start, b"<html"))
}

/// Drawing exchange text begins with group code 0 and the word SECTION, perhaps behind comments (999).
fn is_drafting(bytes: &[u8]) -> bool {
    let mut pairs = lines(bytes);
    let exchange = loop {
        match (pairs.next(), pairs.next()) {
            (Some(b"999"), Some(_)) => {}
            (Some(b"0"), Some(b"SECTION")) => break true,
            _ => break false,
        }
    };
    exchange || (bytes.starts_with(b"AC10") && bytes.get(4..6).is_some_and(|v| v.iter().all(u8::is_ascii_digit)))
}

/// Markup that describes a drawing with its layers and the board, parts or nets on it.
fn is_board_markup(bytes: &[u8]) -> bool {
    let parts: [&[u8]; 4] = [b"<board", b"<schematic", b"<signals", b"<library"];
    bytes.starts_with(b"<") && contains(bytes, b"<layers") && parts.iter().any(|p| contains(bytes, p))
}

/// Nested lists in brackets that name layers, and nets or footprints.
fn is_board_list(bytes: &[u8]) -> bool {
    let parts: [&[u8]; 3] = [b"(net ", b"(footprint", b"(module"];
    bytes.starts_with(b"(") && contains(bytes, b"(layer") && parts.iter().any(|p| contains(bytes, p))
}

/// Text of words: mostly letters and blanks, and no mark that ends a command.
fn looks_like_prose(bytes: &[u8]) -> bool {
    let wordy = bytes.iter().filter(|b| b.is_ascii_alphabetic() || **b == b' ').count();
    let printable = bytes.iter().all(|b| matches!(b, b' '..=b'~' | b'\t' | b'\r' | b'\n' | 0x0C | 0x80..));
    let commands = lines(bytes).filter(|l| l.ends_with(b"*") || l.ends_with(b"*%")).count();
    printable && commands == 0 && wordy.saturating_mul(2) > bytes.len()
}

fn lines(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
    bytes.split(|b| *b == b'\n' || *b == b'\r').map(<[u8]>::trim_ascii).filter(|l| !l.is_empty())
}

/// A netlist holds records of three digits among parameters (`P`) and comments (`C`), little else, and
/// at least one point, or a parameter no other format has.
fn looks_like_netlist(bytes: &[u8]) -> bool {
    let (mut known, mut strange, mut certain) = (0u32, 0u32, false);
    for line in lines(bytes).take(400).map(<[u8]>::to_ascii_uppercase) {
        match line.as_slice() {
            [b'C', ..] | [b'P'] | b"999" => {}
            [b'P', b' ' | b'\t', rest @ ..] => {
                let keyword = rest.trim_ascii_start();
                certain |= [b"UNITS".as_slice(), b"NNAME", b"VER IPC-D-356"].iter().any(|k| keyword.starts_with(k));
                known += 1;
            }
            [b'0' | b'3', b'0'..=b'9', b'0' | b'7' | b'8' | b'9', rest @ ..] => {
                certain |= line[0] == b'3' && rest.len() > 20 && rest.contains(&b'X') && rest.contains(&b'Y');
                known += 1;
            }
            _ => strange += 1,
        }
    }
    certain && strange <= known / 4
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_for_people_is_left_alone() {
        let texts: [&[u8]; 8] = [
            b"%PDF-1.4",
            b"<?xml version=\"1.0\"?>\n<svg/>",
            b"<!DOCTYPE HTML><HTML>",
            b"ISO-10303-21;\nHEADER;",
            b"  0\r\nSECTION\r\n  2\r\nHEADER",
            b"AC1015\0\0",
            b"PK\x03\x04\x14\0\x06\0\x08\0\0\0!\0\0\0\0\0\0\0\0\0\0\0\0\0\x13\0\0\0[Content_Types].xml",
            b"Part,Value,Quantity\nCapacitor,one hundred nano,seven\n",
        ];
        for text in texts {
            assert_eq!(detect(text), Kind::Drawing, "{}", String::from_utf8_lossy(text));
            assert!(telling(text).contains("left alone"));
        }
    }

    #[test]
    fn what_a_design_program_keeps_for_itself_is_told_with_what_to_send() {
        let texts: [&[u8]; 4] = [
            b"(board (version 4) (layers (0 top)) (net 0 \"\"))",
            b"<?xml version=\"1.0\"?><drawing><layers><layer number=\"1\"/></layers><board/></drawing>",
            b"|RECORD=Board|FILENAME=x",
            b"<?xml version=\"1.0\"?><IPC-2581 revision=\"B\">",
        ];
        for text in texts {
            assert_eq!(detect(text), Kind::Other);
            assert!(telling(text).contains("send layered artwork"), "{}", telling(text));
        }
        assert!(telling(texts[3]).contains("IPC-2581"));
    }

    #[test]
    fn data_of_the_trade_stay_what_they_are() {
        assert_eq!(detect(b"%FSLAX46Y46*%\n%MOMM*%\nM02*\n"), Kind::Artwork);
        assert_eq!(detect(b"M48\nMETRIC\nT1C0.6\n%\nT1\nX1Y1\nM30\n"), Kind::Drill);
        assert_eq!(detect(b"G04 a long comment of words and nothing else*\nM02*\n"), Kind::Other);
        assert_eq!(detect(b" \r\n"), Kind::Empty);
    }
}
