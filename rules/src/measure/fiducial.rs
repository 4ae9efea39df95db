//! Fiducials: the ring free of other copper round each.
//!
//! Method: from the middle of the mark to the nearest copper that is not its own, less its radius;
//! 0 where its own copper goes on beyond it.

use landgap_parser::Nm;

use super::{Bench, Found, HORIZON, uncertainty};
use crate::board::{FeatureKind, LayerRef};
use crate::fact::{Fact, FactKind};
use crate::geometry::distance::round;

/// An island that reaches this far beyond the mark is more than the mark.
const ROUNDING: Nm = 2_000;

/// The clear ring of every fiducial, as far as the horizon.
pub(super) fn clear_rings(bench: &Bench<'_>) -> Found {
    let mut found = Found::default();
    for mark in bench.board.features.iter().filter(|f| f.kind == FeatureKind::Fiducial) {
        let (Some(LayerRef::Copper(number)), Some(size)) = (mark.layer, mark.size) else { continue };
        let position = number as usize - 1;
        let Some(index) = bench.copper.get(position) else { continue };
        let image = &bench.geometry.copper[position];
        let Some(own) = index.island_at(mark.at) else { continue };
        found.looked_at += 1;
        let bounds = image.islands[own as usize].bounds;
        let joined = bounds.width().max(bounds.height()) > size + ROUNDING;
        let radius = size as f64 / 2.0;
        let reach = HORIZON + size / 2;
        let Some((_, span)) = index.nearest(&[mark.at], reach, |_, e| joined || e.island != own) else { continue };
        let value = if joined { 0.0 } else { span.length - radius };
        let part = (radius / span.length.max(1.0)).min(1.0);
        let wall = (span.from.0 + (span.to.0 - span.from.0) * part, span.from.1 + (span.to.1 - span.from.1) * part);
        found.facts.push(Fact {
            kind: FactKind::FiducialRing,
            layer: Some(image.layer),
            value: value.round() as Nm,
            uncertainty: 2 * uncertainty::boundary(image.step),
            from: round(wall),
            to: span.points().1,
            nets: Vec::new(),
            holes: Vec::new(),
            sources: mark.sources.clone(),
            length: Some(size),
            run: None,
            same_net: joined,
        });
    }
    found
}
