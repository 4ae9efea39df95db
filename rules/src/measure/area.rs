//! Areas, counts and sizes.

use super::{Bench, bounds_of};
use crate::fact::{Facts, LayerFacts};
use crate::geometry::{Bounds, engine};

/// Fills in the layers' areas and the board's size.
pub(super) fn fill(bench: &Bench<'_>, facts: &mut Facts) {
    for (image, layer) in bench.geometry.copper.iter().zip(&bench.board.copper) {
        let copper_mm2 = image.islands.iter().map(|i| engine::area_mm2(&i.contours)).sum();
        let islands = image.islands.len() as u32;
        facts.layers.push(LayerFacts { layer: layer.number, side: layer.side, copper_mm2, islands });
    }
    let mut bounds = Bounds::EMPTY;
    bench.geometry.outline.iter().flatten().for_each(|p| bounds.add(*p));
    facts.width = bounds.width();
    facts.height = bounds.height();
    facts.board_mm2 = board_area(bench);
    debug_assert!(bench.geometry.copper.iter().all(|l| l.islands.is_empty() || !bounds_of(l).is_empty()));
}

/// Material inside the outline: contours count in and out by how many others enclose them.
fn board_area(bench: &Bench<'_>) -> f64 {
    let Some(edge) = bench.edge else { return 0.0 };
    bench
        .geometry
        .outline
        .iter()
        .map(|contour| {
            let area = engine::doubled_area(contour).abs() as f64 / 2.0 / 1e12;
            let around = edge.index.enclosing(contour[0]);
            // The contour itself may or may not count its own corner; its depth is what others add.
            let depth =
                bench.geometry.outline.iter().filter(|o| !std::ptr::eq(*o, contour) && encloses(o, contour)).count();
            debug_assert!(around >= depth || around + 1 >= depth);
            if depth % 2 == 0 { area } else { -area }
        })
        .sum()
}

fn encloses(outer: &[landgap_parser::Point], inner: &[landgap_parser::Point]) -> bool {
    let index = crate::geometry::edges::EdgeIndex::of_contours(std::slice::from_ref(&outer.to_vec()));
    inner.iter().all(|p| index.enclosing(*p) == 1)
}
