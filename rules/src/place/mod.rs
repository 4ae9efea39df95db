//! Places files as layers of one board.
//!
//! Every decision carries what it rests on, how sure it is and the next best reading. Evidence is
//! weighed in a fixed order: what the user said, what the file says of itself, the job file, the
//! name, the content.

mod comments;
mod content;
mod contour;
pub mod contradict;
mod decide;
mod digits;
mod doubled;
mod drawn_holes;
mod drills;
mod empty_slots;
mod extensions;
mod extent;
mod family;
mod fit;
mod glyphs;
mod guess;
mod job;
mod lands;
mod layers;
mod legends;
mod listed;
mod load;
mod margins;
mod mirror;
mod missing;
mod names;
mod nodes;
mod oddities;
mod outline;
mod overlap;
mod portrait;
mod raster;
mod register;
mod roles;
mod same_image;
mod sides;
mod stacked;
mod thick;
mod tidy;
mod two_readings;
mod unit;
mod words;

use landgap_parser::drill::HoleImage;
use landgap_parser::kind::Kind;

use crate::board::{Board, Doubt, PlacedFile, Role, Side, SideLayer, Source};
use crate::check::{InputFile, Stage, Told};
use guess::{Guess, is_holes};
use lands::Lands;
use load::Loaded;

/// Numerals beyond this are not layer numbers.
const MOST_LAYERS: u32 = 128;

/// What the user said a file is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToldRole {
    /// Its role.
    pub role: Role,
    /// Its side, if the role has one.
    pub side: Option<Side>,
    /// Its copper layer, for copper.
    pub layer: Option<u32>,
    /// For copper: whether what it draws is free of copper; `None` where the file or its content is to say.
    pub negative: Option<bool>,
}

/// Places a set of files as one board.
#[must_use]
pub fn place(files: &[InputFile], told: &Told, limits: &landgap_parser::Limits, progress: &dyn Fn(Stage)) -> Board {
    let mut loaded = load::all(files, limits, progress);
    progress(Stage::Place);
    loaded.iter_mut().for_each(|l| decide::tell_polarity(l, told));
    let mut board = Board::default();
    let jobs = job::all(&loaded, limits);
    let job = job::first(&jobs);
    board.edge_plating = job.and_then(|j| j.data.specifications.edge_plating.as_ref()).map(|said| said.value);
    let (mut guesses, statements) = decide(&loaded, told, job, &mut board);
    board.images = loaded.iter_mut().map(|l| l.image.take()).collect();
    board.netlists = loaded.iter_mut().zip(0..).filter_map(|(l, file)| Some((file, l.netlist.take()?))).collect();
    content::drawn_drills(&mut board, &mut guesses);
    let images = decode(&loaded, &mut board, limits);
    content::settle(&mut board, &mut guesses, &images);
    empty_slots::set_apart(&mut board, job);
    layers::order(&mut board, &guesses, job);
    list_sides(&mut board);
    drills::holes(&images, &mut board);
    doubled::check(&mut board);
    stacked::check(&mut board, &statements);
    let spread = mirror::lands_box(&board);
    outline::place(&mut board, spread);
    drills::unsized_tools(&images, &mut board);
    missing::unreadable_files(&loaded, &mut board);
    two_readings::doubts(&mut board);
    missing::drill(&loaded, &mut board);
    missing::mask(&mut board);
    missing::copper(&mut board);
    missing::unplated(&mut board);
    listed::check(&loaded, job, &mut board);
    let box_ = mirror::box_of(&board);
    mirror::check(&mut board, box_);
    oddities::look(&mut board);
    contradict::check(&loaded, &jobs, &mut board);
    board
}

/// What is said of the places of copper files, beside the files.
type Statements = Vec<Vec<stacked::Statement>>;

