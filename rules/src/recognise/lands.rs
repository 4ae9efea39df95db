//! Lands set down as flashes on the copper layers, findable by place.

use landgap_parser::{ApertureShape, Image, Nm, Point, Polarity, Shape, Turn};

use super::Ground;
use crate::board::{Board, LandFunction, Source};

/// A hole or land of another layer within this distance lies at the same place.
pub(crate) const SAME_PLACE: Nm = 20_000;

/// One flashed land.
#[derive(Clone, Debug)]
pub(crate) struct Land {
    /// Its middle.
    pub at: Point,
    /// Copper layer from the top.
    pub layer: u32,
    /// Extent in x and y, as it lies.
    pub size: (Nm, Nm),
    /// A disc.
    pub round: bool,
    /// Index of its aperture in its file.
    pub aperture: u32,
    /// Index of its object in its file.
    pub object: u32,
    /// File and line.
    pub source: Source,
    /// The piece of copper its middle lies in, once that is known.
    pub island: Option<u32>,
}

impl Land {
    /// Its smaller extent.
    pub(crate) fn least(&self) -> Nm {
        self.size.0.min(self.size.1)
    }
}

/// Every flashed land of the board, by place.
pub(crate) struct Lands {
    list: Vec<Land>,
}

impl Lands {
    /// Collects the flashes of all copper layers that are drawn as positives.
    pub(crate) fn of(board: &Board) -> Self {
        let mut list = Vec::new();
        for layer in board.copper.iter().filter(|l| !l.negative) {
            let Some(Some(image)) = board.images.get(layer.file as usize) else { continue };
            let sizes: Vec<Option<(Nm, Nm, bool)>> = image.apertures.iter().map(|a| extent(&a.shape)).collect();
            push_flashes(&mut list, image, &sizes, layer.number, layer.file);
        }
        list.sort_by_key(|l| (l.at, l.layer, l.object));
        Self { list }
    }

    /// Finds the piece of copper each land lies in.
    pub(crate) fn settled(mut self, ground: &Ground<'_>) -> Self {
        let island = |land: &Land| ground.copper.get(land.layer as usize - 1)?.island_at(land.at);
        let parts: Vec<&[Land]> = self.list.chunks(1024).collect();
        let found = crate::measure::in_parallel(&parts, |part| part.iter().map(island).collect::<Vec<_>>());
        for (land, island) in self.list.iter_mut().zip(found.into_iter().flatten()) {
            land.island = island;
        }
        self
    }

    /// All lands, by place.
    pub(crate) fn all(&self) -> &[Land] {
        &self.list
    }

    /// Lands whose middle lies at a place.
    pub(crate) fn at(&self, p: Point) -> impl Iterator<Item = &Land> {
        self.within(p, SAME_PLACE)
    }

    /// Lands whose middle lies within `reach` of a place.
    pub(crate) fn within(&self, p: Point, reach: Nm) -> impl Iterator<Item = &Land> {
        let start = self.list.partition_point(|l| l.at.x < p.x - reach);
        let near = self.list[start..].iter().take_while(move |l| l.at.x <= p.x + reach);
        near.filter(move |l| l.at.distance(p) <= reach as f64)
    }

    /// First field of `.AperFunction` of a land.
    pub(crate) fn function<'b>(&self, board: &'b Board, land: &Land) -> Option<&'b str> {
        attribute(board, land, ".AperFunction").and_then(|v| v.first()).map(String::as_str)
    }

    /// All fields of `.AperFunction` of a land.
    pub(crate) fn functions<'b>(&self, board: &'b Board, land: &Land) -> &'b [String] {
        attribute(board, land, ".AperFunction").unwrap_or_default()
    }

    /// Name of a land's net, where the data name it.
    pub(crate) fn net<'b>(&self, board: &'b Board, land: &Land) -> Option<&'b str> {
        let name = attribute(board, land, ".N")?.first()?.as_str();
        (!name.is_empty() && name != "N/C").then_some(name)
    }

    /// Whether the data say that a land is joined to nothing.
    pub(crate) fn is_unconnected(&self, board: &Board, land: &Land) -> bool {
        attribute(board, land, ".N").and_then(|v| v.first()).is_some_and(|name| name == "N/C")
    }

    /// Component a land belongs to, where the data name it.
    pub(crate) fn component<'b>(&self, board: &'b Board, land: &Land) -> Option<&'b str> {
        attribute(board, land, ".P").or_else(|| attribute(board, land, ".C"))?.first().map(String::as_str)
    }
}

fn attribute<'b>(board: &'b Board, land: &Land, name: &str) -> Option<&'b [String]> {
    let image = board.images.get(land.source.file as usize)?.as_ref()?;
    image.attribute(image.objects.get(land.object as usize)?, name)
}

/// What the function of a land says of the hole in it.
pub(crate) fn land_function(fields: &[String]) -> Option<LandFunction> {
    let fields: Vec<&str> = fields.iter().map(String::as_str).collect();
    Some(match fields[..] {
        ["ViaPad", ..] => LandFunction::Via,
        ["ComponentPad", "PressFit", ..] => LandFunction::PressFit,
        ["ComponentPad", ..] => LandFunction::Component,
        ["CastellatedPad", ..] => LandFunction::Castellated,
        ["WasherPad", ..] => LandFunction::Washer,
        _ => return None,
    })
}

