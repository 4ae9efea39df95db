//! Legends among the layers with text: at most one a side.

use super::content::{Found, Layer, beyond, of};
use super::portrait::Portrait;
use crate::board::{Role, Side};

/// A legend keeps off holes and off one mask's openings, stays on the board, and has characters.
pub(super) fn read(p: &Portrait, all: &[Layer]) -> Option<Found> {
    let drawn = p.strokes + p.areas >= 4 && p.landed <= 0.1 && p.free >= 0.7;
    let over = over(p, all);
    if !drawn || p.reading.characters < 5 || over > 0.12 || beyond(p) {
        return None;
    }
    let evidence = format!(
        "it has about {} characters, leaves {:.0} % of the holes free and {:.0} % of it lies in mask openings",
        p.reading.characters,
        p.free * 100.0,
        over * 100.0
    );
    Some(Found::new(Role::Legend, 65, evidence).or("a drawing"))
}

/// Share of a layer in the openings of the mask it keeps off best.
fn over(p: &Portrait, all: &[Layer]) -> f64 {
    let masks = of(all, Role::Mask);
    if masks.clone().count() == 0 { 0.0 } else { masks.map(|m| p.inside(m)).fold(1.0, f64::min) }
}

/// How good a legend a layer makes, read from the top or from the bottom.
fn as_legend(p: &Portrait, all: &[Layer], side: Side) -> f64 {
    let reads = (p.reading.weight() * 5.0).clamp(-0.5, 0.5);
    let size = p.reading.characters.min(10) as f64 / 20.0;
    let kept = 1.0 - 8.0 * over(p, all) + size - p.beyond;
    if side == Side::Top { kept + reads } else { kept - reads }
}

/// At most one legend a side; what else has text is a drawing.
pub(super) fn one_a_side(layers: &mut [Layer]) {
    let candidates: Vec<usize> =
        (0..layers.len()).filter(|&i| layers[i].found.role == Role::Legend && !layers[i].known).collect();
    let known =
        |side: Side| layers.iter().any(|l| l.known && l.found.role == Role::Legend && l.found.side == Some(side));
    let score = |i: Option<&usize>, side: Side| match i {
        Some(i) if !known(side) => as_legend(&layers[*i].portrait, layers, side),
        Some(_) => -1.0,
        None => 0.4,
    };
    let choices = || candidates.iter().map(Some).chain([None]);
    let pairs = choices().flat_map(|t| choices().map(move |b| (t, b))).filter(|(t, b)| t.is_none() || t != b);
    let value = |(t, b): &(Option<&usize>, Option<&usize>)| score(*t, Side::Top) + score(*b, Side::Bottom);
    let mut ways: Vec<(f64, Option<usize>, Option<usize>)> =
        pairs.map(|p| (value(&p), p.0.copied(), p.1.copied())).collect();
    ways.sort_by(|a, b| b.0.total_cmp(&a.0));
    let Some(&(best, top, bottom)) = ways.first() else { return };
    for i in candidates {
        let side = if top == Some(i) { Some(Side::Top) } else { (bottom == Some(i)).then_some(Side::Bottom) };
        let another = ways.iter().find(|w| (w.1 == Some(i) || w.2 == Some(i)) != side.is_some()).map_or(-1.0, |w| w.0);
        let clear = best - another >= 0.1;
        if side.is_some() {
            layers[i].found.side = side;
            layers[i].found.confidence = if clear { 65 } else { 50 };
        } else {
            let text = "it has text, but other layers make better legends";
            layers[i].found = Found::new(Role::Drawing, if clear { 65 } else { 45 }, text).or("legend");
        }
    }
}
