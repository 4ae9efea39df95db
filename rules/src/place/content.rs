//! What a file is by what it draws, where nothing else says it.
//!
//! All layers of the set are drawn on one coarse grid and told apart by how they stand to the holes
//! and to each other: copper rings the holes and joins them, a mask opens over lands, paste lies
//! within the mask and not on holes, a legend keeps off the mask's openings and reads, the edge
//! goes round everything.

use landgap_parser::Image;
use landgap_parser::drill::HoleImage;

use super::guess::{Guess, Number};
use super::portrait::{self, Portrait};
use super::{contour, drawn_holes, extent, legends, sides};
use crate::board::{Board, Doubt, KnownBy, Role, Side, Source};

/// Files with more objects than this are not tried as outlines.
const OUTLINE_OBJECTS: usize = 20_000;
/// Holes needed before their landing says anything.
const FEW_HOLES: usize = 4;
/// Readings by content at least this sure are told; the others are asked about.
pub(super) const SURE: u8 = 60;

/// What a file comes to, and what else it may be.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub role: Role,
    pub side: Option<Side>,
    pub confidence: u8,
    pub evidence: String,
    pub runner_up: Option<String>,
    /// Place among the inner layers, the fullest first.
    pub rank: u32,
}

impl Found {
    pub fn new(role: Role, confidence: u8, evidence: impl Into<String>) -> Self {
        Self { role, side: None, confidence, evidence: evidence.into(), runner_up: None, rank: 0 }
    }

    pub fn or(mut self, runner_up: &str) -> Self {
        self.runner_up = Some(runner_up.to_owned());
        self
    }
}

/// A layer of the set: its picture and what is known or found of it.
pub(super) struct Layer {
    pub portrait: Portrait,
    /// Known from elsewhere; such layers are what the others are held against.
    pub known: bool,
    pub found: Found,
}

/// Gives unclear artwork a role by its content; doubts name what stays open.
pub(super) fn settle(board: &mut Board, guesses: &mut [Guess], holes: &[Option<HoleImage>]) {
    if !board.files.iter().zip(&board.images).any(|(f, i)| f.role == Role::Unclear && i.is_some()) {
        return;
    }
    let mut bores = portrait::bores(holes);
    if bores.len() < FEW_HOLES {
        bores = portrait::common_lands(board.images.iter().flatten());
    }
    let Some(grid) = portrait::grid(board.images.iter().flatten(), &bores) else {
        return blank(board, guesses);
    };
    let files: Vec<usize> = (0..board.files.len()).filter(|i| wanted(board, *i)).collect();
    let drawn = crate::measure::in_parallel(&files, |i| Portrait::of(*i, board.images[*i].as_ref()?, &grid, &bores));
    let mut layers: Vec<Layer> = drawn.into_iter().flatten().map(|p| layer(board, p)).collect();
    tell(board, &mut layers, bores.len());
    let left = |l: &Layer| !l.known && l.found.confidence < SURE && l.portrait.flashes >= FEW_HOLES;
    let whole = !layers.iter().any(|l| left(l) && l.found.role == Role::Drawing);
    let open = sides::settle(board, &mut layers, whole);
    for layer in layers.iter().filter(|l| !l.known) {
        write(board, guesses, layer);
    }
    blank(board, guesses);
    board.doubts.extend(open);
}

/// Layers whose picture says something: those in question, and those they are held against.
fn wanted(board: &Board, file: usize) -> bool {
    let helps = matches!(
        board.files[file].role,
        Role::Copper | Role::Mask | Role::Paste | Role::Legend | Role::Outline | Role::Unclear
    );
    helps && board.images[file].as_ref().is_some_and(|i| !i.objects.is_empty())
}

fn layer(board: &Board, portrait: Portrait) -> Layer {
    let file = &board.files[portrait.file];
    let mut found = Found::new(file.role, file.confidence, "");
    found.side = file.side;
    Layer { known: file.role != Role::Unclear, portrait, found }
}

/// Roles, in the order in which one is told by the other.
fn tell(board: &Board, layers: &mut [Layer], holes: usize) {
    each(layers, |l, _| nothing(&l.portrait));
    if holes >= FEW_HOLES {
        each(layers, |l, all| copper(&l.portrait, all));
    }
    each(layers, |l, all| openings(&l.portrait, all));
    paste_or_mask(layers);
    at_most_two_masks(layers);
    outlines(board, layers);
    if of(layers, Role::Copper).count() > 0 {
        each(layers, |l, all| legends::read(&l.portrait, all));
        legends::one_a_side(layers);
    }
    each(layers, |l, all| Some(rest(&l.portrait, all)));
}

