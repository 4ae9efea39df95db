//! The order of the copper layers.

use std::collections::BTreeMap;

use landgap_parser::Image;

use super::guess::{Guess, Number};
use super::job::Job;
use crate::board::{Board, CopperLayer, Doubt, KnownBy, Role, Side, Source};

/// What is known of the number of layers from outside the copper files.
pub(super) struct Count {
    /// Stated by the job file.
    pub job: Option<u32>,
    /// The deepest layer a drill file names.
    pub span: Option<u32>,
}

/// One copper file on its way to a number.
struct Copper {
    file: usize,
    side: Option<Side>,
    number: Number,
}

/// Numbers the copper layers from the top; `guesses` stand beside the files.
pub(super) fn order(board: &mut Board, guesses: &[Guess], job: Option<&Job>) {
    let count = Count { job: job.and_then(|j| j.layers), span: deepest_span(board) };
    let mut coppers = coppers(board, guesses);
    let unclear = sides(board, &mut coppers);
    let (top, inner, bottom) = split(coppers);
    if top.is_empty() && inner.is_empty() && count.job.max(count.span).is_none_or(|n| n < 2) && !bottom.is_empty() {
        let placed = BTreeMap::from([(1, bottom.iter().map(|c| c.file).collect())]);
        rivals(board, &placed);
        fill(board, &placed, 1);
        return;
    }
    let (numbered, guessed) = number_inner(inner, bottom.first().and_then(known_number), &count);
    let placed = assemble(&top, numbered, &bottom, &count);
    let total = placed.keys().next_back().copied().unwrap_or(0).max(total(&count, !bottom.is_empty()));
    rivals(board, &placed);
    fill(board, &placed, total);
    missing(board, &placed, total, &count);
    if guessed || unclear {
        order_doubt(board);
    }
}

fn coppers(board: &Board, guesses: &[Guess]) -> Vec<Copper> {
    let files = board.files.iter().zip(&board.images).zip(guesses).enumerate();
    files
        .filter(|(_, ((file, image), _))| file.role == Role::Copper && image.is_some())
        .map(|(i, ((file, _), guess))| Copper { file: i, side: file.side, number: guess.number.clone() })
        .collect()
}

fn deepest_span(board: &Board) -> Option<u32> {
    board.files.iter().filter_map(|f| f.span).map(|s| s.1).max()
}

/// Gives a side to copper that states none; whether that was a guess.
fn sides(board: &mut Board, coppers: &mut [Copper]) -> bool {
    let only = coppers.len() == 1;
    let mut guessed = false;
    for copper in coppers.iter_mut() {
        if copper.side.is_some() {
            continue;
        }
        copper.side = match copper.number {
            Number::FromTop(1) => Some(Side::Top),
            Number::FromTop(_) | Number::Inner(_) | Number::Named(..) => Some(Side::Inner),
            Number::None => None,
        };
        if copper.side.is_none() && only {
            copper.side = Some(Side::Top);
            board
                .assumptions
                .push(format!("{}: the only copper layer, taken as the top", board.files[copper.file].path));
        }
    }
    for copper in coppers.iter_mut().filter(|c| c.side.is_none()) {
        copper.side = Some(Side::Inner);
        copper.number = Number::Named(String::new(), 0);
        guessed = true;
    }
    last_is_bottom(coppers);
    guessed
}

/// Where all layers are numbered and none is called the bottom, the last one is.
fn last_is_bottom(coppers: &mut [Copper]) {
    if coppers.iter().any(|c| c.side == Some(Side::Bottom)) || coppers.len() < 2 {
        return;
    }
    let all_numbered = coppers.iter().all(|c| known_number(c).is_some() || c.side == Some(Side::Top));
    let numbered_top = coppers.iter().any(|c| c.side == Some(Side::Top));
    let absolute = coppers.iter().any(|c| matches!(c.number, Number::FromTop(_)));
    let last = coppers.iter_mut().max_by_key(|c| known_number(c)).filter(|_| all_numbered && numbered_top && absolute);
    if let Some(last) = last {
        last.side = Some(Side::Bottom);
    }
}

fn known_number(copper: &Copper) -> Option<u32> {
    if let Number::FromTop(n) = copper.number { Some(n) } else { None }
}

fn split(coppers: Vec<Copper>) -> (Vec<Copper>, Vec<Copper>, Vec<Copper>) {
    let (top, rest): (Vec<_>, Vec<_>) = coppers.into_iter().partition(|c| c.side == Some(Side::Top));
    let (bottom, inner) = rest.into_iter().partition(|c| c.side == Some(Side::Bottom));
    (top, inner, bottom)
}

