//! Capability profiles and orders.
//!
//! A profile is a text file. Every limit has three levels, so four outcomes exist: silent, note,
//! ask, stop. Lengths are in micrometres and say so; every number carries its source.

pub mod arithmetic;
mod demand;
mod entry;
mod error;
mod limits;
mod lint;
mod machining;
mod order;
mod overlay;
mod table;
mod values;

pub use demand::least_demanding;
pub use entry::{Entry, EntryValue};
pub use error::FileError;
pub use limits::{Applied, WallCase};
pub use lint::LintRemark;
pub use machining::{Corners, HalfHoles, Joints, Material, Score, Tolerances};
pub use order::{ColourGroup, Order, Settled};
pub use overlay::{SetBy, lies_over};
pub(crate) use table::optional_micrometres;
pub use table::{ByColour, ByCopper, Ceiling, CopperRow, Length, Levels, Limit, OuterInner, OuterInnerByCopper};
pub use values::{
    Allowance, Clearances, HoleToCopper, MaskProcess, OutlineLimits, PlatedUnplated, RingJudged, ThickCopper, Tools,
    Values, Walls, Webs,
};

const SHIPPED: [(&str, &str); 2] = [
    ("standard", include_str!("../../capabilities/standard.toml")),
    ("advanced", include_str!("../../capabilities/advanced.toml")),
];

/// What a shop can hold.
#[derive(Clone, Debug)]
pub struct Capability {
    /// Its name.
    pub name: String,
    /// Its text as read, for hashing and showing.
    pub text: String,
    /// Its values.
    pub values: Values,
    /// The whole profile at the bottom.
    ground: Ground,
    /// What overlays set, by key.
    origins: overlay::Origins,
    /// Keys whose number an overlay set without saying where it comes from.
    unsourced: Vec<String>,
}

/// The file a profile rests on.
#[derive(Clone, Debug)]
struct Ground {
    file: String,
    text: String,
}

impl Capability {
    /// Names of the profiles that come with the program.
    #[must_use]
    pub fn names() -> Vec<&'static str> {
        SHIPPED.iter().map(|(name, _)| *name).collect()
    }

    /// A profile that comes with the program.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let (name, text) = SHIPPED.iter().find(|(n, _)| *n == name)?;
        Self::parse(&format!("{name}.toml"), text).ok()
    }

    /// Reads a profile. Keys it does not know, keys it misses, and values of the wrong kind are refused.
    ///
    /// # Errors
    /// Says file, line, column, key and what was expected.
    pub fn parse(file: &str, text: &str) -> Result<Self, FileError> {
        let values: Values = toml::from_str(text).map_err(|e| FileError::of_toml(file, text, &e))?;
        let ground = Ground { file: file.to_owned(), text: text.to_owned() };
        let origins = overlay::Origins::new();
        let capability =
            Self { name: values.name.clone(), text: text.to_owned(), values, ground, origins, unsourced: Vec::new() };
        capability.tables_hold_rows(file)?;
        Ok(capability)
    }

    fn tables_hold_rows(&self, file: &str) -> Result<(), FileError> {
        match self.copper_tables().iter().find(|(_, table)| table.rows.is_empty()) {
            Some((key, _)) => Err(FileError::at_key(
                file,
                &self.text,
                key,
                "the table has no rows; give at least one row by base copper",
            )),
            None => Ok(()),
        }
    }
}
