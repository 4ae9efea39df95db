//! Mask and legend against small boards whose truth is set by their drawing. Source of each truth: plane geometry.
//! Every numeric rule at three sizes (sound by 1 µm, wrong by 1 µm, grossly wrong), at 0, 17, 45 and 90 degrees,
//! mirrored or not, in mm and in inch, against the limits of the profile `standard`.

#[path = "support/turned.rs"]
mod turned;

use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{InputFile, Measured, judge};
use landgap_rules::query::{Query, Severity, Verdict};
use turned::{Lie, PLAIN, file, lies, run};

/// A fault with one length to set, in µm.
struct Case {
    rule: &'static str,
    /// What the fault is, for messages.
    what: &'static str,
    limit: f64,
    /// How grave it is just below the limit.
    wrong: Severity,
    gross: f64,
    /// How grave it is then, and the value expected.
    grossly: (Severity, f64),
    build: fn(Lie, f64) -> Vec<InputFile>,
}

const fn case(
    (rule, what): (&'static str, &'static str),
    (limit, wrong): (f64, Severity),
    (gross, grossly): (f64, (Severity, f64)),
    build: fn(Lie, f64) -> Vec<InputFile>,
) -> Case {
    Case { rule, what, limit, wrong, gross, grossly, build }
}

use Severity::{Ask, Note};

const CASES: [Case; 14] = [
    case(("thin-web", "two lands"), (100.0, Ask), (40.0, (Ask, 40.0)), web),
    case(("thin-web", "an opening without land"), (100.0, Note), (40.0, (Note, 40.0)), empty_web),
    case(("small-opening", "a land"), (50.0, Note), (-40.0, (Ask, -40.0)), opening),
    case(("bared-copper", "a track beside"), (75.0, Note), (10.0, (Note, 10.0)), beside),
    case(("bared-copper", "a track in the opening"), (75.0, Note), (-120.0, (Ask, -120.0)), beside),
    case(("opening-near-via", "an open via"), (150.0, Note), (100.0, (Note, 100.0)), open_via),
    case(("opening-near-via", "a covered via"), (50.0, Note), (-100.0, (Ask, -100.0)), covered_via),
    case(("covered-hole", "a screw hole"), (-10.0, Note), (-50.0, (Note, -50.0)), screw),
    case(("mask-sliver", "a tongue"), (100.0, Note), (30.0, (Note, 30.0)), tongue),
    case(("mask-sliver", "a piece alone"), (100.0, Note), (30.0, (Note, 30.0)), island),
    case(("art-in-mask", "a letter"), (75.0, Ask), (40.0, (Ask, 40.0)), letter),
    case(("legend-on-land", "a line"), (0.0, Note), (-200.0, (Note, -200.0)), ink),
    case(("thin-legend", "a pen"), (100.0, Note), (40.0, (Note, 40.0)), pen),
    case(("thin-legend", "a row"), (760.0, Note), (500.0, (Note, 500.0)), row),
];

fn with(mut files: Vec<InputFile>, more: &[(&str, Vec<u8>)]) -> Vec<InputFile> {
    files.extend(more.iter().map(|(path, bytes)| file(path, bytes.clone())));
    files
}

fn mask(lie: Lie, body: &str) -> (&'static str, Vec<u8>) {
    ("mask.gbr", lie.artwork("Soldermask,Top", body))
}

fn legend(lie: Lie, body: &str) -> (&'static str, Vec<u8>) {
    ("legend.gbr", lie.artwork("Legend,Top", body))
}

fn web(lie: Lie, um: f64) -> Vec<InputFile> {
    let two = |size: f64| lie.disc(size, (0.0, 0.0), 10) + &lie.flash((0.0, 700.0 + um));
    with(lie.board(&two(500.0), ""), &[mask(lie, &two(700.0))])
}

