//! Strokes of one pen joined end to end, where exactly two meet.

use landgap_parser::{Aperture, ApertureShape, Image, Nm, Point, Polarity, Shape};

use crate::geometry::flatten;

/// Tracks are drawn with pens up to this.
const WIDEST: Nm = 3_000_000;

/// A chain of strokes.
pub(super) struct Chain {
    /// Its middle line, arcs flattened.
    pub points: Vec<Point>,
    /// Width of the pen.
    pub pen: Nm,
    /// First line of the data, by place in the chain.
    pub line: u32,
}

struct Stroke {
    points: Vec<Point>,
    line: u32,
}

/// All chains of an image of at least `fewest` strokes.
pub(super) fn chains(image: &Image, fewest: usize) -> Vec<Chain> {
    let pens: Vec<Option<Nm>> = image.apertures.iter().map(pen).collect();
    let mut strokes: Vec<(u32, Stroke)> = Vec::new();
    for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
        let (aperture, points) = match &object.shape {
            Shape::Draw { aperture, from, to, .. } if from != to => (*aperture, vec![*from, *to]),
            Shape::Arc { aperture, arc, .. } if arc.from != arc.to => {
                let (to, centre, counter_clockwise) = (arc.to, arc.centre, arc.counter_clockwise);
                (*aperture, flatten::path(arc.from, &[landgap_parser::Edge::Arc { to, centre, counter_clockwise }]))
            }
            _ => continue,
        };
        if pens.get(aperture as usize).copied().flatten().is_some() {
            strokes.push((aperture, Stroke { points, line: object.line }));
        }
    }
    // Ends by pen and place: two at one place are joined.
    let ends = |(i, (pen, s)): (usize, &(u32, Stroke))| {
        [(*pen, s.points[0], 2 * i), (*pen, s.points[s.points.len() - 1], 2 * i + 1)]
    };
    let mut all: Vec<(u32, Point, usize)> = strokes.iter().enumerate().flat_map(ends).collect();
    all.sort_unstable();
    let mut partner = vec![usize::MAX; all.len()];
    for place in all.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)).filter(|p| p.len() == 2) {
        (partner[place[0].2], partner[place[1].2]) = (place[1].2, place[0].2);
    }
    walk(&strokes, &partner, &pens, fewest)
}

fn pen(aperture: &Aperture) -> Option<Nm> {
    match aperture.shape {
        ApertureShape::Circle { diameter, .. } if (1..=WIDEST).contains(&diameter) => Some(diameter),
        _ => None,
    }
}

/// Follows the strokes from each loose end; rings are left out, as they have none.
fn walk(strokes: &[(u32, Stroke)], partner: &[usize], pens: &[Option<Nm>], fewest: usize) -> Vec<Chain> {
    let mut used = vec![false; strokes.len()];
    let mut out = Vec::new();
    for start in (0..partner.len()).filter(|e| partner[*e] == usize::MAX) {
        if used[start / 2] {
            continue;
        }
        let (mut end, mut points, mut count) = (start, Vec::new(), 0);
        let line = strokes[start / 2].1.line;
        loop {
            used[end / 2] = true;
            count += 1;
            let own = &strokes[end / 2].1.points;
            let forwards = end % 2 == 0;
            if forwards {
                points.extend(own.iter().copied())
            } else {
                points.extend(own.iter().rev().copied())
            }
            end = partner[end ^ 1];
            if end == usize::MAX || used[end / 2] {
                break;
            }
        }
        if count >= fewest {
            points.dedup();
            let pen = pens[strokes[start / 2].0 as usize].unwrap_or(0);
            out.push(Chain { points, pen, line });
        }
    }
    out
}
