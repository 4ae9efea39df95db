//! What rules may look at, and the steps they share.

use landgap_parser::{Nm, Point};

use super::finding::{Finding, LayerRole, Outcome};
use crate::board::{Board, Hole, HoleKind, HolePlating, LayerRef, OutlineState, Side};
use crate::capability::{Applied, Capability, Order, Settled};
use crate::fact::{Fact, FactKind, Facts};
use crate::geometry::Geometry;
use crate::query::{QueryPlace, Severity, Terms};

/// What rules may look at.
pub(crate) struct Context<'a> {
    pub board: &'a Board,
    pub geometry: &'a Geometry,
    pub facts: &'a Facts,
    pub capability: &'a Capability,
    /// Copper layers as ordered, where the order says.
    pub ordered_layers: Option<u32>,
    pub order: Settled,
    /// The order as it was given.
    pub ordered: &'a Order,
    pub terms: &'a Terms,
}

impl Context<'_> {
    /// Whether a copper layer lies inside the board.
    pub(crate) fn is_inner(&self, layer: Option<LayerRef>) -> bool {
        let Some(LayerRef::Copper(number)) = layer else { return false };
        let listed = self.board.copper.iter().find(|c| c.number == number).map(|c| c.side);
        listed.or_else(|| self.facts.layers.iter().find(|l| l.layer == number).map(|l| l.side)) == Some(Side::Inner)
    }

    pub(crate) fn role(&self, layer: Option<LayerRef>) -> LayerRole {
        match layer {
            Some(LayerRef::Copper(_)) if self.is_inner(layer) => LayerRole::Inner,
            Some(LayerRef::Copper(_)) => LayerRole::Outer,
            Some(LayerRef::Mask(_)) => LayerRole::Mask,
            Some(LayerRef::Legend(_)) | None => LayerRole::Board,
        }
    }

    pub(crate) fn hole(&self, number: u32) -> Option<&Hole> {
        self.board.holes.get(number as usize)
    }

    /// The holes of a fact that the board knows.
    pub(crate) fn holes_of<'f>(&'f self, fact: &'f Fact) -> impl Iterator<Item = &'f Hole> {
        fact.holes.iter().filter_map(|h| self.hole(*h))
    }

    /// Whether a point lies on the land of a half-hole: within its radius and half a millimetre.
    pub(crate) fn is_at_half_hole(&self, at: Point) -> bool {
        const LAND: Nm = 500_000;
        self.board
            .holes
            .iter()
            .filter(|h| h.kind == HoleKind::HalfHole)
            .any(|h| h.at().distance(at) <= (h.finished.unwrap_or(0) / 2 + LAND) as f64)
    }

    /// Names of a fact's nets, where the data name them.
    fn net_names(&self, fact: &Fact) -> Vec<String> {
        let name = |net: &u32| self.facts.net_names.get(*net as usize).filter(|n| !n.is_empty()).cloned();
        fact.nets.iter().filter_map(name).collect()
    }

    /// Where to look for a fact: the axis of the hole for a ring, else half-way between its witness points.
    fn place_of(&self, fact: &Fact) -> Point {
        let half_way = Point::new(middle(fact.from.x, fact.to.x), middle(fact.from.y, fact.to.y));
        match fact.kind {
            FactKind::RingDrawn => self.holes_of(fact).next().map_or(half_way, Hole::at),
            _ => half_way,
        }
    }

    /// A place made from a fact, judged at `value`.
    pub(crate) fn place(&self, fact: &Fact, value: Nm) -> QueryPlace {
        QueryPlace {
            at: self.place_of(fact),
            layer: fact.layer,
            measured: Some(value),
            drawn: Some(fact.value),
            uncertainty: Some(fact.uncertainty),
            between: Some((fact.from, fact.to)),
            run: fact.run,
            nets: self.net_names(fact),
            holes: fact.holes.clone(),
            sources: fact.sources.clone(),
        }
    }

    /// A place at a hole, judged at `value`.
    pub(crate) fn hole_place(
        &self,
        number: u32,
        hole: &Hole,
        value: Option<Nm>,
        layer: Option<LayerRef>,
    ) -> QueryPlace {
        QueryPlace {
            at: hole.at(),
            layer,
            measured: value,
            drawn: hole.finished.filter(|_| value.is_some()),
            uncertainty: value.map(|_| 0),
            between: None,
            run: None,
            nets: Vec::new(),
            holes: vec![number],
            sources: vec![hole.source],
        }
    }

    /// Holds a fact, judged at `value`, against a limit.
    pub(crate) fn held(&self, fact: &Fact, value: Nm, applied: Applied) -> Option<Finding> {
        let severity = applied.levels.severity(value, fact.uncertainty)?;
        Some(Finding::at(severity, self.role(fact.layer), applied, self.place(fact, value)))
    }

    /// Runs a rule over every fact of one kind. `widest` is the largest limit the rule may hold them against.
    pub(crate) fn each_fact(&self, kind: FactKind, widest: Nm, judge: impl Fn(&Fact) -> Option<Finding>) -> Outcome {
        if let Some((_, why)) = self.facts.not_measured.iter().find(|(k, _)| *k == kind) {
            return Outcome::not_run(why.clone());
        }
        if let Some(why) = self.missing_for(kind) {
            return Outcome::not_run(why);
        }
        let counted = self.facts.looked_at.iter().find(|(k, _)| *k == kind).map(|(_, n)| *n);
        let known = self.facts.of(kind).count() as u64;
        Outcome {
            looked_at: counted.unwrap_or(0).max(known),
            findings: self.facts.of(kind).filter_map(judge).collect(),
            not_run: self.gap_in(kind, counted.is_none() && known == 0, widest),
        }
    }

    fn gap_in(&self, kind: FactKind, unseen: bool, widest: Nm) -> Option<String> {
        let general = self.facts.horizon;
        let horizon = if general > 0 { kind.own_horizon().unwrap_or(general) } else { 0 };
        if unseen {
            Some("this was not measured".to_owned())
        } else if horizon > 0 && widest > horizon {
            let (limit, horizon) =
                (crate::query::words::millimetres(widest), crate::query::words::millimetres(horizon));
            Some(format!("run in part: the limit of {limit} lies beyond the {horizon} up to which distances are kept"))
        } else {
            None
        }
    }

    fn missing_for(&self, kind: FactKind) -> Option<&'static str> {
        let needs_edge = matches!(
            kind,
            FactKind::CopperToEdge
                | FactKind::HoleToEdge
                | FactKind::InnerCorner
                | FactKind::Bridge
                | FactKind::Tab
                | FactKind::CutOut
                | FactKind::CopperToScore
        );
        let needs_holes = matches!(kind, FactKind::RingDrawn | FactKind::HoleToCopper | FactKind::HoleToHole);
        if needs_edge && self.board.outline.state == OutlineState::Missing {
            Some("no outline in the data")
        } else if needs_holes && self.board.holes.is_empty() {
            Some("no holes in the data")
        } else {
            None
        }
    }

    /// The wider of the limits for outer and, where the board has them, inner layers.
    pub(crate) fn widest(&self, limit: impl Fn(bool) -> Applied) -> Nm {
        let inner = if self.board.copper.len() > 2 { limit(true).levels.preferred } else { 0 };
        limit(false).levels.preferred.max(inner)
    }
}

fn middle(a: Nm, b: Nm) -> Nm {
    a + (b - a) / 2
}

/// Caps at `ask` where it is not known whether the hole is plated, and says so.
pub(crate) fn with_plating_doubt(finding: Finding, hole: &Hole) -> Finding {
    if hole.plating == HolePlating::Unclear {
        finding.capped(Severity::Ask).reason("The data do not say whether the hole is plated; it is judged as plated.")
    } else {
        finding
    }
}
