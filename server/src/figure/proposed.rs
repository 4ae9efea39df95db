//! The worst place with room, as it would be with the remedy we suggest: drawn over the data.

use landgap_rules::board::LayerRef;
use landgap_rules::capability::Capability;
use landgap_rules::check::Measured;
use landgap_rules::geometry::engine::Polygon;
use landgap_rules::propose::Proposal;
use landgap_rules::query::Query;

use super::detail::{self, FINEST, FRAME, HEIGHT};
use super::hole;
use super::sheet::{Fill, Sheet};
use super::view::{Px, View};
use crate::print::words;
use crate::wire::um::{Um, mm};

/// The figure.
#[must_use]
pub fn figure(measured: &Measured, capability: &Capability, query: &Query, proposal: &Proposal) -> Option<String> {
    let number = *proposal.done.first()?;
    let place = query.places.get(number as usize)?;
    let view = View::fit(detail::window(place), FRAME, false);
    let title = format!("{}, as proposed: {}", query.number, query.title);
    let mut sheet = Sheet::new(&format!("p{}", query.number), 720.0, HEIGHT, &title);
    let um = |nm: i64| Um(nm).to_string();
    let (min, max) = (view.window.min, view.window.max);
    sheet.group("window-um", &format!("{} {} {} {}", um(min.x), um(min.y), um(max.x), um(max.y)));
    sheet.begin_clip(FRAME);
    detail::layers(&mut sheet, &view, measured, place);
    detail::outline(&mut sheet, &view, measured);
    // What comes is toned with a heavy edge, what goes is paper with a broken one: told apart without colour.
    changed(&mut sheet, &view, "added", &proposal.added, Fill::Tone, 2.4, "");
    changed(&mut sheet, &view, "removed", &proposal.removed, Fill::Paper, 1.8, "7 4");
    for hole in measured.board.holes.iter().filter(|h| hole::bounds(h).meets(&view.window)) {
        hole::detailed(&mut sheet, &view, hole, capability.tool(hole));
    }
    sheet.end_clip();
    sheet.end_group();
    sheet.frame(FRAME, 1.2);
    caption(&mut sheet, query, proposal, number);
    Some(sheet.finish())
}

fn changed(sheet: &mut Sheet, view: &View, name: &str, pieces: &[Polygon], fill: Fill, width: f64, dash: &str) {
    sheet.group(name, &pieces.len().to_string());
    for piece in pieces {
        let contours: Vec<Vec<Px>> = piece.iter().map(|c| c.iter().map(|p| view.px(*p)).collect()).collect();
        sheet.area(&contours, FRAME.grown(8.0), FINEST, fill, width, dash);
    }
    sheet.end_group();
}

fn caption(sheet: &mut Sheet, query: &Query, proposal: &Proposal, number: u32) {
    let y = FRAME.top + FRAME.height + 30.0;
    let what = match (proposal.added.is_empty(), proposal.removed.is_empty(), proposal.layer) {
        (false, _, LayerRef::Mask(_)) => "opening added",
        (false, ..) => "copper added",
        (true, false, _) => "copper taken away",
        (true, true, _) => "nothing changed",
    };
    let places = words::count(proposal.done.len() + proposal.left.len(), "place");
    let layer = proposal.layer.name();
    let place = query.places.get(number as usize);
    let at = place.map_or_else(String::new, |p| format!(", x {}  y {} mm", mm(Um(p.at.x)), mm(Um(p.at.y))));
    sheet.text((20.0, y), "start", 20.0, &format!("As proposed: {what}{at}"));
    let proof = format!(
        "{layer}: room at {} of {places}; all {} nets stay ({} lands and holes compared)",
        proposal.done.len(),
        proposal.proof.nets,
        proposal.proof.marks
    );
    sheet.text((20.0, y + 24.0), "start", 17.0, &proof);
}