fn empty_web(lie: Lie, um: f64) -> Vec<InputFile> {
    let openings = lie.disc(700.0, (0.0, 0.0), 10) + &lie.block((0.0, 350.0 + um + 500.0), 2000.0, 1000.0);
    with(lie.board(&lie.disc(500.0, (0.0, 0.0), 10), ""), &[mask(lie, &openings)])
}

fn opening(lie: Lie, um: f64) -> Vec<InputFile> {
    let at = (3000.0, 0.0);
    with(lie.board(&lie.disc(500.0, at, 10), ""), &[mask(lie, &lie.disc(500.0 + 2.0 * um, at, 10))])
}

/// A track of another net passes an opening of 0.6 mm, a land of 0.1 mm in its lower part.
fn beside(lie: Lie, um: f64) -> Vec<InputFile> {
    let y = 300.0 + um + 50.0;
    let copper = lie.disc(100.0, (0.0, -200.0), 10) + &lie.track(100.0, (-3000.0, y), (4000.0, y), 11);
    with(lie.board(&copper, ""), &[mask(lie, &lie.disc(600.0, (0.0, 0.0), 10))])
}

/// A via beside a land with an opening of 1 mm; `open` gives the via an opening of its own.
fn via(lie: Lie, um: f64, open: bool) -> Vec<InputFile> {
    let at = (500.0 + um + 150.0, 0.0);
    let land = lie.disc(900.0, (0.0, 0.0), 10) + &lie.disc(500.0, at, 11);
    let own = if open { lie.disc(320.0, at, 11) } else { String::new() };
    let openings = lie.disc(1000.0, (0.0, 0.0), 10) + &own;
    let back = if open { lie.disc(400.0, at, 11) } else { String::new() };
    let files = lie.board(&land, &lie.disc(500.0, at, 11));
    let more = [
        mask(lie, &openings),
        ("mask-bottom.gbr", lie.artwork("Soldermask,Bot", &back)),
        ("plated.xnc", lie.drill(&[(300.0, at)], true, "Plated,PTH,ViaDrill")),
    ];
    with(files, &more)
}

fn open_via(lie: Lie, um: f64) -> Vec<InputFile> {
    via(lie, um, true)
}

fn covered_via(lie: Lie, um: f64) -> Vec<InputFile> {
    via(lie, um, false)
}

fn screw(lie: Lie, um: f64) -> Vec<InputFile> {
    let at = (4000.0, 3000.0);
    let openings = lie.disc(700.0, (0.0, 0.0), 10) + &lie.disc(3000.0 + 2.0 * um, at, 11);
    let drill = ("unplated.xnc", lie.drill(&[(3000.0, at)], false, ""));
    with(lie.board(&lie.disc(600.0, (0.0, 0.0), 10), ""), &[mask(lie, &openings), drill])
}

/// An opening with a notch that leaves a tongue of mask between its two arms.
fn tongue(lie: Lie, um: f64) -> Vec<InputFile> {
    let corners = [
        (-1000.0, -1000.0),
        (1000.0, -1000.0),
        (1000.0, 1000.0),
        (um / 2.0, 1000.0),
        (um / 2.0, -200.0),
        (-um / 2.0, -200.0),
        (-um / 2.0, 1000.0),
        (-1000.0, 1000.0),
    ];
    with(lie.board(&lie.disc(600.0, (-500.0, 0.0), 10), ""), &[mask(lie, &lie.area(&corners))])
}

/// A piece of mask left alone in an opening by clear polarity.
fn island(lie: Lie, um: f64) -> Vec<InputFile> {
    let body = lie.block((0.0, 0.0), 3000.0, 3000.0) + "%LPC*%\n" + &lie.block((300.0, 200.0), um, 900.0) + "%LPD*%\n";
    with(lie.board(&lie.disc(600.0, (-800.0, 0.0), 10), ""), &[mask(lie, &body)])
}

/// A letter H drawn into the mask over bare laminate.
fn letter(lie: Lie, um: f64) -> Vec<InputFile> {
    let body = lie.disc(700.0, (0.0, 0.0), 10) + &lie.pen(um, 11) + &glyph(lie, (3000.0, 3000.0), 1000.0);
    with(lie.board(&lie.disc(600.0, (0.0, 0.0), 10), ""), &[mask(lie, &body)])
}

