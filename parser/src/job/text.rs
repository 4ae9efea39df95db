//! Text of the file as it may be shown in a remark.

/// The first characters in quotes, without what would break a line.
pub(super) fn show(bytes: &[u8]) -> String {
    const LONGEST: usize = 60;
    let text = String::from_utf8_lossy(bytes.get(..bytes.len().min(LONGEST * 4)).unwrap_or_default());
    let mut shown: String = text.chars().take(LONGEST).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().count() > LONGEST {
        shown.push('…');
    }
    format!("\"{shown}\"")
}
