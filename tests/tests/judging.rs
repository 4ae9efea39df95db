//! Judging and asking, from hand-made facts through the public door.

use landgap_parser::drill::HitShape;
use landgap_parser::{Nm, Point};
use landgap_rules::board::{
    CopperLayer, Doubt, Hole, HoleKind, HolePlating, LayerRef, Outline, OutlineState, Side, Source,
};
use landgap_rules::capability::{Capability, EntryValue, Order, arithmetic};
use landgap_rules::check::{Measured, judge};
use landgap_rules::fact::{Fact, FactKind};
use landgap_rules::query::{Query, Severity, Verdict};
use landgap_rules::rule;

const STANDARD: &str = include_str!("../../rules/capabilities/standard.toml");

fn standard() -> Capability {
    Capability::named("standard").expect("the standard profile")
}

fn changed(from: &str, to: &str) -> Capability {
    assert!(STANDARD.contains(from), "the standard profile no longer holds `{from}`");
    Capability::parse("changed.toml", &STANDARD.replacen(from, to, 1)).expect("a profile")
}

fn board(layers: u32) -> Measured {
    let mut measured = Measured::default();
    let side = |n| {
        if n == 1 {
            Side::Top
        } else if n == layers {
            Side::Bottom
        } else {
            Side::Inner
        }
    };
    measured.board.copper =
        (1..=layers).map(|number| CopperLayer { number, side: side(number), file: 0, negative: false }).collect();
    measured.board.outline = Outline { state: OutlineState::Closed, ..Outline::default() };
    measured.facts.looked_at = FactKind::ALL.map(|k| (k, 1)).to_vec();
    measured
}

fn hole(plating: HolePlating, kind: HoleKind, finished: Nm, at: Point) -> Hole {
    Hole {
        shape: HitShape::Hole { at },
        finished: Some(finished),
        plating,
        kind,
        span: (1, 99),
        source: Source { file: 0, line: 7 },
        step: 1,
        function: None,
        tolerance: None,
        reasons: Vec::new(),
    }
}

fn fact(kind: FactKind, layer: Option<LayerRef>, value: Nm) -> Fact {
    let (from, to) = (Point::new(0, 0), Point::new(value.max(0), 0));
    Fact {
        kind,
        layer,
        value,
        uncertainty: 0,
        from,
        to,
        nets: vec![1, 2],
        holes: Vec::new(),
        sources: Vec::new(),
        length: None,
        run: None,
        same_net: false,
    }
}

fn fact_at(kind: FactKind, layer: Option<LayerRef>, value: Nm, at: Point) -> Fact {
    Fact { from: at, to: Point::new(at.x + value, at.y), ..fact(kind, layer, value) }
}

fn of<'v>(verdict: &'v Verdict, rule: &str) -> Vec<&'v Query> {
    verdict.queries.iter().filter(|q| q.rule == rule).collect()
}

fn severity(measured: &Measured, capability: &Capability, order: &Order, rule: &str) -> Option<Severity> {
    of(&judge(measured, capability, order), rule).iter().map(|q| q.severity).max()
}

/// A distance rule, a fact it holds, the holes it needs, and the value as drawn that just passes each level.
struct Edge {
    rule: &'static str,
    kind: FactKind,
    layer: Option<LayerRef>,
    layers: u32,
    holes: Vec<Hole>,
    /// Preferred, minimum, special as drawn.
    levels: [Nm; 3],
    worst: Severity,
}