/// Asks for a reading of every layer that has none yet.
fn each(layers: &mut [Layer], read: impl Fn(&Layer, &[Layer]) -> Option<Found>) {
    let open = |l: &Layer| !l.known && l.found.role == Role::Unclear;
    let readings: Vec<Option<Found>> = layers.iter().map(|l| open(l).then(|| read(l, layers)).flatten()).collect();
    for (layer, found) in layers.iter_mut().zip(readings) {
        if let Some(found) = found {
            layer.found = found;
        }
    }
}

fn nothing(portrait: &Portrait) -> Option<Found> {
    let clear = portrait.clears == portrait.flashes + portrait.strokes + portrait.areas;
    clear.then(|| Found::new(Role::Other, 90, "it draws nothing dark"))
}

fn copper(p: &Portrait, all: &[Layer]) -> Option<Found> {
    let area = p.raster.grid.width * p.raster.grid.height;
    // Flashes alone join nothing: openings that overlap are no tracks.
    let signal = p.landed >= 0.6 && p.joined >= 0.03 && p.strokes + p.areas > 0;
    let plane = p.dark * 4 >= area && p.landed + p.free >= 0.9 && p.landed >= 0.02 && p.joined * 2.0 >= p.landed;
    if !(signal || plane) {
        return None;
    }
    if beyond(p) || marks_holes(p, all) {
        let text = "it marks the holes beside text, and has no lands of its own";
        return Some(Found::new(Role::Drawing, 50, text).or("copper"));
    }
    let evidence = format!("it rings the holes and joins them: {}", p.words());
    Some(Found::new(Role::Copper, if p.landed >= 0.8 { 75 } else { 65 }, evidence).or("mask"))
}

/// Whether much of a layer lies beyond what the layers with lands take up.
pub(super) fn beyond(p: &Portrait) -> bool {
    p.beyond > 0.35
}

/// Whether a layer that rings the holes is a drawing of them: it has text and no land of its own.
fn marks_holes(p: &Portrait, all: &[Layer]) -> bool {
    let others = all.iter().filter(|l| l.portrait.landed >= 0.6 && l.portrait.lone.count() > FEW_HOLES).count();
    p.reading.characters >= 20 && p.flashes_alone * 20 <= p.flashes && others >= 2
}

pub(super) fn of(all: &[Layer], role: Role) -> impl Iterator<Item = &Portrait> + Clone {
    all.iter().filter(move |l| l.found.role == role).map(|l| &l.portrait)
}

fn most(values: impl Iterator<Item = f64>) -> f64 {
    values.fold(0.0, f64::max)
}

/// Openings over lands: a mask or paste.
fn openings(p: &Portrait, all: &[Layer]) -> Option<Found> {
    let on_copper = most(of(all, Role::Copper).map(|c| p.inside(c)));
    let on_lands = most(of(all, Role::Copper).map(|c| p.lands_on(c)));
    let filled = p.flashes + p.areas > 0;
    // Openings over text and areas besides lands: they keep to the copper and open over holes.
    let wide = on_copper >= 0.8 && p.landed >= 0.1 && p.landed + p.free >= 0.95;
    let fits = if wide {
        true
    } else if filled {
        (on_lands >= 0.7 || on_copper >= 0.6) && on_lands >= 0.3
    } else {
        on_lands >= 0.9 && on_copper >= 0.9
    };
    fits.then(|| {
        let text = format!(
            "it opens over lands: {:.0} % of its area lies on copper, {:.0} % of its openings are centred on lands",
            on_copper * 100.0,
            on_lands * 100.0
        );
        Found::new(Role::Mask, 70, text).or("paste")
    })
}

/// Of the layers that open over lands, those within another and not over holes are paste.
fn paste_or_mask(layers: &mut [Layer]) {
    let pastes: Vec<(usize, String)> = (0..layers.len())
        .filter(|&i| !layers[i].known && layers[i].found.role == Role::Mask)
        .filter_map(|i| Some((i, within_mask(i, layers)?)))
        .collect();
    for (i, evidence) in pastes {
        layers[i].found = Found::new(Role::Paste, 70, evidence).or("mask");
    }
}

