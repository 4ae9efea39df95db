//! Reasons for what a hole is, small enough to hang on every hole, and their words.

use std::fmt;

use landgap_parser::Nm;

/// What the attributes say a hole is for (Gerber format 2021.02, section 5.6.10, drill functions).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Function {
    /// `ViaDrill`.
    Via,
    /// `ComponentDrill`.
    Component,
    /// `ComponentDrill,PressFit`.
    PressFit,
    /// `CastellatedDrill`.
    Castellated,
    /// `MechanicalDrill,Tooling`.
    Tooling,
    /// `MechanicalDrill,BreakOut`.
    BreakOut,
    /// `MechanicalDrill`, with nothing more or `Other`.
    Mechanical,
    /// `SlotDrill`, an older name.
    Slot,
}

impl Function {
    /// Reads the value of the attribute; `None` for values that say nothing of the use.
    #[must_use]
    pub fn of(value: &str) -> Option<Self> {
        let mut fields = value.split(',').map(str::trim);
        let first = fields.next()?;
        Some(match (first, fields.next()) {
            ("ViaDrill", _) => Self::Via,
            ("ComponentDrill", Some("PressFit")) => Self::PressFit,
            ("ComponentDrill", _) => Self::Component,
            ("CastellatedDrill", _) => Self::Castellated,
            ("MechanicalDrill", Some("Tooling")) => Self::Tooling,
            ("MechanicalDrill", Some("BreakOut")) => Self::BreakOut,
            ("MechanicalDrill", _) => Self::Mechanical,
            ("SlotDrill", _) => Self::Slot,
            _ => return None,
        })
    }

    /// The attribute's value.
    #[must_use]
    pub const fn value(self) -> &'static str {
        match self {
            Self::Via => "ViaDrill",
            Self::Component => "ComponentDrill",
            Self::PressFit => "ComponentDrill,PressFit",
            Self::Castellated => "CastellatedDrill",
            Self::Tooling => "MechanicalDrill,Tooling",
            Self::BreakOut => "MechanicalDrill,BreakOut",
            Self::Mechanical => "MechanicalDrill",
            Self::Slot => "SlotDrill",
        }
    }
}

/// What the attribute of a land says of the hole in it (section 5.6.10, pad functions).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LandFunction {
    /// `ViaPad`.
    Via,
    /// `ComponentPad`.
    Component,
    /// `ComponentPad,PressFit`.
    PressFit,
    /// `CastellatedPad`.
    Castellated,
    /// `WasherPad`: under a screw.
    Washer,
}

/// A set of copper layers, by number from the top; numbers beyond 64 are kept as one.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Layers(u64);

impl Layers {
    /// Adds a layer.
    #[must_use]
    pub const fn with(self, number: u32) -> Self {
        let bit = if number > 64 { 63 } else { number.saturating_sub(1) };
        Self(self.0 | 1 << bit)
    }

    /// Whether no layer is in it.
    #[must_use]
    pub const fn is_empty(self) -> bool {
        self.0 == 0
    }
}

impl FromIterator<u32> for Layers {
    fn from_iter<T: IntoIterator<Item = u32>>(numbers: T) -> Self {
        numbers.into_iter().fold(Self::default(), Self::with)
    }
}

impl fmt::Display for Layers {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        let numbers: Vec<String> =
            (0..64).filter(|bit| self.0 >> bit & 1 == 1).map(|bit: u32| (bit + 1).to_string()).collect();
        match numbers.as_slice() {
            [] => out.write_str("no layer"),
            [one] => write!(out, "copper {one}"),
            [rest @ .., last] => write!(out, "copper {} and {last}", rest.join(", ")),
        }
    }
}

/// Which sides of the board, of those whose mask is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sides {
    /// Neither.
    Neither,
    /// Top only.
    Top,
    /// Bottom only.
    Bottom,
    /// Both.
    Both,
}

/// One link of the chain of reasons.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Reason {
    /// Its file holds plated holes.
    FilePlated,
    /// Its file holds non-plated holes.
    FileUnplated,
    /// Its tool is stated as plated.
    ToolPlated,
    /// Its tool is stated as non-plated.
    ToolUnplated,
    /// Neither file nor tool says so.
    PlatingUnstated,
    /// House rule: one copper layer or none.
    OneCopperLayer,
    /// House rule: no copper at all.
    NoCopper,
    /// House rule: no land larger than the hole.
    NoLargerLand,
    /// House rule: a land on one outer side, which leads nowhere.
    OneSideOnly(u32),
    /// House rule: plated, with lands on these layers.
    Joins(Layers),
    /// The attribute of its tool.
    Tool(Function),
    /// The attribute of the land it stands in.
    Land(LandFunction),
    /// The tool's attribute and the land's say different things; the tool's is believed.
    LandSaysOtherwise(LandFunction),
    /// It has a land on these layers.
    LandsOn(Layers),
    /// No land lies round it.
    Landless,
    /// Finished size and size of the largest land set down at its axis.
    InLand {
        /// Finished size.
        finished: Nm,
        /// Smaller extent of the land.
        land: Nm,
    },
    /// Sides on which the mask is open over its axis.
    Opened(Sides),
    /// Via by its size.
    SmallPlated,
    /// Via because mask covers it on every side that is known.
    CoveredPlated,
    /// Component hole: plated and opened.
    LeadSoldered,
    /// Component hole: plated, larger than a via, mask not known.
    LargePlated,
    /// Component hole: plated, larger than a via, mask not known, and paste is printed over it.
    LeadPasted,
    /// The netlist calls it a via.
    NetlistVia,
    /// The netlist gives it to a component's pin.
    NetlistPin,
    /// The netlist says it is plated.
    NetlistPlated,
    /// The netlist says it is not plated.
    NetlistUnplated,
    /// Via: it ends inside the board, between these layers.
    EndsInside(u32, u32),
    /// Paste is printed over it.
    Pasted,
    /// No via: larger, and open in mask.
    NotViaOpen,
    /// No via: larger.
    NotViaLarge,
    /// No component hole: few leads are so thin.
    NotComponentSmall,
    /// No component hole: nothing can be soldered in it.
    NotComponentBare,
    /// Half-hole: the edge cuts it.
    CutByEdge,
    /// Slot: the tool travels.
    ToolTravels,
    /// Slot: so many hits overlap in a row.
    Chain(u32),
    /// Perforation: so many small equal non-plated holes in a row.
    Row(u32),
    /// Mounting: large, few alike, near a corner.
    NearCorner,
    /// Mechanical: not plated, nothing more known.
    NotPlated,
    /// Nothing settles it.
    Undecided,
}

