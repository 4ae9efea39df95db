//! Noting remarks without paying for texts nobody will see.

use crate::remark::{Code, Place, Remarks};

/// Notes a remark; `texts` (found, expected) is only asked for at its first place.
pub fn note(remarks: &mut Remarks, code: &'static Code, place: Place, texts: impl FnOnce() -> (String, String)) {
    if remarks.has(code) {
        remarks.note(code, place, "", "");
        return;
    }
    let (found, expected) = texts();
    remarks.note(code, place, found, expected);
}

/// Bytes of the file as they may be shown in a remark.
pub fn show(bytes: &[u8]) -> String {
    const LONGEST: usize = 60;
    let mut out = String::from("\"");
    for b in bytes.iter().filter(|b| !matches!(b, b'\r' | b'\n')).take(LONGEST) {
        if (32..127).contains(b) {
            out.push(char::from(*b));
        } else {
            out.push_str(&format!("\\x{b:02X}"));
        }
    }
    if bytes.len() > LONGEST {
        out.push('…');
    }
    out.push('"');
    out
}