fn edges() -> Vec<Edge> {
    let origin = Point::new(0, 0);
    let far = Point::new(5_000_000, 0);
    let via = |at| hole(HolePlating::Plated, HoleKind::Via, 300_000, at);
    let pin = |at| hole(HolePlating::Plated, HoleKind::Component, 1_000_000, at);
    let screw = |at| hole(HolePlating::Unplated, HoleKind::Mechanical, 3_000_000, at);
    let outer = Some(LayerRef::Copper(1));
    let inner = Some(LayerRef::Copper(2));
    let mask = Some(LayerRef::Mask(Side::Top));
    let edge = |rule, kind, layer, holes, levels, worst| Edge { rule, kind, layer, layers: 4, holes, levels, worst };
    use FactKind::*;
    use Severity::{Ask, Stop};
    vec![
        edge("tight-gap", Gap, outer, vec![], [125_000, 110_000, 90_000], Stop),
        edge("tight-gap", Gap, inner, vec![], [125_000, 112_000, 100_000], Stop),
        edge("narrow-track", Width, outer, vec![], [125_000, 100_000, 85_000], Stop),
        edge("narrow-track", Width, inner, vec![], [125_000, 100_000, 90_000], Stop),
        edge("thin-ring", RingDrawn, outer, vec![via(origin)], [150_000, 125_000, 100_000], Stop),
        edge("thin-ring", RingDrawn, inner, vec![via(origin)], [150_000, 150_000, 125_000], Stop),
        edge("thin-web", Web, mask, vec![], [100_000, 100_000, 75_000], Ask),
        edge("copper-near-edge", CopperToEdge, outer, vec![], [250_000, 250_000, 200_000], Ask),
        edge("copper-near-edge", CopperToEdge, inner, vec![], [400_000, 400_000, 300_000], Ask),
        edge("copper-near-hole", HoleToCopper, outer, vec![via(origin)], [200_000, 200_000, 150_000], Ask),
        edge("copper-near-hole", HoleToCopper, inner, vec![via(origin)], [300_000, 250_000, 200_000], Ask),
        edge("copper-near-hole", HoleToCopper, inner, vec![screw(origin)], [200_000, 200_000, 150_000], Ask),
        edge("holes-too-close", HoleToHole, None, vec![via(origin), via(far)], [400_000, 350_000, 250_000], Ask),
        edge("holes-too-close", HoleToHole, None, vec![pin(origin), pin(far)], [450_000, 400_000, 300_000], Ask),
        edge("holes-too-close", HoleToHole, None, vec![via(origin), screw(far)], [300_000, 300_000, 250_000], Ask),
        edge("hole-near-edge", HoleToEdge, None, vec![pin(origin)], [500_000, 400_000, 300_000], Ask),
        edge("hole-near-edge", HoleToEdge, None, vec![screw(origin)], [250_000, 250_000, 200_000], Ask),
    ]
}

impl Edge {
    fn measured(&self, value: Nm, uncertainty: Nm) -> Measured {
        let mut measured = board(self.layers);
        measured.board.holes.clone_from(&self.holes);
        let holes = (0..self.holes.len() as u32).collect();
        measured.facts.facts = vec![Fact { uncertainty, holes, ..fact(self.kind, self.layer, value) }];
        measured
    }

    fn severity(&self, value: Nm, uncertainty: Nm) -> Option<Severity> {
        severity(&self.measured(value, uncertainty), &standard(), &Order::default(), self.rule)
    }
}

#[test]
fn at_the_limit_passes_and_just_below_it_does_not() {
    for e in edges() {
        let name = format!("{} {:?} {:?}", e.rule, e.kind, e.layer);
        let [preferred, minimum, special] = e.levels;
        assert_eq!(e.severity(preferred, 0), None, "{name}: at preferred");
        let below_preferred = if preferred > minimum { Severity::Note } else { Severity::Ask };
        assert_eq!(e.severity(preferred - 1, 0), Some(below_preferred), "{name}: below preferred");
        assert_eq!(e.severity(minimum, 0), (preferred > minimum).then_some(Severity::Note), "{name}: at minimum");
        assert_eq!(e.severity(minimum - 1, 0), Some(Severity::Ask), "{name}: below minimum");
        assert_eq!(e.severity(special, 0), Some(Severity::Ask), "{name}: at special");
        assert_eq!(e.severity(special - 1, 0), Some(e.worst), "{name}: below special");
    }
}

#[test]
fn within_its_uncertainty_a_value_passes() {
    for e in edges() {
        let [preferred, minimum, _] = e.levels;
        assert_eq!(e.severity(preferred - 500, 500), None, "{}: explained by uncertainty", e.rule);
        assert!(e.severity(preferred - 501, 500).is_some(), "{}: not explained", e.rule);
        assert_ne!(e.severity(minimum - 500, 500), Some(Severity::Ask), "{}: minimum explained", e.rule);
    }
}