fn total(count: &Count, has_bottom: bool) -> u32 {
    let least = if has_bottom { 2 } else { 0 };
    count.job.or(count.span).unwrap_or(least).max(least)
}

/// Numbers for the inner layers, by file; whether the order had to be guessed.
fn number_inner(inner: Vec<Copper>, bottom: Option<u32>, count: &Count) -> (Vec<(u32, usize)>, bool) {
    let from_top: Vec<u32> = inner.iter().filter_map(known_number).collect();
    let counted: Vec<u32> =
        inner.iter().filter_map(|c| if let Number::Inner(n) = c.number { Some(n) } else { None }).collect();
    let layers = bottom.or(count.job).or(count.span);
    // Numerals of inner layers count from 1, unless they run from 2 to the last but one of all layers.
    let shift = u32::from(!runs_from_two(&counted, &from_top, layers, inner.len()));
    let mut out = Vec::new();
    let mut named = Vec::new();
    for copper in inner {
        match copper.number {
            Number::FromTop(n) => out.push((n, copper.file)),
            Number::Inner(n) => out.push((n + shift, copper.file)),
            Number::Named(name, numeral) => named.push((name, numeral, copper.file)),
            Number::None => named.push((String::new(), 0, copper.file)),
        }
    }
    let guessed = named.len() > 1 || (named.len() == 1 && !out.is_empty() && layers.is_none());
    let taken: Vec<u32> = out.iter().map(|o| o.0).collect();
    let mut free = (2..).filter(|n| !taken.contains(n));
    out.extend(stack(named).into_iter().filter_map(|file| free.next().map(|n| (n, file))));
    (out, guessed)
}

fn runs_from_two(counted: &[u32], from_top: &[u32], layers: Option<u32>, inner: usize) -> bool {
    let (Some(&least), Some(&most)) = (counted.iter().min(), counted.iter().max()) else { return false };
    let all_counted = counted.len() == inner && from_top.is_empty();
    let known = layers.is_none_or(|n| most < n);
    least == 2 && all_counted && most as usize == inner + 1 && known
}

/// Named inner layers in the order of a usual stack: signals in pairs, grounds and power planes between
/// the pairs, a ground first and last (common practice, no source).
fn stack(mut named: Vec<(String, u32, usize)>) -> Vec<usize> {
    named.sort();
    let of = |kind: &str| -> Vec<usize> { named.iter().filter(|n| n.0 == kind).map(|n| n.2).collect() };
    let (mut grounds, powers, signals, other) = (of("ground"), of("power"), of("signal"), of(""));
    let last = if grounds.len() > 1 && !signals.is_empty() { grounds.pop() } else { None };
    let pairs: Vec<&[usize]> = signals.chunks(2).collect();
    let mut out = Vec::new();
    let mut grounds = grounds.into_iter();
    out.extend(grounds.next());
    let middle = pairs.len() / 2;
    for (i, pair) in pairs.iter().enumerate() {
        if i > 0 {
            out.extend(grounds.next());
        }
        if i == middle {
            out.extend(&powers);
        }
        out.extend(*pair);
    }
    if pairs.is_empty() {
        out.extend(grounds.by_ref());
        out.extend(&powers);
    }
    out.extend(grounds);
    out.extend(last);
    out.extend(other);
    out
}

/// All copper files by number.
fn assemble(top: &[Copper], inner: Vec<(u32, usize)>, bottom: &[Copper], count: &Count) -> BTreeMap<u32, Vec<usize>> {
    let mut placed: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for copper in top {
        placed.entry(1).or_default().push(copper.file);
    }
    let deepest = inner.iter().map(|i| i.0).max().unwrap_or(1);
    for (number, file) in inner {
        placed.entry(number).or_default().push(file);
    }
    for copper in bottom {
        let number = known_number(copper).unwrap_or_else(|| (deepest + 1).max(total(count, true)));
        placed.entry(number).or_default().push(copper.file);
    }
    placed
}

fn rivals(board: &mut Board, placed: &BTreeMap<u32, Vec<usize>>) {
    for (number, files) in placed.iter().filter(|(_, f)| f.len() > 1) {
        if draw_one_image(board, *number, files) {
            continue;
        }
        let paths: Vec<String> = files.iter().map(|&f| board.files[f].path.clone()).collect();
        board.doubts.push(Doubt {
            rule: "rival-sets",
            seen: format!("{} files are given for copper {number}", files.len()),
            reasons: files
                .iter()
                .map(|&f| format!("{}: {}", board.files[f].path, board.files[f].evidence.join("; ")))
                .collect(),
            sources: files.iter().map(|&f| Source { file: f as u32, line: 0 }).collect(),
            places: Vec::new(),
            readings: paths.into_iter().map(|p| format!("{p} is copper {number}")).collect(),
        });
    }
}

