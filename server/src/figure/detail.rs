//! The dimensioned detail of one query: its worst place, drawn from the final images.

use landgap_parser::Point;
use landgap_rules::board::{LayerRef, Side};
use landgap_rules::capability::Capability;
use landgap_rules::check::Measured;
use landgap_rules::geometry::{Bounds, Island, LayerImage};
use landgap_rules::query::{Query, QueryPlace};

use super::marks::Marks;
use super::sheet::{Fill, Sheet};
use super::view::{Frame, Px, View};
use super::{dimension, hole, ink};
use crate::print::words;
use crate::wire::um::{Um, mm};

/// Where the drawing stands on its sheet.
pub const FRAME: Frame = Frame { left: 1.0, top: 1.0, width: 718.0, height: 480.0 };
/// Height of the sheet.
pub const HEIGHT: f64 = 548.0;
/// The window is this many times the measured distance wide, and never narrower than [`NARROWEST`].
const TIMES: i64 = 12;
const NARROWEST: i64 = 1_200_000;
/// Further places of the query marked in the window.
const MARKED: usize = 12;
/// Detail finer than this many pixels is dropped.
pub const FINEST: f64 = 0.25;

/// The figure, or `None` where the query is about no place.
#[must_use]
pub fn figure(measured: &Measured, capability: &Capability, query: &Query) -> Option<String> {
    let place = query.places.first()?;
    let view = View::fit(window(place), FRAME, false);
    let mut sheet =
        Sheet::new(&format!("q{}", query.number), 720.0, HEIGHT, &format!("{}: {}", query.number, query.title));
    sheet.begin_clip(FRAME);
    layers(&mut sheet, &view, measured, place);
    legend(&mut sheet, &view, measured, place);
    outline(&mut sheet, &view, measured);
    for hole in measured.board.holes.iter().filter(|h| hole::bounds(h).meets(&view.window)) {
        hole::detailed(&mut sheet, &view, hole, capability.tool(hole));
    }
    sheet.end_clip();
    measure(&mut sheet, &view, query, place);
    sheet.frame(FRAME, 1.2);
    others(&mut sheet, &view, query);
    caption(&mut sheet, &view, query, place);
    Some(sheet.finish())
}

/// The part of the board round a place that is drawn.
#[must_use]
pub fn window(place: &QueryPlace) -> Bounds {
    let (a, b) = place.between.unwrap_or((place.at, place.at));
    let across = (a.distance(b).round() as i64).max(place.measured.unwrap_or(0));
    let width = (TIMES * across).max(NARROWEST);
    let height = (width as f64 * FRAME.height / FRAME.width).round() as i64;
    let middle = Point::new(i64::midpoint(a.x, b.x), i64::midpoint(a.y, b.y));
    let min = Point::new(middle.x - width / 2, middle.y - height / 2);
    Bounds { min, max: Point::new(min.x + width, min.y + height) }
}

/// Copper hatched; on mask and legend queries their edges too. No other layer is drawn.
pub fn layers(sheet: &mut Sheet, view: &View, measured: &Measured, place: &QueryPlace) {
    let last = measured.board.copper.len() as u32;
    let copper = match place.layer {
        Some(LayerRef::Copper(number)) => number,
        Some(LayerRef::Mask(Side::Bottom) | LayerRef::Legend(Side::Bottom)) => last,
        _ => 1,
    };
    if let Some(image) = measured.geometry.image(LayerRef::Copper(copper)) {
        copper_area(sheet, view, image, place);
    }
    let over = match place.layer {
        Some(LayerRef::Mask(side)) => vec![(LayerRef::Mask(side), "1 3")],
        Some(LayerRef::Legend(side)) => vec![(LayerRef::Mask(side), "1 3")],
        _ => Vec::new(),
    };
    for (layer, dash) in over {
        for island in measured.geometry.image(layer).into_iter().flat_map(|i| seen(i, view)) {
            sheet.area(&on_paper(view, island), FRAME.grown(8.0), FINEST, Fill::Open, 1.3, dash);
        }
    }
}

/// Ink of the legend a query is about.
fn legend(sheet: &mut Sheet, view: &View, measured: &Measured, place: &QueryPlace) {
    let Some(LayerRef::Legend(side)) = place.layer else { return };
    for piece in ink::seen(measured, side, &view.window) {
        sheet.area(&on_paper(view, &piece), FRAME.grown(8.0), FINEST, Fill::Open, 1.3, "");
    }
}