#[test]
fn places_say_what_was_judged_and_what_was_drawn() {
    let e = edges().into_iter().find(|e| e.rule == "copper-near-hole").expect("a rule at tool size");
    let verdict = judge(&e.measured(180_000, 700), &standard(), &Order::default());
    let query = of(&verdict, "copper-near-hole")[0];
    assert_eq!((query.measured, query.required, query.uncertainty), (Some(130_000), Some(150_000), Some(700)));
    assert_eq!((query.places[0].measured, query.places[0].drawn), (Some(130_000), Some(180_000)));
}

#[test]
fn half_holes_own_nets_short_necks_and_perforations_are_left_alone() {
    let mut m = board(4);
    let origin = Point::new(0, 0);
    m.board.holes = vec![
        hole(HolePlating::Plated, HoleKind::HalfHole, 600_000, origin),
        hole(HolePlating::Plated, HoleKind::Via, 300_000, Point::new(9_000_000, 0)),
    ];
    for i in 0..3 {
        m.board.holes.push(hole(
            HolePlating::Unplated,
            HoleKind::Perforation,
            500_000,
            Point::new(20_000_000 + i * 700_000, 0),
        ));
    }
    let on = |layer, kind, value, holes: &[u32]| Fact { holes: holes.to_vec(), ..fact(kind, layer, value) };
    let (outer, inner) = (Some(LayerRef::Copper(1)), Some(LayerRef::Copper(2)));
    m.facts.facts = vec![
        on(outer, FactKind::RingDrawn, 10_000, &[0]),
        on(outer, FactKind::CopperToEdge, -100_000, &[]),
        on(None, FactKind::HoleToEdge, -300_000, &[0]),
        Fact { nets: vec![3, 3], ..on(inner, FactKind::HoleToCopper, 50_000, &[1]) },
        on(None, FactKind::HoleToHole, 200_000, &[2, 3]),
        on(None, FactKind::HoleToEdge, 50_000, &[3]),
        Fact { length: Some(40_000), ..on(outer, FactKind::Width, 50_000, &[]) },
    ];
    m.facts.landed = vec![vec![1, 4]; m.board.holes.len()];
    let verdict = judge(&m, &standard(), &Order::default());
    let raised: Vec<_> = verdict.queries.iter().map(|q| q.rule).collect();
    assert_eq!(raised, ["no-netlist"], "{:#?}", verdict.queries);
    m.board.holes.iter_mut().for_each(|h| h.kind = HoleKind::Component);
    assert!(
        judge(&m, &standard(), &Order::default()).queries.len() >= 3,
        "without recognition the same facts are faults"
    );
}

#[test]
fn a_plated_hole_without_a_land_is_found_on_its_layer() {
    let mut m = board(2);
    m.board.holes = vec![hole(HolePlating::Plated, HoleKind::Component, 1_000_000, Point::new(0, 0))];
    assert!(
        judge(&m, &standard(), &Order::default())
            .ran
            .iter()
            .any(|r| r.rule == "padless-plated-hole" && r.not_run.is_some())
    );
    m.facts.landed = vec![vec![1]];
    let verdict = judge(&m, &standard(), &Order::default());
    let query = of(&verdict, "padless-plated-hole")[0];
    assert_eq!(
        (query.places.len(), query.layers.clone(), query.severity),
        (1, vec!["copper 2".to_owned()], Severity::Ask)
    );
}

