//! The board's edge: from its own file, else offered from another layer.

use landgap_parser::{Contour, Nm, Point};

use super::contour::{self, Joined};
use super::extent::{self, Extent};
use super::{thick, unit};
use crate::board::{Board, Doubt, KnownBy, Outline, OutlineState, Role, Source};

/// Layers with more objects than this are not searched for an outline.
const SEARCHED: usize = 300_000;

/// A file that may hold the board's edge.
pub(super) struct Candidate {
    pub file: usize,
    pub joined: Joined,
    pub box_: Option<Extent>,
    step: Nm,
}

/// Places the outline; `copper` is the box of the copper.
pub(super) fn place(board: &mut Board, copper: Option<Extent>) {
    let mut found = candidates(board);
    let rank = |c: &Candidate| {
        let file = &board.files[c.file];
        (file.known_by, std::cmp::Reverse(file.confidence), !is_closed(&c.joined), c.file)
    };
    found.sort_by_key(rank);
    if found.is_empty() {
        assume(board, copper);
        return;
    }
    let best = found.remove(0);
    let (same, rivals): (Vec<_>, Vec<_>) = found.into_iter().partition(|c| alike(&best, c));
    let (arrays, rivals): (Vec<_>, Vec<_>) =
        rivals.into_iter().partition(|c| unit::array_of(&best, c).or_else(|| unit::array_of(c, &best)).is_some());
    rival_doubt(board, &best, &rivals);
    let (best, same) = match arrays.into_iter().next() {
        Some(other) => (unit::or_array(board, best, other, copper), Vec::new()),
        None => (best, same),
    };
    let mut files = vec![best.file as u32];
    files.extend(same.iter().map(|c| c.file as u32));
    take(board, best, files);
}

fn candidates(board: &Board) -> Vec<Candidate> {
    let files = board.files.iter().zip(&board.images).enumerate();
    files
        .filter(|(_, (file, _))| file.role == Role::Outline)
        .filter_map(|(i, (_, image))| {
            let image = image.as_ref()?;
            let joined = contour::of_image(image);
            let holds = !joined.contours.is_empty() || !joined.open.is_empty();
            holds.then(|| Candidate { file: i, box_: extent_of(&joined), joined, step: image.step })
        })
        .collect()
}

fn extent_of(joined: &Joined) -> Option<Extent> {
    let closed = joined.contours.iter().flat_map(crate::geometry::flatten::contour);
    extent::of_points(closed.chain(joined.open.iter().flat_map(|o| [o.0, o.1])))
}

/// Whether the strokes bound a board: a contour goes round all that is left open.
fn is_closed(joined: &Joined) -> bool {
    let Some(outer) = joined.contours.first().and_then(extent::of_contour) else { return false };
    let outer = outer.grown(contour::BRIDGE);
    joined.open.iter().all(|(a, b)| outer.holds(*a) && outer.holds(*b))
}

/// Two files with the same edge.
fn alike(a: &Candidate, b: &Candidate) -> bool {
    let near = |p: Point, q: Point| (p.x - q.x).abs() <= contour::BRIDGE && (p.y - q.y).abs() <= contour::BRIDGE;
    let boxes = a.box_.zip(b.box_).is_some_and(|(a, b)| near(a.low, b.low) && near(a.high, b.high));
    boxes
        && a.joined.contours.len() == b.joined.contours.len()
        && a.joined.contours.iter().zip(&b.joined.contours).all(|(a, b)| same_area(a, b))
}

pub(super) fn same_area(a: &Contour, b: &Contour) -> bool {
    let (a, b) = (contour::doubled_area(a).abs() as f64, contour::doubled_area(b).abs() as f64);
    (a - b).abs() <= a.max(b) * 1e-3
}

pub(super) fn size(box_: Option<Extent>) -> String {
    box_.map_or_else(|| "nothing".to_owned(), |e| e.words())
}