/// An H of centre lines, with its lower left corner at a place.
fn glyph(lie: Lie, (x, y): (f64, f64), height: f64) -> String {
    let width = height * 0.6;
    lie.line((x, y), (x, y + height))
        + &lie.line((x + width, y), (x + width, y + height))
        + &lie.line((x, y + height / 2.0), (x + width, y + height / 2.0))
}

fn ink(lie: Lie, um: f64) -> Vec<InputFile> {
    let y = 350.0 + um + 75.0;
    let line = lie.track(150.0, (-2000.0, y), (2000.0, y), 10);
    with(
        lie.board(&lie.disc(600.0, (0.0, 0.0), 10), ""),
        &[mask(lie, &lie.disc(700.0, (0.0, 0.0), 10)), legend(lie, &line)],
    )
}

fn pen(lie: Lie, um: f64) -> Vec<InputFile> {
    let lines = lie.pen(um, 10) + &lie.line((2000.0, 2000.0), (5000.0, 2000.0));
    with(lie.board(&lie.disc(600.0, (0.0, 0.0), 10), ""), &[legend(lie, &lines)])
}

/// Five characters in a row, drawn with a pen of 0.15 mm.
fn row(lie: Lie, um: f64) -> Vec<InputFile> {
    let height = um - 150.0;
    let text: String = (0..5).map(|i| glyph(lie, (2000.0 + f64::from(i) * um, 3000.0), height)).collect();
    with(lie.board(&lie.disc(600.0, (0.0, 0.0), 10), ""), &[legend(lie, &(lie.pen(150.0, 10) + &text))])
}

fn verdict(board: &Measured) -> Verdict {
    judge(board, &Capability::named("standard").expect("ships with the program"), &Order::default())
}

fn queries(board: &Measured, rule: &str) -> Vec<Query> {
    verdict(board).queries.into_iter().filter(|q| q.rule == rule).collect()
}

/// The least value of a rule's places and its severity.
fn worst(found: &[Query]) -> Option<(Severity, f64)> {
    let value = |q: &Query| {
        let least = q.places.iter().filter_map(|p| p.drawn.or(p.measured)).min();
        (q.severity, least.unwrap_or(0) as f64 / 1000.0)
    };
    found.iter().map(value).reduce(|a, b| if b.1 < a.1 { b } else { a })
}

#[test]
fn a_micrometre_beyond_the_limit_is_sound() {
    for case in &CASES {
        for lie in lies() {
            let found: Vec<Query> = queries(&run(&(case.build)(lie, case.limit + 1.0)), case.rule);
            // Art is told even where its strokes can be made; it is then not held against the limit.
            let held: Vec<_> = found.iter().filter(|q| q.required.is_some()).collect();
            assert!(held.is_empty(), "{}, {}, {lie:?}: {:?}", case.rule, case.what, held[0].title);
        }
    }
}

fn assert_worst(case: &Case, lie: Lie, um: f64, (severity, value): (Severity, f64)) {
    let found = queries(&run(&(case.build)(lie, um)), case.rule);
    let worst = worst(&found);
    let right = worst.is_some_and(|(s, v)| s == severity && (v - value).abs() <= 0.5);
    assert!(right, "{}, {} of {um} µm, {lie:?}: {worst:?} instead of {severity:?} {value}", case.rule, case.what);
}

#[test]
fn a_micrometre_short_of_the_limit_is_told_with_its_value() {
    for case in &CASES {
        for lie in lies() {
            let um = case.limit - 1.0;
            assert_worst(case, lie, um, (case.wrong, um));
        }
    }
}

#[test]
fn a_gross_fault_is_told_with_its_value() {
    for case in &CASES {
        for lie in lies() {
            assert_worst(case, lie, case.gross, case.grossly);
        }
    }
}