fn copper_area(sheet: &mut Sheet, view: &View, image: &LayerImage, place: &QueryPlace) {
    let first = place.between.map_or(place.at, |b| b.0);
    let subject =
        seen(image, view).filter(|i| i.bounds.grown(2_000).meets(&Bounds::of(&[first]))).map(|i| i.net).next();
    for island in seen(image, view) {
        let fill = if Some(island.net) == subject { Fill::Hatch } else { Fill::CounterHatch };
        sheet.area(&on_paper(view, island), FRAME.grown(8.0), FINEST, fill, 1.1, "");
    }
}

fn seen<'a>(image: &'a LayerImage, view: &View) -> impl Iterator<Item = &'a Island> {
    let window = view.window;
    image.islands.iter().filter(move |i| i.bounds.meets(&window))
}

fn on_paper(view: &View, island: &Island) -> Vec<Vec<Px>> {
    island.contours.iter().map(|c| c.iter().map(|p| view.px(*p)).collect()).collect()
}

/// The board's edge as a chain line.
pub fn outline(sheet: &mut Sheet, view: &View, measured: &Measured) {
    for contour in &measured.geometry.outline {
        let points: Vec<Px> = contour.iter().map(|p| view.px(*p)).collect();
        sheet.area(&[points], FRAME.grown(8.0), FINEST, Fill::Open, 1.6, "18 4 3 4");
    }
}

fn measure(sheet: &mut Sheet, view: &View, query: &Query, place: &QueryPlace) {
    let (a, b) = place.between.unwrap_or((place.at, place.at));
    let mut text = words::measured_required(place.measured.map(Um), query.required.map(Um));
    if let (Some(drawn), Some(measured)) = (place.drawn, place.measured)
        && drawn != measured
    {
        text += &format!(" ({} drawn)", mm(Um(drawn)));
    }
    dimension::draw(sheet, FRAME, view.px(a), view.px(b), &text);
}

/// Further places of the same query and layer that lie in the window.
fn others(sheet: &mut Sheet, view: &View, query: &Query) {
    let mut marks = Marks::new(11.0, FRAME.grown(-6.0));
    marks.avoid((FRAME.left + FRAME.width / 2.0, FRAME.top + FRAME.height / 2.0));
    let layer = query.places.first().and_then(|p| p.layer);
    let inside = query.places.iter().enumerate().skip(1);
    let inside = inside.filter(|(_, p)| p.layer == layer && Bounds::of(&[p.at]).meets(&view.window)).take(MARKED);
    for (index, place) in inside {
        let anchor = view.px(place.at);
        if let Some(at) = marks.place(anchor) {
            sheet.balloon(anchor, at, 11.0, &(index + 1).to_string(), "place");
        }
    }
}

fn caption(sheet: &mut Sheet, view: &View, query: &Query, place: &QueryPlace) {
    let (bar, label) = scale_bar(view.scale);
    let (x, y) = (20.0, FRAME.top + FRAME.height + 30.0);
    sheet.line((x, y), (x + bar, y), 1.6, "");
    for end in [x, x + bar] {
        sheet.line((end, y - 5.0), (end, y + 5.0), 1.0, "");
    }
    sheet.text((x, y + 26.0), "start", 22.0, &label);
    let layer = place.layer.map_or_else(|| "board".to_owned(), LayerRef::name);
    let at = format!("{layer}   x {}  y {} mm", mm(Um(place.at.x)), mm(Um(place.at.y)));
    sheet.text((700.0, y + 2.0), "end", 22.0, &at);
    let which = format!("Query {}, worst of {}", query.number, words::count(query.places.len(), "place"));
    sheet.text((700.0, y + 26.0), "end", 22.0, &which);
}

/// A round length that takes 80 to 200 pixels, and its words.
#[must_use]
pub fn scale_bar(scale: f64) -> (f64, String) {
    let mut nm: i64 = 1_000;
    for (index, factor) in [2, 2, 5].into_iter().cycle().map(|f| if f == 5 { (5, 2) } else { (f, 1) }).enumerate() {
        if nm as f64 * scale >= 80.0 || index > 30 {
            break;
        }
        nm = nm * factor.0 / factor.1;
    }
    (nm as f64 * scale, format!("{} mm", trimmed(nm)))
}

fn trimmed(nm: i64) -> String {
    let text = mm(Um(nm));
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scale_bars_are_round() {
        let (bar, label) = scale_bar(718.0 / 1_200_000.0);
        assert!((80.0..=200.0).contains(&bar), "{bar}");
        assert_eq!(label, "0.2 mm");
        assert!(scale_bar(1000.0 / 500_000_000.0).1.ends_with("mm"));
    }
}
