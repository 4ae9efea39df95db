//! What a job file says.

use crate::length::{Decimal, Nm};
use crate::remark::{Place, Remark};

/// Something the file states, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stated<T> {
    /// What.
    pub value: T,
    /// Where.
    pub place: Place,
}

/// A job file; every part is optional.
#[derive(Clone, Debug, Default)]
pub struct Job {
    /// `Header`.
    pub header: Header,
    /// `GeneralSpecs`.
    pub specifications: Specifications,
    /// `DesignRules`.
    pub design_rules: Vec<DesignRules>,
    /// `FilesAttributes`, without entries whose path leaves the set.
    pub files: Vec<ListedFile>,
    /// Paths that leave the set, as written.
    pub refused: Vec<Stated<String>>,
    /// `MaterialStackup`, from the top down.
    pub stack: Vec<StackLayer>,
    /// Keys this reader does not know, by their place among the others.
    pub other_keys: Vec<Stated<String>>,
    /// What was noticed, in order of place.
    pub remarks: Vec<Remark>,
}

/// `Header`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Header {
    /// `GenerationSoftware.Vendor`.
    pub vendor: Option<Stated<String>>,
    /// `GenerationSoftware.Application`.
    pub application: Option<Stated<String>>,
    /// `GenerationSoftware.Version`.
    pub version: Option<Stated<String>>,
    /// `CreationDate`, as written.
    pub created: Option<Stated<String>>,
}

/// `GeneralSpecs.ProjectId`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Project {
    /// `Name`.
    pub name: Option<Stated<String>>,
    /// `GUID`.
    pub guid: Option<Stated<String>>,
    /// `Revision`.
    pub revision: Option<Stated<String>>,
}

/// `GeneralSpecs.Size`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Size {
    /// Extent in x.
    pub x: Nm,
    /// Extent in y.
    pub y: Nm,
}

/// `GeneralSpecs`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Specifications {
    /// `ProjectId`.
    pub project: Project,
    /// `Size`, where both extents are given.
    pub size: Option<Stated<Size>>,
    /// `LayerNumber`: copper layers.
    pub layers: Option<Stated<u32>>,
    /// `BoardThickness`.
    pub thickness: Option<Stated<Nm>>,
    /// `Finish`, as written; "None" often means that nobody set it.
    pub finish: Option<Stated<String>>,
    /// `ImpedanceControlled`.
    pub impedance_controlled: Option<Stated<bool>>,
    /// `EdgePlating`.
    pub edge_plating: Option<Stated<bool>>,
    /// `Castellated`.
    pub castellated: Option<Stated<bool>>,
    /// `EdgeConnector`: yes, no, or which, as written.
    pub edge_connector: Option<Stated<String>>,
    /// `IPC-2221-Type`, 1 to 6.
    pub ipc_2221_type: Option<Stated<u32>>,
    /// `IPC-6012-Class`, as written.
    pub ipc_6012_class: Option<Stated<String>>,
    /// `ViaProtection`, as written.
    pub via_protection: Option<Stated<String>>,
}

/// Which layers a group of design rules is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// `Outer`.
    Outer,
    /// `Inner`.
    Inner,
}

/// What a design rule limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Rule {
    /// `PadToPad`.
    PadToPad,
    /// `PadToTrack`.
    PadToTrack,
    /// `TrackToTrack`.
    TrackToTrack,
    /// `MinLineWidth`.
    LineWidth,
    /// `TrackToRegion`.
    TrackToRegion,
    /// `RegionToRegion`.
    RegionToRegion,
}

/// One entry of `DesignRules`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DesignRules {
    /// `Layers`; `None` where it is not said.
    pub layers: Option<Side>,
    /// The smallest each measure may be, as the file claims.
    pub least: Vec<(Rule, Stated<Nm>)>,
    /// Where the entry stands.
    pub place: Place,
}

/// Whether a file draws what is there or what is not.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FilePolarity {
    /// `Positive`.
    Positive,
    /// `Negative`.
    Negative,
}

/// One entry of `FilesAttributes`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ListedFile {
    /// Path inside the set, with `/` between its parts.
    pub path: String,
    /// `FileFunction` as written.
    pub function: Stated<String>,
    /// Its fields in the words of the artwork attribute.
    pub fields: Vec<String>,
    /// `FilePolarity`.
    pub polarity: Option<Stated<FilePolarity>>,
    /// Where the entry stands.
    pub place: Place,
}

/// What a layer of the stack is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LayerKind {
    /// `Legend`.
    Legend,
    /// `SolderPaste`.
    Paste,
    /// `SolderMask`.
    Mask,
    /// `Copper`.
    Copper,
    /// `Dielectric`.
    Dielectric,
    /// `Other`, and words this reader does not know.
    Other,
}

/// One entry of `MaterialStackup`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StackLayer {
    /// `Type`.
    pub kind: LayerKind,
    /// `Color`.
    pub colour: Option<Stated<String>>,
    /// `Thickness`.
    pub thickness: Option<Stated<Nm>>,
    /// `Material`.
    pub material: Option<Stated<String>>,
    /// `Name`.
    pub name: Option<Stated<String>>,
    /// `Notes`.
    pub notes: Option<Stated<String>>,
    /// `DielectricConstant`.
    pub dielectric_constant: Option<Stated<Decimal>>,
    /// `LossTangent`.
    pub loss_tangent: Option<Stated<Decimal>>,
    /// Where the entry stands.
    pub place: Place,
}
