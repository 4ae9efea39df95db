//! What was ordered, and what is assumed where the order is silent.

use landgap_parser::Nm;
use serde::Deserialize;

use super::Capability;
use super::entry::trimmed_um;
use super::error::FileError;
use super::table::optional_micrometres;
use super::values::MaskProcess;

const COPPER: Nm = 18_000;
const INNER_COPPER: Nm = 35_000;
const THICKNESS: Nm = 1_600_000;
const CLASS: u8 = 2;

/// What was ordered; everything may be left out.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Order {
    /// Who ordered.
    #[serde(default)]
    pub customer: Option<String>,
    /// The part, as the customer numbers it.
    #[serde(default)]
    pub part: Option<String>,
    /// Its revision.
    #[serde(default)]
    pub revision: Option<String>,
    /// Number of the order or quotation.
    #[serde(default)]
    pub number: Option<String>,
    /// Whom to ask.
    #[serde(default)]
    pub contact: Option<String>,
    /// The day an answer is wanted by.
    #[serde(default)]
    pub answer_by: Option<crate::query::agreed::Day>,
    /// Thickness of the finished board.
    #[serde(default, rename = "thickness_um", deserialize_with = "optional_micrometres")]
    pub thickness: Option<Nm>,
    /// Base copper of the outer layers, before plating.
    #[serde(default, rename = "copper_um", deserialize_with = "optional_micrometres")]
    pub copper: Option<Nm>,
    /// Base copper of the inner layers.
    #[serde(default, rename = "inner_copper_um", deserialize_with = "optional_micrometres")]
    pub inner_copper: Option<Nm>,
    /// Surface finish.
    #[serde(default)]
    pub finish: Option<String>,
    /// Colour of the solder mask.
    #[serde(default)]
    pub mask_colour: Option<String>,
    /// How the mask is imaged.
    #[serde(default)]
    pub mask_process: Option<MaskProcess>,
    /// Product class, 1 to 3.
    #[serde(default)]
    pub class: Option<u8>,
    /// How many boards.
    #[serde(default)]
    pub quantity: Option<u32>,
    /// How many copper layers.
    #[serde(default)]
    pub layers: Option<u32>,
}

/// Mask colours that behave alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColourGroup {
    /// Green.
    Green,
    /// Anything but green, black and white.
    Other,
    /// Black and white, heavy with pigment.
    BlackWhite,
}

impl ColourGroup {
    /// The group of a colour named in words: "matt black" is black.
    #[must_use]
    pub fn of(colour: &str) -> Self {
        let lower = colour.to_lowercase();
        let has = |word: &str| lower.split(|c: char| !c.is_alphanumeric()).any(|w| w == word);
        if has("black") || has("white") {
            Self::BlackWhite
        } else if has("green") {
            Self::Green
        } else {
            Self::Other
        }
    }

    /// The word used in keys.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Green => "green",
            Self::Other => "other",
            Self::BlackWhite => "black_white",
        }
    }
}

/// An order with every gap filled.
#[derive(Clone, Debug)]
pub struct Settled {
    /// Thickness.
    pub thickness: Nm,
    /// Base copper of the outer layers.
    pub copper: Nm,
    /// Base copper of the inner layers.
    pub inner_copper: Nm,
    /// Group of the mask's colour.
    pub colour: ColourGroup,
    /// How the mask is imaged.
    pub mask_process: MaskProcess,
    /// Product class.
    pub class: u8,
    /// Whether the finish is ordered as nickel and immersion gold, whose baths stay in half-closed holes.
    pub immersion_gold: bool,
    /// What was assumed, in plain sentences.
    pub assumptions: Vec<String>,
}

impl Order {
    /// Reads an order file.
    ///
    /// # Errors
    /// Says file, line, column, key and what was expected.
    pub fn parse(file: &str, text: &str) -> Result<Self, FileError> {
        let order: Self = toml::from_str(text).map_err(|e| FileError::of_toml(file, text, &e))?;
        match order.fault() {
            Some((key, what)) => Err(FileError::at_key(file, text, key, what)),
            None => Ok(order),
        }
    }

