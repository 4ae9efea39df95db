//! Layers of any size at constant density: how does the time grow?

use std::sync::Arc;

use landgap_parser::image::Hole;
use landgap_parser::{Aperture, ApertureShape, Contour, Edge, Image, Nm, Object, Point, Polarity, Shape, Turn};

/// What a made layer shows.
#[derive(Clone, Copy, Debug)]
pub enum Scene {
    /// Two tracks a land, each from land to land, a quarter of them with a bend.
    Tracks,
    /// One area painted with strokes that overlap four deep.
    Painted,
    /// Square regions that touch along their sides, every fourth row apart.
    Regions,
}

impl Scene {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Tracks, Self::Painted, Self::Regions];

    /// A layer of about so many objects.
    pub fn layer(self, count: i64) -> Image {
        let side = (count as f64).sqrt() as i64;
        let objects = (0..count).map(|i| self.object(i % side, i / side)).collect();
        let pen = |number, diameter| Aperture {
            number,
            shape: ApertureShape::Circle { diameter, hole: Hole::None },
            line: 1,
            attributes: 0,
        };
        Image {
            objects,
            apertures: vec![pen(10, 150_000), pen(11, 450_000), pen(12, 200_000)],
            step: 1,
            ..Image::default()
        }
    }

    fn object(self, x: i64, y: i64) -> Object {
        match self {
            Self::Tracks => {
                let (column, row) = (x / 3, y);
                let at = |x: i64| Point::new(x * 1_000_000, row * 700_000);
                let middle =
                    Point::new(at(column).x + 500_000, at(column).y + if column % 4 == 0 { 70_000 } else { 0 });
                // Six lands in a row are one net, then there is a gap.
                let last = column % 6 == 5;
                match x % 3 {
                    0 => object(Shape::Flash { aperture: 1, at: at(column), turn: Turn::NONE }),
                    1 => draw(0, at(column), middle),
                    _ if last => draw(0, middle, middle),
                    _ => draw(0, middle, at(column + 1)),
                }
            }
            Self::Painted => {
                let at = |x: i64| Point::new(x * 400_000, y * 50_000 + (x % 2) * 25_000);
                draw(2, at(x), at(x + 1))
            }
            Self::Regions => square(x * 1_000_000, y * 1_000_000 + (y / 4) * 200_000),
        }
    }
}

fn draw(aperture: u32, from: Point, to: Point) -> Object {
    object(Shape::Draw { aperture, from, to, turn: Turn::NONE })
}

fn object(shape: Shape) -> Object {
    Object { shape, polarity: Polarity::Dark, attributes: 0, line: 1 }
}

fn square(x: Nm, y: Nm) -> Object {
    const SIDE: Nm = 1_000_000;
    let corners = [(x + SIDE, y), (x + SIDE, y + SIDE), (x, y + SIDE), (x, y)];
    let edges = corners.iter().map(|(x, y)| Edge::Line { to: Point::new(*x, *y) }).collect();
    let contour = Contour { start: Point::new(x, y), edges, line: 1 };
    object(Shape::Region { contours: Arc::new(vec![contour]), offset: Point::default() })
}
