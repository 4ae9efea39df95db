//! Spokes of reliefs, as the recogniser measured them on the final image.

use landgap_parser::Nm;

use super::{Bench, Found, HORIZON};
use crate::board::{Feature, FeatureKind, Part};
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::round;

/// One fact a spoke, as far as the horizon.
pub(super) fn spokes(bench: &Bench<'_>) -> Found {
    let mut found = Found::default();
    for relief in bench.board.features.iter().filter(|f| f.kind == FeatureKind::Relief) {
        found.looked_at += relief.parts.len() as u64;
        found.facts.extend(relief.parts.iter().filter(|p| p.width <= HORIZON).map(|p| spoke(relief, p)));
    }
    found
}

fn spoke(relief: &Feature, part: &Part) -> Fact {
    let (dx, dy) = ((part.to.x - part.from.x) as f64, (part.to.y - part.from.y) as f64);
    let length = dx.hypot(dy);
    let (x, y) = ((part.from.x + part.to.x) as f64 / 2.0, (part.from.y + part.to.y) as f64 / 2.0);
    let half = part.width as f64 / 2.0 / length.max(1.0);
    Fact {
        kind: FactKind::Spoke,
        layer: relief.layer,
        value: part.width,
        uncertainty: relief.uncertainty,
        from: round((x - dy * half, y + dx * half)),
        to: round((x + dy * half, y - dx * half)),
        nets: Vec::new(),
        holes: relief.holes.clone(),
        sources: relief.sources.clone(),
        length: Some(length.round() as Nm),
        run: None,
        same_net: true,
    }
}
