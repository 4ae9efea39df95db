//! The ink of a legend: strokes by their centre line, areas by their edge.

use landgap_parser::image::Hole;
use landgap_parser::{Aperture, ApertureShape, Image, Nm, Object, Point, Polarity, Shape, Turn};

use crate::geometry::distance::{Segment, point_segment};
use crate::geometry::image::{Clears, bounds_of};
use crate::geometry::{Bounds, engine, flatten, shape};

/// One piece of ink.
pub(super) struct Ink {
    /// Centre lines of strokes, closed edges of areas.
    pub paths: Vec<Vec<Point>>,
    /// Half the pen; 0 for areas.
    pub half: f64,
    /// Whether it fills what its paths enclose.
    pub area: bool,
    /// Drawn straight along one line.
    pub straight: bool,
    /// Box round it, pen included.
    pub bounds: Bounds,
    /// Line of the file.
    pub line: u32,
}

impl Ink {
    /// The straight pieces of its paths.
    pub fn pieces(&self) -> impl Iterator<Item = Segment> + '_ {
        self.paths.iter().flat_map(|p| {
            let dot = (p.len() == 1).then(|| Segment { a: p[0], b: p[0] });
            p.windows(2).map(|w| Segment { a: w[0], b: w[1] }).chain(dot)
        })
    }

    /// Whether a point lies in it.
    pub fn holds(&self, p: (f64, f64)) -> bool {
        if self.area {
            let crossings = self.pieces().filter(|s| to_right(p, *s)).count();
            return crossings % 2 == 1;
        }
        self.pieces().any(|s| point_segment(p, s).length < self.half)
    }
}

/// Whether a level ray to the right crosses a piece.
fn to_right(p: (f64, f64), s: Segment) -> bool {
    let (ay, by) = (s.a.y as f64, s.b.y as f64);
    (ay > p.1) != (by > p.1) && {
        let part = (p.1 - ay) / (by - ay);
        s.a.x as f64 + part * (s.b.x - s.a.x) as f64 > p.0
    }
}

/// All ink of an image.
pub(super) fn of(image: &Image) -> Vec<Ink> {
    let clears = Clears::of(image);
    let mut out = Vec::with_capacity(image.objects.len());
    for (number, object) in image.objects.iter().enumerate().filter(|(_, o)| o.polarity == Polarity::Dark) {
        if clears.is_empty() {
            out.extend(stroke(image, object).or_else(|| area(shape::contours(image, object), object.line)));
            continue;
        }
        let contours = shape::contours(image, object);
        let cutters = clears.after(number, &contours);
        if cutters.is_empty() {
            out.extend(stroke(image, object).or_else(|| area(contours, object.line)));
        } else {
            let left = engine::difference(&contours, &cutters);
            out.extend(left.into_iter().filter_map(|polygon| area(polygon, object.line)));
        }
    }
    out
}

/// A stroke of a round pen.
fn stroke(image: &Image, object: &Object) -> Option<Ink> {
    let (aperture, path, turn, straight) = match &object.shape {
        Shape::Draw { aperture, from, to, turn } if from == to => (*aperture, vec![*from], *turn, false),
        Shape::Draw { aperture, from, to, turn } => (*aperture, vec![*from, *to], *turn, true),
        Shape::Arc { aperture, arc, turn } => {
            let edge =
                landgap_parser::Edge::Arc { to: arc.to, centre: arc.centre, counter_clockwise: arc.counter_clockwise };
            (*aperture, flatten::path(arc.from, &[edge]), *turn, false)
        }
        Shape::Flash { .. } | Shape::Region { .. } => return None,
    };
    let half = pen(image.apertures.get(aperture as usize)?, turn)? as f64 / 2.0;
    let bounds = Bounds::of(&path).grown(half.ceil() as Nm);
    Some(Ink { paths: vec![path], half, area: false, straight, bounds, line: object.line })
}

/// Diameter of a round pen.
fn pen(aperture: &Aperture, turn: Turn) -> Option<Nm> {
    match aperture.shape {
        ApertureShape::Circle { diameter, hole: Hole::None } if diameter > 0 => {
            Some((diameter as f64 * turn.scale).round() as Nm)
        }
        _ => None,
    }
}

fn area(contours: Vec<Vec<Point>>, line: u32) -> Option<Ink> {
    let bounds = bounds_of(&contours);
    let closed = |mut c: Vec<Point>| {
        c.extend(c.first().copied());
        c
    };
    let paths: Vec<_> = contours.into_iter().map(closed).collect();
    (!bounds.is_empty()).then_some(Ink { paths, half: 0.0, area: true, straight: false, bounds, line })
}
