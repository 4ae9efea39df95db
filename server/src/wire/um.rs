//! Lengths on the wire: micrometres with at most three decimals, without float noise.

use std::fmt;

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A length in nanometres that is written as micrometres.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Um(pub i64);

impl Serialize for Um {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % 1000 == 0 {
            return serializer.serialize_i64(self.0 / 1000);
        }
        // The division rounds correctly, so the shortest text that reads back as this double is the
        // decimal itself: there are never more than three decimals.
        serializer.serialize_f64(self.0 as f64 / 1000.0)
    }
}

impl<'de> Deserialize<'de> for Um {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let um = f64::deserialize(deserializer)?;
        let nm = (um * 1000.0).round();
        if nm.abs() < 9e15 { Ok(Self(nm as i64)) } else { Err(D::Error::custom("a length beyond all boards")) }
    }
}

impl fmt::Display for Um {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whole = self.0.unsigned_abs() / 1000;
        let part = format!("{:03}", self.0.unsigned_abs() % 1000);
        let part = part.trim_end_matches('0');
        let sign = if self.0 < 0 { "-" } else { "" };
        if part.is_empty() { write!(f, "{sign}{whole}") } else { write!(f, "{sign}{whole}.{part}") }
    }
}

/// Millimetres with three decimals, rounded half away from zero, for people.
#[must_use]
pub fn mm(length: Um) -> String {
    let um = (length.0.unsigned_abs() + 500) / 1000;
    let sign = if length.0 < 0 && um > 0 { "-" } else { "" };
    format!("{sign}{}.{:03}", um / 1000, um % 1000)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn micrometres_are_written_exactly() {
        for (nm, text) in [
            (60_000, "60"),
            (60_001, "60.001"),
            (-1, "-0.001"),
            (152_400, "152.4"),
            (0, "0"),
            (1_000_000_007, "1000000.007"),
        ] {
            assert_eq!(serde_json::to_string(&Um(nm)).unwrap(), text);
            assert_eq!(serde_json::from_str::<Um>(text).unwrap(), Um(nm));
            assert_eq!(Um(nm).to_string(), text);
        }
    }

    #[test]
    fn millimetres_round_half_away_from_zero() {
        for (nm, text) in [(60_000, "0.060"), (1_499, "0.001"), (1_500, "0.002"), (-1_500, "-0.002"), (-400, "0.000")] {
            assert_eq!(mm(Um(nm)), text);
        }
    }
}
