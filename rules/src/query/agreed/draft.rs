//! A departure as text, drawn up from an answer: what the next check of the part is held against.

use landgap_parser::Nm;

use super::Day;

/// What an answer gives a departure.
#[derive(Clone, Debug, Default)]
pub struct Draft {
    /// Its name.
    pub id: String,
    /// The rule.
    pub rule: String,
    /// The value that was accepted.
    pub floor: Option<Nm>,
    /// The query's fingerprint, where it has no value.
    pub fingerprint: String,
    /// The customer.
    pub customer: Option<String>,
    /// The part; left out where the answer holds for all parts.
    pub part: Option<String>,
    /// What was accepted.
    pub answer: String,
    /// The picture it was accepted on.
    pub picture: String,
    /// Who accepted it.
    pub accepted_by: String,
    /// The profile it was accepted on.
    pub capability: Option<String>,
}

impl Draft {
    /// The entry of an `--accepted` file; it holds for a year from its day.
    #[must_use]
    pub fn text(&self, on: Day) -> String {
        let mut out = String::from("[[departure]]\n");
        let mut line = |key: &str, value: String| out.push_str(&format!("{key} = {value}\n"));
        line("id", quoted(&self.id));
        line("rule", quoted(&self.rule));
        match self.floor {
            Some(floor) => line("floor_um", micrometres(floor)),
            None => line("fingerprint", quoted(&self.fingerprint)),
        }
        for (key, value) in [("customer", &self.customer), ("part", &self.part), ("capability", &self.capability)] {
            if let Some(value) = value {
                line(key, quoted(value));
            }
        }
        line("answer", quoted(&self.answer));
        line("picture", quoted(&self.picture));
        line("accepted_by", quoted(&self.accepted_by));
        line("accepted_on", on.to_string());
        line("until", on.a_year_later().to_string());
        out
    }
}

/// A TOML string, whatever a customer wrote.
fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// Micrometres with as many decimals as are needed, rounded up: a floor is never below what was accepted.
fn micrometres(nm: Nm) -> String {
    if nm % 1000 == 0 { (nm / 1000).to_string() } else { format!("{}.{:03}", nm / 1000, nm % 1000) }
}
