//! Two nets joined on purpose: lands of one part, with two names, on one piece of copper.

use std::collections::BTreeMap;

use super::lands::Land;
use super::{Ground, Lands};
use crate::board::{Board, Feature, FeatureKind, LayerRef};

/// Named lands of one part on one island, by part and island.
type Parts<'a> = BTreeMap<(&'a str, u32, u32), Vec<(&'a str, &'a Land)>>;

/// Parts whose lands carry two net names on one island. The size is the distance between the two lands.
pub(super) fn of(board: &Board, ground: &Ground<'_>, lands: &Lands) -> Vec<Feature> {
    let mut parts: Parts<'_> = BTreeMap::new();
    for land in lands.all() {
        let (Some(net), Some(part)) = (lands.net(board, land), lands.component(board, land)) else { continue };
        let index = &ground.copper[land.layer as usize - 1];
        if let Some(island) = index.island_at(land.at) {
            parts.entry((part, land.layer, island)).or_default().push((net, land));
        }
    }
    parts.into_iter().filter_map(|((part, layer, _), named)| tie(part, layer, &named)).collect()
}

fn tie(part: &str, layer: u32, named: &[(&str, &Land)]) -> Option<Feature> {
    let (first, land) = named.first()?;
    let (second, other) = named.iter().find(|(net, _)| net != first)?;
    let mut feature = Feature::new(FeatureKind::NetTie, Some(LayerRef::Copper(layer)), land.at)
        .because(format!("two lands of part {part}, of nets {first} and {second}, lie on one piece of copper"));
    feature.size = Some(land.at.distance(other.at).round() as landgap_parser::Nm);
    feature.between = Some((land.at, other.at));
    feature.sources = vec![land.source, other.source];
    Some(feature)
}
