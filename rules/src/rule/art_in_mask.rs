//! Letters, signs and lines drawn into the mask.

use super::context::Context;
use super::feature::{self, Needs};
use super::finding::{Finding, Outcome};
use super::{Group, Rule, side};
use crate::board::{Feature, FeatureKind};
use crate::query::Severity;

pub(super) const RULE: Rule =
    Rule { name: "art-in-mask", group: Group::Mask, page: include_str!("art_in_mask.md"), look };

fn look(_: &Rule, context: &Context<'_>) -> Outcome {
    side::each_feature(context, FeatureKind::MaskArt, Needs::Mask, |art| Some(judge(context, art)))
}

fn judge(context: &Context<'_>, art: &Feature) -> Finding {
    let severity = if art.settled { Severity::Note } else { Severity::Ask };
    let found = feature::finding(context, art, severity);
    let limit = context.capability.mask_stroke();
    let thin = art.size.filter(|pen| *pen + art.uncertainty < limit.levels.minimum);
    match thin {
        Some(pen) if art.settled => {
            let mut found = found.case("thin strokes");
            found.severity = Severity::Ask;
            found.applied = Some(limit);
            found.places.iter_mut().for_each(|place| {
                (place.measured, place.drawn, place.uncertainty) = (Some(pen), Some(pen), Some(art.uncertainty));
            });
            found
        }
        _ if art.settled => found,
        _ => found.case("over several nets"),
    }
}
