//! The image level: objects in nanometres, in file order, each with its provenance.

#![deny(clippy::arithmetic_side_effects)]

use std::sync::Arc as Shared;

use crate::length::{Nm, Unit};
use crate::point::Point;

/// Everything one artwork file draws, after repeats and blocks are expanded.
#[derive(Clone, Debug, Default)]
pub struct Image {
    /// The objects in the order they were drawn; later ones cover earlier ones.
    pub objects: Vec<Object>,
    /// Apertures the objects refer to, by index.
    pub apertures: Vec<Aperture>,
    /// Object and aperture attribute sets, by index; entry 0 is the empty set.
    pub attribute_sets: Vec<Vec<Attribute>>,
    /// Attributes of the file (`TF`).
    pub file_attributes: Vec<FileAttribute>,
    /// The unit the file was written in.
    pub unit: Option<Unit>,
    /// Smallest coordinate step of the file's format; 0 where the format is unknown.
    pub step: Nm,
}

impl Image {
    /// Values of the file attribute `name` (with its leading dot), if the file has it.
    #[must_use]
    pub fn file_attribute(&self, name: &str) -> Option<&[String]> {
        self.file_attributes.iter().find(|a| a.name == name).map(|a| a.values.as_slice())
    }

    /// Values of attribute `name` on an object, if it has it.
    #[must_use]
    pub fn attribute(&self, object: &Object, name: &str) -> Option<&[String]> {
        let set = self.attribute_sets.get(object.attributes as usize)?;
        set.iter().find(|a| a.name == name).map(|a| a.values.as_slice())
    }
}

/// A file attribute: name with its dot, and its fields.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FileAttribute {
    /// Name, such as `.FileFunction`.
    pub name: String,
    /// Comma-separated fields behind the name.
    pub values: Vec<String>,
    /// Line it stands on.
    pub line: u32,
    /// Whether it was carried by a comment (`G04 #@!`) rather than a command.
    pub in_comment: bool,
}

/// An attribute of an aperture or object.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Attribute {
    /// Name, such as `.N` or `.AperFunction`.
    pub name: String,
    /// Comma-separated fields behind the name.
    pub values: Vec<String>,
}

/// One graphical object.
#[derive(Clone, Debug)]
pub struct Object {
    /// What is drawn.
    pub shape: Shape,
    /// Whether it adds to the image or takes away from it.
    pub polarity: Polarity,
    /// Index into [`Image::attribute_sets`].
    pub attributes: u32,
    /// Line of the file that made it, from 1.
    pub line: u32,
}

/// Dark adds material to the image, clear takes away what was drawn before.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Polarity {
    /// Adds.
    Dark,
    /// Takes away everything drawn before it.
    Clear,
}

impl Polarity {
    /// The other polarity.
    #[must_use]
    pub const fn toggled(self) -> Self {
        match self {
            Self::Dark => Self::Clear,
            Self::Clear => Self::Dark,
        }
    }
}

/// What an object draws.
#[derive(Clone, Debug)]
pub enum Shape {
    /// An aperture set down once.
    Flash {
        /// Index into [`Image::apertures`].
        aperture: u32,
        /// Where its origin lands.
        at: Point,
        /// How it is turned before it lands.
        turn: Turn,
    },
    /// An aperture drawn along a straight line.
    Draw {
        /// Index into [`Image::apertures`].
        aperture: u32,
        /// Start of the centre line.
        from: Point,
        /// End of the centre line; equal to `from` for a dot.
        to: Point,
        /// How the aperture is turned.
        turn: Turn,
    },
    /// An aperture drawn along an arc.
    Arc {
        /// Index into [`Image::apertures`].
        aperture: u32,
        /// The centre line.
        arc: Arc,
        /// How the aperture is turned.
        turn: Turn,
    },
    /// A filled area: the union of its contours, each filled on its own.
    Region {
        /// The contours; shared between copies that step and repeat made.
        contours: Shared<Vec<Contour>>,
        /// Moved by this much.
        offset: Point,
    },
}

