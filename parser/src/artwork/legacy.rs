//! Format, unit and notation, and the settings that are no longer part of the format.

use super::codes;
use super::command::{FormatWord, ImageSetting, Text, What, Zeros};
use super::coordinate::{Format, Scale};
use super::notes::{note, show};
use super::number;
use super::state::{Reader, UnitInUse};
use crate::length::Unit;
use crate::remark::Place;

impl Reader<'_> {
    /// `FS`.
    pub fn set_format(&mut self, word: &FormatWord, place: Place) {
        if let Some((_, set_at)) = self.format {
            if set_at != place.offset {
                note(&mut self.remarks, &codes::FORMAT_AGAIN, place, || {
                    ("a second coordinate format".into(), "one format a file".into())
                });
            }
            return;
        }
        self.judge_format(word, place);
        let format = Format::new(word);
        self.incremental |= word.incremental;
        self.format = Some((format, place.offset));
        self.make_ready();
    }

    fn judge_format(&mut self, word: &FormatWord, place: Place) {
        let remarks = &mut self.remarks;
        if word.x != word.y {
            note(remarks, &codes::FORMAT_DIFFERS, place, || {
                (format!("X{}{} but Y{}{}", word.x.0, word.x.1, word.y.0, word.y.1), "the same for both".into())
            });
        }
        if [word.x, word.y].iter().any(|(whole, part)| *whole > 6 || *part > 6) {
            note(remarks, &codes::FORMAT_MALFORMED, place, || {
                ("a coordinate format with more than 6 digits".into(), "1 to 6 whole digits and 5 or 6 decimals".into())
            });
        }
        if word.incremental {
            note(remarks, &codes::FORMAT_INCREMENTAL, place, || {
                ("incremental coordinates".into(), "absolute ones".into())
            });
        }
        match word.zeros {
            Zeros::LeadingOmitted => {}
            Zeros::TrailingOmitted => note(remarks, &codes::FORMAT_TRAILING, place, || {
                ("a format that omits trailing zeros".into(), "leading zeros omitted".into())
            }),
            Zeros::Unsaid => note(remarks, &codes::FORMAT_ZEROS_MISSING, place, || {
                ("a format that does not say which zeros are omitted".into(), "L".into())
            }),
            Zeros::Unknown => self.judge_unknown_zeros(word, place),
        }
    }

    /// Zeros of unknown kind do no harm where every coordinate has all its digits.
    fn judge_unknown_zeros(&mut self, word: &FormatWord, place: Place) {
        let format = Format::new(word);
        let all_full = self.commands.iter().all(|c| match &c.what {
            What::Operation(o) => [(o.x, true), (o.y, false), (o.i, true), (o.j, false)]
                .iter()
                .all(|(c, is_x)| !c.is_present() || format.is_full(*c, *is_x)),
            _ => true,
        });
        let code = if all_full { &codes::ZEROS_FULL } else { &codes::ZEROS_UNKNOWN };
        note(&mut self.remarks, code, place, || {
            ("a format that omits neither leading nor trailing zeros".into(), "L".into())
        });
    }

    /// `MO`, or `G70` and `G71` when `legacy`.
    pub fn set_unit(&mut self, unit: Unit, legacy: bool, place: Place) {
        if legacy {
            note(&mut self.remarks, &codes::LEGACY_UNIT, place, || {
                (format!("the unit {} given by a G code", unit.name()), String::new())
            });
        }
        let made = UnitInUse { unit, legacy, set_at: place.offset };
        let Some(earlier) = self.unit_in_use else {
            self.unit_in_use = Some(made);
            return self.make_ready();
        };
        if earlier.unit == unit {
            return;
        }
        let unused = self.image.apertures.is_empty() && self.objects == 0 && earlier.set_at < place.offset;
        let takes_over = earlier.legacy && !legacy && unused;
        let used = if takes_over { unit } else { earlier.unit };
        note(&mut self.remarks, &codes::UNIT_AGAIN, place, || {
            (
                format!("the unit {} after the unit {}; {} was used", unit.name(), earlier.unit.name(), used.name()),
                "one unit a file".into(),
            )
        });
        if takes_over {
            self.unit_in_use = Some(made);
            self.make_ready();
        }
    }

    fn make_ready(&mut self) {
        if let (Some((format, _)), Some(unit)) = (self.format, self.unit_in_use) {
            self.ready = Some((format, Scale::new(format.decimals(), unit.unit)));
        }
    }

    /// The unit, looked for further down the file where it is not known yet.
    pub fn unit(&mut self) -> Option<Unit> {
        if let Some(known) = self.unit_in_use {
            return Some(known.unit);
        }
        if self.remarks.has(&codes::NO_UNIT) {
            return None;
        }
        let rest = &self.commands[self.index..];
        let proper = rest.iter().find(|c| matches!(c.what, What::Unit(_)));
        let found = proper.or_else(|| rest.iter().find(|c| matches!(c.what, What::LegacyUnit(_))));
        let place = self.place();
        match found.map(|c| (c.what, c.place)) {
            Some((What::Unit(unit), at)) => self.take_late_unit(unit, false, at, place),
            Some((What::LegacyUnit(unit), at)) => self.take_late_unit(unit, true, at, place),
            _ => note(&mut self.remarks, &codes::NO_UNIT, place, || {
                ("no unit anywhere in the file".into(), "%MOMM*% or %MOIN*%".into())
            }),
        }
        self.unit_in_use.map(|u| u.unit)
    }

    fn take_late_unit(&mut self, unit: Unit, legacy: bool, at: Place, place: Place) {
        note(&mut self.remarks, &codes::UNIT_LATE, place, || {
            (format!("the unit is needed here but stands on line {}", at.line), "the unit before its first use".into())
        });
        self.unit_in_use = Some(UnitInUse { unit, legacy, set_at: at.offset });
        self.make_ready();
    }

    /// Format and scale for an operation; both are looked for further down where not known yet.
    pub fn find_ready(&mut self) -> Option<(Format, Scale)> {
        self.unit()?;
        if self.format.is_none() && !self.remarks.has(&codes::NO_FORMAT) && !self.remarks.has(&codes::OLD_DIALECT) {
            let place = self.place();
            let late = self.commands[self.index..].iter().find_map(|c| match c.what {
                What::Format(word) => Some((word, c.place)),
                _ => None,
            });
            if let Some((word, at)) = late {
                note(&mut self.remarks, &codes::FORMAT_LATE, place, || {
                    (
                        format!("the coordinate format is needed here but stands on line {}", at.line),
                        "the format before its first use".into(),
                    )
                });
                self.set_format(&word, at);
            } else {
                self.no_format(place);
            }
        }
        self.ready
    }

    fn no_format(&mut self, place: Place) {
        let has = |test: fn(&What) -> bool| self.commands.iter().any(|c| test(&c.what));
        let old = has(|w| matches!(w, What::Operation(_))) && !has(|w| matches!(w, What::Aperture { .. }));
        let (code, found) = if old {
            (&codes::OLD_DIALECT, "coordinates, but neither a coordinate format nor apertures: RS-274-D data")
        } else {
            (&codes::NO_FORMAT, "no coordinate format anywhere in the file")
        };
        note(&mut self.remarks, code, place, || (found.into(), "%FSLAX46Y46*% or the like".into()));
    }

    /// What can only be said of format and unit at the end of the file.
    pub fn check_format(&mut self) {
        let place = self.place();
        let Some((format, offset)) = self.format else {
            if !self.remarks.has(&codes::NO_FORMAT) && !self.remarks.has(&codes::OLD_DIALECT) {
                self.no_format(place);
            }
            return;
        };
        let Some(unit) = self.unit() else { return };
        let format_place = self.commands.iter().map(|c| c.place).find(|p| p.offset == offset).unwrap_or(place);
        let decimals = format.decimals();
        let least = if unit == Unit::Inch { 4 } else { 3 };
        if decimals < least {
            note(&mut self.remarks, &codes::FORMAT_COARSE, format_place, || {
                (format!("{decimals} decimals in {}", unit.name()), "5 or 6".into())
            });
        } else if decimals < 5 {
            note(&mut self.remarks, &codes::FORMAT_LOW, format_place, || {
                (format!("{decimals} decimals"), "5 or 6".into())
            });
        }
    }

    /// `G90`, `G91`.
    pub fn set_notation(&mut self, incremental: bool, place: Place) {
        let (code, found) =
            if incremental { ("G91", "incremental coordinates") } else { ("G90", "absolute coordinates") };
        note(&mut self.remarks, &codes::LEGACY_NOTATION, place, || {
            (format!("{code}: {found}"), "nothing, as coordinates are absolute".into())
        });
        self.incremental = incremental;
    }

    /// Whole-image settings: passed over where they change nothing, told where they do.
    pub fn image_setting(&mut self, setting: ImageSetting, value: Text, place: Place) {
        let text: Vec<u8> = value.of(self.bytes).iter().copied().filter(|b| !b.is_ascii_whitespace()).collect();
        let (idle, what) = match setting {
            ImageSetting::Polarity => (text == b"POS", "IP"),
            ImageSetting::AxisSelect => (text == b"AXBY", "AS"),
            ImageSetting::Rotation => (is_idle(&text, b"", 0.0), "IR"),
            ImageSetting::Mirror => (is_idle(&text, b"AB", 0.0), "MI"),
            ImageSetting::Offset => (is_idle(&text, b"AB", 0.0), "OF"),
            ImageSetting::Scale => (is_idle(&text, b"AB", 1.0), "SF"),
        };
        if idle {
            return;
        }
        if setting == ImageSetting::Polarity {
            note(&mut self.remarks, &codes::IMAGE_NEGATIVE, place, || {
                (format!("image polarity {}", show(&text)), "POS".into())
            });
        } else {
            note(&mut self.remarks, &codes::IMAGE_TRANSFORM, place, || {
                (format!("the whole-image setting {what} {}", show(&text)), "none".into())
            });
        }
    }
}

/// Whether every number behind the given letters (or the bare number) has the value that changes nothing.
fn is_idle(text: &[u8], letters: &[u8], value: f64) -> bool {
    if letters.is_empty() {
        return number::decimal(text).is_some_and(|n| n.to_f64() == value);
    }
    let mut rest = text;
    while let [letter, after @ ..] = rest {
        let length = after.iter().position(|b| letters.contains(b)).unwrap_or(after.len());
        let same = number::decimal(&after[..length]).is_some_and(|n| n.to_f64() == value);
        if !letters.contains(letter) || !same {
            return false;
        }
        rest = &after[length..];
    }
    true
}
