//! Electrical netlists (IPC-D-356 and its revision A).
//!
//! A netlist is a list of 80-column records: what every land and hole is, where it is, and which net
//! it belongs to. [`read`] keeps them as data, in nanometres, with aliases replaced by the real net
//! names and continuation records joined to the record before. What stands outside its columns is
//! read only where letters make it certain, and is remarked either way.

#![deny(clippy::arithmetic_side_effects)]

pub mod codes;
mod fields;
mod head;
mod lists;
mod number;
mod path;
mod point;
mod read;
mod record;
mod tail;

use crate::length::{Nm, Unit};
use crate::point::Point;
use crate::remark::Remark;

pub use read::read;

/// The edition of the standard a netlist says it follows.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Dialect {
    /// IPC-D-356.
    Plain,
    /// IPC-D-356A.
    RevisionA,
    /// It does not say, or says something else.
    #[default]
    Unstated,
}

/// The unit angles are written in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum AngleUnit {
    /// Degrees.
    #[default]
    Degree,
    /// Radians: three digits cannot say which angle is meant, so rotations stay unknown.
    Radian,
}

/// What the parameter records say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Header {
    /// `JOB`.
    pub job: Option<String>,
    /// `CODE`.
    pub code: Option<String>,
    /// `TITLE`.
    pub title: Option<String>,
    /// `NUM`, the part number.
    pub number: Option<String>,
    /// `REV`.
    pub revision: Option<String>,
    /// `VER` as written.
    pub version: Option<String>,
    /// `IMAGE`: `PRIMARY`, `PANEL`, or the number of a stepped image.
    pub image: Option<String>,
    /// Nets whose conductors were left out (`REMOVED_CONDUCTORS`).
    pub removed_conductors: Vec<String>,
    /// Parameters the standard does not list, as keyword and value.
    pub other: Vec<(String, String)>,
}

/// A netlist as read.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Netlist {
    /// The edition stated.
    pub dialect: Dialect,
    /// The unit stated; `None` where none was, and inches were assumed with a remark.
    pub unit: Option<Unit>,
    /// The unit of angles.
    pub angle_unit: AngleUnit,
    /// What the parameter records say.
    pub header: Header,
    /// Lands, holes and test locations, in order of the file.
    pub points: Vec<TestPoint>,
    /// Conductors (378).
    pub conductors: Vec<Conductor>,
    /// Outlines (389).
    pub outlines: Vec<NetOutline>,
    /// Nets that run beside each other (379): a net and its neighbours.
    pub adjacency: Vec<(String, Vec<String>)>,
    /// Stepped images (309).
    pub steps: Vec<StepOffset>,
    /// Records that are kept as text: components in the board (370), on it (380), features without
    /// test (390), mask clearances (088), their continuations, and codes the standard does not list.
    pub kept: Vec<KeptRecord>,
    /// Lines before the end of the job that could not be used, from 1.
    pub unread: Vec<u32>,
    /// What was noticed.
    pub remarks: Vec<Remark>,
    /// Whether the end of the job (999) was found.
    pub ended: bool,
    /// Lines in the file.
    pub lines: u32,
}

/// What a record describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PointKind {
    /// Land with a hole through the board (317).
    ThroughHole,
    /// Land without a hole (327).
    Surface,
    /// Tooling hole (367).
    Tooling,
    /// Blind or buried via (307).
    BlindVia,
    /// Where the tester touches (099).
    TestLocation,
}

/// The side a point can be reached from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Access {
    /// Both sides (`A00`).
    Both,
    /// One layer, counted from the primary side, from 1.
    Layer(u32),
    /// Not stated.
    Unstated,
}

/// Which sides the solder mask covers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MaskCover {
    /// Neither side (`S0`).
    None,
    /// The primary side (`S1`).
    Primary,
    /// The secondary side (`S2`).
    Secondary,
    /// Both sides (`S3`).
    Both,
}

