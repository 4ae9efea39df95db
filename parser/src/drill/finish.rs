//! What can be said once the whole program is read.

use std::collections::{BTreeMap, BTreeSet};

use super::codes;
use super::evidence::Evidence;
use super::hits::{FormatClue, Plating, Statements, Zeros};
use super::program::{CommentTool, SizeUnit, ToolDeclaration};
use crate::length::Unit;
use crate::remark::{Place, Remarks};

/// Plating and span of the file, from its attribute or else from its type comments.
pub(super) fn statements(s: &mut Statements, tools: &[ToolDeclaration], kind: Option<(Plating, u32)>) {
    if let Some(attribute) = s.file_attributes.iter().find(|a| a.name == ".FileFunction") {
        let field = |at: usize| attribute.values.get(at).map(String::as_str);
        s.plating = match field(0) {
            Some("Plated") => Some((Plating::Plated, attribute.line)),
            Some("NonPlated") => Some((Plating::NonPlated, attribute.line)),
            _ => None,
        };
        let layer = |at| field(at).and_then(|f| f.parse::<u32>().ok());
        s.span = layer(1).zip(layer(2));
        return;
    }
    let Some((last, line)) = kind else { return };
    let first = tools.first().and_then(|t| t.plating).unwrap_or(last);
    if tools.iter().all(|t| t.plating == Some(first)) {
        s.plating = Some((first, line));
    }
}

/// Hands what comments say of tools to the tools, adding those only comments know.
pub(super) fn comment_tools(
    tools: &mut Vec<ToolDeclaration>,
    comments: &BTreeMap<u32, CommentTool>,
    evidence: &mut Evidence,
) {
    let mut known = BTreeSet::new();
    for tool in tools.iter_mut() {
        known.insert(tool.number);
        if let Some(comment) = comments.get(&tool.number) {
            tool.comment = *comment;
            tool.plating = tool.plating.or(comment.plating);
        }
    }
    let inch = |u| if u == SizeUnit::Millimetre { Unit::Millimetre } else { Unit::Inch };
    let unit = |c: &CommentTool| Some((inch(c.size?.unit?), c.line));
    evidence.unit_of_sizes = comments.values().find_map(unit);
    tools.extend(comments.iter().filter(|(number, _)| !known.contains(number)).map(|(n, c)| from_comment(*n, c)));
}

fn from_comment(number: u32, comment: &CommentTool) -> ToolDeclaration {
    ToolDeclaration {
        number,
        size: None,
        comment: *comment,
        plating: comment.plating,
        function: None,
        tolerance: None,
        place: Place { line: comment.line, column: 1, offset: 0 },
        in_header: true,
    }
}

/// Remarks on the program as a whole.
pub(super) fn remarks(
    remarks: &mut Remarks,
    evidence: &Evidence,
    tools: &[ToolDeclaration],
    header_seen: bool,
    useful: bool,
    blank: bool,
) {
    let top = Place { line: 1, column: 1, offset: 0 };
    if !useful {
        let (code, found) = if blank {
            (&codes::EMPTY, "the file is empty")
        } else {
            (&codes::NOT_A_PROGRAM, "no header, no tool and no coordinate was found")
        };
        remarks.note(code, top, found, "a drill or rout program");
        return;
    }
    if !header_seen {
        remarks.note(&codes::HEADER_MISSING, top, "the program has no header", "M48 on the first line");
    }
    doubts(remarks, evidence);
    for tool in tools.iter().filter(|t| t.size.is_some_and(|n| n.digits == 0 || n.negative)) {
        let found = format!("T{} has diameter {}", tool.number, tool.size.map_or_else(String::new, |n| n.to_string()));
        remarks.note(&codes::TOOL_ZERO, tool.place, found, "a diameter above zero");
    }
}

fn at(line: u32) -> Place {
    Place { line, column: 1, offset: 0 }
}

fn doubts(remarks: &mut Remarks, evidence: &Evidence) {
    let unit = evidence.unit().map_or("", |(u, _)| u.name());
    if let Some((other, line)) = evidence.unit_contradiction()
        && !remarks.has(&codes::UNIT_CONTRADICTS)
    {
        let found = format!("{} is stated as well as {unit}", other.name());
        remarks.note(&codes::UNIT_CONTRADICTS, at(line), found, "one unit");
    }
    if evidence.sizes_contradict() {
        let line = evidence.unit().map_or(0, |(_, line)| line);
        let found = format!("in {unit}, as stated, the tools lie outside 0.05 to 7 mm");
        remarks.note(&codes::TOOL_UNLIKELY, at(line), found, "tool sizes in the stated unit");
    }
    if evidence.zeros_doubtful() {
        let line = evidence.zeros().map_or(0, |(_, line)| line);
        let found = "the digits of the numbers speak against the zeros stated";
        remarks.note(&codes::ZEROS_DOUBTFUL, at(line), found, "");
    }
    if let Some(line) = evidence.picture_contradiction() {
        let found = "the comment and the header give different numbers of digits";
        remarks.note(&codes::PICTURE_CONTRADICTS, at(line), found, "one picture; that of the header was used");
    }
    if evidence.whole_units {
        let found = "some numbers have no point while most have one";
        remarks.note(&codes::INTEGERS, at(0), found, "a point in every number");
    }
}

/// What speaks for a format, in plain words.
pub(super) fn clues(evidence: &Evidence) -> Vec<FormatClue> {
    let mut clues = Vec::new();
    let mut add = |line: u32, text: String| clues.push(FormatClue { line, text });
    for (what, unit) in [
        ("a unit code sets", evidence.unit_code),
        ("the header states", evidence.unit_word),
        ("a comment states", evidence.unit_comment),
        ("a comment gives tool sizes in units of", evidence.unit_of_sizes),
    ] {
        if let Some((unit, line)) = unit {
            add(line, format!("{what} {}", unit.name()));
        }
    }
    for (what, zeros) in [("the header", evidence.zeros_word), ("a comment", evidence.zeros_comment)] {
        if let Some((zeros, line)) = zeros {
            add(line, format!("{what} says that {}", kept(zeros)));
        }
    }
    for (what, picture) in [("the header", evidence.picture_word), ("a comment", evidence.picture_comment)] {
        if let Some(((integer, decimals), line)) = picture {
            add(line, format!("{what} gives {integer} digits before the point and {decimals} behind it"));
        }
    }
    digit_clues(evidence, &mut add);
    clues.sort_by_key(|c| c.line);
    clues
}

const fn kept(zeros: Zeros) -> &'static str {
    match zeros {
        Zeros::Leading => "leading zeros are kept (LZ)",
        Zeros::Trailing => "trailing zeros are kept (TZ)",
    }
}

fn digit_clues(evidence: &Evidence, add: &mut impl FnMut(u32, String)) {
    if evidence.decimal_comment {
        add(0, "a comment says that numbers carry a decimal point".into());
    }
    if evidence.all_decimal() {
        return add(0, "every number carries a decimal point".into());
    }
    if let Some((integer, decimals)) = evidence.picture_of_sizes {
        add(0, format!("tool sizes are padded to {integer} digits before the point and {decimals} behind it"));
    }
    if let Some(width) = evidence.digits.fixed_width() {
        add(0, format!("every number has {width} digits, so either zero mode reads the same"));
    } else if let Some(zeros) = evidence.digits.likely_zeros() {
        add(0, format!("the lengths of the numbers suggest that {}", kept(zeros)));
    }
}
