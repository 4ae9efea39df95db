//! An outline that does not lie where the copper that follows it, or another drawing of it, says.
//!
//! Copper that fills a board keeps one distance from its edge. Where the distances on opposite sides
//! differ, and yet add up to the same on both axes, the outline was moved. A drawing may also repeat
//! the outline: the same line a little beside it says the same.

use landgap_parser::{Image, Nm, Point, Polarity};

use super::contour;
use super::extent::{self, Extent, mm};
use super::outline::same_area;
use crate::board::{Board, Doubt, OutlineState, Role, Side, Source};
use crate::geometry::shape;

/// Copper further from the edge than this does not follow it.
const FOLLOWS: Nm = 2_000_000;
/// Distances that add up alike within this are alike: two steps of a coarse file.
const ALIKE: Nm = 5_000;
/// A shift up to this says nothing.
const LEAST: Nm = 50_000;
/// Drawings with more objects than this are not searched for the outline.
const MANY: usize = 20_000;
/// A drawing this far off shows the board elsewhere on its sheet.
const BESIDE: Nm = 5_000_000;

/// The doubt about a moved outline.
pub(super) fn doubt(board: &Board) -> Option<Doubt> {
    if board.outline.state != OutlineState::Closed || board.outline.files.is_empty() {
        return None;
    }
    let edge = extent::of_contour(board.outline.contours.first()?)?;
    let (by, reasons, other) = by_copper(board, &edge).or_else(|| by_drawing(board, &edge))?;
    let file = board.outline.files[0];
    let path = &board.files[file as usize].path;
    let by = format!("{} mm in x and {} mm in y", mm(by.x), mm(by.y));
    Some(Doubt {
        rule: "misplaced-layer",
        seen: format!("{path}, the outline, would fit the other layers if it were moved by {by}"),
        reasons,
        sources: [Some(file), other].into_iter().flatten().map(|file| Source { file, line: 0 }).collect(),
        places: Vec::new(),
        readings: vec![
            format!("{path} is to be moved by {by}"),
            format!("{path} is right as it is"),
            format!("{path} is sent again"),
        ],
    })
}

/// What moves the outline, why, and the other file that says so.
type Moved = (Point, Vec<String>, Option<u32>);

fn by_copper(board: &Board, edge: &Extent) -> Option<Moved> {
    let outer = board.copper.iter().filter(|c| c.side != Side::Inner && !c.negative);
    let boxes = outer.filter_map(|c| Some((c.file, drawn(board.images[c.file as usize].as_ref()?)?)));
    let even: Vec<(u32, Point, Nm)> =
        boxes.filter_map(|(file, box_)| off(edge, &box_).map(|(by, apart)| (file, by, apart))).collect();
    let by = even.first()?.1;
    let agree = even.iter().all(|e| (e.1.x - by.x).abs() <= ALIKE && (e.1.y - by.y).abs() <= ALIKE);
    let why = |(file, _, apart): &(u32, Point, Nm)| {
        format!("{} then keeps {} mm from it on all four sides", board.files[*file as usize].path, mm(*apart))
    };
    (agree && by.x.abs().max(by.y.abs()) > LEAST).then(|| {
        let last = "as sent, opposite sides differ by twice the shift".to_owned();
        (by, even.iter().map(why).chain([last]).collect(), None)
    })
}

/// A drawing that repeats the outline a little beside it.
fn by_drawing(board: &Board, edge: &Extent) -> Option<Moved> {
    let own = board.outline.contours.first()?;
    let papers = board.files.iter().zip(&board.images).enumerate().filter(|(i, (f, _))| {
        let role = matches!(f.role, Role::Drawing | Role::Other | Role::Legend | Role::Mask | Role::Paste);
        role && !board.outline.files.contains(&(*i as u32))
    });
    for (i, (file, image)) in papers {
        let Some(image) = image.as_ref().filter(|image| image.objects.len() <= MANY) else { continue };
        let near = |a: Nm, b: Nm| (a - b).abs() <= 2 * ALIKE;
        for contour in contour::among_others(image).contours.iter().filter(|c| same_area(c, own)) {
            let Some(box_) = extent::of_contour(contour) else { continue };
            let by = Point::new(box_.low.x - edge.low.x, box_.low.y - edge.low.y);
            let far = by.x.abs().max(by.y.abs());
            if near(box_.width(), edge.width()) && near(box_.height(), edge.height()) && far <= LEAST {
                // A drawing that agrees settles it.
                return None;
            }
            if near(box_.width(), edge.width()) && near(box_.height(), edge.height()) && far <= BESIDE {
                let why = format!("{} draws a line of the same size there", file.path);
                return Some((by, vec![why], Some(i as u32)));
            }
        }
    }
    None
}

/// The shift that makes the distances even, and the distance then; `None` where the copper does not follow the edge.
fn off(edge: &Extent, copper: &Extent) -> Option<(Point, Nm)> {
    let (left, right) = (copper.low.x - edge.low.x, edge.high.x - copper.high.x);
    let (below, above) = (copper.low.y - edge.low.y, edge.high.y - copper.high.y);
    let follows = [left, right, below, above].iter().all(|d| (-FOLLOWS..=FOLLOWS).contains(d));
    let even = ((left + right) - (below + above)).abs() <= ALIKE && left + right > 0;
    (follows && even).then(|| (Point::new((left - right) / 2, (below - above) / 2), (left + right) / 2))
}

/// The box of what is drawn, pens included.
fn drawn(image: &Image) -> Option<Extent> {
    let dark = image.objects.iter().filter(|o| o.polarity == Polarity::Dark);
    extent::of_points(dark.flat_map(|o| shape::contours(image, o)).flatten())
}
