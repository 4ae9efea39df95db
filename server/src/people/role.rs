//! Roles and scopes. A role is what a person is; a scope is what may be done. A token has no scope its
//! person's role lacks.

use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Kind, Outcome};

macro_rules! words {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $case:ident = $word:literal),+ $(,)? }) => {
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(rename_all = "kebab-case")]
        pub enum $name { $($(#[$doc])* $case),+ }

        impl $name {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$case),+];

            /// The word used on the wire and in the records.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $(Self::$case => $word),+ }
            }

            /// The one of that word.
            pub fn of(word: &str) -> Outcome<Self> {
                Self::ALL.iter().copied().find(|c| c.word() == word).ok_or_else(|| {
                    let known: Vec<&str> = Self::ALL.iter().map(|c| c.word()).collect();
                    Fault::new(Kind::BadRequest, format!("{word:?}: expected one of {}.", known.join(", ")))
                })
            }
        }
    };
}

words!(
    /// What a person is.
    Role {
        /// Sees to the service: people, deletion, the audit log.
        Administrator = "administrator",
        /// Front-end engineer: checks, words and sends queries.
        Engineer = "engineer",
        /// Gives the second pair of eyes as well.
        SecondEngineer = "second-engineer",
        /// Reads and exports.
        Quality = "quality",
        /// Sends forms.
        Sales = "sales",
        /// Sees what is their own company's, sends data and answers.
        Customer = "customer",
        /// A program: sends data and reads outcomes.
        Script = "script",
    }
);

words!(
    /// What may be done.
    Scope {
        /// See boards, checks and forms.
        Read = "read",
        /// Send data and have it checked.
        Send = "send",
        /// Make parts and forms, word their lines.
        Word = "word",
        /// Give the second pair of eyes.
        Second = "second",
        /// Send forms to the customer, make links to answer by.
        Release = "release",
        /// Answer lines.
        Answer = "answer",
        /// Delete data sets.
        Erase = "erase",
        /// See to people, customers and their tokens.
        People = "people",
        /// Read the audit log.
        Audit = "audit",
        /// Read the metrics.
        Watch = "watch",
    }
);

impl Role {
    /// What people of this role may do.
    #[must_use]
    pub const fn scopes(self) -> &'static [Scope] {
        use Scope::{Answer, Audit, Erase, People, Read, Release, Second, Send, Watch, Word};
        match self {
            Self::Administrator => &[Read, Send, Word, Second, Release, Erase, People, Audit, Watch],
            Self::Engineer => &[Read, Send, Word, Release],
            Self::SecondEngineer => &[Read, Send, Word, Second, Release],
            Self::Quality => &[Read, Audit],
            Self::Sales => &[Read, Release],
            Self::Customer => &[Read, Send, Answer],
            Self::Script => &[Read, Send, Watch],
        }
    }
}
