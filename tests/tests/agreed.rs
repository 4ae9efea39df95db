//! Wording, standing permissions and accepted departures, from hand-made facts through the public door.

use landgap_parser::{Nm, Point};
use landgap_rules::board::{CopperLayer, LayerRef, Outline, OutlineState, Side};
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{Measured, judge, judge_under};
use landgap_rules::fact::{Fact, FactKind};
use landgap_rules::query::agreed::{Agreed, Day, Draft, parse_departures, parse_permissions};
use landgap_rules::query::wording::Wording;
use landgap_rules::query::{Query, Severity, Terms, Verdict};

/// A board of two layers with outer gaps of these values, each of its own.
fn board(gaps: &[Nm]) -> Measured {
    let mut measured = Measured::default();
    let copper = |(number, side)| CopperLayer { number, side, file: 0, negative: false };
    measured.board.copper = [(1, Side::Top), (2, Side::Bottom)].map(copper).to_vec();
    measured.board.outline = Outline { state: OutlineState::Closed, ..Outline::default() };
    measured.facts.looked_at = FactKind::ALL.map(|k| (k, 1)).to_vec();
    measured.facts.net_names = vec![String::new(); 3];
    measured.facts.facts = (0..).zip(gaps).map(|(i, gap)| fact(*gap, Point::new(i * 5_000_000, 0))).collect();
    measured
}

fn fact(value: Nm, from: Point) -> Fact {
    Fact {
        kind: FactKind::Gap,
        layer: Some(LayerRef::Copper(1)),
        value,
        uncertainty: 0,
        from,
        to: Point::new(from.x + value, from.y),
        nets: vec![1, 2],
        holes: Vec::new(),
        sources: Vec::new(),
        length: None,
        run: None,
        same_net: false,
    }
}

fn order() -> Order {
    Order::parse("order.toml", "customer = \"Tarn Row\"\npart = \"TR-20\"\nrevision = \"B\"\n").expect("an order")
}

fn under(measured: &Measured, order: &Order, terms: &Terms) -> Verdict {
    judge_under(measured, &Capability::named("standard").expect("a profile"), order, terms)
}

fn gaps(verdict: &Verdict) -> Vec<&Query> {
    verdict.queries.iter().filter(|q| q.rule == "tight-gap").collect()
}

fn agreed(permissions: &str, departures: &str, day: &str) -> Terms {
    let agreed = Agreed {
        permissions: parse_permissions("p.toml", permissions).expect("permissions"),
        departures: parse_departures("a.toml", departures).expect("departures"),
        today: Day::parse(day),
    };
    assert!(agreed.today.is_some());
    Terms { agreed, ..Terms::default() }
}

const DEPARTURE: &str = r#"
[[departure]]
id = "D1"
rule = "tight-gap"
layers = "outer"
floor_um = 95
part = "TR-20"
customer = "tarn  row"
answer = "Gaps down to 95 µm are accepted with the rejects they bring."
picture = "tr-20-a-figure-1.svg"
accepted_by = "I. Brant, designer"
accepted_on = 2026-01-10
until = 2026-12-31
"#;

const PERMISSION: &str = r#"
[[permission]]
id = "P1"
rule = "tight-gap"
layers = "outer"
do = "The larger copper area is drawn back until the gap is wide enough."
least_um = 90
most_change_um = 15
most_places = 3
customer = "Tarn Row"
given_by = "I. Brant, designer"
given_on = 2026-01-10
"#;

#[test]
fn a_departure_covers_down_to_its_floor_and_no_further() {
    // Minimum 110 µm, special 85 µm in the standard profile.
    let measured = board(&[95_000, 94_999, 100_000]);
    let verdict = under(&measured, &order(), &agreed("", DEPARTURE, "2026-06-01"));
    let open = gaps(&verdict);
    assert_eq!((open.len(), open[0].places.len(), open[0].measured), (1, 1, Some(94_999)), "{open:#?}");
    let why = open[0].reasons.iter().find(|r| r.contains("D1")).expect("says why it is not covered");
    assert!(why.contains("accepts 0.095 mm") && why.contains("0.094999 mm"), "{why}");
    let covered = &verdict.covered;
    assert_eq!((covered.len(), covered[0].places.len(), covered[0].measured), (1, 2, Some(95_000)));
    let by = covered[0].settled_by.as_ref().expect("what covers it");
    assert_eq!((by.kind, by.id.as_str(), by.floor), ("departure", "D1", Some(95_000)));
    assert_eq!(by.picture.as_deref(), Some("tr-20-a-figure-1.svg"));
    assert!(covered[0].number as usize > verdict.queries.len(), "numbered on");
    assert_eq!((verdict.agreements[0].places, verdict.agreements[0].not.len()), (2, 1));
}

