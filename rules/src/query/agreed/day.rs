//! A calendar day, as agreements are dated. The clock is the caller's.

use serde::{Deserialize, Deserializer, de};

/// A day of the Gregorian calendar, ordered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// A day from `2026-03-31`.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let date = text.parse::<toml::value::Datetime>().ok().filter(|d| d.time.is_none())?.date?;
        Some(Self { year: date.year, month: date.month, day: date.day })
    }

    /// The same day of the next year; 29 February becomes 28 February.
    #[must_use]
    pub const fn a_year_later(self) -> Self {
        let day = if self.month == 2 && self.day == 29 { 28 } else { self.day };
        Self { year: self.year + 1, month: self.month, day }
    }

    /// The day a number of seconds after 1970-01-01, in UTC.
    #[must_use]
    pub fn of_unix(seconds: i64) -> Self {
        // Howard Hinnant, "chrono-Compatible Low-Level Date Algorithms", civil_from_days.
        let days = seconds.div_euclid(86_400) + 719_468;
        let era = days.div_euclid(146_097);
        let of_era = days.rem_euclid(146_097);
        let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
        let shifted = (5 * of_year + 2) / 153;
        let day = of_year - (153 * shifted + 2) / 5 + 1;
        let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
        let year = year_of_era + era * 400 + i64::from(month <= 2);
        Self { year: year.clamp(0, 9999) as u16, month: month as u8, day: day as u8 }
    }
}

impl std::fmt::Display for Day {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let date = toml::value::Datetime::deserialize(deserializer)?;
        match (date.date, date.time) {
            (Some(d), None) => Ok(Self { year: d.year, month: d.month, day: d.day }),
            _ => Err(de::Error::custom("expected a day such as 2026-03-31")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Day;

    #[test]
    fn days_of_known_seconds() {
        // From `date -u -d @N +%F`.
        for (seconds, text) in
            [(0, "1970-01-01"), (951_782_400, "2000-02-29"), (1_798_675_199, "2026-12-30"), (-1, "1969-12-31")]
        {
            assert_eq!(Day::of_unix(seconds).to_string(), text);
            assert_eq!(Day::parse(text), Some(Day::of_unix(seconds)));
        }
        assert!(Day::parse("2026-13-01").is_none() && Day::parse("2026-01-01T10:00:00").is_none());
        assert!(Day::parse("2026-02-01") > Day::parse("2026-01-31"));
    }
}
