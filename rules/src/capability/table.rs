//! The building blocks of a capability profile: limits in three levels, and tables of them.

use landgap_parser::Nm;
use serde::Deserialize;
use serde::de::{Deserializer, Error, Visitor};

use crate::query::Severity;

/// The largest length a profile or an order may name: one metre.
const LENGTH_MAX_UM: f64 = 1_000_000.0;

/// Reads a length given as a decimal number of micrometres.
pub(super) fn micrometres<'de, D: Deserializer<'de>>(input: D) -> Result<Nm, D::Error> {
    input.deserialize_any(LengthVisitor)
}

/// The same where the key may be left out.
pub(crate) fn optional_micrometres<'de, D: Deserializer<'de>>(input: D) -> Result<Option<Nm>, D::Error> {
    micrometres(input).map(Some)
}

/// Reads a plain ratio as thousandths.
fn thousandths<'de, D: Deserializer<'de>>(input: D) -> Result<i64, D::Error> {
    input.deserialize_any(LengthVisitor)
}

struct LengthVisitor;

impl Visitor<'_> for LengthVisitor {
    type Value = Nm;

    fn expecting(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("a decimal number from 0 to 1000000 (lengths are in micrometres)")
    }

    fn visit_i64<E: Error>(self, value: i64) -> Result<Nm, E> {
        self.visit_f64(value as f64)
    }

    fn visit_f64<E: Error>(self, value: f64) -> Result<Nm, E> {
        if value.is_finite() && (0.0..=LENGTH_MAX_UM).contains(&value) {
            Ok((value * 1000.0).round() as Nm)
        } else {
            Err(E::invalid_value(serde::de::Unexpected::Float(value), &self))
        }
    }
}

/// Three levels of a limit that a value must not fall below.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Levels {
    /// From here on nothing is said.
    #[serde(deserialize_with = "micrometres")]
    pub preferred: Nm,
    /// From here on it is only noted; below, the customer is asked.
    #[serde(deserialize_with = "micrometres")]
    pub minimum: Nm,
    /// Below this the process cannot make it.
    #[serde(deserialize_with = "micrometres")]
    pub special: Nm,
}

impl Levels {
    /// What a measured value comes to. A value at the limit, or within its own uncertainty of it, passes.
    #[must_use]
    pub fn severity(&self, value: Nm, uncertainty: Nm) -> Option<Severity> {
        let reach = value.saturating_add(uncertainty);
        if reach < self.special {
            Some(Severity::Stop)
        } else if reach < self.minimum {
            Some(Severity::Ask)
        } else if reach < self.preferred {
            Some(Severity::Note)
        } else {
            None
        }
    }

    /// The level a finding of this severity is held against.
    #[must_use]
    pub const fn required(&self, severity: Severity) -> Nm {
        match severity {
            Severity::Note | Severity::Fix => self.preferred,
            Severity::Ask | Severity::Stop => self.minimum,
        }
    }

    pub(super) fn capped(self, most: Nm) -> Self {
        Self { preferred: self.preferred.min(most), minimum: self.minimum.min(most), special: self.special.min(most) }
    }

    pub(super) const fn raised(self, by: Nm) -> Self {
        Self { preferred: self.preferred + by, minimum: self.minimum + by, special: self.special + by }
    }
}

/// One limit with its source.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    #[serde(deserialize_with = "micrometres")]
    preferred: Nm,
    #[serde(deserialize_with = "micrometres")]
    minimum: Nm,
    #[serde(deserialize_with = "micrometres")]
    special: Nm,
    pub(super) unit: Option<String>,
    pub(super) source: Option<String>,
}

impl Limit {
    /// Its three levels.
    #[must_use]
    pub const fn levels(&self) -> Levels {
        Levels { preferred: self.preferred, minimum: self.minimum, special: self.special }
    }
}

/// A limit that a ratio must not rise above, in thousandths.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ceiling {
    /// Up to here nothing is said.
    #[serde(deserialize_with = "thousandths")]
    pub preferred: i64,
    /// Up to here it is only noted.
    #[serde(deserialize_with = "thousandths")]
    pub maximum: i64,
    /// Above this the process cannot make it.
    #[serde(deserialize_with = "thousandths")]
    pub special: i64,
    pub(super) unit: Option<String>,
    pub(super) source: Option<String>,
}

/// One share of a whole, in thousandths.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Share {
    /// The share.
    #[serde(deserialize_with = "thousandths")]
    pub value: i64,
    pub(super) unit: Option<String>,
    pub(super) source: Option<String>,
}

/// One length with its source.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Length {
    /// The length.
    #[serde(deserialize_with = "micrometres")]
    pub value: Nm,
    pub(super) unit: Option<String>,
    pub(super) source: Option<String>,
}

/// Limits by base copper.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ByCopper {
    pub(super) unit: Option<String>,
    pub(super) source: Option<String>,
    pub(super) rows: Vec<CopperRow>,
}

/// The limit for base copper up to a thickness.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CopperRow {
    #[serde(deserialize_with = "micrometres")]
    pub(super) copper: Nm,
    #[serde(deserialize_with = "micrometres")]
    preferred: Nm,
    #[serde(deserialize_with = "micrometres")]
    minimum: Nm,
    #[serde(deserialize_with = "micrometres")]
    special: Nm,
    pub(super) source: Option<String>,
}

impl CopperRow {
    pub(super) const fn levels(&self) -> Levels {
        Levels { preferred: self.preferred, minimum: self.minimum, special: self.special }
    }
}

impl ByCopper {
    /// The row for a base copper: the first that is as thick, a twentieth less at most; beyond the last row, the last.
    #[must_use]
    pub(super) fn row(&self, copper: Nm) -> Option<&CopperRow> {
        let fits = |row: &&CopperRow| row.copper + row.copper / 20 >= copper;
        self.rows.iter().find(fits).or_else(|| self.rows.last())
    }

    /// Whether the copper is thicker than the table knows.
    #[must_use]
    pub fn is_beyond(&self, copper: Nm) -> bool {
        self.rows.last().is_none_or(|row| row.copper + row.copper / 20 < copper)
    }
}

/// Limits on outer and inner layers, by base copper.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OuterInnerByCopper {
    /// Outer layers, plated up.
    pub outer: ByCopper,
    /// Inner layers.
    pub inner: ByCopper,
}

/// One limit for outer and one for inner layers.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OuterInner<T> {
    /// Outer layers.
    pub outer: T,
    /// Inner layers.
    pub inner: T,
}

/// Limits by colour of the mask.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ByColour {
    pub(super) unit: Option<String>,
    pub(super) source: Option<String>,
    /// Green.
    pub green: Levels,
    /// Any colour but green, black and white.
    pub other: Levels,
    /// Black and white.
    pub black_white: Levels,
}
