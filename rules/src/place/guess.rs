//! A reading of what one file is, with its evidence.

use crate::board::{KnownBy, Role, Side};

/// Where a copper layer stands, as far as one piece of evidence says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) enum Number {
    /// Not said.
    #[default]
    None,
    /// Counted over all copper layers, the top one being 1.
    FromTop(u32),
    /// Counted over the inner layers only, or so it seems.
    Inner(u32),
    /// An inner layer that has a name but no place, such as a ground plane and its numeral.
    Named(String, u32),
}

/// One reading of what a file is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Guess {
    pub role: Role,
    pub side: Option<Side>,
    pub number: Number,
    pub span: Option<(u32, u32)>,
    pub known_by: KnownBy,
    pub confidence: u8,
    pub evidence: String,
}

impl Guess {
    pub fn new(role: Role, side: Option<Side>, known_by: KnownBy, confidence: u8, evidence: impl Into<String>) -> Self {
        Self { role, side, number: Number::None, span: None, known_by, confidence, evidence: evidence.into() }
    }

    pub fn numbered(mut self, number: Number) -> Self {
        if matches!(number, Number::Inner(_) | Number::Named(..)) {
            self.side = Some(Side::Inner);
        }
        self.number = number;
        self
    }

    /// Whether two readings cannot both be right.
    pub fn contradicts(&self, other: &Self) -> bool {
        if class(self.role) != class(other.role) {
            return true;
        }
        match (self.side, other.side) {
            (Some(a), Some(b)) => a != b,
            _ => false,
        }
    }

    /// The reading in plain words: "top mask", "copper 3", "plated holes".
    pub fn words(&self) -> String {
        describe(self.role, self.side, &self.number)
    }
}

/// Roles that do not exclude one another share a class.
fn class(role: Role) -> Role {
    match role {
        Role::Drawing | Role::Other => Role::Other,
        Role::Holes | Role::PlatedHoles | Role::UnplatedHoles => Role::Holes,
        other => other,
    }
}

/// A role with its side and number in plain words.
pub(super) fn describe(role: Role, side: Option<Side>, number: &Number) -> String {
    let word = role.word().replace('-', " ");
    match (number, side) {
        (Number::FromTop(n), _) => format!("{word} {n}"),
        (Number::Inner(n), _) => format!("inner {word} {n}"),
        (_, Some(side)) => format!("{} {word}", side.word()),
        _ => word,
    }
}

/// Whether a role speaks of drilled holes.
pub(super) const fn is_holes(role: Role) -> bool {
    matches!(role, Role::Holes | Role::PlatedHoles | Role::UnplatedHoles)
}
