//! Paths of listed files.

/// The path inside the set, with `/` between its parts; `None` where it leaves the set or is absolute.
pub(super) fn inside(written: &str) -> Option<String> {
    let written = written.trim();
    let absolute = written.starts_with(['/', '\\', '~']) || written.as_bytes().get(1) == Some(&b':');
    if absolute || written.contains("://") || written.contains('\0') {
        return None;
    }
    let mut parts: Vec<&str> = Vec::new();
    for part in written.split(['/', '\\']) {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            name => parts.push(name),
        }
    }
    (!parts.is_empty()).then(|| parts.join("/"))
}
