//! What is oddly drawn: apertures without size, painted layers, things outside the board, several boards.

use landgap_parser::{Aperture, ApertureShape, Contour, Image, Nm, Object, Point, Shape};

use super::extent::{self, Extent};
use super::lands::Lands;
use crate::board::{Board, Doubt, OutlineState, Role, Source};

/// Remarks of the reader that mean that an aperture was used and what it draws is missing.
const MISSING: [&str; 4] =
    ["artwork-aperture-undefined", "artwork-aperture-none", "artwork-aperture-malformed", "artwork-aperture-zero"];
/// Strokes from which a layer without a single land counts as painted.
const PAINTED: usize = 1_000;
/// How far outside the outline's box something must lie to be outside the board.
const OUTSIDE: Nm = 1_000_000;
/// Contours that differ by less than this in width and height are alike (trade A16: 0.2 mm).
const ALIKE: Nm = 200_000;
/// Contours narrower than this are no boards.
const LEAST_BOARD: Nm = 5_000_000;

/// Looks over a placed board.
pub(super) fn look(board: &mut Board) {
    let mut doubts: Vec<Doubt> = (0..board.files.len()).filter_map(|i| missing_apertures(board, i)).collect();
    doubts.extend(sizeless_objects(board));
    doubts.extend(board.copper.iter().filter_map(|c| painted(board, c.file)));
    if board.outline.state == OutlineState::Closed {
        // Where a whole layer is out of place, it is asked about as such.
        if !board.doubts.iter().any(|d| matches!(d.rule, "misplaced-layer" | "mirrored-layer" | "shifted-holes")) {
            doubts.extend(stray_copper(board));
            doubts.extend(stray_holes(board));
        }
        doubts.extend(several_boards(board));
    }
    board.doubts.extend(doubts);
}

fn is_layer(role: Role) -> bool {
    matches!(role, Role::Copper | Role::Mask | Role::Paste | Role::Legend | Role::Outline)
}

fn whole(file: u32) -> Source {
    Source { file, line: 0 }
}

/// Apertures that are used and not, or not properly, defined.
fn missing_apertures(board: &Board, i: usize) -> Option<Doubt> {
    let file = board.files.get(i).filter(|f| is_layer(f.role))?;
    let remarks: Vec<_> = file.remarks.iter().filter(|r| MISSING.contains(&r.code.id)).collect();
    let first = remarks.first()?;
    let places: u32 = remarks.iter().map(|r| r.more + 1).sum();
    Some(Doubt {
        rule: "unsized-aperture",
        seen: format!("{} uses apertures at {places} place(s) that are not, or not properly, defined", file.path),
        reasons: remarks.iter().take(5).map(|r| format!("line {}: {r}", r.place.line)).collect(),
        sources: vec![Source { file: i as u32, line: first.place.line }],
        places: Vec::new(),
        readings: vec![format!("{} is sent again", file.path), "the missing sizes are named".to_owned()],
    })
}

/// Objects drawn with apertures of size nothing: they image nothing and are told.
fn sizeless_objects(board: &Board) -> Option<Doubt> {
    let layers = board.files.iter().zip(&board.images).enumerate();
    let found: Vec<(usize, usize, u32)> = layers
        .filter(|(_, (file, _))| matches!(file.role, Role::Copper | Role::Mask))
        .filter_map(|(i, (_, image))| {
            let image = image.as_ref()?;
            let own = image.objects.iter().filter(|o| aperture_of(image, o).is_some_and(is_sizeless));
            let lines: Vec<u32> = own.map(|o| o.line).collect();
            Some((i, lines.len(), *lines.first()?))
        })
        .collect();
    let total: usize = found.iter().map(|f| f.1).sum();
    (total > 0).then(|| Doubt {
        rule: "unsized-aperture",
        seen: format!("{total} object(s) are drawn with apertures of size nothing; they image nothing"),
        reasons: found.iter().map(|(i, n, _)| format!("{}: {n} object(s)", board.files[*i].path)).collect(),
        sources: found.iter().map(|(i, _, line)| Source { file: *i as u32, line: *line }).collect(),
        places: Vec::new(),
        readings: Vec::new(),
    })
}

fn aperture_of<'a>(image: &'a Image, object: &Object) -> Option<&'a Aperture> {
    match object.shape {
        Shape::Flash { aperture, .. } | Shape::Draw { aperture, .. } | Shape::Arc { aperture, .. } => {
            image.apertures.get(aperture as usize)
        }
        Shape::Region { .. } => None,
    }
}

const fn is_sizeless(aperture: &Aperture) -> bool {
    matches!(aperture.shape, ApertureShape::Circle { diameter: 0, .. })
}

/// Copper drawn in strokes only, without anything that could be taken for a land.
fn painted(board: &Board, file: u32) -> Option<Doubt> {
    let image = board.images.get(file as usize)?.as_ref()?;
    let strokes = image.objects.iter().filter(|o| matches!(o.shape, Shape::Draw { .. } | Shape::Arc { .. })).count();
    let lands = Lands::of([image]).count();
    if strokes < PAINTED || lands > 0 {
        return None;
    }
    let path = &board.files[file as usize].path;
    Some(Doubt {
        rule: "painted-copper",
        seen: format!("{path} is painted: {strokes} strokes and not one land"),
        reasons: vec!["lands that are painted cannot be told from tracks, nor changed one by one".to_owned()],
        sources: vec![whole(file)],
        places: Vec::new(),
        readings: vec![
            format!("{path} is made from the image as it is, its lands cannot be changed"),
            format!("{path} is exported again with its lands flashed"),
        ],
    })
}