#[test]
fn the_order_changes_the_limits() {
    let gap = |value| {
        let mut m = board(2);
        m.facts.facts = vec![fact(FactKind::Gap, Some(LayerRef::Copper(1)), value)];
        m
    };
    let thick = Order { copper: Some(70_000), ..Order::default() };
    assert_eq!(severity(&gap(125_000), &standard(), &Order::default(), "tight-gap"), None);
    assert_eq!(severity(&gap(125_000), &standard(), &thick, "tight-gap"), Some(Severity::Stop));
    assert_eq!(severity(&gap(200_000), &standard(), &thick, "tight-gap"), Some(Severity::Ask));
    let web = |value| {
        let mut m = board(2);
        m.facts.facts = vec![fact(FactKind::Web, Some(LayerRef::Mask(Side::Top)), value)];
        m
    };
    let coloured = |colour: &str| Order { mask_colour: Some(colour.to_owned()), ..Order::default() };
    for (colour, least) in [("green", 100_000), ("blue", 125_000), ("Black, matt", 130_000), ("white", 130_000)] {
        assert_ne!(severity(&web(least), &standard(), &coloured(colour), "thin-web"), Some(Severity::Ask), "{colour}");
        assert_eq!(
            severity(&web(least - 1), &standard(), &coloured(colour), "thin-web"),
            Some(Severity::Ask),
            "{colour}"
        );
    }
    assert_eq!(
        severity(&web(110_000), &standard(), &thick, "thin-web"),
        Some(Severity::Ask),
        "thick copper needs a wider web"
    );
    assert_eq!(
        severity(&gap(100_000), &Capability::named("advanced").expect("advanced"), &Order::default(), "tight-gap"),
        None
    );
}

#[test]
fn a_missing_order_is_listed_as_assumptions() {
    let verdict = judge(&board(4), &standard(), &Order::default());
    for word in ["1.6 mm", "18 µm", "35 µm", "green", "film", "class 2"] {
        assert!(verdict.assumptions.iter().any(|a| a.contains(word)), "nothing says {word}: {:?}", verdict.assumptions);
    }
    let text = "thickness_um = 1000\ncopper_um = 18\ninner_copper_um = 18\nmask_colour = \"red\"\nmask_process = \"direct\"\nclass = 2\nlayers = 4\nquantity = 5\nfinish = \"tin\"\n";
    let order = Order::parse("order.toml", text).expect("an order");
    assert_eq!((order.thickness, order.layers), (Some(1_000_000), Some(4)));
    assert_eq!(judge(&board(4), &standard(), &order).assumptions, Vec::<String>::new());
}

#[test]
fn the_order_may_contradict_the_data() {
    let order = Order { layers: Some(4), ..Order::default() };
    let verdict = judge(&board(2), &standard(), &order);
    assert_eq!(of(&verdict, "missing-layer")[0].severity, Severity::Stop);
    assert!(of(&verdict, "missing-layer")[0].what.contains("4 copper layers"));
}

#[test]
fn errors_name_file_line_key_and_what_was_expected() {
    let line_of = |text: &str, what: &str| text.lines().position(|l| l.contains(what)).expect("a line") as u32 + 1;
    let fails = |text: &str| Capability::parse("mine.toml", text).expect_err("a faulty profile");
    let misspelt = STANDARD.replacen("[edge_copper.outer]\npreferred", "[edge_copper.outer]\nprefered", 1);
    let error = fails(&misspelt);
    assert_eq!(
        (error.file.as_str(), error.line, error.key.as_str()),
        ("mine.toml", line_of(&misspelt, "prefered"), "edge_copper.outer.prefered")
    );
    assert!(error.text.contains("`preferred`"), "{error}");
    let worded = STANDARD.replacen("[tool.step]\nvalue = 50", "[tool.step]\nvalue = \"fifty\"", 1);
    let error = fails(&worded);
    assert_eq!((error.line, error.key.as_str()), (line_of(&worded, "fifty"), "tool.step.value"));
    assert!(error.to_string().contains("decimal number"), "{error}");
    let row = STANDARD.replacen("{ copper = 35, preferred = 150", "{ copper = 35, preferred = -1", 1);
    let error = fails(&row);
    assert_eq!((error.line, error.key.as_str()), (line_of(&row, "preferred = -1"), "track.outer.preferred"));
    let cut = fails(&STANDARD.replacen("[wall.via]", "[wall.vias]", 1));
    assert!(cut.key.starts_with("wall"), "{cut}");
    assert!(fails("name = ").line == 1);
    let rowless = fails(&STANDARD.replacen("[gap.inner]", "[gap.inner]\nrows = []\n[spare]", 1));
    assert!(rowless.line > 0 && !rowless.text.is_empty());
}

