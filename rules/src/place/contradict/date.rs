//! Dates of creation (ISO 8601), as far apart as they lie.

/// Files of one export lie within an hour (common practice, no source).
const ONE_EXPORT: i64 = 3600;

/// A zone that is not stated may lie this far off.
const ZONE: i64 = 15 * 3600;

/// A moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Moment {
    seconds: i64,
    zoned: bool,
}

impl Moment {
    /// Whether two files may come from one export.
    pub fn near(self, other: Self) -> bool {
        let zone = if self.zoned == other.zoned { 0 } else { ZONE };
        (self.seconds - other.seconds).abs() <= ONE_EXPORT + zone
    }
}

/// Reads `YYYY-MM-DDThh:mm:ss` with `Z`, `±hh:mm` or no zone.
pub(super) fn read(text: &str) -> Option<Moment> {
    let text = text.trim();
    let (date, rest) = text.split_once(['T', ' '])?;
    let date: Vec<i64> = numbers(date, '-')?;
    let zone_at = rest.find(['Z', '+', '-']).unwrap_or(rest.len());
    let (clock, zone) = (rest.get(..zone_at)?, rest.get(zone_at..)?);
    let clock: Vec<i64> = numbers(clock.split('.').next()?, ':')?;
    let ([year, month, day], [hour, minute, second]) = (date.as_slice(), clock.as_slice()) else { return None };
    let in_range = (1..=9999).contains(year) && (1..=12).contains(month) && (1..=31).contains(day);
    if !in_range || !(0..=24).contains(hour) || !(0..=59).contains(minute) || !(0..=60).contains(second) {
        return None;
    }
    let seconds = ((days(*year, *month, *day) * 24 + hour) * 60 + minute) * 60 + second;
    Some(Moment { seconds: seconds - offset(zone)?, zoned: !zone.is_empty() })
}

fn numbers(text: &str, between: char) -> Option<Vec<i64>> {
    text.split(between).map(|part| part.parse().ok().filter(|_| part.len() <= 4)).collect()
}

fn offset(zone: &str) -> Option<i64> {
    if zone.is_empty() || zone == "Z" {
        return Some(0);
    }
    let digits: String = zone.get(1..)?.chars().filter(char::is_ascii_digit).collect();
    let hours: i64 = digits.get(..2)?.parse().ok()?;
    let minutes: i64 = digits.get(2..4).unwrap_or("0").parse().ok()?;
    let seconds = (hours * 60 + minutes) * 60;
    Some(if zone.starts_with('-') { -seconds } else { seconds })
}

/// Days since the first of March of the year 0, which puts the leap day last.
const fn days(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let month = (month + 9) % 12;
    365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + day - 1
}
