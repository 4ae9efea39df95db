//! Random scenes measured here and with GEOS, a general geometry library made elsewhere: islands,
//! copper area, gap, ring and web agree within the uncertainty that each fact states.
//!
//! GEOS draws every round end and disc as an inscribed polygon of 256 corners, which errs by less than
//! 0.1 µm at the sizes used. Runs with the feature `baseline`, for which the library must be installed.

#![cfg(feature = "baseline")]

#[path = "support/pose.rs"]
mod pose;

use geos::{CoordSeq, Geom, Geometry};
use landgap_rules::check::Measured;
use landgap_rules::fact::{Fact, FactKind};
use pose::{POSES, copper, file, run};

/// Corners of a quarter circle.
const QUARTER: i32 = 64;
/// What GEOS's own polygons may be off by, in mm.
const GEOS_ERROR: f64 = 0.000_1;
/// Where copper lies nearer or overlaps by less than this, the number of islands is not certain; in mm.
const CERTAIN: f64 = 0.001;
const SCENES: u64 = 40;

/// Numbers without order from a fixed start (the 64-bit mixer of Steele, Lea and Flood 2014).
struct Mixer(u64);

impl Mixer {
    fn below(&mut self, limit: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (z ^ (z >> 31)) % limit
    }

    /// From −reach to +reach µm, in whole micrometres.
    fn place(&mut self, reach: u64) -> f64 {
        self.below(2 * reach) as f64 - reach as f64
    }
}

/// An object as text of an artwork file and as GEOS has it, in mm.
struct Thing {
    text: String,
    shape: Geometry,
}

fn point(x_um: f64, y_um: f64) -> Geometry {
    Geometry::create_point(CoordSeq::new_from_vec(&[[x_um / 1000.0, y_um / 1000.0]]).expect("a point"))
        .expect("a point")
}

fn line(from: (f64, f64), to: (f64, f64)) -> Geometry {
    let ends = [[from.0 / 1000.0, from.1 / 1000.0], [to.0 / 1000.0, to.1 / 1000.0]];
    Geometry::create_line_string(CoordSeq::new_from_vec(&ends).expect("two points")).expect("a line")
}

fn disc(diameter: f64, at: (f64, f64), number: u32) -> Thing {
    let shape = point(at.0, at.1).buffer(diameter / 2000.0, QUARTER).expect("a disc");
    Thing { text: POSES[0].disc(diameter, at, number), shape }
}

fn track(width: f64, from: (f64, f64), to: (f64, f64), number: u32) -> Thing {
    let shape = line(from, to).buffer(width / 2000.0, QUARTER).expect("a stroke");
    Thing { text: POSES[0].track(width, from, to, number), shape }
}

fn scene(mixer: &mut Mixer, count: u32, reach: u64) -> Vec<Thing> {
    (0..count)
        .map(|i| {
            let at = (mixer.place(reach), mixer.place(reach));
            let size = 100.0 + mixer.below(900) as f64;
            if mixer.below(3) == 0 {
                disc(size, at, 10 + i)
            } else {
                let to = (at.0 + mixer.place(2500), at.1 + mixer.place(2500));
                track(size / 2.0, at, (to.0.clamp(-9000.0, 9000.0), to.1.clamp(-9000.0, 9000.0)), 10 + i)
            }
        })
        .collect()
}

/// The union as its separate pieces.
fn islands(things: &[Thing]) -> Vec<Geometry> {
    let all =
        Geometry::create_geometry_collection(things.iter().map(|t| Clone::clone(&t.shape)).collect()).expect("a list");
    let union = all.unary_union().expect("a union");
    (0..union.get_num_geometries().expect("a count"))
        .map(|i| Geom::clone(&union.get_geometry_n(i).expect("a piece")).expect("a copy"))
        .collect()
}

/// Least distance between two of them, in mm.
fn least(islands: &[Geometry]) -> f64 {
    let boxes: Vec<Geometry> = islands.iter().map(|i| i.envelope().expect("a box")).collect();
    let apart = |of: &[Geometry], i: usize, j: usize| of[i].distance(&of[j]).expect("a distance");
    let mut least = f64::INFINITY;
    for (i, j) in (0..islands.len()).flat_map(|i| (i + 1..islands.len()).map(move |j| (i, j))) {
        if apart(&boxes, i, j) < least {
            least = least.min(apart(islands, i, j));
        }
    }
    least
}

/// Whether there are as many islands when every object is drawn a little smaller: none hangs together by a touch.
fn whole(things: &[Thing], count: usize) -> bool {
    let smaller = |t: &Thing| t.shape.buffer(-CERTAIN / 2.0, QUARTER).expect("a smaller object");
    let all = Geometry::create_geometry_collection(things.iter().map(smaller).collect()).expect("a list");
    all.unary_union().expect("a union").get_num_geometries().expect("a count") == count
}