#[test]
fn order_errors_name_the_key() {
    let fails = |text: &str| Order::parse("order.toml", text).expect_err("a faulty order");
    let unknown = fails("thickness_um = 1600\ncolor = \"green\"\n");
    assert_eq!((unknown.line, unknown.key.as_str()), (2, "color"));
    let thin = fails("layers = 2\nthickness_um = 1.6\n");
    assert_eq!((thin.line, thin.key.as_str()), (2, "thickness_um"));
    assert!(thin.text.contains("1.6 mm is 1600"), "{thin}");
    assert_eq!(fails("class = 4\n").key, "class");
    assert_eq!(fails("mask_process = \"brush\"\n").key, "mask_process");
}

#[test]
fn shipped_profiles_are_without_lint_and_advanced_holds_more() {
    let [plain, fine] =
        ["standard", "advanced"].map(|n| Capability::named(n).expect("a profile that comes with the program"));
    assert_eq!(Capability::names(), ["standard", "advanced"]);
    assert_eq!(plain.text, STANDARD);
    assert!(plain.lint().is_empty() && fine.lint().is_empty(), "{:#?} {:#?}", plain.lint(), fine.lint());
    let keys = |c: &Capability| c.entries().into_iter().map(|e| e.key).collect::<Vec<_>>();
    assert_eq!(keys(&plain), keys(&fine));
    for (a, b) in plain.entries().iter().zip(fine.entries()) {
        if let (EntryValue::Least(p), EntryValue::Least(f)) = (a.value, b.value) {
            assert!(
                f.preferred <= p.preferred && f.minimum <= p.minimum && f.special <= p.special,
                "{} is coarser in advanced",
                a.key
            );
        }
    }
}

#[test]
fn lint_finds_what_cannot_be_meant() {
    let found = |from: &str, to: &str| changed(from, to).lint();
    let falling = found(
        "{ copper = 70, preferred = 200, minimum = 180, special = 150 }",
        "{ copper = 70, preferred = 140, minimum = 120, special = 100 }",
    );
    assert_eq!(falling.iter().map(|r| r.key.as_str()).collect::<Vec<_>>(), ["track.outer.70"]);
    assert!(falling[0].text.contains("never finer"), "{falling:?}");
    let line = STANDARD.lines().position(|l| l.contains("copper = 70,")).expect("a row") as u32 + 1;
    assert_eq!(falling[0].line, line);
    let turned = found("[tool.smallest]\npreferred = 250", "[tool.smallest]\npreferred = 150");
    assert!(turned.iter().any(|r| r.key == "tool.smallest" && r.text.contains("preferred ≥ minimum")), "{turned:?}");
    let unsourced = found("[allowance.via]\nvalue = 100\nunit = \"um\"\n", "[allowance.via]\nvalue = 100\n#");
    assert!(unsourced.iter().any(|r| r.key == "allowance.via" && r.text.contains("unit")), "{unsourced:?}");
    let swapped = found("copper = 12, ", "copper = 20, ");
    assert!(swapped.iter().any(|r| r.text.contains("thin to thick")), "{swapped:?}");
    let colour = found(
        "other = { preferred = 125, minimum = 125, special = 90 }",
        "other = { preferred = 90, minimum = 90, special = 70 }",
    );
    assert!(colour.iter().any(|r| r.key == "web.film.other"), "{colour:?}");
}

/// Worked values from the geometry of two circles; C-022 is the limit of class 2 in IPC-6012.
#[test]
fn breakout_angles() {
    let cases = [
        (200_000, 150_000, 50_000, 0.0),
        (200_000, 150_000, 60_000, 78.892),
        (200_000, 150_000, 63_492, 90.0),
        (200_000, 150_000, 100_000, 151.045),
        (250_000, 200_000, 80_000, 119.586),
    ];
    for (land, hole, offset, degrees) in cases {
        let got = arithmetic::breakout_degrees(land, hole, offset);
        assert!((got - degrees).abs() < 0.001, "{land} {hole} {offset}: {got} instead of {degrees}");
    }
    assert_eq!(arithmetic::breakout_degrees(100_000, 150_000, 0), 360.0, "the hole swallows the land");
    assert_eq!(arithmetic::breakout_degrees(200_000, 150_000, 400_000), 360.0, "the hole lies clear of the land");
    assert_eq!([1, 2, 3].map(arithmetic::breakout_allowed_degrees), [180, 90, 0]);
}