fn push_flashes(list: &mut Vec<Land>, image: &Image, sizes: &[Option<(Nm, Nm, bool)>], layer: u32, file: u32) {
    for (object, drawn) in (0u32..).zip(&image.objects) {
        let Shape::Flash { aperture, at, turn } = drawn.shape else { continue };
        let size = sizes.get(aperture as usize).copied().flatten();
        let Some((width, height, round)) = size.filter(|_| drawn.polarity == Polarity::Dark) else { continue };
        let source = Source { file, line: drawn.line };
        list.push(Land { at, layer, size: turned(width, height, turn), round, aperture, object, source, island: None });
    }
}

fn turned(width: Nm, height: Nm, turn: Turn) -> (Nm, Nm) {
    let scaled = |v: Nm| (v as f64 * turn.scale).round() as Nm;
    let across = (turn.degrees.rem_euclid(180.0) - 90.0).abs() < 45.0;
    if across { (scaled(height), scaled(width)) } else { (scaled(width), scaled(height)) }
}

/// Extent of an aperture, and whether it is a disc.
fn extent(shape: &ApertureShape) -> Option<(Nm, Nm, bool)> {
    match shape {
        ApertureShape::Circle { diameter, .. } => Some((*diameter, *diameter, true)),
        ApertureShape::Rectangle { width, height, .. } => Some((*width, *height, false)),
        ApertureShape::Obround { width, height, .. } => Some((*width, *height, width == height)),
        ApertureShape::Polygon { diameter, .. } => Some((*diameter, *diameter, false)),
        ApertureShape::Macro { parts } => {
            let points = parts
                .iter()
                .filter(|p| p.adds)
                .flat_map(|p| &p.contours)
                .flat_map(|c| crate::geometry::flatten::contour(c).into_iter());
            let bounds = crate::geometry::Bounds::of(&points.collect::<Vec<_>>());
            (!bounds.is_empty()).then(|| (bounds.width(), bounds.height(), false))
        }
        ApertureShape::Unusable => None,
    }
}

/// Places of things that have no order of their own, findable by nearness.
pub(crate) struct Places {
    list: Vec<(Point, u32)>,
}

impl Places {
    /// From places with numbers.
    pub(crate) fn new(mut list: Vec<(Point, u32)>) -> Self {
        list.sort_unstable();
        Self { list }
    }

    /// Axes of all holes: ends, corners and middles of those that travel.
    pub(crate) fn of_holes(board: &Board) -> Self {
        let mut list = Vec::with_capacity(board.holes.len());
        for (number, hole) in (0u32..).zip(&board.holes) {
            let axis = crate::measure::touch::axis(hole);
            let ends = [axis.first(), axis.last()].into_iter().flatten().copied().collect::<Vec<_>>();
            let middle = Point::new(ends[0].x.midpoint(ends[1].x), ends[0].y.midpoint(ends[1].y));
            list.extend(axis.into_iter().map(|p| (p, number)));
            list.push((middle, number));
        }
        list.dedup();
        Self::new(list)
    }

    /// Axes of vias.
    pub(crate) fn of_vias(board: &Board) -> Self {
        let vias = (0u32..).zip(&board.holes).filter(|(_, h)| h.kind == crate::board::HoleKind::Via);
        Self::new(vias.map(|(i, h)| (h.at(), i)).collect())
    }

    /// Middles of everything flashed or filled in some files.
    pub(crate) fn of_images(board: &Board, files: impl Iterator<Item = u32>) -> Self {
        let mut list = Vec::new();
        for file in files {
            let Some(Some(image)) = board.images.get(file as usize) else { continue };
            for object in image.objects.iter().filter(|o| o.polarity == Polarity::Dark) {
                match &object.shape {
                    Shape::Flash { at, .. } => list.push((*at, file)),
                    Shape::Draw { from, to, .. } => {
                        list.push((Point::new(from.x.midpoint(to.x), from.y.midpoint(to.y)), file));
                    }
                    Shape::Region { contours, offset } => list.extend(contours.iter().map(|c| {
                        let bounds = crate::geometry::Bounds::of(&crate::geometry::flatten::contour(c));
                        let x = bounds.min.x.midpoint(bounds.max.x) + offset.x;
                        (Point::new(x, bounds.min.y.midpoint(bounds.max.y) + offset.y), file)
                    })),
                    Shape::Arc { .. } => {}
                }
            }
        }
        Self::new(list)
    }

    /// Whether there are none at all.
    pub(crate) const fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Numbers of those within `reach` of a place.
    pub(crate) fn within(&self, p: Point, reach: Nm) -> impl Iterator<Item = u32> {
        self.near(p, reach).map(|(_, number)| *number)
    }

    /// Places of those within `reach` of a place.
    pub(crate) fn at_within(&self, p: Point, reach: Nm) -> impl Iterator<Item = Point> {
        self.near(p, reach).map(|(at, _)| *at)
    }

    fn near(&self, p: Point, reach: Nm) -> impl Iterator<Item = &(Point, u32)> {
        let start = self.list.partition_point(|(at, _)| at.x < p.x - reach);
        let near = self.list[start..].iter().take_while(move |(at, _)| at.x <= p.x + reach);
        near.filter(move |(at, _)| at.distance(p) <= reach as f64)
    }

    /// Whether one lies within `reach` of a place.
    pub(crate) fn has(&self, p: Point, reach: Nm) -> bool {
        self.within(p, reach).next().is_some()
    }
}
