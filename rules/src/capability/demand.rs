//! Which of several profiles asks least of a shop.

use std::collections::BTreeMap;

use super::{Capability, EntryValue};

impl Capability {
    /// Whether no limit of this profile is finer than the other's: what it builds, the other builds too.
    #[must_use]
    pub fn is_nowhere_finer_than(&self, other: &Self) -> bool {
        let theirs: BTreeMap<String, EntryValue> = other.entries().into_iter().map(|e| (e.key, e.value)).collect();
        self.entries().iter().all(|e| theirs.get(&e.key).is_none_or(|value| no_finer(e.value, *value)))
    }
}

fn no_finer(ours: EntryValue, theirs: EntryValue) -> bool {
    match (ours, theirs) {
        (EntryValue::Least(a), EntryValue::Least(b)) => {
            a.preferred >= b.preferred && a.minimum >= b.minimum && a.special >= b.special
        }
        (EntryValue::Most(p, m, s), EntryValue::Most(q, n, t)) => p <= q && m <= n && s <= t,
        // Plain lengths describe tools and allowances; more or less of them is neither finer nor coarser.
        _ => true,
    }
}

/// The profile that is nowhere finer than any other of the list; the first of equals, none where they cannot be ranked.
#[must_use]
pub fn least_demanding<'a>(profiles: &[&'a Capability]) -> Option<&'a Capability> {
    profiles.iter().copied().find(|p| profiles.iter().all(|other| p.is_nowhere_finer_than(other)))
}
