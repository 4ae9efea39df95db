//! Boxes in a tree: which of them meet a place, at the cost of the logarithm of their number.

use static_aabb2d_index::{Control, StaticAABB2DIndex, StaticAABB2DIndexBuilder};

use super::layer::Bounds;
use landgap_parser::Nm;

/// Boxes, findable by place.
pub struct BoxIndex(Option<StaticAABB2DIndex<Nm>>);

impl BoxIndex {
    /// Indexes boxes; equal ones count once, so that a heap of them costs no more than one.
    #[must_use]
    pub fn new(mut boxes: Vec<Bounds>) -> Self {
        boxes.sort_unstable_by_key(|b| (b.min, b.max));
        boxes.dedup_by_key(|b| (b.min, b.max));
        if boxes.is_empty() {
            return Self(None);
        }
        let mut builder = StaticAABB2DIndexBuilder::new(boxes.len());
        for b in &boxes {
            builder.add(b.min.x, b.min.y, b.max.x, b.max.y);
        }
        Self(builder.build().ok())
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
