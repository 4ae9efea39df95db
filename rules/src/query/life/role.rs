//! Who acts.

use serde::{Deserialize, Serialize};

/// What a person or program may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    /// Landgap itself: what it finds and what a re-check shows.
    Machine,
    /// A program with a token: finds, never sends.
    Script,
    /// Writes the lines and judges the answers.
    Engineer,
    /// Looks at lines before they are sent.
    SecondEngineer,
    /// Leads the engineers: decides on what is in question.
    Lead,
    /// Makes the changes in the data.
    Tooling,
    /// Sends, and speaks of price and time.
    Sales,
    /// Reads everything, changes nothing.
    Quality,
    /// The customer's designer, by a signed link.
    Designer,
    /// The customer's buyer, by a signed link.
    Buyer,
}

impl Role {
    /// Every role.
    pub const ALL: [Self; 10] = [
        Self::Machine,
        Self::Script,
        Self::Engineer,
        Self::SecondEngineer,
        Self::Lead,
        Self::Tooling,
        Self::Sales,
        Self::Quality,
        Self::Designer,
        Self::Buyer,
    ];

    /// The words people read.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Machine => "machine",
            Self::Script => "script",
            Self::Engineer => "engineer",
            Self::SecondEngineer => "second engineer",
            Self::Lead => "lead engineer",
            Self::Tooling => "tooling",
            Self::Sales => "sales",
            Self::Quality => "quality",
            Self::Designer => "designer",
            Self::Buyer => "buyer",
        }
    }

    /// Whether the role is on the customer's side.
    #[must_use]
    pub const fn is_customer(self) -> bool {
        matches!(self, Self::Designer | Self::Buyer)
    }
}

/// Who acts, by name and role.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Actor {
    /// The name that stands in the log.
    pub name: String,
    /// What they may do.
    pub role: Role,
}