/// A hole of a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hole {
    /// Its centre.
    pub at: Point,
    /// Its diameter in nanometres, where stated.
    pub diameter: Option<Nm>,
    /// Whether it is plated, where stated.
    pub plated: Option<bool>,
    /// Line of its record, from 1.
    pub line: u32,
}

/// A further land of the same point, from a continuation record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FurtherLand {
    /// Its centre.
    pub at: Point,
    /// Extent along x in nanometres before rotation; 0 where not stated.
    pub size_x: Nm,
    /// Extent along y in nanometres before rotation; 0 means round, with `size_x` as diameter.
    pub size_y: Nm,
    /// Line of its record, from 1.
    pub line: u32,
}

/// One test point with its continuation records.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TestPoint {
    /// Real name of its net; `None` for a single point (`N/C`) or where the field is blank.
    pub net: Option<String>,
    /// What it is.
    pub kind: PointKind,
    /// Reference designator; `None` for a via or where blank.
    pub component: Option<String>,
    /// Pin.
    pub pin: Option<String>,
    /// Whether the record calls it a via.
    pub via: bool,
    /// Whether other points of the net lie beyond it (`M`).
    pub mid_net: bool,
    /// Its holes: its own first, then those of continuation records.
    pub holes: Vec<Hole>,
    /// Further lands from continuation records.
    pub lands: Vec<FurtherLand>,
    /// From where it can be reached.
    pub side: Access,
    /// Its centre.
    pub at: Point,
    /// Extent along x in nanometres before rotation; 0 where not stated.
    pub size_x: Nm,
    /// Extent along y in nanometres before rotation; 0 means round, with `size_x` as diameter.
    pub size_y: Nm,
    /// Rotation counter-clockwise in degrees, 0 to 359; `None` where not stated or not in degrees.
    pub rotation_deg: Option<u16>,
    /// Solder mask cover, where stated.
    pub mask: Option<MaskCover>,
    /// First and last layer of a blind or buried via.
    pub span: Option<(u32, u32)>,
    /// The tester's own name of the place (099).
    pub location: Option<String>,
    /// Line of the record, from 1.
    pub line: u32,
}

/// A conductor: lines drawn with one pen on one layer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Conductor {
    /// Real name of its net; `None` for `N/C` or where blank.
    pub net: Option<String>,
    /// Layer counted from the primary side, from 1, where stated.
    pub layer: Option<u32>,
    /// Pen along x in nanometres.
    pub pen_x: Nm,
    /// Pen along y in nanometres; 0 means round.
    pub pen_y: Nm,
    /// The lines, each from corner to corner.
    pub paths: Vec<Vec<Point>>,
    /// Line of the record, from 1.
    pub line: u32,
}

/// What an outline bounds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OutlineKind {
    /// `BOARD_EDGE`.
    Board,
    /// `PANEL_EDGE`.
    Panel,
    /// `SCORE_LINE`.
    Score,
    /// `OTHER_FAB`, or any other word as written.
    Other(String),
}

/// An outline; the middle of the drawn line is the edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NetOutline {
    /// What it bounds.
    pub kind: OutlineKind,
    /// Pen along x in nanometres.
    pub pen_x: Nm,
    /// Pen along y in nanometres; 0 means round.
    pub pen_y: Nm,
    /// The lines, each from corner to corner.
    pub paths: Vec<Vec<Point>>,
    /// Line of the record, from 1.
    pub line: u32,
}

/// Where a stepped image lies; applied in the order mirror, rotation, offset.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StepOffset {
    /// Mirrored: x becomes −x and the layers are reversed.
    pub mirrored: bool,
    /// Rotation clockwise in degrees: 0, 90, 180 or 270.
    pub clockwise_deg: u16,
    /// The offset.
    pub offset: Point,
    /// Line of the record, from 1.
    pub line: u32,
}

/// A record kept as text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptRecord {
    /// Operation code, the first three columns.
    pub code: String,
    /// What stands behind the code.
    pub text: String,
    /// Line of the record, from 1.
    pub line: u32,
}