fn text(things: &[Thing]) -> String {
    things.iter().map(|t| t.text.as_str()).collect()
}

fn mm(nm: i64) -> f64 {
    nm as f64 / 1e6
}

fn within(fact: &Fact, truth: f64, what: &str) {
    let off = (mm(fact.value) - truth).abs();
    let allowed = mm(fact.uncertainty) + GEOS_ERROR;
    assert!(off <= allowed, "{what}: {} mm here, {truth} mm by GEOS, allowed {allowed}", mm(fact.value));
}

/// Both witness points lie on copper, as far apart as the fact says, and on different islands.
fn witnesses_hold(fact: &Fact, islands: &[Geometry]) {
    let on = |p: landgap_parser::Point| {
        let p = point(p.x as f64 / 1000.0, p.y as f64 / 1000.0);
        let far = |i: &Geometry| i.distance(&p).expect("a distance");
        let (index, off) = islands.iter().map(far).enumerate().min_by(|a, b| a.1.total_cmp(&b.1)).expect("an island");
        assert!(off <= 0.000_5, "a witness point lies {off} mm off all copper");
        index
    };
    assert_ne!(on(fact.from), on(fact.to), "a gap within one island");
    assert!((mm(fact.value) - fact.from.distance(fact.to) / 1e6).abs() <= 0.000_01, "{fact:?}");
}

/// Scenes whose islands are certain, with those islands.
fn certain(seed: u64, reach: u64, count: u32) -> impl Iterator<Item = (Vec<Thing>, Vec<Geometry>)> {
    let mut mixer = Mixer(seed);
    let made = (0..SCENES).filter_map(move |_| {
        let things = scene(&mut mixer, count, reach);
        let islands = islands(&things);
        (islands.len() > 1 && least(&islands) > CERTAIN && whole(&things, islands.len())).then_some((things, islands))
    });
    made
}

#[test]
fn islands_area_and_gap_agree() {
    let mut seen = 0;
    for (things, islands) in certain(1, 9000, 60) {
        let board: Measured = run(copper(POSES[0], &text(&things)));
        let layer = &board.facts.layers[0];
        assert_eq!(layer.islands as usize, islands.len());
        let area: f64 = islands.iter().map(|i| i.area().expect("an area")).sum();
        let around: f64 = islands.iter().map(|i| i.length().expect("a length")).sum();
        assert!((layer.copper_mm2 - area).abs() <= around * 0.000_3, "{} {area}", layer.copper_mm2);
        let gaps: Vec<&Fact> = board.facts.of(FactKind::Gap).collect();
        let truth = least(&islands);
        match gaps.first() {
            Some(first) => within(first, truth, "least gap"),
            None => assert!(truth >= mm(board.facts.horizon), "no gap kept though one is {truth} mm"),
        }
        gaps.iter().for_each(|g| witnesses_hold(g, &islands));
        seen += gaps.len();
    }
    assert!(seen > 200, "the scenes hold gaps to compare: {seen}");
}

#[test]
fn rings_agree() {
    let mut seen = 0;
    for (things, islands) in certain(2, 6000, 40) {
        let mut mixer = Mixer(things.len() as u64 + seen);
        let holes: Vec<(f64, f64, f64)> =
            (0..12).map(|_| (200.0 + mixer.below(300) as f64, mixer.place(6000), mixer.place(6000))).collect();
        let mut files = copper(POSES[0], &text(&things));
        files.push(file("plated.xnc", POSES[0].drill(&holes, true)));
        let board = run(files);
        for fact in
            board.facts.of(FactKind::RingDrawn).filter(|f| f.layer == Some(landgap_rules::board::LayerRef::Copper(1)))
        {
            let hole = &board.board.holes[fact.holes[0] as usize];
            let (Some(diameter), centre) = (hole.finished, hole.at()) else { continue };
            let at = point(centre.x as f64 / 1000.0, centre.y as f64 / 1000.0);
            let Some(land) = islands.iter().find(|i| i.contains(&at).expect("an answer")) else { continue };
            let edge = land.boundary().expect("an edge").distance(&at).expect("a distance");
            within(fact, edge - mm(diameter) / 2.0, "ring");
            seen += 1;
        }
    }
    assert!(seen > 50, "the scenes hold rings to compare: {seen}");
}

#[test]
fn webs_agree() {
    let mut seen = 0;
    for (things, islands) in certain(3, 9000, 50) {
        let mut files = copper(POSES[0], "");
        files.push(file("mask.gbr", POSES[0].artwork("Soldermask,Top", &text(&things))));
        let board = run(files);
        let truth = least(&islands);
        match board.facts.of(FactKind::Web).next() {
            Some(first) => {
                within(first, truth, "least web");
                seen += 1;
            }
            None => assert!(truth >= mm(board.facts.horizon), "no web kept though one is {truth} mm"),
        }
    }
    assert!(seen > 20, "the scenes hold webs to compare: {seen}");
}