fn within_mask(i: usize, layers: &[Layer]) -> Option<String> {
    let p = &layers[i].portrait;
    let masks =
        layers.iter().enumerate().filter(|(j, l)| *j != i && l.found.role == Role::Mask).map(|(_, l)| &l.portrait);
    let around = |m: &&Portrait| {
        let bare = if m.landed >= 0.04 { p.landed <= m.landed * 0.4 } else { p.dark * 20 <= m.dark * 19 };
        p.inside(m) >= 0.9 && p.dark < m.dark && bare
    };
    let mask = masks.filter(around).max_by(|a, b| p.inside(a).total_cmp(&p.inside(b)))?;
    Some(format!(
        "{:.0} % of it lies within the openings of a mask, and it covers {:.0} % of the holes where the mask opens {:.0} %",
        p.inside(mask) * 100.0,
        p.landed * 100.0,
        mask.landed * 100.0
    ))
}

/// There are two masks at most: those with most openings beside holes. What is left is asked about,
/// and so are the masks themselves where they are not clearly the better ones.
fn at_most_two_masks(layers: &mut [Layer]) {
    let mut masks: Vec<usize> = (0..layers.len()).filter(|&i| layers[i].found.role == Role::Mask).collect();
    masks.sort_by_key(|&i| (!layers[i].known, std::cmp::Reverse(layers[i].portrait.flashes_alone), i));
    let next = masks.get(2).map_or(0, |i| layers[*i].portrait.flashes_alone * 2 + FEW_HOLES);
    for (place, i) in masks.iter().copied().enumerate().filter(|(_, i)| !layers[*i].known).collect::<Vec<_>>() {
        if place >= 2 {
            let text = "it draws round the holes, but two other layers make better masks";
            layers[i].found = Found::new(Role::Drawing, 45, text).or("a negative plane");
        } else if masks.len() > 2 && layers[i].portrait.flashes_alone < next {
            layers[i].found.confidence = 50;
        }
    }
}

/// Closed lines round all copper; where several files draw different ones, all stay in question.
fn outlines(board: &Board, layers: &mut [Layer]) {
    let known = layers.iter().any(|l| l.known && l.found.role == Role::Outline);
    let images = of(layers, Role::Copper).filter_map(|p| board.images[p.file].as_ref());
    let need = extent::of_points(images.filter_map(extent::of_image).flat_map(|b| [b.low, b.high]));
    let lines: Vec<(usize, String, i128)> = (0..layers.len())
        .filter(|&i| !known && layers[i].found.role == Role::Unclear)
        .filter_map(|i| {
            let (words, area) = outline(board.images[layers[i].portrait.file].as_ref()?, need)?;
            Some((i, words, area))
        })
        .collect();
    let Some(first) = lines.iter().map(|l| l.2).min() else { return };
    for (i, words, area) in lines {
        let alike = (area - first).abs() as f64 <= first as f64 * 1e-3;
        let found = if alike { Found::new(Role::Outline, 75, words) } else { Found::new(Role::Outline, 50, words) };
        layers[i].found = found.or("a drawing");
    }
}

/// What makes an image an outline, with the doubled area of its outer line.
fn outline(image: &Image, need: Option<extent::Extent>) -> Option<(String, i128)> {
    use landgap_parser::Shape;
    let flashes = image.objects.iter().any(|o| matches!(o.shape, Shape::Flash { .. }));
    if flashes || image.objects.is_empty() || image.objects.len() > OUTLINE_OBJECTS {
        return None;
    }
    let joined = contour::of_image(image);
    let line = joined.contours.first()?;
    let outer = extent::of_contour(line)?;
    let all = extent::of_image(image)?;
    let around = outer.grown(500_000);
    let bounds_all = around.holds(all.low) && around.holds(all.high);
    let goes_round = need.is_none_or(|n| around.holds(n.low) && around.holds(n.high) && outer.width() <= n.width() * 2);
    let text =
        format!("it draws {} closed line(s), the outer one {}, round all copper", joined.contours.len(), outer.words());
    (bounds_all && goes_round && joined.open.len() <= 2).then(|| (text, contour::doubled_area(line).abs()))
}