fn mm(length: Nm) -> String {
    let text = format!("{:.3}", length as f64 / 1e6);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

impl fmt::Display for Reason {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Tool(function) => write!(out, "its tool carries the attribute {}", function.value()),
            Self::Land(land) => write!(out, "its land carries the attribute {}", land.value()),
            Self::LandSaysOtherwise(land) => {
                write!(out, "its land carries the attribute {}, against its tool, which is believed", land.value())
            }
            Self::OneSideOnly(layer) => {
                write!(
                    out,
                    "plated or not is unclear because it has a land on copper {layer} only, and that leads nowhere"
                )
            }
            Self::Joins(layers) => write!(out, "plated because it joins copper and has a land on {layers}"),
            Self::LandsOn(layers) => write!(out, "it has a land on {layers}"),
            Self::InLand { finished, land } => {
                write!(out, "it is {} mm finished in a land of {} mm", mm(*finished), mm(*land))
            }
            Self::Opened(sides) => out.write_str(match sides {
                Sides::Neither => "mask covers it on every side that has a mask",
                Sides::Top => "it is opened in mask on the top only",
                Sides::Bottom => "it is opened in mask on the bottom only",
                Sides::Both => "it is opened in mask on both sides",
            }),
            Self::EndsInside(first, last) => write!(
                out,
                "via because it goes from copper {first} to copper {last} only, and no lead goes through a hole that ends inside the board"
            ),
            Self::Chain(links) => write!(out, "slot because {links} equal hits overlap in a row"),
            Self::Row(holes) => {
                write!(out, "break-off perforation because {holes} small equal non-plated holes stand close in a row")
            }
            plain => out.write_str(plain.fixed()),
        }
    }
}

impl LandFunction {
    /// The attribute's value.
    #[must_use]
    pub const fn value(self) -> &'static str {
        match self {
            Self::Via => "ViaPad",
            Self::Component => "ComponentPad",
            Self::PressFit => "ComponentPad,PressFit",
            Self::Castellated => "CastellatedPad",
            Self::Washer => "WasherPad",
        }
    }
}

impl Reason {
    /// The words of reasons that hold no number.
    const fn fixed(self) -> &'static str {
        match self {
            Self::FilePlated => "its file holds plated holes",
            Self::FileUnplated => "its file holds non-plated holes",
            Self::ToolPlated => "its tool is stated as plated",
            Self::ToolUnplated => "its tool is stated as non-plated",
            Self::PlatingUnstated => "neither its file nor its tool says whether it is plated",
            Self::OneCopperLayer => {
                "non-plated because the board has one copper layer or none, so its holes are taken as non-plated"
            }
            Self::NoCopper => "non-plated because no copper touches it on any layer",
            Self::NoLargerLand => "non-plated because no land is larger than the hole",
            Self::Landless => "no land lies round it on any layer",
            Self::SmallPlated => "via because it is plated and its finished size is at most 0.5 mm",
            Self::CoveredPlated => {
                "via, though larger than most, because mask covers it on every side: no lead is soldered in it"
            }
            Self::LeadSoldered => "component hole because it is plated, larger than a via and opened in mask",
            Self::LargePlated => "component hole because it is plated and larger than a via",
            Self::LeadPasted => {
                "component hole because it is plated, larger than a via, and paste for a lead is printed over it"
            }
            Self::NetlistVia => "via because the netlist calls it one",
            Self::NetlistPin => "component hole because the netlist gives it to a component's pin",
            Self::NetlistPlated => "plated because the netlist says so",
            Self::NetlistUnplated => "non-plated because the netlist says so",
            Self::Pasted => "paste is printed over it",
            Self::NotViaOpen => "not a via because it is larger than 0.5 mm finished and mask leaves it open",
            Self::NotViaLarge => "not a via because it is larger than 0.5 mm finished",
            Self::NotComponentSmall => "not a component hole because few leads go through 0.5 mm",
            Self::NotComponentBare => "not a component hole because no lead can be soldered in it",
            Self::CutByEdge => "half-hole because the board's edge cuts it and it has lands on both outer layers",
            Self::ToolTravels => "slot because the tool travels",
            Self::NearCorner => "mounting hole because it is large, stands near a corner and few are like it",
            Self::NotPlated => "mechanical because it is not plated",
            _ => "what it is for could not be told",
        }
    }
}