fn rival_doubt(board: &mut Board, best: &Candidate, rivals: &[Candidate]) {
    if rivals.is_empty() {
        return;
    }
    let all = || std::iter::once(best).chain(rivals);
    let reading = |c: &Candidate| {
        format!("{} ({}, {} contours)", board.files[c.file].path, size(c.box_), c.joined.contours.len())
    };
    let readings: Vec<String> = all().map(reading).collect();
    let doubt = Doubt {
        rule: "rival-outlines",
        seen: format!("{} files give an outline, and the outlines differ", readings.len()),
        reasons: all()
            .map(|c| board.files[c.file].evidence.join("; "))
            .zip(&readings)
            .map(|(e, r)| format!("{r}: {e}"))
            .collect(),
        sources: all().map(|c| Source { file: c.file as u32, line: 0 }).collect(),
        places: Vec::new(),
        readings,
    };
    board.doubts.push(doubt);
}

fn take(board: &mut Board, best: Candidate, files: Vec<u32>) {
    let closed = is_closed(&best.joined);
    let path = &board.files[best.file].path;
    let mut evidence =
        vec![format!("{path} gives {} closed contour(s) within {}", best.joined.contours.len(), size(best.box_))];
    if best.joined.bridged > 0 {
        evidence.push(format!("ends up to {:.1} µm apart were joined", best.joined.bridged as f64 / 1e3));
    }
    let pen = thick::pen(board, best.file, best.joined.contours.first());
    if let Some(sizes) = thick::sizes(best.joined.contours.first(), pen) {
        evidence.push(sizes.clone());
        board.assumptions.push(format!("{path}: {sizes}"));
    }
    if closed && !best.joined.open.is_empty() {
        evidence.push(format!(
            "{} line(s) inside the board do not close and are not taken for its edge",
            best.joined.open.len()
        ));
    }
    if files.len() > 1 {
        evidence.push(format!("{} more file(s) give the same contour", files.len() - 1));
    }
    board.outline = Outline {
        state: if closed { OutlineState::Closed } else { OutlineState::Open },
        contours: best.joined.contours,
        files,
        bridged: best.joined.bridged,
        pen,
        open_ends: if closed { Vec::new() } else { open_ends(&best.joined.open) },
        step: best.step,
        evidence,
    };
}

/// Each loose end with the loose end nearest to it on another chain or the other end of its own.
fn open_ends(open: &[(Point, Point)]) -> Vec<(Point, Point)> {
    let mut ends: Vec<Point> = open.iter().flat_map(|o| [o.0, o.1]).collect();
    let mut out = Vec::new();
    // Quadratic in loose ends: a drawing full of them is not asked about end by end.
    ends.truncate(400);
    while ends.len() > 1 {
        let a = ends.remove(0);
        let nearest = ends.iter().enumerate().min_by(|x, y| a.distance(*x.1).total_cmp(&a.distance(*y.1)));
        let Some((at, _)) = nearest else { break };
        out.push((a, ends.remove(at)));
    }
    out
}

/// No outline file: the best contour found elsewhere is offered.
fn assume(board: &mut Board, copper: Option<Extent>) {
    let drawn: Vec<&str> = board.files.iter().filter(|f| f.role == Role::Outline).map(|f| f.path.as_str()).collect();
    let why = match drawn.as_slice() {
        [] => "no file of the set is an outline".to_owned(),
        files => format!("{} draws nothing that could be an edge", files.join(", ")),
    };
    let offers = offers(board, copper);
    let mut readings: Vec<String> = offers.iter().take(3).map(|o| reading(board, o)).collect();
    let mut sources: Vec<Source> = offers.iter().take(3).map(|o| Source { file: o.0 as u32, line: o.1.line }).collect();
    if let Some(box_) = copper {
        readings.push(format!("a rectangle round the copper, {}", box_.words()));
    }
    if let Some(offer) = offers.first() {
        let text = format!("the outline is taken from {}", reading(board, offer));
        board.assumptions.push(text.clone());
        board.outline = assumed(offer, board, text);
    } else {
        sources.extend(board.copper.iter().map(|c| Source { file: c.file, line: 0 }));
    }
    let doubt = Doubt {
        rule: "missing-outline",
        seen: why,
        reasons: board.outline.evidence.clone(),
        sources,
        places: Vec::new(),
        readings,
    };
    board.doubts.push(doubt);
}