/// Ten lands in a row, with the named ones opened.
fn lands(lie: Lie, opened: impl Fn(usize) -> bool) -> Vec<InputFile> {
    let at = |i: usize| (i as f64 * 1500.0 - 7000.0, 2000.0);
    let all: String = (0..10).map(|i| lie.flash(at(i))).collect();
    let open: String = (0..10).filter(|i| opened(*i)).map(|i| lie.flash(at(i))).collect();
    with(lie.board(&(lie.pen(800.0, 10) + &all), ""), &[mask(lie, &(lie.pen(900.0, 10) + &open))])
}

fn rules(files: &[InputFile]) -> Vec<(&'static str, Severity, usize)> {
    let group = ["covered", "paste-w", "unstated", "half-covered", "hole-in", "inverse", "art-in", "mirrored-legend"];
    let ours = |q: &Query| group.iter().any(|g| q.rule.starts_with(g));
    verdict(&run(files)).queries.iter().filter(|q| ours(q)).map(|q| (q.rule, q.severity, q.places.len())).collect()
}

#[test]
fn a_land_is_asked_about_where_its_likes_are_opened_and_not_where_most_are_covered() {
    for lie in lies() {
        assert_eq!(rules(&lands(lie, |_| true)), []);
        assert_eq!(rules(&lands(lie, |i| i != 4)), [("covered-land", Ask, 1)], "{lie:?}");
        assert_eq!(rules(&lands(lie, |i| i > 1)), [("covered-land", Ask, 2)], "{lie:?}");
        assert_eq!(rules(&lands(lie, |i| i < 4)), [], "a pattern is taken as meant ({lie:?})");
    }
}

#[test]
fn paste_on_a_covered_land_is_asked_about_once() {
    let paste = |lie: Lie, places: &[usize]| {
        let body: String = places.iter().map(|i| lie.flash((*i as f64 * 1500.0 - 7000.0, 2000.0))).collect();
        ("paste.gbr", lie.artwork("Paste,Top", &(lie.pen(700.0, 10) + &body)))
    };
    for lie in lies() {
        let covered = with(lands(lie, |i| i != 4), &[paste(lie, &[2, 3, 4])]);
        assert_eq!(rules(&covered), [("paste-without-opening", Ask, 1)], "{lie:?}");
        assert_eq!(rules(&with(lands(lie, |_| true), &[paste(lie, &[2, 3, 4])])), [], "{lie:?}");
        // Paste over bare laminate: lines and words beside the lands.
        assert_eq!(rules(&with(lands(lie, |_| true), &[paste(lie, &[2, 20])])), [], "{lie:?}");
    }
}

/// Vias with lands on both sides, opened on top and bottom as told.
fn vias(covers: &[(bool, bool)]) -> Vec<InputFile> {
    let lie = PLAIN;
    let at = |i: usize| (i as f64 * 1500.0 - 7000.0, -3000.0);
    let flashes = |keep: &dyn Fn(usize) -> bool| -> String {
        (0..covers.len()).filter(|i| keep(*i)).map(|i| lie.flash(at(i))).collect()
    };
    let lands = lie.pen(600.0, 10) + &flashes(&|_| true);
    let part = lie.disc(1500.0, (0.0, 4000.0), 11);
    let top = lie.pen(700.0, 10) + &flashes(&|i| covers[i].0) + &lie.disc(1600.0, (0.0, 4000.0), 11);
    let bottom = lie.pen(700.0, 10) + &flashes(&|i| covers[i].1);
    let holes: Vec<_> = (0..covers.len()).map(|i| (300.0, at(i))).collect();
    let more = [
        mask(lie, &top),
        ("mask-bottom.gbr", lie.artwork("Soldermask,Bot", &bottom)),
        ("plated.xnc", lie.drill(&holes, true, "Plated,PTH,ViaDrill")),
    ];
    with(lie.board(&(lands.clone() + &part), &lands), &more)
}

