//! What an agreement holds for: whose boards, which layers.

use serde::Deserialize;

use crate::capability::Order;
use crate::rule::finding::LayerRole;

/// Kinds of layer an agreement may be held to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum On {
    /// Outer copper.
    Outer,
    /// Inner copper.
    Inner,
    /// Solder mask.
    Mask,
    /// Legend.
    Legend,
    /// The board as a whole: holes, edge, files.
    Board,
}

impl On {
    pub(super) fn is(self, role: LayerRole) -> bool {
        self.word() == role.word()
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Outer => "outer",
            Self::Inner => "inner",
            Self::Mask => "mask",
            Self::Legend => "legend",
            Self::Board => "board",
        }
    }
}

/// Whose boards an agreement holds for. What is not named is not looked at.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scope {
    /// The customer.
    pub customer: Option<String>,
    /// The part.
    pub part: Option<String>,
    /// The part's revision.
    pub revision: Option<String>,
}

impl Scope {
    /// Why an order lies outside the scope; `None` where it lies inside.
    #[must_use]
    pub fn excludes(&self, order: &Order) -> Option<String> {
        let named = [
            ("customer", &self.customer, &order.customer),
            ("part", &self.part, &order.part),
            ("revision", &self.revision, &order.revision),
        ];
        named.into_iter().find_map(|(word, wanted, ordered)| {
            let wanted = wanted.as_deref()?;
            match ordered.as_deref() {
                Some(given) if same(given, wanted) => None,
                Some(given) => Some(format!("it holds for {word} {wanted}, and the order says {given}")),
                None => Some(format!("it holds for {word} {wanted}, and the order names no {word}")),
            }
        })
    }

    /// In words: "customer Tarn Row, part TR-20".
    #[must_use]
    pub fn words(&self) -> String {
        let named = [("customer", &self.customer), ("part", &self.part), ("revision", &self.revision)];
        let said: Vec<String> =
            named.iter().filter_map(|(word, value)| Some(format!("{word} {}", value.as_deref()?))).collect();
        said.join(", ")
    }
}

/// Names are the same whatever their case and blanks.
fn same(a: &str, b: &str) -> bool {
    let folded = |t: &str| t.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    folded(a) == folded(b)
}