/// Least land by IPC-2221 §9.1.1 (secondary literature); tools as a fabricator's design rules give them.
#[test]
fn lands_and_tools() {
    assert_eq!(arithmetic::least_land(900_000, 50_000, 250_000), 1_250_000);
    let tool = |size| arithmetic::nearest_tool(size, 50_000);
    assert_eq!([787_400, 812_800, 838_200, 889_000, 660_400].map(tool), [800_000, 800_000, 850_000, 900_000, 650_000]);
    let standard = standard();
    let at = Point::new(0, 0);
    let made = |plating, kind, finished| standard.tool(&hole(plating, kind, finished, at));
    assert_eq!(made(HolePlating::Plated, HoleKind::Via, 300_000), Some(400_000));
    assert_eq!(made(HolePlating::Plated, HoleKind::Component, 800_000), Some(950_000));
    assert_eq!(made(HolePlating::Plated, HoleKind::Component, 1_000_000), Some(1_150_000));
    assert_eq!(made(HolePlating::Unplated, HoleKind::Mechanical, 787_400), Some(800_000));
    assert_eq!(made(HolePlating::Plated, HoleKind::Unclear, 450_000), Some(550_000), "up to the threshold a via");
    assert_eq!(made(HolePlating::Plated, HoleKind::Unclear, 450_001), Some(600_000), "above it a component hole");
    // A land of 0.60 mm round a finished hole of 0.30 mm: 0.150 drawn, 0.100 and 0.075 drilled.
    assert_eq!([100_000, 150_000].map(|a| arithmetic::drilled_ring(150_000, a)), [100_000, 75_000]);
    assert_eq!(arithmetic::made_ring(100_000, 75_000), 25_000);
}

#[test]
fn the_profile_says_which_ring_is_judged() {
    let mut m = board(2);
    m.board.holes = vec![hole(HolePlating::Plated, HoleKind::Via, 300_000, Point::new(0, 0))];
    m.facts.facts = vec![Fact { holes: vec![0], ..fact(FactKind::RingDrawn, Some(LayerRef::Copper(1)), 110_000) }];
    for (word, value, worst) in
        [("drawn", 110_000, Severity::Ask), ("drilled", 60_000, Severity::Stop), ("made", -15_000, Severity::Stop)]
    {
        let capability = changed("ring_judged = \"drawn\"", &format!("ring_judged = \"{word}\""));
        let verdict = judge(&m, &capability, &Order::default());
        let query = of(&verdict, "thin-ring")[0];
        assert_eq!((query.measured, query.severity), (Some(value), worst), "{word}");
        assert_eq!(query.places[0].drawn, Some(110_000));
        let reasons = query.reasons.join("\n");
        for part in [
            "0.110 mm (4.33 mil) as drawn",
            "0.060 mm (2.36 mil) as drilled",
            "-0.015 mm (-0.59 mil) as made",
            "86°",
            "90°",
        ] {
            assert!(reasons.contains(part), "{word}: no `{part}` in\n{reasons}");
        }
    }
}

fn mixed_board(shift: Nm) -> Measured {
    let mut m = board(4);
    m.facts.net_names = ["", "FLOAT_SENSE", "BATTERY"].map(String::from).to_vec();
    let gap = |layer, value, x: Nm| {
        fact_at(FactKind::Gap, Some(LayerRef::Copper(layer)), value, Point::new(x + shift, 2_000_000 - shift))
    };
    m.facts.facts = vec![
        gap(1, 105_000, 1_000_000),
        gap(1, 95_000, 3_000_000),
        gap(4, 101_000, 2_000_000),
        gap(1, 60_000, 9_000_000),
        gap(2, 105_000, 1_500_000),
        gap(1, 120_000, 500_000),
        gap(2, 120_000, 700_000),
        fact_at(FactKind::Web, Some(LayerRef::Mask(Side::Top)), 80_000, Point::new(shift, shift)),
    ];
    m
}