/// Whether all files of a layer draw the same image; then any of them will do, and it is only told.
fn draw_one_image(board: &mut Board, number: u32, files: &[usize]) -> bool {
    let image = |f: &usize| board.images[*f].as_ref();
    let same = files
        .windows(2)
        .all(|pair| image(&pair[0]).zip(image(&pair[1])).is_some_and(|(a, b)| super::same_image::is_same(a, b)));
    if same {
        let paths = files.iter().map(|&f| board.files[f].path.as_str()).collect::<Vec<_>>().join(", ");
        board.assumptions.push(format!("{paths}: all draw the same image, that of copper {number}"));
    }
    same
}

/// Writes numbers and sides into the board.
fn fill(board: &mut Board, placed: &BTreeMap<u32, Vec<usize>>, total: u32) {
    for (&number, files) in placed {
        let side = match number {
            // The one layer of a single-sided board keeps the side its name gives.
            1 if total == 1 => files.first().and_then(|&f| board.files[f].side).unwrap_or(Side::Top),
            1 => Side::Top,
            n if n == total => Side::Bottom,
            _ => Side::Inner,
        };
        for &file in files {
            board.files[file].layer = Some(number);
            board.files[file].side = Some(side);
        }
        let best =
            files.iter().max_by_key(|&&f| (board.files[f].confidence, objects(&board.images[f]), std::cmp::Reverse(f)));
        let Some(&file) = best else { continue };
        let place = board.copper.len() as u32 + 1;
        if place != number {
            let path = &board.files[file].path;
            board.assumptions.push(format!(
                "{path} is copper {number} of the data; with layers missing above it, it is handled as copper {place}"
            ));
        }
        board.copper.push(CopperLayer { number: place, side, file: file as u32, negative: false });
    }
}

fn objects(image: &Option<Image>) -> usize {
    image.as_ref().map_or(0, |i| i.objects.len())
}

fn missing(board: &mut Board, placed: &BTreeMap<u32, Vec<usize>>, total: u32, count: &Count) {
    let gone: Vec<u32> = (1..=total).filter(|n| !placed.contains_key(n)).collect();
    if placed.is_empty() {
        return;
    }
    if gone.is_empty() {
        odd(board, total, count);
        return;
    }
    let mut reasons = vec![format!("copper files are there for layers {}", list(placed.keys().copied()))];
    reasons.extend(count.job.map(|n| format!("the job file states {n} copper layers")));
    reasons.extend(count.span.map(|n| format!("a drill file goes down to layer {n}")));
    board.doubts.push(Doubt {
        rule: "missing-layer",
        seen: format!("copper {} of {total} is not in the set", list(gone.iter().copied())),
        reasons,
        sources: board.copper.iter().map(|c| Source { file: c.file, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec!["the missing layer is sent".to_owned(), format!("the board has {} copper layers", placed.len())],
    });
}

/// Copper layers come in pairs; an odd number above one that nothing states is asked about.
fn odd(board: &mut Board, total: u32, count: &Count) {
    if total < 3 || total.is_multiple_of(2) || count.job == Some(total) {
        return;
    }
    board.doubts.push(Doubt {
        rule: "missing-layer",
        seen: format!("the set holds {total} copper layers, an odd number"),
        reasons: vec![
            "laminate carries copper on both sides, so that layers come in pairs (common practice)".to_owned(),
        ],
        sources: board.copper.iter().map(|c| Source { file: c.file, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec!["the missing layer is sent".to_owned(), format!("the board has {total} copper layers")],
    });
}

pub(super) fn list(numbers: impl Iterator<Item = u32>) -> String {
    numbers.map(|n| n.to_string()).collect::<Vec<_>>().join(", ")
}

fn order_doubt(board: &mut Board) {
    let name = |c: &CopperLayer| format!("{} {}", c.number, board.files[c.file as usize].path);
    let reading = board.copper.iter().map(name).collect::<Vec<_>>().join(", ");
    let inner =
        board.copper.iter().filter(|c| c.side == Side::Inner && board.files[c.file as usize].known_by >= KnownBy::Name);
    let sources = inner.map(|c| Source { file: c.file, line: 0 }).collect();
    board.doubts.push(Doubt {
        rule: "unclear-layer-order",
        seen: "neither attributes nor names give the order of the inner layers".to_owned(),
        reasons: vec![
            "layers are named but not numbered".to_owned(),
            "the order shown follows a usual stack: signals in pairs, planes between them (common practice, no source)"
                .to_owned(),
        ],
        sources,
        places: Vec::new(),
        readings: vec![reading, "another order, to be stated".to_owned()],
    });
}
