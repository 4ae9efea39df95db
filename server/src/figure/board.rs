//! The whole board from one side, with a numbered mark for every query that shows there.

use landgap_rules::board::{LayerRef, OutlineState, Side};
use landgap_rules::check::Measured;
use landgap_rules::geometry::{Bounds, LayerImage};
use landgap_rules::query::{Query, QueryPlace};

use super::detail::scale_bar;
use super::hole;
use super::marks::Marks;
use super::sheet::{Fill, Sheet};
use super::view::{Frame, Px, View};

/// Which side is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// From the first copper layer.
    Top,
    /// From the last copper layer, mirrored as one sees it.
    Bottom,
}

impl Face {
    /// Both of them.
    pub const BOTH: [Self; 2] = [Self::Top, Self::Bottom];

    /// The word used in addresses.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Top => "top",
            Self::Bottom => "bottom",
        }
    }
}

const LARGEST: f64 = 1000.0;
const EDGE: f64 = 54.0;
const FOOT: f64 = 40.0;
const BALLOON: f64 = 12.0;
/// Bytes of copper and holes a picture may hold; coarser drawings are tried until it fits.
const MOST: usize = 2_400_000;
/// Small crosses at the further places of one query.
const CROSSES: usize = 300;

/// The picture; white paper alone where the data hold neither outline nor copper.
#[must_use]
pub fn picture(measured: &Measured, queries: &[Query], face: Face) -> String {
    let window = extent(measured, queries);
    let (sheet_width, sheet_height) = size(window);
    let frame =
        Frame { left: EDGE, top: EDGE, width: sheet_width - 2.0 * EDGE, height: sheet_height - 2.0 * EDGE - FOOT };
    let view = View::fit(window, frame, face == Face::Bottom);
    let paper = Frame { left: 0.0, top: 0.0, width: sheet_width, height: sheet_height - FOOT };
    let mut sheet = ground(measured, &view, face, (sheet_width, sheet_height), paper);
    marks(&mut sheet, measured, queries, &view, face, paper);
    foot(&mut sheet, &view, face, sheet_width, sheet_height);
    sheet.finish()
}

fn extent(measured: &Measured, queries: &[Query]) -> Bounds {
    let mut all = Bounds::EMPTY;
    measured.geometry.outline.iter().flatten().for_each(|p| all.add(*p));
    let mut add = |b: Bounds| {
        if !b.is_empty() {
            all.add(b.min);
            all.add(b.max);
        }
    };
    if measured.board.outline.state != OutlineState::Closed || measured.geometry.outline.is_empty() {
        measured.geometry.copper.iter().flat_map(|l| &l.islands).for_each(|i| add(i.bounds));
        measured.board.holes.iter().for_each(|h| add(hole::bounds(h)));
        queries.iter().flat_map(|q| &q.places).for_each(|p| add(Bounds::of(&[p.at])));
    }
    if all.is_empty() { Bounds::of(&[landgap_parser::Point::default()]).grown(1_000_000) } else { all }
}

fn size(window: Bounds) -> (f64, f64) {
    let (w, h) = (window.width().max(1) as f64, window.height().max(1) as f64);
    let scale = ((LARGEST - 2.0 * EDGE) / w).min((LARGEST - 2.0 * EDGE) / h);
    // A very long board still needs a sheet high enough for its marks.
    ((w * scale + 2.0 * EDGE).max(360.0), (h * scale + 2.0 * EDGE + FOOT).max(240.0))
}

/// Outline, copper and holes, as fine as the size allows.
fn ground(measured: &Measured, view: &View, face: Face, (width, height): (f64, f64), paper: Frame) -> Sheet {
    let mut finest = 0.3;
    loop {
        let mut sheet =
            Sheet::new(&format!("b{}", face.word()), width, height, &format!("The board from the {}", face.word()));
        draw(&mut sheet, measured, view, face, paper, finest);
        if sheet.size() <= MOST || finest > 60.0 {
            return sheet;
        }
        finest *= 2.0;
    }
}

fn draw(sheet: &mut Sheet, measured: &Measured, view: &View, face: Face, paper: Frame, finest: f64) {
    if let Some(image) = copper(measured, face) {
        for island in image.islands.iter().filter(|i| view.length(i.bounds.width().max(i.bounds.height())) >= finest) {
            let points: Vec<Vec<Px>> =
                island.contours.iter().map(|c| c.iter().map(|p| view.px(*p)).collect()).collect();
            sheet.area(&points, paper, finest, Fill::Tone, 0.4, "");
            if sheet.size() > MOST {
                return;
            }
        }
    }
    for hole in measured.board.holes.iter().filter(|h| view.length(h.finished.unwrap_or(0)) >= 2.0 * finest) {
        hole::plain(sheet, view, hole);
        if sheet.size() > MOST {
            return;
        }
    }
    for contour in &measured.geometry.outline {
        let points: Vec<Px> = contour.iter().map(|p| view.px(*p)).collect();
        sheet.area(&[points], paper, finest, Fill::Open, 1.6, "");
    }
}

fn copper(measured: &Measured, face: Face) -> Option<&LayerImage> {
    match face {
        Face::Top => measured.geometry.copper.first(),
        Face::Bottom => measured.geometry.copper.last(),
    }
}

/// Whether a place shows on a side: outer layers on their own, everything else on both.
fn shows(place: &QueryPlace, measured: &Measured, face: Face) -> bool {
    let last = measured.board.copper.len() as u32;
    match place.layer {
        Some(LayerRef::Copper(1)) => face == Face::Top,
        Some(LayerRef::Copper(n)) if n == last => face == Face::Bottom,
        Some(LayerRef::Mask(side) | LayerRef::Legend(side)) => (side == Side::Bottom) == (face == Face::Bottom),
        _ => true,
    }
}

fn marks(sheet: &mut Sheet, measured: &Measured, queries: &[Query], view: &View, face: Face, paper: Frame) {
    let mut marks = Marks::new(BALLOON, paper.grown(-2.0));
    let mut worst: Vec<(Px, u32)> = Vec::new();
    for query in queries {
        let mut shown = query.places.iter().filter(|p| shows(p, measured, face)).map(|p| view.px(p.at));
        if let Some(anchor) = shown.next() {
            worst.push((anchor, query.number));
        }
        shown.take(CROSSES).for_each(|(x, y)| {
            sheet.line((x - 2.2, y - 2.2), (x + 2.2, y + 2.2), 0.7, "");
            sheet.line((x - 2.2, y + 2.2), (x + 2.2, y - 2.2), 0.7, "");
        });
    }
    for (anchor, number) in worst {
        if let Some(at) = marks.place(anchor) {
            sheet.balloon(anchor, at, BALLOON, &number.to_string(), "query");
        }
    }
}

fn foot(sheet: &mut Sheet, view: &View, face: Face, width: f64, height: f64) {
    let (bar, label) = scale_bar(view.scale);
    let y = height - 22.0;
    sheet.line((16.0, y), (16.0 + bar, y), 1.6, "");
    for end in [16.0, 16.0 + bar] {
        sheet.line((end, y - 5.0), (end, y + 5.0), 1.0, "");
    }
    sheet.text((24.0 + bar, y + 5.0), "start", 17.0, &label);
    let words = match face {
        Face::Top => "Seen from the top",
        Face::Bottom => "Seen from the bottom (mirrored)",
    };
    sheet.text((width - 14.0, y + 5.0), "end", 17.0, words);
}
