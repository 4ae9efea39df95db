//! Boxes in a spatial index: which of them meet a box, at the cost of the logarithm of their number.

use landgap_parser::Nm;
use static_aabb2d_index::{Control, StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use super::layer::Bounds;

fn index(boxes: &[Bounds]) -> Option<StaticAABB2DIndex<Nm>> {
    let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
    for b in boxes {
        builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
    }
    if boxes.is_empty() { None } else { builder.build().ok() }
}

/// Boxes, findable by place.
pub struct BoxIndex(Option<StaticAABB2DIndex<Nm>>);

impl BoxIndex {
    /// Indexes boxes; equal ones count once, so that a heap of them costs no more than one.
    #[must_use]
    pub fn new(mut boxes: Vec<Bounds>) -> Self {
        boxes.sort_unstable_by_key(|b| (b.min, b.max));
        boxes.dedup_by_key(|b| (b.min, b.max));
        Self(index(&boxes))
    }

    /// Whether any box meets another.
    #[must_use]
    pub fn meets(&self, place: &Bounds) -> bool {
        let Some(index) = &self.0 else { return false };
        let mut first = |_: usize| Control::Break(());
        let found: Control<()> = index.visit_query(place.min.x, place.min.y, place.max.x, place.max.y, &mut first);
        matches!(found, Control::Break(()))
    }
}

/// Boxes by number.
pub struct Boxes(Option<StaticAABB2DIndex<Nm>>);

impl Boxes {
    /// Indexes boxes; none of them may be empty.
    #[must_use]
    pub fn new(boxes: &[Bounds]) -> Self {
        Self(index(boxes))
    }

    /// Numbers of the boxes that meet a box, in order.
    #[must_use]
    pub fn meeting(&self, b: &Bounds) -> Vec<usize> {
        let mut found = self.0.as_ref().map(|i| i.query(b.min.x, b.min.y, b.max.x, b.max.y)).unwrap_or_default();
        found.sort_unstable();
        found
    }
}