fn edge(board: &Board) -> Option<Extent> {
    let contours = board.outline.contours.iter().filter_map(extent::of_contour);
    extent::of_points(contours.flat_map(|e| [e.low, e.high])).map(|e| e.grown(OUTSIDE))
}

/// Copper outside the outline: frames, titles, marks. It is left off and told.
fn stray_copper(board: &Board) -> Option<Doubt> {
    let edge = edge(board)?;
    let mut places = Vec::new();
    let mut reasons = Vec::new();
    let mut sources = Vec::new();
    for layer in &board.copper {
        let Some(image) = board.images.get(layer.file as usize).and_then(Option::as_ref) else { continue };
        let out: Vec<&Object> = image.objects.iter().filter(|o| is_outside(o, &edge)).collect();
        let Some(first) = out.first() else { continue };
        reasons.push(format!("{}: {} object(s)", board.files[layer.file as usize].path, out.len()));
        sources.push(Source { file: layer.file, line: first.line });
        places.extend(ends(first).first().copied());
    }
    (!reasons.is_empty()).then(|| Doubt {
        rule: "stray-outside",
        seen: "copper is drawn outside the outline, such as frames, titles and marks; it is left off".to_owned(),
        reasons,
        sources,
        places,
        readings: Vec::new(),
    })
}

fn is_outside(object: &Object, edge: &Extent) -> bool {
    let box_ = extent::of_points(ends(object));
    box_.is_some_and(|b| {
        b.high.x < edge.low.x || b.low.x > edge.high.x || b.high.y < edge.low.y || b.low.y > edge.high.y
    })
}

/// The points an object is drawn through.
fn ends(object: &Object) -> Vec<Point> {
    match &object.shape {
        Shape::Flash { at, .. } => vec![*at],
        Shape::Draw { from, to, .. } => vec![*from, *to],
        Shape::Arc { arc, .. } => vec![arc.from, arc.to],
        Shape::Region { contours, offset } => {
            let points = contours.iter().flat_map(|c| std::iter::once(c.start).chain(c.edges.iter().map(|e| e.to())));
            points.map(|p| Point::new(p.x + offset.x, p.y + offset.y)).collect()
        }
    }
}

/// Holes outside the outline may belong to a coupon or to another part of an array.
fn stray_holes(board: &Board) -> Option<Doubt> {
    let edge = edge(board)?;
    let out: Vec<_> = board.holes.iter().filter(|h| !edge.holds(super::register::land_of(&h.shape))).collect();
    if out.is_empty() {
        return None;
    }
    Some(Doubt {
        rule: "stray-outside",
        seen: format!("{} of {} holes lie outside the outline", out.len(), board.holes.len()),
        reasons: vec!["they may belong to a coupon or to another part of an array".to_owned()],
        sources: out.iter().map(|h| h.source).collect(),
        places: out.iter().map(|h| super::register::land_of(&h.shape)).collect(),
        readings: vec![
            "the holes outside are left out".to_owned(),
            "they are made as well, to be explained".to_owned(),
        ],
    })
}

/// Several boards of one size: an array in its frame is told, boards lying apart are asked about.
fn several_boards(board: &Board) -> Option<Doubt> {
    let all: Vec<(Extent, i128)> = board.outline.contours.iter().filter_map(sized).collect();
    let inside = |e: &Extent| all.iter().filter(|(o, _)| o != e && o.holds(e.low) && o.holds(e.high)).count();
    let alike = |a: &(Extent, i128), b: &(Extent, i128)| {
        let near = |p: Nm, q: Nm| (p - q).abs() <= ALIKE;
        near(a.0.width(), b.0.width()) && near(a.0.height(), b.0.height()) && (a.1 - b.1).abs() * 100 <= a.1
    };
    let largest = all.iter().map(|a| a.1).max()?;
    let of = |a: &(Extent, i128)| all.iter().filter(|b| alike(a, b) && inside(&a.0) == inside(&b.0)).count();
    let unit = all.iter().filter(|a| of(a) >= 2 && a.1 * 2 * of(a) as i128 >= largest).max_by_key(|a| (a.1, of(a)))?;
    let count = of(unit);
    let framed = inside(&unit.0) > 0;
    let file = board.outline.files.first().copied().unwrap_or(0);
    Some(Doubt {
        rule: "array-or-single",
        seen: format!(
            "the outline holds {count} boards of {}{}",
            unit.0.words(),
            if framed { " in one frame" } else { "" }
        ),
        reasons: vec![format!("their outlines agree within {} mm", extent::mm(ALIKE))],
        sources: vec![whole(file)],
        places: Vec::new(),
        readings: if framed {
            Vec::new()
        } else {
            vec![
                format!("the data hold {count} single boards, made and counted one by one"),
                "they are one array, whose frame is sent".to_owned(),
            ]
        },
    })
}

fn sized(contour: &Contour) -> Option<(Extent, i128)> {
    let box_ = extent::of_contour(contour)?;
    (box_.width().min(box_.height()) >= LEAST_BOARD).then(|| (box_, super::contour::doubled_area(contour).abs()))
}