#[test]
fn a_departure_that_ended_is_another_part_or_would_cover_a_stop_covers_nothing() {
    let ask = board(&[100_000]);
    let cases = [
        (order(), DEPARTURE.to_owned(), "2027-01-01", &ask, "ended on 2026-12-31"),
        (Order { part: Some("TR-21".into()), ..order() }, DEPARTURE.to_owned(), "2026-06-01", &ask, "TR-21"),
        (Order::default(), DEPARTURE.to_owned(), "2026-06-01", &ask, "the order names no customer"),
        (order(), format!("{DEPARTURE}capability = \"advanced\"\n"), "2026-06-01", &ask, "profile advanced"),
        (order(), format!("{DEPARTURE}surroundings = \"0123456789abcdef\"\n"), "2026-06-01", &ask, "surroundings"),
    ];
    for (order, text, day, measured, why) in cases {
        let verdict = under(measured, &order, &agreed("", &text, day));
        assert!(verdict.covered.is_empty(), "{why}");
        let open = gaps(&verdict);
        assert_eq!(open[0].severity, Severity::Ask);
        assert!(open[0].reasons.iter().any(|r| r.contains("D1") && r.contains(why)), "{why}: {:?}", open[0].reasons);
        assert!(verdict.agreements[0].not.iter().any(|n| n.contains(why)), "{:?}", verdict.agreements);
    }
    let on_its_last_day = under(&ask, &order(), &agreed("", DEPARTURE, "2026-12-31"));
    assert_eq!(on_its_last_day.covered.len(), 1);
    let low = DEPARTURE.replace("floor_um = 95", "floor_um = 10");
    let stop = under(&board(&[60_000]), &order(), &agreed("", &low, "2026-06-01"));
    assert!(stop.covered.is_empty() && gaps(&stop)[0].severity == Severity::Stop);
}

#[test]
fn a_departure_for_one_query_knows_it_by_its_fingerprint() {
    let measured = board(&[90_000]);
    let open = under(&measured, &order(), &Terms::default());
    let print = gaps(&open)[0].fingerprint.clone();
    let text = DEPARTURE.replace("floor_um = 95", &format!("fingerprint = \"{print}\""));
    assert_eq!(under(&measured, &order(), &agreed("", &text, "2026-06-01")).covered.len(), 1);
    assert_eq!(under(&board(&[91_000]), &order(), &agreed("", &text, "2026-06-01")).covered.len(), 0);
}

#[test]
fn a_permission_turns_ask_into_fix_within_its_bounds() {
    let verdict = under(&board(&[95_000, 94_000, 105_000]), &order(), &agreed(PERMISSION, "", "2026-06-01"));
    let lines: Vec<_> = gaps(&verdict).iter().map(|q| (q.severity, q.places.len(), q.measured)).collect();
    assert_eq!(lines, [(Severity::Ask, 1, Some(94_000)), (Severity::Fix, 2, Some(95_000))]);
    let open = gaps(&verdict)[0];
    assert!(open.reasons.iter().any(|r| r.contains("P1") && r.contains("0.016 mm")), "{:?}", open.reasons);
    let fixed = gaps(&verdict)[1];
    let by = fixed.settled_by.as_ref().expect("what settles it");
    assert_eq!((by.kind, by.id.as_str(), by.on.as_str()), ("permission", "P1", "2026-01-10"));
    assert!(fixed.options[0].text.contains("Nothing needs to be answered") && fixed.options[0].recommended);
    assert!(fixed.options[0].text.contains("drawn back until the gap is wide enough"));
    assert!(fixed.options.len() >= 2, "the customer can still object");
}

#[test]
fn a_permission_that_would_settle_too_many_places_settles_none() {
    let verdict = under(&board(&[95_000, 96_000, 97_000, 98_000]), &order(), &agreed(PERMISSION, "", "2026-06-01"));
    assert!(gaps(&verdict).iter().all(|q| q.severity == Severity::Ask));
    assert!(verdict.agreements[0].not[0].contains("3 places at most"), "{:?}", verdict.agreements);
    let other = under(&board(&[100_000]), &Order::default(), &agreed(PERMISSION, "", "2026-06-01"));
    assert_eq!(gaps(&other)[0].severity, Severity::Ask, "another customer's board");
}

#[test]
fn agreements_that_go_too_far_are_refused_with_their_line() {
    let departure =
        |from: &str, to: &str| parse_departures("a.toml", &DEPARTURE.replace(from, to)).unwrap_err().to_string();
    for (from, to, says) in [
        ("\"tight-gap\"", "\"short\"", "netlist"),
        ("\"tight-gap\"", "\"open\"", "netlist"),
        ("\"tight-gap\"", "\"tigth-gap\"", "no rule"),
        ("floor_um = 95", "", "neither floor_um nor fingerprint"),
        ("floor_um = 95", "floor = 85", "unknown field"),
        ("until = 2026-12-31", "", "until"),
        ("until = 2026-12-31", "until = 2025-12-31", "ends before"),
        ("part = \"TR-20\"\ncustomer = \"tarn  row\"\n", "", "neither customer nor part"),
    ] {
        let fault = departure(from, to);
        assert!(fault.contains(says) && fault.starts_with("a.toml, line "), "{fault}");
    }
    let unbound = PERMISSION.replace("least_um = 90\nmost_change_um = 15\nmost_places = 3\n", "");
    assert!(parse_permissions("p.toml", &unbound).unwrap_err().to_string().contains("no bound"));
    assert!(
        parse_permissions("p.toml", &format!("{PERMISSION}{PERMISSION}"))
            .unwrap_err()
            .to_string()
            .contains("given before")
    );
}

