//! Legends: where ink lies on openings, with what pens it is drawn, and how high its characters are.
//!
//! The final image of a legend is never built: strokes keep their centre lines, and only what clear
//! objects cut is made into polygons.

mod ink;
mod on_openings;
mod pens;
mod rows;

use super::{Bench, Found, in_parallel};
use crate::board::{LayerRef, Side};
use crate::fact::FactKind;
use ink::Ink;

/// The ink of one legend file.
struct Legend {
    side: Side,
    layer: LayerRef,
    file: u32,
    step: landgap_parser::Nm,
    ink: Vec<Ink>,
}

/// Everything measured on legends.
pub(super) fn all(bench: &Bench<'_>) -> [(FactKind, Found); 3] {
    let legends: Vec<Legend> =
        in_parallel(&bench.board.legends, |layer| of(bench, layer.side, layer.file)).into_iter().flatten().collect();
    let mut found = [
        (FactKind::LegendToOpening, Found::default()),
        (FactKind::LegendStroke, Found::default()),
        (FactKind::LegendHeight, Found::default()),
    ];
    for legend in &legends {
        let parts = [on_openings::of(bench, legend), pens::of(bench, legend), rows::of(bench, legend)];
        for ((_, all), part) in found.iter_mut().zip(parts) {
            all.facts.extend(part.facts);
            all.looked_at += part.looked_at;
        }
    }
    found
}

fn of(bench: &Bench<'_>, side: Side, file: u32) -> Option<Legend> {
    let image = bench.board.images.get(file as usize)?.as_ref()?;
    Some(Legend { side, layer: LayerRef::Legend(side), file, step: image.step, ink: ink::of(image) })
}