/// What is left draws lines for people, or is asked about.
fn rest(p: &Portrait, all: &[Layer]) -> Found {
    let lines = p.flashes == 0 && p.landed <= 0.05;
    let legends = of(all, Role::Legend).count();
    if beyond(p) && p.flashes == 0 && p.landed < 0.3 {
        return Found::new(Role::Drawing, 65, "it draws far beyond the board and does not ring the holes").or("legend");
    }
    if lines && legends >= 2 {
        return Found::new(Role::Drawing, 62, "it draws lines that neither ring holes nor open over lands")
            .or("legend");
    }
    Found::new(Role::Drawing, 40, format!("it fits no kind of layer well: {}", p.words())).or("legend")
}

fn write(board: &mut Board, guesses: &mut [Guess], layer: &Layer) {
    let (i, found) = (layer.portrait.file, &layer.found);
    let mut guess = Guess::new(found.role, found.side, KnownBy::Content, found.confidence, found.evidence.clone());
    if found.role == Role::Copper && found.side == Some(Side::Inner) {
        guess.number = Number::Named(String::new(), found.rank);
    }
    let file = &mut board.files[i];
    file.role = found.role;
    file.side = found.side;
    file.known_by = KnownBy::Content;
    file.confidence = found.confidence;
    file.evidence.push(found.evidence.clone());
    file.runner_up.clone_from(&found.runner_up);
    if found.confidence < SURE {
        let doubt = doubt(&file.path, i, &guess, found.runner_up.as_deref());
        board.doubts.push(doubt);
    } else {
        let text = format!("{}: taken as {}, by its content alone: {}", file.path, guess.words(), found.evidence);
        board.assumptions.push(text);
    }
    guesses[i] = guess;
}

/// Files that draw nothing are told so, whatever they were meant for.
fn blank(board: &mut Board, guesses: &mut [Guess]) {
    for (i, own) in guesses.iter_mut().enumerate() {
        let empty = board.images[i].as_ref().is_some_and(|image| image.objects.is_empty());
        if board.files[i].role == Role::Unclear && empty {
            let guess = Guess::new(Role::Other, None, KnownBy::Content, 90, "it draws nothing");
            let file = &mut board.files[i];
            (file.role, file.known_by, file.confidence) = (Role::Other, KnownBy::Content, 90);
            file.evidence.push(guess.evidence.clone());
            *own = guess;
        } else if board.files[i].role == Role::Unclear && board.images[i].is_some() {
            let doubt = doubt(&board.files[i].path, i, own, None);
            board.doubts.push(doubt);
        }
    }
}

fn doubt(path: &str, file: usize, guess: &Guess, runner_up: Option<&str>) -> Doubt {
    let known = guess.role != Role::Unclear;
    let readings = known.then(|| format!("{path} is {}", guess.words())).into_iter();
    let second = runner_up.map(|r| format!("{path} is {r}"));
    Doubt {
        rule: "unclear-role",
        seen: format!("neither attributes nor the name of {path} say what it is"),
        reasons: known.then(|| guess.evidence.clone()).into_iter().collect(),
        sources: vec![Source { file: file as u32, line: 0 }],
        places: Vec::new(),
        readings: readings.chain(second).chain([format!("{path} is not needed for the board")]).collect(),
    }
}

/// Finds files that are drilled holes drawn as artwork, before the holes are read: nothing but round
/// flashes, each within a larger one at the same centre on at least two other layers.
pub(super) fn drawn_drills(board: &mut Board, guesses: &mut [Guess]) {
    if board.files.iter().any(|f| super::guess::is_holes(f.role)) {
        return;
    }
    let found: Vec<usize> = (0..board.files.len()).filter(|&i| is_drawn_drill(board, i)).collect();
    for i in found {
        let text = "it draws nothing but round flashes, each inside a larger one of two other layers";
        let guess = Guess::new(Role::Holes, None, KnownBy::Content, 65, text);
        let file = &mut board.files[i];
        (file.role, file.known_by, file.confidence) = (Role::Holes, KnownBy::Content, 65);
        file.evidence.push(text.to_owned());
        guesses[i] = guess;
    }
}

fn is_drawn_drill(board: &Board, i: usize) -> bool {
    let Some(image) = board.images[i].as_ref().filter(|_| board.files[i].role == Role::Unclear) else { return false };
    let round = drawn_holes::only_round(image);
    if round.len() < FEW_HOLES {
        return false;
    }
    let others = board.images.iter().enumerate().filter(|(j, _)| *j != i).filter_map(|(_, o)| o.as_ref());
    others.filter(|other| drawn_holes::within_larger(&round, other) >= 0.8).count() >= 2
}
