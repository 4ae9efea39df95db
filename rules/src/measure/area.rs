//! Areas, counts and sizes.

use super::{Bench, coverage};
use crate::fact::{Facts, LayerFacts};
use crate::geometry::{Bounds, engine};

/// Fills in the layers' areas and the board's size.
pub(super) fn fill(bench: &Bench<'_>, facts: &mut Facts) {
    let mut coverage = coverage::of(bench).into_iter();
    for (image, layer) in bench.geometry.copper.iter().zip(&bench.board.copper) {
        let copper_mm2 = image.islands.iter().map(|i| engine::area_mm2(&i.contours)).sum();
        let islands = image.islands.len() as u32;
        facts.layers.push(LayerFacts {
            layer: layer.number,
            side: layer.side,
            copper_mm2,
            islands,
            coverage: coverage.next(),
        });
    }
    let mut bounds = Bounds::EMPTY;
    bench.geometry.outline.iter().flatten().for_each(|p| bounds.add(*p));
    facts.width = bounds.width();
    facts.height = bounds.height();
    facts.board_mm2 = board_area(bench);
}

/// Material inside the outline: contours count in and out by how many others enclose them.
fn board_area(bench: &Bench<'_>) -> f64 {
    let Some(edge) = bench.edge else { return 0.0 };
    let signed = |(number, contour): (u32, &Vec<landgap_parser::Point>)| {
        let area = engine::doubled_area(contour).abs() as f64 / 2.0 / 1e12;
        let around = edge.index.enclosers(contour[0]).into_iter().filter(|other| *other != number).count();
        if around % 2 == 0 { area } else { -area }
    };
    (0u32..).zip(&bench.geometry.outline).map(signed).sum()
}
