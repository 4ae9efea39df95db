//! Which number format the drill programs of a set are written in.
//!
//! Evidence in the order of formats 2.8: what the header states, holes inside the board's box, holes
//! on the lands of the outer copper, sizes of tools. Files with the same statement come from one
//! export and are judged together.

use landgap_parser::drill::{Format, HitShape, HoleImage, Program, Zeros, codes};
use landgap_parser::{Limits, Nm, Point, Unit};

use super::extent::{self, Extent};
use super::lands::{Lands, sample};

/// Share of holes on lands that settles a format.
const SETTLES: f64 = 0.95;
/// Holes looked at for one candidate.
const SAMPLE: usize = 4000;
/// Fewest holes whose landing says anything.
const FEW: usize = 4;
/// Holes may lie this far outside the board's box.
const AROUND: Nm = 5_000_000;

/// One program of a group.
pub(super) struct Member<'a> {
    pub program: &'a Program,
    /// Whether its holes are expected to have lands.
    pub lands: bool,
}

/// What the programs come to under one format.
pub(super) struct Trial {
    pub format: Format,
    /// Axes of the round holes that should have lands, sampled; the same holes in every trial.
    points: Vec<Point>,
    /// Share on lands.
    pub landing: f64,
    /// Share inside the board's box.
    pub inside: f64,
    /// Share of tools of believable size.
    pub sizes: f64,
    extent: Option<Extent>,
    /// Whether coordinates left the range of the reader.
    dropped: bool,
    /// Whether all numbers carry a point, so that only the unit counts.
    decimal: bool,
}

impl Trial {
    /// The format in words.
    pub fn words(&self) -> String {
        if self.decimal { format!("{} with decimal points", self.format.unit.name()) } else { self.format.words() }
    }
}

/// How the format was come by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Standing {
    /// Stated, and nothing speaks against it.
    Stated,
    /// Found by trial; the statement, if any, left it open.
    Found,
    /// The statement fits badly and another format fits well.
    Contradicted,
    /// Several formats survive, or none.
    Open,
}

/// The outcome for a group.
pub(super) struct Fit {
    pub chosen: Trial,
    pub standing: Standing,
    pub evidence: String,
    /// Readings that survive, likeliest first, each with the size it implies.
    pub readings: Vec<String>,
}

/// What is known of the board before the holes are placed.
pub(super) struct Ground<'a> {
    pub lands: &'a Lands,
    pub bounds: Option<Extent>,
    pub limits: &'a Limits,
}

