//! What the artwork reader promises.

use landgap_parser::artwork::{Command, Text, What, codes, read, read_commands, write_commands};
use landgap_parser::{Limits, Remark, Severity};

use super::{Lines, mark, small_limits, some_of, without_lines};

/// Checks one input with small limits.
pub fn holds(bytes: &[u8]) {
    holds_within(bytes, &small_limits(), 6);
}

/// Checks one input, cutting it at up to `cuts` places.
pub fn holds_within(bytes: &[u8], limits: &Limits, cuts: usize) {
    let lines = Lines::of(bytes);
    let once = read(bytes, limits);
    assert_eq!(mark(&once), mark(&read(bytes, limits)), "two readings differ");
    let artwork = match once {
        Ok(artwork) => artwork,
        Err(limit) => return lines.hold_limit(&limit),
    };
    lines.hold_remarks(&artwork.remarks);
    artwork.commands.iter().for_each(|c| points_inside(bytes, &lines, c));
    artwork.image.objects.iter().for_each(|o| lines.hold_line(o.line));
    artwork.image.apertures.iter().for_each(|a| lines.hold_line(a.line));
    artwork.image.file_attributes.iter().for_each(|a| lines.hold_line(a.line));
    let written = round_trip(bytes, &artwork.commands, limits);
    // What stands behind the end is no command; it can make a file untrustworthy, but is not written.
    if !artwork.remarks.iter().any(|r| r.code.severity == Severity::Fatal) {
        let again = read(&written, &roomy(limits)).expect("what was written draws no more than before");
        assert_eq!(without_lines(&again.image), without_lines(&artwork.image), "what was written draws another image");
    }
    for at in some_of(&places_to_cut(bytes, &artwork.commands, &artwork.remarks), cuts) {
        cut(bytes, at, &artwork.commands, limits);
    }
}

/// The same limits with room for the `%` and line ends a writer adds.
fn roomy(limits: &Limits) -> Limits {
    Limits { bytes: limits.bytes.saturating_mul(8), ..*limits }
}

fn points_inside(bytes: &[u8], lines: &Lines, command: &Command) {
    lines.hold_exactly(command.place);
    assert!((command.place.offset + command.length) as usize <= bytes.len(), "{command:?} outside the file");
    for text in texts(command) {
        assert!(text.start <= text.end && text.end as usize <= bytes.len(), "{command:?} outside the file");
    }
}

/// The pieces of text a command points to; an unknown one is its whole word.
fn texts(command: &Command) -> Vec<Text> {
    match command.what {
        What::Comment(text) | What::Attribute { text, .. } | What::Name(text) => vec![text],
        What::AttributeDelete { name, .. } => vec![name],
        What::Aperture { template, parameters, .. } => vec![template, parameters],
        What::Macro { name, body } => vec![name, body],
        What::RepeatOpen { step_x, step_y, .. } => vec![step_x, step_y],
        What::Image { value, .. } => vec![value],
        What::Unknown => {
            let start = command.place.offset;
            vec![Text { start, end: start + command.length }]
        }
        _ => Vec::new(),
    }
}

/// A command with the text it points to in place of the offsets, line ends aside.
fn said(bytes: &[u8], command: &Command) -> (What, Vec<Vec<u8>>) {
    let none = Text::default();
    let what = match command.what {
        What::Comment(_) => What::Comment(none),
        What::Attribute { kind, in_comment, .. } => What::Attribute { kind, text: none, in_comment },
        What::Name(_) => What::Name(none),
        What::AttributeDelete { in_comment, .. } => What::AttributeDelete { name: none, in_comment },
        What::Aperture { number, .. } => What::Aperture { number, template: none, parameters: none },
        What::Macro { .. } => What::Macro { name: none, body: none },
        What::RepeatOpen { columns, rows, .. } => What::RepeatOpen { columns, rows, step_x: none, step_y: none },
        What::Image { setting, .. } => What::Image { setting, value: none },
        other => other,
    };
    let solid = |t: &Text| t.of(bytes).iter().copied().filter(|b| !matches!(b, b'\r' | b'\n')).collect();
    (what, texts(command).iter().map(solid).collect())
}

fn all_said(bytes: &[u8], commands: &[Command]) -> Vec<(What, Vec<Vec<u8>>)> {
    commands.iter().map(|c| said(bytes, c)).collect()
}

/// Read, write, read gives equal commands; writing once more gives equal bytes.
fn round_trip(bytes: &[u8], commands: &[Command], limits: &Limits) -> Vec<u8> {
    let written = write_commands(bytes, commands);
    let (again, _) = read_commands(&written, &roomy(limits)).expect("what was written holds no more commands");
    let (before, after) = (all_said(bytes, commands), all_said(&written, &again));
    for (i, (b, a)) in before.iter().zip(&after).enumerate() {
        assert_eq!(a, b, "command {i} was written as another\n{}", String::from_utf8_lossy(&written));
    }
    assert_eq!(after.len(), before.len(), "how many were written\n{}", String::from_utf8_lossy(&written));
    assert_eq!(write_commands(&written, &again), written, "writing what was written changes it");
    written
}

/// Offsets behind a complete command, as far as the `%` of the file are in order.
fn places_to_cut(bytes: &[u8], commands: &[Command], remarks: &[Remark]) -> Vec<usize> {
    if remarks.iter().any(|r| std::ptr::eq(r.code, &codes::NOT_TEXT)) {
        return Vec::new();
    }
    let disorder = [&codes::BLOCK_PERCENT, &codes::UNTERMINATED, &codes::COMMENT_PERCENT, &codes::PLAIN_IN_BLOCK];
    let unclear = remarks.iter().filter(|r| disorder.iter().any(|c| std::ptr::eq(*c, r.code))).map(|r| r.place.offset);
    let end = commands.iter().filter(|c| c.what == What::End).map(|c| c.place.offset);
    let last = unclear.chain(end).min().map_or(bytes.len(), |o| o as usize);
    let mut inside = false;
    let mut places = Vec::new();
    for (i, byte) in bytes.iter().enumerate().take(last) {
        inside ^= *byte == b'%';
        if matches!(byte, b'*' | b'%') && !inside {
            places.push(i + 1);
        }
    }
    let marks = [b"\xEF\xBB\xBF".as_slice(), b"\xFF\xFE", b"\xFE\xFF"];
    places.retain(|at| !marks.iter().any(|m| bytes[*at..].starts_with(m)));
    places
}

/// Reading both halves gives what reading the whole gives.
fn cut(bytes: &[u8], at: usize, commands: &[Command], limits: &Limits) {
    let (head, tail) = bytes.split_at(at);
    let (first, _) = read_commands(head, limits).expect("half a file asks for no more");
    let (second, _) = read_commands(tail, limits).expect("half a file asks for no more");
    let whole = all_said(bytes, commands);
    let halves = [all_said(head, &first), all_said(tail, &second)].concat();
    assert_eq!(halves, whole, "cut at {at}");
    let offsets = first.iter().map(|c| c.place.offset).chain(second.iter().map(|c| c.place.offset + at as u32));
    assert!(offsets.eq(commands.iter().map(|c| c.place.offset)), "cut at {at} moves commands");
}
