//! Places files as layers of one board.

use crate::board::{Board, Role, Side};
use crate::check::{InputFile, Stage, Told};

/// What the user said a file is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToldRole {
    /// Its role.
    pub role: Role,
    /// Its side, if the role has one.
    pub side: Option<Side>,
    /// Its copper layer, for copper.
    pub layer: Option<u32>,
}

/// Places a set of files as one board.
#[must_use]
pub fn place(_files: &[InputFile], _told: &Told, _limits: &landgap_parser::Limits, _progress: &dyn Fn(Stage)) -> Board {
    Board::default()
}