type Offer = (usize, Contour, Vec<Contour>, Nm);

fn reading(board: &Board, (file, contour, ..): &Offer) -> String {
    format!("the closed line of {} in {}", size(extent::of_contour(contour)), board.files[*file].path)
}

fn assumed((file, contour, inner, bridged): &Offer, board: &Board, text: String) -> Outline {
    let mut contours = vec![contour.clone()];
    contours.extend(inner.iter().cloned());
    Outline {
        state: OutlineState::Assumed,
        contours,
        files: vec![*file as u32],
        bridged: *bridged,
        pen: thick::pen(board, *file, Some(contour)),
        open_ends: Vec::new(),
        step: board.images[*file].as_ref().map_or(0, |i| i.step),
        evidence: vec![text, "a closed line that goes round all copper and holes; to be confirmed".to_owned()],
    }
}

/// Closed lines on other layers that go round all copper, the tightest first; twins on several layers count once.
fn offers(board: &Board, copper: Option<Extent>) -> Vec<Offer> {
    let Some(need) = copper else { return Vec::new() };
    let mut out: Vec<(i128, Offer)> = Vec::new();
    for (i, (file, image)) in board.files.iter().zip(&board.images).enumerate() {
        let Some(image) = image.as_ref().filter(|image| image.objects.len() <= SEARCHED) else { continue };
        if file.known_by == KnownBy::Told && file.role == Role::Other {
            continue;
        }
        let joined = contour::among_others(image);
        let Some(outer) = joined.contours.iter().rev().find(|c| surrounds(c, need)) else { continue };
        let inner: Vec<Contour> = if own_layer(file.role) { within(&joined.contours, outer) } else { Vec::new() };
        out.push((contour::doubled_area(outer).abs(), (i, outer.clone(), inner, joined.gap_of(outer))));
    }
    rank(out, board)
}

/// Lines that several layers draw alike come first, then the tightest; each once, from the best registered layer.
fn rank(mut found: Vec<(i128, Offer)>, board: &Board) -> Vec<Offer> {
    found.sort_by_key(|(_, offer)| (board.files[offer.0].role, offer.0));
    let mut out: Vec<(usize, i128, Offer)> = Vec::new();
    for (area, offer) in found {
        match out.iter_mut().find(|o| (o.1 - area).abs() as f64 <= area as f64 * 1e-3) {
            Some(twin) => twin.0 += 1,
            None => out.push((1, area, offer)),
        }
    }
    out.sort_by_key(|(count, area, offer)| (std::cmp::Reverse(*count), *area, offer.0));
    out.into_iter().map(|o| o.2).collect()
}

/// Layers drawn for the mechanics, where inner contours are cut-outs.
fn own_layer(role: Role) -> bool {
    role == Role::Unclear
}

fn within(all: &[Contour], outer: &Contour) -> Vec<Contour> {
    let Some(box_) = extent::of_contour(outer) else { return Vec::new() };
    let inside =
        |c: &&Contour| extent::of_contour(c).is_some_and(|e| *c != outer && box_.holds(e.low) && box_.holds(e.high));
    all.iter().filter(inside).cloned().collect()
}

/// Whether a contour goes round the copper without being a drawing's frame.
fn surrounds(contour: &Contour, need: Extent) -> bool {
    // Copper may lie over the edge by a little: a pour drawn up to it, a half-hole's land.
    const OVER: Nm = 500_000;
    let Some(box_) = extent::of_contour(contour) else { return false };
    let around = box_.grown(OVER);
    let goes_round = around.holds(need.low) && around.holds(need.high);
    goes_round && box_.width() <= need.width() * 2 && box_.height() <= need.height() * 2
}
