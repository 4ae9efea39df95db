//! A profile as a flat list of keys, to show, explain and lint it.

use landgap_parser::Nm;

use super::table::{ByColour, ByCopper, Ceiling, Length, Levels, Limit};
use super::{Capability, WallCase};

/// One number or limit of a profile.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its dotted key; rows of copper tables end in the copper in micrometres.
    pub key: String,
    /// Its value.
    pub value: EntryValue,
    /// The unit as the file gives it.
    pub unit: Option<String>,
    /// Where the number comes from.
    pub source: Option<String>,
}

/// The value of an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EntryValue {
    /// At least.
    Least(Levels),
    /// At most, in thousandths: preferred, maximum, special.
    Most(i64, i64, i64),
    /// A plain length.
    Length(Nm),
}

impl Capability {
    /// Tables by copper, with their keys.
    pub(super) fn copper_tables(&self) -> [(&'static str, &ByCopper); 6] {
        let v = &self.values;
        [
            ("track.outer", &v.track.outer),
            ("track.inner", &v.track.inner),
            ("gap.outer", &v.gap.outer),
            ("gap.inner", &v.gap.inner),
            ("ring.outer", &v.ring.outer),
            ("ring.inner", &v.ring.inner),
        ]
    }

    /// Tables by mask colour, with their keys.
    pub(super) fn colour_tables(&self) -> [(&'static str, &ByColour); 2] {
        [("web.film", &self.values.web.film), ("web.direct", &self.values.web.direct)]
    }

    fn limits(&self) -> Vec<(&'static str, &Limit)> {
        let v = &self.values;
        let mut all = vec![
            ("tool.smallest", &v.tool.smallest),
            ("slot.plated", &v.slot.plated),
            ("slot.unplated", &v.slot.unplated),
        ];
        all.extend(WallCase::ALL.map(|case| (case.key(), case.limit(&v.wall))));
        all.extend([
            ("hole_to_copper.plated_outer", &v.hole_to_copper.plated_outer),
            ("hole_to_copper.plated_inner", &v.hole_to_copper.plated_inner),
            ("hole_to_copper.unplated", &v.hole_to_copper.unplated),
            ("edge_copper.outer", &v.edge_copper.outer),
            ("edge_copper.inner", &v.edge_copper.inner),
            ("edge_hole.plated", &v.edge_hole.plated),
            ("edge_hole.unplated", &v.edge_hole.unplated),
            ("clearance.film", &v.clearance.film),
            ("clearance.direct", &v.clearance.direct),
            ("score.copper", &v.score.copper),
            ("corner.radius", &v.corner.radius),
            ("material.bridge", &v.material.bridge),
            ("material.tab_solid", &v.material.tab_solid),
            ("material.tab_perforated", &v.material.tab_perforated),
            ("half_hole.size", &v.half_hole.size),
            ("half_hole.wall", &v.half_hole.wall),
            ("tolerance.plated", &v.tolerance.plated),
            ("tolerance.unplated", &v.tolerance.unplated),
            ("tolerance.press_fit", &v.tolerance.press_fit),
        ]);
        all
    }

    fn lengths(&self) -> [(&'static str, &Length); 15] {
        let v = &self.values;
        [
            ("ring_class_3", &v.ring_class_3),
            ("registration.outer", &v.registration.outer),
            ("registration.inner", &v.registration.inner),
            ("allowance.via", &v.allowance.via),
            ("allowance.component", &v.allowance.component),
            ("allowance.slot", &v.allowance.slot),
            ("allowance.unplated", &v.allowance.unplated),
            ("tool.step", &v.tool.step),
            ("tool.via_threshold", &v.tool.via_threshold),
            ("tool.largest", &v.tool.largest),
            ("thick_copper.from", &v.thick_copper.from),
            ("thick_copper.mask", &v.thick_copper.mask),
            ("outline.rounding", &v.outline.rounding),
            ("outline.close_gap", &v.outline.close_gap),
            ("joint.neck", &v.joint.neck),
        ]
    }

    /// Every number of the profile, in the order of its keys.
    #[must_use]
    pub fn entries(&self) -> Vec<Entry> {
        let mut all: Vec<Entry> = Vec::new();
        for (key, table) in self.copper_tables() {
            all.extend(copper_entries(key, table));
        }
        for (key, table) in self.colour_tables() {
            all.extend(colour_entries(key, table));
        }
        all.extend(
            self.limits().into_iter().map(|(key, l)| entry(key, EntryValue::Least(l.levels()), &l.unit, &l.source)),
        );
        all.extend(
            self.lengths().into_iter().map(|(key, l)| entry(key, EntryValue::Length(l.value), &l.unit, &l.source)),
        );
        all.push(ceiling_entry("aspect_ratio", &self.values.aspect_ratio));
        all
    }
}

fn entry(key: &str, value: EntryValue, unit: &Option<String>, source: &Option<String>) -> Entry {
    Entry { key: key.to_owned(), value, unit: unit.clone(), source: source.clone() }
}

fn ceiling_entry(key: &str, c: &Ceiling) -> Entry {
    entry(key, EntryValue::Most(c.preferred, c.maximum, c.special), &c.unit, &c.source)
}

fn copper_entries(key: &str, table: &ByCopper) -> Vec<Entry> {
    let row_entry = |row: &super::CopperRow| Entry {
        key: format!("{key}.{}", trimmed_um(row.copper)),
        value: EntryValue::Least(row.levels()),
        unit: table.unit.clone(),
        source: row.source.clone().or_else(|| table.source.clone()),
    };
    table.rows.iter().map(row_entry).collect()
}

fn colour_entries(key: &str, table: &ByColour) -> [Entry; 3] {
    [("green", table.green), ("other", table.other), ("black_white", table.black_white)].map(|(colour, levels)| {
        entry(&format!("{key}.{colour}"), EntryValue::Least(levels), &table.unit, &table.source)
    })
}

/// Micrometres without needless decimals.
pub(super) fn trimmed_um(nm: Nm) -> String {
    let text = format!("{}.{:03}", nm / 1000, (nm % 1000).abs());
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