/// Decides on every file by what is said of it.
fn decide(loaded: &[Loaded<'_>], told: &Told, job: Option<&job::Job>, board: &mut Board) -> (Vec<Guess>, Statements) {
    let data = loaded.iter().filter(|l| matches!(l.kind, Kind::Artwork | Kind::Drill));
    let skip = names::common_start(&data.map(|l| l.file.path.as_str()).collect::<Vec<_>>());
    let mut guesses = Vec::with_capacity(loaded.len());
    let mut statements = Vec::with_capacity(loaded.len());
    for (i, file) in loaded.iter().enumerate() {
        let decision = decide::on(file, told.get(&file.file.path), job, skip);
        if let Some((strong, weak)) = &decision.clash {
            board.doubts.push(decide::doubt(&file.file.path, i, strong, weak));
        }
        board.files.push(placed(file, &decision));
        statements.push(decision.statements);
        guesses.push(decision.guess);
    }
    family::set_apart(loaded, board, &mut guesses);
    (guesses, statements)
}

fn placed(file: &Loaded<'_>, decision: &decide::Decision) -> PlacedFile {
    let guess = &decision.guess;
    PlacedFile {
        path: file.file.path.clone(),
        bytes: file.file.bytes.len() as u64,
        kind: file.kind,
        role: guess.role,
        side: guess.side,
        layer: None,
        span: guess.span.or_else(|| file.program.as_ref().and_then(|p| p.statements.span)),
        known_by: guess.known_by,
        confidence: guess.confidence,
        evidence: vec![guess.evidence.clone()],
        runner_up: decision.runner_up.as_ref().map(|g| format!("{} ({})", g.words(), g.evidence)),
        remarks: file.remarks.clone(),
        format: None,
    }
}

/// Settles the numbers of the drill programs, and reads holes drawn as artwork.
fn decode(loaded: &[Loaded<'_>], board: &mut Board, limits: &landgap_parser::Limits) -> Vec<Option<HoleImage>> {
    let images = || board.files.iter().zip(&board.images).filter_map(|(f, i)| Some((f, i.as_ref()?)));
    let outer = images().filter(|(f, _)| f.role == Role::Copper && f.side != Some(Side::Inner)).map(|(_, i)| i);
    let mut lands = Lands::of(outer);
    if lands.count() == 0 {
        lands = Lands::of(images().filter(|(f, _)| matches!(f.role, Role::Copper | Role::Unclear)).map(|(_, i)| i));
    }
    let edge = images().filter(|(f, _)| f.role == Role::Outline).filter_map(|(_, i)| extent::of_image(i)).next();
    let copper = images().filter(|(f, _)| f.role == Role::Copper).filter_map(|(_, i)| extent::of_image(i));
    let bounds = edge.or_else(|| extent::of_points(copper.flat_map(|e| [e.low, e.high])));
    let ground = fit::Ground { lands: &lands, bounds, limits };
    let mut out = drills::decode(loaded, board, &ground);
    for (i, image) in out.iter_mut().enumerate().filter(|(_, o)| o.is_none()) {
        let Some(drawn) = board.images[i].as_ref().filter(|_| is_holes(board.files[i].role)) else { continue };
        let (holes, areas) = drawn_holes::of(drawn);
        *image = Some(holes);
        board.files[i].format = Some("drawn as artwork".to_owned());
        if !areas.is_empty() {
            let doubt = area_doubt(i, &board.files[i].path, areas);
            board.doubts.push(doubt);
        }
    }
    out
}

fn area_doubt(file: usize, path: &str, areas: Vec<(landgap_parser::Point, u32)>) -> Doubt {
    Doubt {
        rule: "slot-on-wrong-layer",
        seen: format!("{path} draws {} opening(s) as filled areas among the drilled holes", areas.len()),
        reasons: vec!["an area is milled, not drilled; it is not part of the outline either".to_owned()],
        sources: areas.iter().map(|a| Source { file: file as u32, line: a.1 }).collect(),
        places: areas.iter().map(|a| a.0).collect(),
        readings: vec!["the openings are milled".to_owned(), "the openings are left out".to_owned()],
    }
}

/// Lists the layers of either side; a layer without a side is the top's where it is alone of its kind.
fn list_sides(board: &mut Board) {
    for role in [Role::Mask, Role::Legend, Role::Paste] {
        let files: Vec<usize> =
            (0..board.files.len()).filter(|&i| board.files[i].role == role && board.images[i].is_some()).collect();
        let mut layers = Vec::new();
        for &i in &files {
            let side = board.files[i].side.filter(|s| *s != Side::Inner);
            if side.is_none() {
                let text = format!("{}: no side is stated; taken for the top", board.files[i].path);
                board.assumptions.push(text);
                board.files[i].side = Some(Side::Top);
            }
            layers.push(SideLayer { side: side.unwrap_or(Side::Top), file: i as u32 });
        }
        layers.sort_by_key(|l| (l.side, l.file));
        match role {
            Role::Mask => board.masks = layers,
            Role::Legend => board.legends = layers,
            _ => board.pastes = layers,
        }
    }
}