/// A circular arc from one point to another round a centre.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Arc {
    /// Start.
    pub from: Point,
    /// End; equal to `from` for a full circle.
    pub to: Point,
    /// Centre.
    pub centre: Point,
    /// Counter-clockwise when true.
    pub counter_clockwise: bool,
}

/// A closed contour.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contour {
    /// First point, which is also the last.
    pub start: Point,
    /// Edges in order.
    pub edges: Vec<Edge>,
    /// Line it starts on.
    pub line: u32,
}

/// One edge of a contour, from the end of the one before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// A straight edge to a point.
    Line {
        /// End.
        to: Point,
    },
    /// An arc to a point.
    Arc {
        /// End; equal to the start for a full circle.
        to: Point,
        /// Centre.
        centre: Point,
        /// Counter-clockwise when true.
        counter_clockwise: bool,
    },
}

impl Edge {
    /// Where the edge ends.
    #[must_use]
    pub const fn to(&self) -> Point {
        match *self {
            Self::Line { to } | Self::Arc { to, .. } => to,
        }
    }
}

/// Mirror, then scale, then rotation, about the aperture's own origin.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// x becomes −x.
    pub mirror_x: bool,
    /// y becomes −y.
    pub mirror_y: bool,
    /// Degrees counter-clockwise, after mirroring.
    pub degrees: f64,
    /// Scale factor.
    pub scale: f64,
}

impl Turn {
    /// No turn at all.
    pub const NONE: Self = Self { mirror_x: false, mirror_y: false, degrees: 0.0, scale: 1.0 };

    /// Whether it leaves everything as it is.
    #[must_use]
    pub fn is_none(&self) -> bool {
        *self == Self::NONE
    }
}

impl Default for Turn {
    fn default() -> Self {
        Self::NONE
    }
}

/// An aperture of the file.
#[derive(Clone, Debug)]
pub struct Aperture {
    /// Its number in the file (`D10` is 10).
    pub number: u32,
    /// What it looks like.
    pub shape: ApertureShape,
    /// Line it is defined on.
    pub line: u32,
    /// Index into [`Image::attribute_sets`] of the attributes it took at its definition.
    pub attributes: u32,
}

/// What an aperture looks like, about its own origin.
#[derive(Clone, Debug)]
pub enum ApertureShape {
    /// A disc.
    Circle {
        /// Diameter; 0 draws nothing.
        diameter: Nm,
        /// The hole in its middle, if any.
        hole: Hole,
    },
    /// A rectangle.
    Rectangle {
        /// Extent in x.
        width: Nm,
        /// Extent in y.
        height: Nm,
        /// The hole in its middle, if any.
        hole: Hole,
    },
    /// A rectangle with half-round ends on its short sides.
    Obround {
        /// Extent in x.
        width: Nm,
        /// Extent in y.
        height: Nm,
        /// The hole in its middle, if any.
        hole: Hole,
    },
    /// A regular polygon.
    Polygon {
        /// Diameter of the circle through its corners.
        diameter: Nm,
        /// Number of corners, 3 to 12.
        corners: u32,
        /// Degrees counter-clockwise; at 0 one corner lies on +x.
        degrees: f64,
        /// The hole in its middle, if any.
        hole: Hole,
    },
    /// A macro: parts that add or take away, in order, flattened to one shape.
    Macro {
        /// The parts.
        parts: Vec<MacroPart>,
    },
    /// Declared but unusable (see the file's remarks); draws nothing.
    Unusable,
}

/// A transparent hole in the middle of a standard aperture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Hole {
    /// Solid.
    #[default]
    None,
    /// Round.
    Round(Nm),
    /// Rectangular (deprecated), width and height.
    Rectangular(Nm, Nm),
}

/// One part of a macro, all transforms applied.
#[derive(Clone, Debug)]
pub struct MacroPart {
    /// Adds when true, takes away what the same macro made so far when false.
    pub adds: bool,
    /// Its outline.
    pub contours: Vec<Contour>,
}
