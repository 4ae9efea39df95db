//! Drill and rout programs (Excellon, XNC).
//!
//! Reading happens in two steps, because many programs do not say how their numbers are written:
//! [`read`] keeps the words as they stand, and [`Program::decode`] turns them into holes once a
//! [`Format`] has been settled — by the header, or by trying candidates against the copper.

#![deny(clippy::arithmetic_side_effects)]

mod block;
mod body;
mod canned;
pub mod codes;
mod comment;
mod decode;
mod evidence;
mod finish;
mod format;
mod header;
pub mod hits;
mod machine;
mod program;
mod read;
mod repeat;
mod route;
mod words;
mod write;

pub use comment::drill_tolerance;
pub use hits::{Format, FormatClue, Hit, HitShape, HoleImage, Plating, Statements, Tool, Zeros};
pub use program::{CommentSize, CommentTool, Line, Program, SizeUnit, ToolDeclaration};
pub use read::read;
pub use words::{Number, Value, Word};
pub use write::write_commands;