#[test]
fn what_cannot_be_made_is_not_offered_as_it_is() {
    let accepts = |gap: Nm| {
        let verdict = judge(&board(&[gap]), &Capability::named("standard").expect("a profile"), &Order::default());
        gaps(&verdict)[0].options.iter().any(|o| o.text.starts_with("You accept"))
    };
    assert!(accepts(90_000) && !accepts(60_000));
}

#[test]
fn a_departure_drawn_up_from_an_answer_covers_what_was_accepted() {
    let measured = board(&[95_250]);
    let open = under(&measured, &order(), &Terms::default());
    let draft = Draft {
        id: "F1-3".into(),
        rule: "tight-gap".into(),
        floor: gaps(&open)[0].measured,
        customer: order().customer,
        part: order().part,
        answer: "Taken \"as drawn\"\nwith its risk".into(),
        picture: "figure-3.svg".into(),
        accepted_by: "I. Brant".into(),
        ..Draft::default()
    };
    let text = draft.text(Day::parse("2024-02-29").expect("a day"));
    let terms = agreed("", &text, "2025-02-28");
    assert_eq!(terms.agreed.departures[0].answer, draft.answer);
    assert_eq!(under(&measured, &order(), &terms).covered.len(), 1);
    assert_eq!(under(&board(&[95_249]), &order(), &terms).covered.len(), 0);
    assert_eq!(under(&measured, &order(), &agreed("", &text, "2025-03-01")).covered.len(), 0);
}

fn file(name: &str, text: &str) -> Vec<(String, String)> {
    vec![(name.to_owned(), text.to_owned())]
}

#[test]
fn a_shop_words_what_it_likes_and_the_rest_stays() {
    let text = "# tight-gap\n\n## Title\n\nCopper stands too close on {layers}: {measured}\n\n## Options\n\n\
                - (recommended) (change) Shave it. Effect: One day more.\n- You send it again.\n";
    let mut files = file("words/tight-gap.md", text);
    files.extend(file("answers.md", "## new data\n\nThe clock starts again.\n"));
    let terms = Terms { wording: Wording::read(&files).expect("wording"), ..Terms::default() };
    let verdict = under(&board(&[90_000]), &Order::default(), &terms);
    let query = gaps(&verdict)[0];
    assert_eq!(query.title, "Copper stands too close on copper 1: 0.090 mm (3.54 mil).");
    let options: Vec<_> = query.options.iter().map(|o| (o.text.as_str(), o.effect.as_str(), o.recommended)).collect();
    assert_eq!(
        options,
        [("Shave it.", "One day more.", true), ("You send it again.", "The clock starts again.", false)]
    );
    let ours = under(&board(&[90_000]), &Order::default(), &Terms::default());
    assert_eq!(query.why, gaps(&ours)[0].why, "what is not worded stays");
    assert_eq!(query.fingerprint, gaps(&ours)[0].fingerprint, "words change no identity");
}

#[test]
fn wording_that_names_nothing_of_ours_is_refused_with_its_line() {
    for (name, text, says) in [
        ("tigth-gap.md", "## Title\n\nx\n", "tigth-gap.md, line 1"),
        ("tight-gap.md", "# tight-gap\n\n## Titel\n\nx\n", "line 3"),
        ("tight-gap.md", "# tight-gap\n\n## Title (of the moon)\n\nx\n", "no case `of the moon`"),
        ("tight-gap.md", "## Title\n\nThe {gap} is small\n", "{gap} is not filled in"),
        ("tight-gap.md", "## Title\n\nFull stop.\n", "full stop"),
        ("tight-gap.md", "## Title\n\n## What we see\n\nx\n", "empty"),
        ("tight-gap.md", "## Options\n\n- (recommended) One.\n", "at least two"),
        ("tight-gap.md", "lost words\n\n## Title\n\nx\n", "line 1"),
        ("answers.md", "## price\n\nx\n", "expected one of new data"),
    ] {
        let fault = Wording::read(&file(name, text)).expect_err(says).to_string();
        assert!(fault.contains(says), "{fault}");
    }
}

#[test]
fn every_rules_own_wording_can_be_read_back_and_changes_nothing() {
    let files: Vec<(String, String)> = landgap_rules::rule::registry()
        .iter()
        .map(|r| (format!("{}.md", r.name), Wording::own(r.name).expect("its wording")))
        .chain(file("answers.md", &Wording::own("answers").expect("answers")))
        .collect();
    let wording = Wording::read(&files).unwrap_or_else(|e| panic!("{e}"));
    let terms = Terms { wording, ..Terms::default() };
    let measured = board(&[60_000, 90_000, 110_000]);
    let said = |v: &Verdict| v.queries.iter().map(|q| (q.title.clone(), q.options.clone())).collect::<Vec<_>>();
    let ours = under(&measured, &Order::default(), &Terms::default());
    assert_eq!(said(&under(&measured, &Order::default(), &terms)), said(&ours));
}
