//! Words and numbers as people read them, shared by the printers.

use crate::wire::report::{Board, Place, Query, Source};
use crate::wire::um::{Um, mm};

/// "0.060 mm", or a dash where there is none.
#[must_use]
pub fn mm_or_dash(length: Option<Um>) -> String {
    length.map_or_else(|| "–".to_owned(), |l| format!("{} mm", mm(l)))
}

/// "x 12.000, y 3.500 mm".
#[must_use]
pub fn position(place: &Place) -> String {
    format!("x {}, y {} mm", mm(place.x_um), mm(place.y_um))
}

/// "0.060 mm measured / 0.100 required", as far as known.
#[must_use]
pub fn measured_required(measured: Option<Um>, required: Option<Um>) -> String {
    match (measured, required) {
        (Some(m), Some(r)) => format!("{} mm measured / {} required", mm(m), mm(r)),
        (Some(m), None) => format!("{} mm measured", mm(m)),
        (None, Some(r)) => format!("{} mm required", mm(r)),
        (None, None) => String::new(),
    }
}

/// "top.gbr line 12".
#[must_use]
pub fn source(source: &Source) -> String {
    source.line.map_or_else(|| source.file.clone(), |line| format!("{} line {line}", source.file))
}

/// "1 place", "3 places".
#[must_use]
pub fn count(n: usize, one: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {one}s") }
}

/// "1 query", "3 queries".
#[must_use]
pub fn queries(n: usize) -> String {
    if n == 1 { "1 query".to_owned() } else { format!("{n} queries") }
}

/// The board in one line.
#[must_use]
pub fn board_line(board: &Board) -> String {
    let size = match (board.width_um, board.height_um) {
        (Some(w), Some(h)) => format!("{} × {} mm", mm(w), mm(h)),
        _ => "size not known".to_owned(),
    };
    let outline = if board.outline == "closed" { String::new() } else { format!(" (outline {})", board.outline) };
    let holes = board.holes.plated + board.holes.unplated + board.holes.unclear;
    format!(
        "{size}{outline}, {}, {}, {}",
        count(board.copper_layers as usize, "copper layer"),
        count(holes as usize, "hole"),
        count(board.nets as usize, "net")
    )
}

/// Hole counts in one line.
#[must_use]
pub fn holes_line(board: &Board) -> String {
    let h = &board.holes;
    let mut line = format!("{} plated, {} non-plated", h.plated, h.unplated);
    if h.unclear > 0 {
        line += &format!(", {} not told", h.unclear);
    }
    if h.slots > 0 {
        line += &format!("; {} of them slots or routed", h.slots);
    }
    if let Some(smallest) = h.smallest_finished_um {
        line += &format!("; smallest {} mm finished", mm(smallest));
    }
    if let Some(smallest) = h.smallest_drilled_um {
        line += &format!(", {} mm drilled", mm(smallest));
    }
    line
}

/// What a file is for, in words: "copper 1 (top)".
#[must_use]
pub fn role(file: &crate::wire::report::File) -> String {
    let mut words = file.role.replace('-', " ");
    if let Some(layer) = file.layer {
        words += &format!(" {layer}");
    }
    if let Some(side) = &file.side {
        words += &format!(" ({side})");
    }
    if let Some([from, to]) = file.span {
        words += &format!(" {from}–{to}");
    }
    words
}

/// The name of a kind of fact for people: "ring drawn" for `ring-drawn`.
#[must_use]
pub fn fact(word: &str) -> String {
    word.replace('-', " ")
}

/// Severity as a sentence fragment.
#[must_use]
pub fn severity(word: &str) -> &'static str {
    match word {
        "stop" => "cannot go on",
        "ask" => "needs an answer",
        "note" => "for your knowledge",
        "fix" => "done under a standing permission",
        _ => "",
    }
}

/// Sum of a query's severities, in words: "1 stop, 2 ask".
#[must_use]
pub fn verdict(v: &crate::wire::report::Verdict) -> String {
    format!("{} stop, {} ask, {} note, {} fix", v.stop, v.ask, v.note, v.fix)
}

/// What settles a query, in a sentence.
#[must_use]
pub fn settled_by(by: &crate::wire::report::SettledBy) -> String {
    let until = by.until.as_ref().map_or_else(String::new, |u| format!(", until {u}"));
    let floor = by.floor_um.map_or_else(String::new, |f| format!(" Down to {} mm.", mm(f)));
    let picture = by.picture.as_ref().map_or_else(String::new, |p| format!(" Picture: {p}."));
    let what = if by.kind == "departure" { "Accepted departure" } else { "Standing permission" };
    format!("{what} {} of {}, {}{until}: {}.{floor}{picture}", by.id, by.by, by.on, by.text.trim_end_matches('.'))
}

/// What became of a permission or a departure, in a sentence.
#[must_use]
pub fn agreement(a: &crate::wire::report::Agreement) -> String {
    let scope = if a.scope.is_empty() { String::new() } else { format!(" ({})", a.scope) };
    let mut line = format!("{} {}{scope}: settles {}.", a.kind, a.id, count(a.places as usize, "place"));
    if !a.not.is_empty() {
        line += &format!(" Not settled: {}.", a.not.join("; "));
    }
    line
}

/// Places that look alike, in a sentence; empty where they all look the same or nothing is known.
#[must_use]
pub fn surroundings(query: &Query) -> String {
    let all: usize = query.surroundings.iter().map(|s| s.places.len()).sum();
    match query.surroundings.as_slice() {
        [] => String::new(),
        [one] if all == query.places.len() && one.places.len() > 1 => "All places look alike.".to_owned(),
        [first, rest @ ..] if first.places.len() > 1 => {
            let others = if rest.is_empty() { String::new() } else { format!(", the others in {}", ways(rest.len())) };
            format!("{} look like place {}{others}.", count(first.places.len(), "place"), first.places[0])
        }
        _ => String::new(),
    }
}

fn ways(n: usize) -> String {
    if n == 1 { "one other way".to_owned() } else { format!("{n} other ways") }
}

/// Layers of a query joined, or "board".
#[must_use]
pub fn layers(query: &Query) -> String {
    if query.layers.is_empty() { "board".to_owned() } else { query.layers.join(", ") }
}