#[test]
fn vias_covered_alike_are_no_question() {
    assert_eq!(rules(&vias(&[(false, false); 5])), []);
    assert_eq!(rules(&vias(&[(true, true); 5])), []);
    assert_eq!(rules(&vias(&[(true, false); 5])), [("half-covered-via", Note, 5)]);
    assert_eq!(
        rules(&vias(&[(true, false), (false, false), (false, false), (false, true)])),
        [("half-covered-via", Ask, 2)]
    );
    assert_eq!(rules(&vias(&[(true, true), (false, false), (false, false)])), [("unstated-via-cover", Note, 1)]);
}

/// A land with paste and vias in it.
fn via_in_land(size: f64, count: usize, pasted: bool) -> Vec<InputFile> {
    let lie = PLAIN;
    let at = |i: usize| ((i as f64 - (count as f64 - 1.0) / 2.0) * 450.0, 4000.0 + 120.0);
    let holes: Vec<_> = (0..count).map(|i| (250.0, at(i))).collect();
    let vias: String = (0..count).map(|i| lie.flash(at(i))).collect();
    let other = lie.disc(size, (6000.0, 4000.0), 11);
    let land = lie.disc(size, (0.0, 4000.0), 11) + &lie.flash((6000.0, 4000.0)) + &lie.pen(450.0, 12) + &vias;
    let opening = lie.disc(size + 100.0, (0.0, 4000.0), 11) + &lie.flash((6000.0, 4000.0));
    let mut more = vec![
        mask(lie, &opening),
        ("mask-bottom.gbr", lie.artwork("Soldermask,Bot", "")),
        ("plated.xnc", lie.drill(&holes, true, "Plated,PTH,ViaDrill")),
    ];
    let paste = if pasted { lie.disc(size - 100.0, (0.0, 4000.0), 11) + &lie.flash((6000.0, 4000.0)) } else { other };
    more.push(("paste.gbr", lie.artwork("Paste,Top", &paste)));
    with(lie.board(&land, &(lie.pen(450.0, 12) + &vias)), &more)
}

#[test]
fn a_via_in_a_soldered_land_is_asked_about_and_a_field_of_them_is_not() {
    assert_eq!(rules(&via_in_land(900.0, 1, true)), [("hole-in-land", Ask, 1)]);
    assert_eq!(rules(&via_in_land(900.0, 1, false)), [], "no paste, so nothing runs away");
    assert_eq!(rules(&via_in_land(3000.0, 2, true)), [("hole-in-land", Note, 1)]);
    assert_eq!(rules(&via_in_land(3000.0, 5, true)), []);
}

#[test]
fn a_mask_drawn_as_mask_is_asked_about_once_and_an_open_side_is_not() {
    for lie in lies() {
        let at = |i: usize| (i as f64 * 1500.0 - 7000.0, 2000.0);
        let lands: String = (0..8).map(|i| lie.flash(at(i))).collect();
        let drawn = lie.block((0.0, 0.0), 19_800.0, 19_800.0);
        let inverse = drawn.clone() + "%LPC*%\n" + &lie.pen(900.0, 10) + &lands + "%LPD*%\n";
        let copper = lie.pen(800.0, 10) + &lands;
        assert_eq!(rules(&with(lie.board(&copper, ""), &[mask(lie, &inverse)])), [("inverse-mask", Ask, 1)], "{lie:?}");
        assert_eq!(rules(&with(lie.board(&copper, ""), &[mask(lie, &drawn)])), [], "{lie:?}");
    }
}

