//! The "as proposed" figures, read back from the SVG itself.

mod small_board;

use std::collections::BTreeMap;

use landgap_parser::Limits;
use landgap_rules::capability::{Capability, Order};
use landgap_rules::check::{InputFile, Told, judge, measure};
use landgap_rules::propose::{Proposal, propose};
use landgap_rules::query::Query;
use landgap_server::figure::proposed;

struct Case {
    svg: String,
    query: Query,
    proposal: Proposal,
}

/// The small board with edits, and the proposal for one rule.
fn proposed_for(rule: &str, edits: &[(&str, &str, &str)]) -> Result<Case, Vec<String>> {
    let files: Vec<InputFile> = small_board::files()
        .into_iter()
        .map(|(name, text)| {
            let edits = edits.iter().filter(|e| e.0 == name);
            let text = edits.fold(text, |t, (_, from, to)| {
                assert!(t.contains(from), "{name} holds no {from}");
                t.replace(from, to)
            });
            InputFile { path: name.to_owned(), bytes: text.into_bytes() }
        })
        .collect();
    let measured = measure(&files, &Told::new(), &Limits::default(), &|_| {});
    let capability = Capability::named("standard").unwrap();
    let verdict = judge(&measured, &capability, &Order::default());
    let proposals: BTreeMap<u32, Proposal> = propose(&measured, &capability, &Order::default(), &verdict.queries);
    let found = verdict.queries.iter().find(|q| q.rule == rule).and_then(|q| Some((q, proposals.get(&q.number)?)));
    let Some((query, proposal)) = found else { return Err(verdict.queries.iter().map(|q| q.title.clone()).collect()) };
    let svg = proposed::figure(&measured, &capability, query, proposal).expect("a figure");
    Ok(Case { svg, query: query.clone(), proposal: proposal.clone() })
}

/// Corners of the paths in the group of a name, in micrometres of the board.
fn corners(svg: &str, group: &str) -> Vec<(f64, f64)> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let window = document.descendants().find_map(|n| n.attribute("data-window-um")).unwrap();
    let w: Vec<f64> = window.split(' ').map(|v| v.parse().unwrap()).collect();
    let name = format!("data-{group}");
    let part = document.descendants().find(|n| n.has_attribute(name.as_str())).unwrap();
    let frame = document.descendants().find(|n| n.has_tag_name("clipPath")).unwrap().first_element_child().unwrap();
    let of = |key: &str| frame.attribute(key).unwrap().parse::<f64>().unwrap();
    let scale = (w[2] - w[0]) / of("width");
    let paths = part.descendants().filter(|n| n.has_tag_name("path")).map(|n| n.attribute("d").unwrap());
    paths
        .flat_map(|d| d.split(['M', 'L', 'Z']).filter(|p| !p.is_empty()).map(str::to_owned).collect::<Vec<_>>())
        .map(|p| {
            let (x, y) = p.split_once(' ').unwrap();
            let (x, y): (f64, f64) = (x.parse().unwrap(), y.parse().unwrap());
            (w[0] + (x - of("x")) * scale, w[3] - (y - of("y")) * scale)
        })
        .collect()
}

const TOP: &str = "board-copper-top.gbr";

#[test]
fn a_land_is_grown_until_the_ring_is_wide_enough() {
    // Lands of 0.80 mm round holes of 0.60 mm: a ring of 100 µm.
    let case = proposed_for("thin-ring", &[(TOP, "C,1.200000", "C,0.800000"), (TOP, "X5760000", "X8000000")])
        .unwrap_or_else(|titles| panic!("{titles:#?}"));
    let place = &case.query.places[case.proposal.done[0] as usize];
    let added = corners(&case.svg, "added");
    assert!(added.len() > 20);
    let near = |(x, y): &&(f64, f64)| (x - place.at.x as f64 / 1e3).hypot(y - place.at.y as f64 / 1e3) < 2_000.0;
    let radii: Vec<f64> = added
        .iter()
        .filter(near)
        .map(|(x, y)| (x - place.at.x as f64 / 1e3).hypot(y - place.at.y as f64 / 1e3))
        .collect();
    let (drawn, measured, required) = (place.drawn.unwrap(), place.measured.unwrap(), case.query.required.unwrap());
    let wanted = 300.0 + (drawn + required - measured) as f64 / 1e3;
    // A pixel of the figure is 1.7 µm; a flattened circle's corners lie up to 0.2 µm outside.
    assert!(radii.iter().all(|r| (r - wanted).abs() < 3.0), "wanted {wanted}: {radii:?}");
    assert!(case.svg.contains("nets stay") && case.proposal.proof.marks > 4, "{:?}", case.proposal.proof);
}

#[test]
fn no_land_is_grown_where_other_copper_is_too_near() {
    // The track passes 60 µm from where the grown land would end.
    let tight = [(TOP, "C,1.200000", "C,0.800000"), (TOP, "X5760000", "X5590000")];
    match proposed_for("thin-ring", &tight) {
        Err(titles) => assert!(titles.iter().any(|t| t.contains("ring")), "{titles:#?}"),
        Ok(case) => {
            let crowded = (5_000_000, 5_000_000);
            let done: Vec<_> = case.proposal.done.iter().map(|i| case.query.places[*i as usize].at).collect();
            assert!(done.iter().all(|p| (p.x, p.y) != crowded), "{done:?}");
            assert!(case.proposal.left.iter().any(|(_, why)| why.contains("too near")), "{:?}", case.proposal.left);
        }
    }
}

/// A copper area instead of the track, its left edge where the track's was.
fn pour(edge: &str) -> String {
    format!(
        "%TO.N,BETWEEN*%\nG36*\nX{edge}Y2000000D02*\nG01*\nX12000000Y2000000D01*\nX12000000Y8000000D01*\nX{edge}Y8000000D01*\nX{edge}Y2000000D01*\nG37*\n"
    )
}

const TRACK: &str = "%TO.N,BETWEEN*%\nD11*\nX5760000Y2000000D02*\nX5760000Y8000000D01*\n";

#[test]
fn a_pour_is_drawn_back_to_the_required_gap_and_no_further() {
    let case = proposed_for("tight-gap", &[(TOP, TRACK, &pour("5690000"))]).unwrap_or_else(|t| panic!("{t:#?}"));
    let removed = corners(&case.svg, "removed");
    let required = case.query.required.unwrap() as f64 / 1e3;
    let reach: Vec<f64> = removed.iter().map(|(x, y)| (x - 5_000.0).hypot(y - 5_000.0) - 600.0).collect();
    let farthest = reach.iter().copied().fold(f64::MIN, f64::max);
    assert!(farthest >= required - 0.5 && farthest < required + 5.0, "{farthest} for {required}");
    assert!(removed.iter().all(|(x, _)| *x >= 5_690.0 - 2.0), "only the pour is cut");
    assert_eq!(case.proposal.done.len() + case.proposal.left.len(), case.query.places.len());
}

#[test]
fn a_track_is_never_moved() {
    assert!(proposed_for("tight-gap", &[]).is_err(), "the gap lies between a land and a track");
}