/// Settles the format of a group; `None` where no candidate can be decoded at all.
pub(super) fn settle(group: &[Member<'_>], ground: &Ground<'_>) -> Option<Fit> {
    let stated = group.iter().find_map(|m| m.program.stated);
    let first = stated.and_then(|f| trial(group, f, ground));
    if let Some(trial) = first {
        return Some(weigh_stated(group, trial, ground));
    }
    weigh_open(trials(group, stated, ground), stated.is_some(), ground)
}

fn weigh_stated(group: &[Member<'_>], stated: Trial, ground: &Ground<'_>) -> Fit {
    let telling = stated.points.len() >= FEW && ground.lands.count() >= FEW;
    let fits = !stated.dropped
        && if telling { stated.landing >= SETTLES } else { stated.inside >= SETTLES || ground.bounds.is_none() };
    if fits && !group.iter().any(|m| tools_speak_against(m.program)) {
        let settled = group.iter().all(|m| m.program.stated_fully || m.program.all_decimal);
        return if settled {
            fit(stated, Standing::Stated, "as stated in the file", ground)
        } else {
            fit(stated, Standing::Found, "of which the file states a part and the rest is the usual reading", ground)
        };
    }
    let mut others = trials(group, Some(stated.format), ground);
    others.extend(every_format(group, &stated, ground));
    let best = others.into_iter().reduce(|a, b| if order(&b) > order(&a) { b } else { a });
    let Some(best) = best.filter(|b| better(b, &stated, ground)) else {
        return fit(stated, Standing::Stated, "as stated in the file, no other format fits better", ground);
    };
    let contradicts = contradicts(group, &stated.format, &best.format);
    let standing = if contradicts { Standing::Contradicted } else { Standing::Found };
    let readings = vec![reading(&best), reading(&stated)];
    let against = format!("the file's own statement read as {} puts {}", stated.words(), measured(&stated, ground));
    let mut found = fit(best, standing, "found by trial", ground);
    found.evidence = format!("{}; {against}", found.evidence);
    found.readings = readings;
    found
}

/// Whether the sizes of the tools suit only the unit that is not stated.
fn tools_speak_against(program: &Program) -> bool {
    program.remarks.iter().any(|r| std::ptr::eq(r.code, &codes::TOOL_UNLIKELY))
}

/// Formats beyond those the program itself leaves open: for a statement that fits badly.
fn every_format(group: &[Member<'_>], stated: &Trial, ground: &Ground<'_>) -> Vec<Trial> {
    const PICTURES: [(u32, u32); 9] = [(2, 4), (3, 3), (2, 5), (3, 2), (4, 2), (3, 4), (4, 3), (4, 4), (3, 5)];
    let mut out = Vec::new();
    for unit in [Unit::Inch, Unit::Millimetre] {
        for zeros in [Zeros::Leading, Zeros::Trailing] {
            let stated = (stated.format.integer, stated.format.decimals);
            let pictures = std::iter::once(stated).chain(PICTURES.into_iter().filter(|p| *p != stated));
            for (integer, decimals) in pictures {
                out.extend(trial(group, Format { unit, zeros, integer, decimals }, ground));
            }
        }
    }
    out
}

/// Whether another format beats the stated one clearly.
fn better(other: &Trial, stated: &Trial, ground: &Ground<'_>) -> bool {
    if other.dropped || other.sizes < SETTLES {
        return false;
    }
    if other.points.len() >= FEW && ground.lands.count() >= FEW {
        return other.landing >= SETTLES && distinct_share(other, stated) <= 0.5;
    }
    other.inside >= SETTLES && (stated.inside < 0.5 || stated.dropped || stated.sizes < 0.5)
}

/// Whether taking `found` breaks what the files say in so many words.
fn contradicts(group: &[Member<'_>], stated: &Format, found: &Format) -> bool {
    stated.unit != found.unit
        || (group.iter().any(|m| m.program.stated_fully)
            && (stated.zeros, stated.integer, stated.decimals) != (found.zeros, found.integer, found.decimals))
}

fn weigh_open(mut all: Vec<Trial>, was_stated: bool, ground: &Ground<'_>) -> Option<Fit> {
    all.sort_by(|a, b| order(b).total_cmp(&order(a)));
    let mut all = all.into_iter();
    let best = all.next()?;
    let rivals: Vec<Trial> = all.filter(|t| rivals(&best, t)).collect();
    let telling = best.points.len() >= FEW && ground.lands.count() >= FEW;
    let settled = if telling { best.landing >= SETTLES } else { best.inside >= SETTLES && ground.bounds.is_some() };
    let unique = settled && !best.dropped && best.sizes >= SETTLES && rivals.is_empty();
    let standing = match (unique, was_stated) {
        (true, false) => Standing::Found,
        (true, true) => Standing::Contradicted,
        (false, _) => Standing::Open,
    };
    let readings = std::iter::once(reading(&best)).chain(rivals.iter().take(5).map(reading)).collect();
    let mut found = fit(best, standing, "found by trial", ground);
    found.readings = readings;
    Some(found)
}

/// Whether a trial is as good as the best on those holes where the two differ.
fn rivals(best: &Trial, other: &Trial) -> bool {
    if other.points == best.points && other.extent == best.extent {
        return false;
    }
    if best.landing >= SETTLES {
        return distinct_share(best, other) > 0.5;
    }
    order(other) >= order(best) - 0.05
}

/// Among the holes that the two trials put elsewhere: the share that lands in `other`, against that in `best`.
fn distinct_share(best: &Trial, other: &Trial) -> f64 {
    if other.points.len() != best.points.len() {
        return 0.0;
    }
    let apart =
        best.points.iter().zip(&other.points).filter(|(a, b)| a.distance(**b) > super::lands::LANDING as f64).count();
    if apart == 0 {
        return 0.0;
    }
    let total = best.points.len() as f64;
    let lost = (best.landing - other.landing) * total;
    (1.0 - lost / apart as f64).clamp(0.0, 1.0)
}

fn order(trial: &Trial) -> f64 {
    let dropped = if trial.dropped { 3.0 } else { 0.0 };
    trial.landing * 4.0 + trial.inside + trial.sizes - dropped
}

fn trials(group: &[Member<'_>], skip: Option<Format>, ground: &Ground<'_>) -> Vec<Trial> {
    let mut formats: Vec<Format> = Vec::new();
    for member in group {
        for format in member.program.candidates() {
            if !formats.contains(&format) && Some(format) != skip {
                formats.push(format);
            }
        }
    }
    formats.into_iter().filter_map(|f| trial(group, f, ground)).collect()
}

/// Decodes a group; `None` where one of its programs goes beyond a limit.
pub(super) fn decode(group: &[Member<'_>], format: &Format, limits: &Limits) -> Option<Vec<HoleImage>> {
    group.iter().map(|m| m.program.decode(format, limits).ok()).collect()
}

/// Tries one format. The holes themselves are not kept: a large program may have many candidates.
fn trial(group: &[Member<'_>], format: Format, ground: &Ground<'_>) -> Option<Trial> {
    let images = decode(group, &format, ground.limits)?;
    let landed = || images.iter().zip(group).filter(|(_, m)| m.lands).flat_map(|(i, _)| axes(i));
    let points = sample(&landed().collect::<Vec<_>>(), SAMPLE);
    let all: Vec<Point> = images.iter().flat_map(axes).collect();
    let extent = extent::of_points(images.iter().flat_map(ends));
    let inside = ground.bounds.map_or(1.0, |bounds| share_inside(&all, bounds.grown(AROUND), extent));
    let sizes = believable_sizes(&images);
    let dropped = images.iter().any(|i| i.remarks.iter().any(|r| std::ptr::eq(r.code, &codes::OUT_OF_RANGE)));
    let decimal = group.iter().all(|m| m.program.all_decimal);
    Some(Trial { dropped, decimal, format, landing: ground.lands.share(&points), inside, sizes, points, extent })
}

fn share_inside(points: &[Point], bounds: Extent, extent: Option<Extent>) -> f64 {
    if points.is_empty() {
        return extent.map_or(1.0, |e| f64::from(u8::from(bounds.holds(e.low) && bounds.holds(e.high))));
    }
    points.iter().filter(|p| bounds.holds(**p)).count() as f64 / points.len() as f64
}

fn believable_sizes(images: &[HoleImage]) -> f64 {
    let sizes: Vec<Nm> = images.iter().flat_map(|i| i.tools.iter().filter_map(|t| t.diameter)).collect();
    if sizes.is_empty() {
        return 1.0;
    }
    sizes.iter().filter(|s| (50_000..=7_000_000).contains(*s)).count() as f64 / sizes.len() as f64
}

/// Axes of the round holes.
pub(super) fn axes(image: &HoleImage) -> impl Iterator<Item = Point> + '_ {
    image.hits.iter().filter_map(|h| if let HitShape::Hole { at } = h.shape { Some(at) } else { None })
}

/// Axes of holes and ends of slots and paths.
fn ends(image: &HoleImage) -> impl Iterator<Item = Point> + '_ {
    image.hits.iter().flat_map(|h| match &h.shape {
        HitShape::Hole { at } => vec![*at],
        HitShape::Slot { from, to } => vec![*from, *to],
        HitShape::Route { start, edges } => {
            std::iter::once(*start).chain(edges.iter().map(landgap_parser::Edge::to)).collect()
        }
    })
}

fn fit(trial: Trial, standing: Standing, how: &str, ground: &Ground<'_>) -> Fit {
    let evidence = format!("numbers read as {}, {how}: {}", trial.words(), measured(&trial, ground));
    let readings = vec![reading(&trial)];
    Fit { chosen: trial, standing, evidence, readings }
}

fn measured(trial: &Trial, ground: &Ground<'_>) -> String {
    let mut parts = Vec::new();
    if !trial.points.is_empty() && ground.lands.count() > 0 {
        parts.push(format!(
            "{:.0} % of {} holes on lands of the outer copper",
            trial.landing * 100.0,
            trial.points.len()
        ));
    }
    if ground.bounds.is_some() {
        parts.push(format!("{:.0} % inside the board's box", trial.inside * 100.0));
    }
    if parts.is_empty() {
        parts.push("nothing to hold the holes against".to_owned());
    }
    parts.join(", ")
}

fn reading(trial: &Trial) -> String {
    let size = trial.extent.map_or_else(|| "no holes".to_owned(), |e| format!("holes spread over {}", e.words()));
    format!("{}: {size}", trial.words())
}