#[test]
fn letters_of_bare_copper_are_no_question_and_text_across_nets_is() {
    for lie in lies() {
        let word = lie.pen(150.0, 11) + &glyph(lie, (3000.0, 3000.0), 1000.0) + &glyph(lie, (4200.0, 3000.0), 1000.0);
        let openings = lie.disc(700.0, (0.0, 0.0), 10) + &word;
        let land = lie.disc(600.0, (0.0, 0.0), 10);
        let on = |copper: &str| rules(&with(lie.board(&(land.clone() + copper), ""), &[mask(lie, &openings)]));
        assert_eq!(on(&lie.block((4000.0, 3500.0), 4000.0, 3000.0)), [], "{lie:?}");
        assert_eq!(on(""), [("art-in-mask", Note, 1)], "{lie:?}");
        let tracks =
            lie.track(200.0, (1000.0, 3300.0), (8000.0, 3300.0), 12) + &lie.line((1000.0, 3700.0), (8000.0, 3700.0));
        assert_eq!(on(&tracks), [("art-in-mask", Ask, 1)], "{lie:?}");
        // An opening painted with a thin pen is an area.
        let painted: String = (0..10)
            .map(|i| lie.line((3000.0, 3000.0 + f64::from(i) * 100.0), (4000.0, 3000.0 + f64::from(i) * 100.0)))
            .collect();
        let area = lie.disc(700.0, (0.0, 0.0), 10) + &lie.pen(150.0, 11) + &painted;
        assert_eq!(rules(&with(lie.board(&land, ""), &[mask(lie, &area)])), [], "{lie:?}");
    }
}

#[test]
fn lands_of_two_nets_in_one_opening_bare_nothing_foreign_however_they_are_drawn() {
    for lie in lies() {
        let lands = lie.disc(500.0, (-400.0, 0.0), 10) + &lie.block((400.0, 0.0), 500.0, 500.0);
        let tail = lie.track(150.0, (400.0, 0.0), (4000.0, 0.0), 11);
        let gang = lie.block((0.0, 0.0), 1600.0, 700.0);
        let board = run(&with(lie.board(&(lands + &tail), ""), &[mask(lie, &gang)]));
        assert_eq!(queries(&board, "bared-copper").len(), 0, "{lie:?}");
    }
}

#[test]
fn a_painted_area_of_legend_has_no_thin_lines_and_an_empty_legend_says_nothing() {
    for lie in lies() {
        let hatch: String = (0..20)
            .map(|i| lie.line((2000.0, 2000.0 + f64::from(i) * 70.0), (5000.0, 2000.0 + f64::from(i) * 70.0)))
            .collect();
        let land = lie.disc(600.0, (0.0, 0.0), 10);
        let painted = with(lie.board(&land, ""), &[legend(lie, &(lie.pen(80.0, 10) + &hatch))]);
        assert_eq!(queries(&run(&painted), "thin-legend").len(), 0, "{lie:?}");
        // A frame beside the board is not printed.
        let frame = lie.pen(50.0, 10) + &lie.line((12_000.0, -5000.0), (12_000.0, 5000.0));
        let beside = with(lie.board(&land, ""), &[legend(lie, &frame)]);
        assert_eq!(queries(&run(&beside), "thin-legend").len(), 0, "{lie:?}");
        let empty = with(lie.board(&land, ""), &[mask(lie, &lie.disc(700.0, (0.0, 0.0), 10)), legend(lie, "")]);
        let verdict = verdict(&run(&empty));
        assert!(verdict.queries.iter().all(|q| !q.rule.contains("legend")), "{lie:?}");
    }
}

#[test]
fn what_the_set_does_not_hold_is_told_as_not_run() {
    let board = run(&PLAIN.board(&PLAIN.disc(600.0, (0.0, 0.0), 10), ""));
    let verdict = verdict(&board);
    let why =
        |rule: &str| verdict.ran.iter().find(|r| r.rule == rule).and_then(|r| r.not_run.clone()).unwrap_or_default();
    for rule in ["covered-land", "inverse-mask", "bared-copper", "mask-sliver", "art-in-mask"] {
        assert_eq!(why(rule), "no solder mask in the data", "{rule}");
    }
    assert_eq!(why("thin-legend"), "no legend in the data");
    assert_eq!(why("covered-hole"), "no solder mask in the data");
    assert_eq!(why("half-covered-via"), "no holes in the data");
}