    fn fault(&self) -> Option<(&'static str, &'static str)> {
        let outside = |value: Option<Nm>, least: Nm, most: Nm| value.is_some_and(|v| v < least || v > most);
        let counts_none = |value: Option<u32>, most: u32| value.is_some_and(|v| v == 0 || v > most);
        [
            (
                outside(self.thickness, 50_000, 20_000_000),
                "thickness_um",
                "expected 50 to 20000 micrometres; 1.6 mm is 1600",
            ),
            (
                outside(self.copper, 1_000, 1_000_000),
                "copper_um",
                "expected 1 to 1000 micrometres of base copper; half an ounce is 18",
            ),
            (
                outside(self.inner_copper, 1_000, 1_000_000),
                "inner_copper_um",
                "expected 1 to 1000 micrometres of base copper; one ounce is 35",
            ),
            (self.class.is_some_and(|c| !(1..=3).contains(&c)), "class", "expected 1, 2 or 3"),
            (counts_none(self.quantity, u32::MAX), "quantity", "expected at least 1"),
            (counts_none(self.layers, 200), "layers", "expected 1 to 200 copper layers"),
        ]
        .into_iter()
        .find_map(|(wrong, key, what)| wrong.then_some((key, what)))
    }

    /// Fills what the order leaves open; `inner` says whether the board has inner layers.
    #[must_use]
    pub fn settle(&self, capability: &Capability, inner: bool) -> Settled {
        let mut settled = Settled {
            thickness: self.thickness.unwrap_or(THICKNESS),
            copper: self.copper.unwrap_or(COPPER),
            inner_copper: self.inner_copper.unwrap_or(INNER_COPPER),
            colour: self.mask_colour.as_deref().map_or(ColourGroup::Green, ColourGroup::of),
            mask_process: self.mask_process.unwrap_or(capability.values.mask_process),
            class: self.class.unwrap_or(CLASS),
            immersion_gold: self.finish.as_deref().is_some_and(is_immersion_gold),
            assumptions: Vec::new(),
        };
        settled.assumptions = self.assumed(capability, &settled, inner);
        settled
    }

    fn assumed(&self, capability: &Capability, settled: &Settled, inner: bool) -> Vec<String> {
        let mut said = Vec::new();
        if self.thickness.is_none() {
            said.push(
                "The order gives no thickness: 1.6 mm is assumed, the usual one (common practice, no source)."
                    .to_owned(),
            );
        }
        if self.copper.is_none() {
            said.push(
                "The order gives no outer copper: 18 µm base foil is assumed, plated to about 40 µm, which most orders mean by 1 oz finished (common practice, no source)."
                    .to_owned(),
            );
        }
        if self.inner_copper.is_none() && inner {
            said.push("The order gives no inner copper: 35 µm foil (1 oz) is assumed, the coarser of the two usual ones, so that nothing is missed (common practice, no source).".to_owned());
        }
        if self.mask_colour.is_none() {
            said.push(
                "The order gives no mask colour: green is assumed, the usual one (common practice, no source)."
                    .to_owned(),
            );
        }
        if self.mask_process.is_none() {
            said.push(match settled.mask_process {
                MaskProcess::Film => {
                    "The mask is assumed to be imaged through a film, as the capability profile says.".to_owned()
                }
                MaskProcess::Direct => {
                    "The mask is assumed to be imaged directly, as the capability profile says.".to_owned()
                }
            });
        }
        if self.class.is_none() {
            said.push("The order gives no product class: class 2 is assumed (common practice, no source).".to_owned());
        }
        said.extend(beyond_tables(capability, settled, inner));
        said
    }
}

/// Whether a finish named in words is nickel and immersion gold.
fn is_immersion_gold(finish: &str) -> bool {
    let lower = finish.to_lowercase();
    ["enig", "enepig", "immersion gold", "chemical gold"].iter().any(|word| lower.contains(word))
}

/// Says so where the copper is thicker than the profile's tables.
fn beyond_tables(capability: &Capability, settled: &Settled, inner: bool) -> Option<String> {
    let beyond = capability.copper_tables().iter().any(|(key, table)| {
        let is_inner = key.ends_with("inner");
        (inner || !is_inner) && table.is_beyond(if is_inner { settled.inner_copper } else { settled.copper })
    });
    beyond.then(|| {
        format!(
            "The ordered copper ({} µm outer, {} µm inner) is thicker than the capability profile's tables: the limits of their thickest row are used.",
            trimmed_um(settled.copper),
            trimmed_um(settled.inner_copper)
        )
    })
}