#[test]
fn findings_are_grouped_into_few_numbered_lines_worst_first() {
    let verdict = judge(&mixed_board(0), &standard(), &Order::default());
    let lines: Vec<_> = verdict.queries.iter().map(|q| (q.number, q.rule, q.severity, q.places.len())).collect();
    use Severity::*;
    assert_eq!(
        lines,
        [
            (1, "tight-gap", Stop, 1),
            (2, "tight-gap", Ask, 3),
            (3, "tight-gap", Ask, 1),
            (4, "thin-web", Ask, 1),
            (5, "no-netlist", Note, 0),
            (6, "tight-gap", Note, 2)
        ]
    );
    let outer = &verdict.queries[1];
    assert_eq!(
        outer.places.iter().map(|p| p.measured).collect::<Vec<_>>(),
        [Some(95_000), Some(101_000), Some(105_000)]
    );
    assert_eq!(outer.layers, ["copper 1", "copper 4"]);
    assert_eq!(outer.places[0].nets, ["FLOAT_SENSE", "BATTERY"]);
    for part in ["0.095 mm (3.74 mil)", "0.110 mm (4.33 mil)", "3 places"] {
        assert!(outer.title.contains(part), "{}", outer.title);
    }
    assert!(
        outer
            .required_by
            .as_deref()
            .is_some_and(|r| r.contains("gap.outer at 18 µm") && r.contains("two published tables")),
        "{:?}",
        outer.required_by
    );
    let ran = verdict.ran.iter().find(|r| r.rule == "tight-gap").expect("it ran");
    assert_eq!((ran.found, ran.not_run.clone()), (7, None));
}

#[test]
fn every_query_is_complete() {
    let mut m = mixed_board(0);
    for rule in rule::registry() {
        m.board.doubts.push(Doubt {
            rule: rule.name,
            seen: "Something does not fit together".to_owned(),
            reasons: vec!["because of this".to_owned()],
            sources: Vec::new(),
            places: vec![Point::new(1, 2)],
            readings: vec!["one reading".to_owned(), "another".to_owned()],
        });
    }
    let verdict = judge(&m, &standard(), &Order::default());
    assert!(verdict.queries.len() > 15);
    for q in &verdict.queries {
        let texts = [&q.title, &q.what, &q.why].into_iter().chain(&q.reasons).chain(q.options.iter().map(|o| &o.text));
        for text in texts {
            assert!(
                !text.is_empty() && !text.contains(['{', '}']) && text.ends_with(['.', '?']),
                "{}: `{text}`",
                q.rule
            );
        }
        assert_eq!(q.options.iter().filter(|o| o.recommended).count(), 1, "{}", q.rule);
        let keys: String = q.options.iter().map(|o| o.key).collect();
        assert!("ABCDEFGH".starts_with(&keys) && keys.len() >= 2, "{}: {keys}", q.rule);
        assert!(!q.reasons.is_empty() && q.fingerprint.len() == 32, "{}", q.rule);
    }
}

#[test]
fn readings_of_a_doubt_become_answers() {
    let mut m = board(2);
    let doubt = |seen: &str| Doubt {
        rule: "unclear-drill-format",
        seen: seen.to_owned(),
        reasons: vec!["412 of 412 holes land in both".to_owned()],
        sources: vec![Source { file: 0, line: 0 }],
        places: Vec::new(),
        readings: vec!["millimetres, three decimals".to_owned(), "inches, four decimals".to_owned()],
    };
    m.board.doubts = vec![doubt("The holes fit in two readings")];
    let verdict = judge(&m, &standard(), &Order::default());
    let query = of(&verdict, "unclear-drill-format")[0];
    let texts: Vec<&str> = query.options.iter().map(|o| o.text.as_str()).collect();
    assert_eq!(
        texts[..2],
        ["The numbers are read as millimetres, three decimals.", "The numbers are read as inches, four decimals."]
    );
    assert!(query.options[0].recommended && query.reasons.iter().any(|r| r == "412 of 412 holes land in both."));
    m.board.doubts.push(doubt("So do those of the second file"));
    let verdict = judge(&m, &standard(), &Order::default());
    assert_eq!(of(&verdict, "unclear-drill-format").len(), 1, "one line for one kind of doubt");
    let query = of(&verdict, "unclear-drill-format")[0];
    assert!(
        query.what.contains("two readings. Likeliest: millimetres, three decimals. So do those")
            && query.options[0].text.contains("named first"),
        "{query:#?}"
    );
}

