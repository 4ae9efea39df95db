//! What the drill reader promises.

use landgap_parser::Limits;
use landgap_parser::drill::{Format, HoleImage, Program, Value, read, write_commands};

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
    let program = match once {
        Ok(program) => program,
        Err(limit) => return lines.hold_limit(&limit),
    };
    points_inside(&lines, &program);
    let written = write_commands(bytes, &program);
    let again = read(&written, &roomy(limits)).expect("what was written holds no more commands");
    same_program(&program, &again, &written);
    assert_eq!(write_commands(&written, &again), written, "writing what was written changes it");
    for format in program.candidates() {
        decoded(&lines, &program, &again, &format, limits);
    }
    for at in some_of(&places_to_cut(bytes, &program), cuts) {
        cut(bytes, at, &program, limits);
    }
}

/// The same limits with room for the line ends a writer may add.
fn roomy(limits: &Limits) -> Limits {
    Limits { bytes: limits.bytes.saturating_mul(8), ..*limits }
}

fn points_inside(lines: &Lines, program: &Program) {
    lines.hold_remarks(&program.remarks);
    for line in &program.lines {
        lines.hold_exactly(line.place);
        assert!(line.tool.is_none_or(|t| (t as usize) < program.tools.len()), "{line:?} names no tool");
        let first = line.place.column;
        assert!(program.words(line).iter().all(|w| w.column >= first), "{line:?} holds a word before it");
    }
    for tool in &program.tools {
        lines.hold(tool.place);
        lines.hold_line(tool.comment.line);
    }
    program.clues.iter().for_each(|c| lines.hold_line(c.line));
    program.statements.file_attributes.iter().for_each(|a| lines.hold_line(a.line));
    program.statements.plating.iter().for_each(|p| lines.hold_line(p.1));
}

/// The words of every command, without their columns.
fn words(program: &Program) -> Vec<Vec<(u8, Value)>> {
    program.lines.iter().map(|l| program.words(l).iter().map(|w| (w.letter, w.value)).collect()).collect()
}

/// Read, write, read gives an equal program, places aside.
fn same_program(before: &Program, after: &Program, written: &[u8]) {
    let text = String::from_utf8_lossy(written);
    assert_eq!(words(after), words(before), "other commands were written\n{text}");
    let tools = |p: &Program| -> Vec<_> {
        let what = |t: &landgap_parser::drill::ToolDeclaration| (t.number, t.size, t.plating, t.function.clone());
        p.tools.iter().map(what).collect()
    };
    assert_eq!(tools(after), tools(before), "other tools were written\n{text}");
    let of_lines = |p: &Program| p.lines.iter().map(|l| l.tool).collect::<Vec<_>>();
    assert_eq!(of_lines(after), of_lines(before), "other declarations were written\n{text}");
    assert_eq!(after.candidates(), before.candidates(), "the formats changed\n{text}");
    assert_eq!((after.stated, after.stated_fully), (before.stated, before.stated_fully), "the format changed\n{text}");
    assert_eq!(after.statements.span, before.statements.span, "the span changed\n{text}");
    let codes = |p: &Program| p.remarks.iter().map(|r| (r.code.id, r.more)).collect::<std::collections::BTreeSet<_>>();
    assert_eq!(codes(after), codes(before), "the remarks changed\n{text}");
}

/// Decoding holds its own promises and gives the same for what was written.
fn decoded(lines: &Lines, program: &Program, again: &Program, format: &Format, limits: &Limits) {
    let once = program.decode(format, limits);
    assert_eq!(mark(&once), mark(&program.decode(format, limits)), "two decodings differ");
    let holes = match once {
        Ok(holes) => holes,
        Err(limit) => return lines.hold_limit(&limit),
    };
    lines.hold_remarks(&holes.remarks);
    assert!(holes.step >= 1, "a step of {}", holes.step);
    for hit in &holes.hits {
        lines.hold_line(hit.line);
        assert!((hit.tool as usize) < holes.tools.len(), "{hit:?} names no tool");
    }
    holes.tools.iter().for_each(|t| lines.hold_line(t.line));
    let again = again.decode(format, limits).expect("what was written makes no more hits");
    let hits = |h: &HoleImage| without_lines(&(&h.tools, &h.hits, h.step));
    assert_eq!(hits(&again), hits(&holes), "what was written makes other holes");
}

/// Offsets of commands the body begins with, where no setting of the header is needed again.
fn places_to_cut(bytes: &[u8], program: &Program) -> Vec<usize> {
    let upper = bytes.to_ascii_uppercase();
    let has = |from: usize, what: &[u8]| upper[from..].windows(what.len()).any(|w| w == what);
    // A command set, a second header or a message that runs on would have to be carried over.
    if has(0, b"FMAT") || has(0, b"M45") {
        return Vec::new();
    }
    let places = program.lines.iter().filter(|l| !l.is_header()).map(|l| l.place.offset as usize);
    places.filter(|at| !has(*at, b"M48")).collect()
}

/// Reading both halves gives the words that reading the whole gives, the second behind an empty header.
fn cut(bytes: &[u8], at: usize, program: &Program, limits: &Limits) {
    let (head, tail) = bytes.split_at(at);
    let tail = [b"M48\n%\n".as_slice(), tail].concat();
    let first = read(head, limits).expect("half a program asks for no more");
    let second = read(&tail, &roomy(limits)).expect("half a program asks for no more");
    assert_eq!([words(&first), words(&second)].concat(), words(program), "cut at {at}");
}
