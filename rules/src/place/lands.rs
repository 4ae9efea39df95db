//! Centres of lands on a layer, and how many holes land on them.

use landgap_parser::{ApertureShape, Image, Nm, Object, Point, Polarity, Shape};

/// A hole lands where its axis is this close to the centre of a land (formats 2.8, step 5).
pub(super) const LANDING: Nm = 25_000;

/// Filled areas up to this size count as lands.
const LARGEST_AREA_LAND: Nm = 10_000_000;

/// Centres of lands, found quickly.
#[derive(Debug, Default)]
pub(super) struct Lands {
    /// Cell and point, in order.
    cells: Vec<((i64, i64), Point)>,
}

impl Lands {
    /// Centres of what is flashed, dotted or filled in small pieces on the images.
    pub fn of<'a>(images: impl IntoIterator<Item = &'a Image>) -> Self {
        Self::of_points(images.into_iter().flat_map(|i| i.objects.iter().filter_map(centre)).collect())
    }

    /// Flash centres alone.
    pub fn of_flashes(image: &Image) -> Self {
        let flash = |o: &Object| matches!(o.shape, Shape::Flash { .. }).then(|| centre(o)).flatten();
        Self::of_points(image.objects.iter().filter_map(flash).collect())
    }

    /// Centres of clear flashes alone: where a legend was cut out for the mask.
    pub fn of_cleared(image: &Image) -> Self {
        let cleared = |o: &Object| match o.shape {
            Shape::Flash { at, .. } if o.polarity == Polarity::Clear => Some(at),
            _ => None,
        };
        Self::of_points(image.objects.iter().filter_map(cleared).collect())
    }

    /// Centres of round flashes alone.
    pub fn of_round(image: &Image) -> Self {
        let round = |aperture: u32| {
            image.apertures.get(aperture as usize).is_some_and(|a| matches!(a.shape, ApertureShape::Circle { .. }))
        };
        let flash = |o: &Object| match o.shape {
            Shape::Flash { aperture, at, .. } if o.polarity == Polarity::Dark && round(aperture) => Some(at),
            _ => None,
        };
        Self::of_points(image.objects.iter().filter_map(flash).collect())
    }

    /// From ready points.
    pub fn of_points(mut points: Vec<Point>) -> Self {
        points.sort_unstable();
        points.dedup();
        let mut cells: Vec<_> = points.into_iter().map(|p| (cell(p), p)).collect();
        cells.sort_unstable();
        Self { cells }
    }

    /// How many centres there are.
    pub fn count(&self) -> usize {
        self.cells.len()
    }

    /// All centres, in a fixed order.
    pub fn points(&self) -> impl Iterator<Item = Point> {
        self.cells.iter().map(|c| c.1)
    }

    /// Whether an axis lands.
    pub fn has(&self, p: Point) -> bool {
        let (cx, cy) = cell(p);
        (cx - 1..=cx + 1).any(|x| {
            let from = self.cells.partition_point(|c| c.0 < (x, cy - 1));
            let near = self.cells[from..].iter().take_while(|c| c.0 <= (x, cy + 1));
            near.into_iter().any(|c| c.1.distance(p) <= LANDING as f64)
        })
    }

    /// The nearest centre within landing distance.
    pub fn nearest(&self, p: Point) -> Option<Point> {
        let (cx, cy) = cell(p);
        let near = (cx - 1..=cx + 1).flat_map(|x| {
            let from = self.cells.partition_point(|c| c.0 < (x, cy - 1));
            self.cells[from..].iter().take_while(move |c| c.0 <= (x, cy + 1))
        });
        let best = near.map(|c| (c.1.distance(p), c.1)).min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
        (best.0 <= LANDING as f64).then_some(best.1)
    }

    /// The box of all centres.
    pub fn extent(&self) -> Option<super::extent::Extent> {
        super::extent::of_points(self.points())
    }

    /// Share of the points that land, 0 to 1; 0 for no points.
    pub fn share(&self, points: &[Point]) -> f64 {
        if points.is_empty() {
            return 0.0;
        }
        points.iter().filter(|p| self.has(**p)).count() as f64 / points.len() as f64
    }
}

fn cell(p: Point) -> (i64, i64) {
    (p.x.div_euclid(LANDING), p.y.div_euclid(LANDING))
}

fn centre(object: &Object) -> Option<Point> {
    if object.polarity == Polarity::Clear {
        return None;
    }
    match &object.shape {
        Shape::Flash { at, .. } => Some(*at),
        // A land for a slot is drawn from end to end: its middle is the slot's.
        Shape::Draw { from, to, .. } if from == to => Some(*from),
        Shape::Region { contours, offset } => {
            let [contour] = contours.as_slice() else { return None };
            let bounds = super::extent::of_contour(contour)?;
            let small = bounds.width() <= LARGEST_AREA_LAND && bounds.height() <= LARGEST_AREA_LAND;
            small.then(|| Point::new(bounds.centre().x + offset.x, bounds.centre().y + offset.y))
        }
        _ => None,
    }
}

/// At most `most` of the points, spread evenly over the list.
pub(super) fn sample(points: &[Point], most: usize) -> Vec<Point> {
    let step = points.len().div_ceil(most.max(1)).max(1);
    points.iter().copied().step_by(step).collect()
}

/// The shift that brings most holes onto lands, if one does so for more than a few.
pub(super) fn best_shift(holes: &[Point], lands: &Lands) -> Option<Point> {
    const GRID: Nm = 20_000;
    let holes = sample(holes, 40);
    let land_points: Vec<Point> = lands.points().collect();
    let land_points = sample(&land_points, 20_000);
    let mut votes: Vec<(i64, i64, Point)> = Vec::with_capacity(holes.len() * land_points.len());
    for hole in &holes {
        for land in &land_points {
            let shift = Point::new(land.x - hole.x, land.y - hole.y);
            votes.push((shift.x.div_euclid(GRID), shift.y.div_euclid(GRID), shift));
        }
    }
    votes.sort_unstable();
    let mut best: (usize, Option<Point>) = (0, None);
    for run in votes.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        if run.len() > best.0 {
            best = (run.len(), run.get(run.len() / 2).map(|v| v.2));
        }
    }
    best.1.filter(|_| best.0 > 3)
}
