//! Drill data drawn as artwork: flashes are holes, draws are slots (Gerber format 2021.02, 6.6).

use landgap_parser::drill::{Format, Hit, HitShape, HoleImage, Tool, Zeros};
use landgap_parser::{Aperture, ApertureShape, Edge, Image, Nm, Point, Shape, Turn, Unit};

/// Holes of an image, one tool an aperture; also places of areas, which no round tool can make in one go.
pub(super) fn of(image: &Image) -> (HoleImage, Vec<(Point, u32)>) {
    let mut out = HoleImage {
        format: Format {
            unit: image.unit.unwrap_or(Unit::Millimetre),
            zeros: Zeros::Trailing,
            integer: 0,
            decimals: 0,
        },
        step: image.step,
        tools: Vec::new(),
        hits: Vec::new(),
        remarks: Vec::new(),
    };
    let mut areas = Vec::new();
    for object in &image.objects {
        let (aperture, turn, shape) = match &object.shape {
            Shape::Flash { aperture, at, turn } => (*aperture, turn, HitShape::Hole { at: *at }),
            Shape::Draw { aperture, from, to, turn } if from == to => (*aperture, turn, HitShape::Hole { at: *from }),
            Shape::Draw { aperture, from, to, turn } => (*aperture, turn, HitShape::Slot { from: *from, to: *to }),
            Shape::Arc { aperture, arc, turn } => {
                let edge = Edge::Arc { to: arc.to, centre: arc.centre, counter_clockwise: arc.counter_clockwise };
                (*aperture, turn, HitShape::Route { start: arc.from, edges: vec![edge] })
            }
            Shape::Region { contours, offset } => {
                let starts = contours.iter().map(|c| Point::new(c.start.x + offset.x, c.start.y + offset.y));
                areas.extend(starts.map(|p| (p, object.line)));
                continue;
            }
        };
        if let Some(tool) = tool(&mut out, image, aperture, turn) {
            push(&mut out, tool, shape, object.line);
        }
    }
    (out, areas)
}

/// The tool for an aperture at its scale, made on first use.
fn tool(out: &mut HoleImage, image: &Image, aperture: u32, turn: &Turn) -> Option<u32> {
    let aperture = image.apertures.get(aperture as usize)?;
    let made = made(image, aperture, turn);
    let known =
        out.tools.iter().position(|t| t.number == made.number && t.diameter == made.diameter && t.line == made.line);
    let index = known.unwrap_or(out.tools.len());
    if known.is_none() {
        out.tools.push(made);
    }
    u32::try_from(index).ok()
}

fn made(image: &Image, aperture: &Aperture, turn: &Turn) -> Tool {
    let set = image.attribute_sets.get(aperture.attributes as usize);
    let function = set.and_then(|s| s.iter().find(|a| a.name == ".AperFunction")).map(|a| a.values.join(","));
    let diameter = match aperture.shape {
        ApertureShape::Circle { diameter, .. } => Some((diameter as f64 * turn.scale).round() as Nm),
        _ => None,
    };
    let tolerance = set
        .and_then(|s| s.iter().find(|a| a.name == ".DrillTolerance"))
        .and_then(|a| landgap_parser::drill::drill_tolerance(&a.values))
        .and_then(|(plus, minus)| image.unit.and_then(|unit| plus.to_nm(unit).zip(minus.to_nm(unit))));
    Tool { number: aperture.number, diameter, plating: None, function, tolerance, line: aperture.line }
}

/// Adds a hit; a draw that goes on where the last one ended with the same tool lengthens its path.
fn push(out: &mut HoleImage, tool: u32, shape: HitShape, line: u32) {
    if let Some(last) = out.hits.last_mut().filter(|h| h.tool == tool && goes_on(&h.shape, &shape)) {
        lengthen(&mut last.shape, shape);
    } else {
        out.hits.push(Hit { tool, shape, line });
    }
}

fn goes_on(last: &HitShape, next: &HitShape) -> bool {
    let end = match last {
        HitShape::Hole { .. } => return false,
        HitShape::Slot { to, .. } => Some(*to),
        HitShape::Route { edges, .. } => edges.last().map(Edge::to),
    };
    match next {
        HitShape::Hole { .. } => false,
        HitShape::Slot { from, .. } => end == Some(*from),
        HitShape::Route { start, .. } => end == Some(*start),
    }
}

fn lengthen(last: &mut HitShape, next: HitShape) {
    let more = match next {
        HitShape::Hole { .. } => return,
        HitShape::Slot { to, .. } => vec![Edge::Line { to }],
        HitShape::Route { edges, .. } => edges,
    };
    if let HitShape::Slot { from, to } = *last {
        *last = HitShape::Route { start: from, edges: vec![Edge::Line { to }] };
    }
    if let HitShape::Route { edges, .. } = last {
        edges.extend(more);
    }
}

/// The flashes of an image of nothing but dark round flashes, with their diameters; else nothing.
pub(super) fn only_round(image: &Image) -> Vec<(Point, Nm)> {
    let mut out = Vec::new();
    for object in &image.objects {
        let Shape::Flash { aperture, at, turn } = &object.shape else { return Vec::new() };
        let Some(ApertureShape::Circle { diameter, .. }) = image.apertures.get(*aperture as usize).map(|a| &a.shape)
        else {
            return Vec::new();
        };
        if object.polarity == landgap_parser::Polarity::Clear {
            return Vec::new();
        }
        out.push((*at, (*diameter as f64 * turn.scale).round() as Nm));
    }
    out
}

/// Share of round flashes that stand at the centre of a larger flash of another image.
pub(super) fn within_larger(round: &[(Point, Nm)], other: &Image) -> f64 {
    let mut sizes: std::collections::BTreeMap<Point, Nm> = std::collections::BTreeMap::new();
    for object in &other.objects {
        let Shape::Flash { aperture, at, .. } = &object.shape else { continue };
        let size = match other.apertures.get(*aperture as usize).map(|a| &a.shape) {
            Some(ApertureShape::Circle { diameter, .. }) => *diameter,
            Some(ApertureShape::Rectangle { width, height, .. } | ApertureShape::Obround { width, height, .. }) => {
                (*width).min(*height)
            }
            Some(_) => Nm::MAX,
            None => 0,
        };
        let most = sizes.entry(*at).or_insert(0);
        *most = (*most).max(size);
    }
    let held = round.iter().filter(|(at, d)| sizes.get(at).is_some_and(|s| s > d)).count();
    held as f64 / round.len().max(1) as f64
}