#[test]
fn fingerprints_survive_a_shift_and_notice_a_change() {
    let prints = |m: &Measured| {
        judge(m, &standard(), &Order::default()).queries.into_iter().map(|q| q.fingerprint).collect::<Vec<_>>()
    };
    let first = prints(&mixed_board(0));
    assert_eq!(first, prints(&mixed_board(12_345_678)));
    let mut unique = first.clone();
    unique.sort_unstable();
    unique.dedup();
    assert_eq!(unique.len(), first.len(), "no two queries share one");
    let mut worse = mixed_board(0);
    worse.facts.facts[1].value -= 1_000;
    let changed = prints(&worse);
    assert_eq!((first[0] == changed[0], first[1] == changed[1]), (true, false));
}

#[test]
fn the_same_facts_give_the_same_verdict_in_any_order() {
    let text = |m: &Measured| format!("{:?}", judge(m, &standard(), &Order::default()));
    let mut turned = mixed_board(0);
    turned.facts.facts.reverse();
    assert_eq!(text(&mixed_board(0)), text(&turned));
}

#[test]
fn what_could_not_be_measured_is_never_called_clean() {
    let mut m = board(2);
    m.facts.not_measured = vec![(FactKind::Web, "no solder mask in the data".to_owned())];
    m.board.outline = Outline::default();
    m.facts.looked_at.retain(|(k, _)| *k != FactKind::Gap);
    let verdict = judge(&m, &standard(), &Order::default());
    let why =
        |rule: &str| verdict.ran.iter().find(|r| r.rule == rule).and_then(|r| r.not_run.clone()).unwrap_or_default();
    assert_eq!(why("thin-web"), "no solder mask in the data");
    assert_eq!(why("copper-near-edge"), "no outline in the data");
    assert_eq!(why("thin-ring"), "no holes in the data");
    assert_eq!(why("tight-gap"), "this was not measured");
    assert_eq!(verdict.ran.len(), rule::registry().len(), "every rule is listed");
    assert_eq!(of(&verdict, "missing-outline")[0].severity, Severity::Stop);
    m.facts.horizon = 100_000;
    m.facts.looked_at.push((FactKind::Gap, 3));
    let verdict = judge(&m, &standard(), &Order::default());
    let gap = verdict.ran.iter().find(|r| r.rule == "tight-gap").and_then(|r| r.not_run.clone());
    assert!(gap.is_some_and(|w| w.starts_with("run in part")), "limits beyond the horizon are said");
}

#[test]
fn holes_of_unclear_plating_never_stop_the_work() {
    let mut m = board(2);
    m.board.holes = vec![hole(HolePlating::Unclear, HoleKind::Unclear, 1_000_000, Point::new(0, 0))];
    m.facts.facts = vec![Fact { holes: vec![0], ..fact(FactKind::RingDrawn, Some(LayerRef::Copper(1)), 20_000) }];
    let verdict = judge(&m, &standard(), &Order::default());
    let query = of(&verdict, "thin-ring")[0];
    assert_eq!(query.severity, Severity::Ask);
    assert!(query.reasons.iter().any(|r| r.contains("judged as plated")));
}

#[test]
fn a_fact_that_names_no_hole_is_ignored_and_nothing_panics() {
    let mut m = board(2);
    m.facts.facts = FactKind::ALL
        .iter()
        .flat_map(|k| [i64::MIN / 4, -1, 0, i64::MAX / 4].map(|v| Fact { holes: vec![77, 78], ..fact(*k, None, v) }))
        .collect();
    m.board.holes = vec![hole(HolePlating::Plated, HoleKind::Via, 0, Point::new(0, 0))];
    let verdict = judge(&m, &standard(), &Order::default());
    assert!(of(&verdict, "thin-ring").is_empty() && of(&verdict, "holes-too-close").is_empty());
}
