//! What a check is asked to do, as sent and as understood.

use landgap_parser::Limits;
use landgap_rules::capability::{Capability, Order};
use landgap_rules::query::Terms;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::sha256;
use crate::intake::told::Sayings;
use crate::profile;
use crate::terms::{self, TermsSent};
use crate::wire::VERSION;

/// A request for a check.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CheckRequest {
    /// The data set.
    pub data_set: String,
    /// The profile; the usual one where none is named.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capability: Option<CapabilityChoice>,
    /// The order.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub order: Option<OrderChoice>,
    /// What files are, by path: "copper top 1".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub told: Option<Sayings>,
    /// Wording, standing permissions and accepted departures.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub terms: Option<TermsSent>,
}

/// A request to judge again what has been measured.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct JudgeRequest {
    /// The profile; the usual one where none is named.
    #[serde(default)]
    pub capability: Option<CapabilityChoice>,
    /// The order.
    #[serde(default)]
    pub order: Option<OrderChoice>,
    /// Wording, standing permissions and accepted departures.
    #[serde(default)]
    pub terms: Option<TermsSent>,
}

/// A profile by name, or its text.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(untagged)]
pub enum CapabilityChoice {
    /// One that comes with the program.
    Name(String),
    /// The text of a capability file.
    Text {
        /// The file's text.
        toml: String,
    },
}

/// An order by its fields, or as the text of an order file.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(untagged)]
pub enum OrderChoice {
    /// The text of an order file.
    Text {
        /// The file's text.
        toml: String,
    },
    /// Its fields, as an order file names them.
    Fields(Map<String, Value>),
}

/// A request as understood.
#[derive(Clone, Debug)]
pub struct Settled {
    /// The data set's id with its `sha256:`.
    pub data_set: String,
    /// The profile.
    pub capability: Capability,
    /// The order.
    pub order: Order,
    /// The order as sent.
    pub order_sent: Option<OrderChoice>,
    /// What files are.
    pub told: Sayings,
    /// Wording and agreements as sent.
    pub terms_sent: TermsSent,
    /// The same as understood.
    pub terms: Terms,
    /// What a file may cost to read: the service's own setting.
    pub limits: Limits,
}

/// A request as kept: with the day it was taken, on which agreements are held against it whenever and
/// wherever the work is done.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Taken {
    /// The day, such as 2026-03-31.
    pub on: String,
    /// The request.
    pub request: CheckRequest,
}

impl Taken {
    /// Taken today.
    #[must_use]
    pub fn today(request: CheckRequest) -> Self {
        Self { on: terms::today().to_string(), request }
    }

    /// From its text.
    pub fn read(text: &str) -> Outcome<Self> {
        serde_json::from_str(text).map_err(|e| Fault::new(Kind::Storage, format!("A stored request: {e}.")))
    }

    /// Understands every part.
    pub fn settle(self, limits: Limits) -> Outcome<Settled> {
        self.request.settle(limits, &self.on)
    }
}

impl CheckRequest {
    fn settle(self, limits: Limits, on: &str) -> Outcome<Settled> {
        Ok(Settled {
            data_set: self.data_set,
            capability: capability(self.capability)?,
            order: order(self.order.clone())?,
            order_sent: self.order,
            told: self.told.unwrap_or_default(),
            terms: terms::of(self.terms.as_ref().unwrap_or(&TermsSent::default()), Some(on))?,
            terms_sent: self.terms.unwrap_or_default(),
            limits,
        })
    }
}

/// The profile of a choice.
pub fn capability(choice: Option<CapabilityChoice>) -> Outcome<Capability> {
    match choice {
        None => profile::capability_named(profile::USUAL),
        Some(CapabilityChoice::Name(name)) => profile::capability_named(&name),
        Some(CapabilityChoice::Text { toml }) => match shipped(&toml) {
            Some(known) => Ok(known),
            None => profile::capability_text("capability", &toml),
        },
    }
}

/// The profile of this program that has this text: it is then told by its own name, whoever sent it.
fn shipped(text: &str) -> Option<Capability> {
    Capability::names().into_iter().filter_map(Capability::named).find(|c| c.text == text)
}

/// The order of a choice.
pub fn order(choice: Option<OrderChoice>) -> Outcome<Order> {
    match choice {
        None => Ok(Order::default()),
        Some(OrderChoice::Text { toml }) => profile::order_text("order", &toml),
        Some(OrderChoice::Fields(mut fields)) => {
            fields.retain(|_, v| !v.is_null());
            let text = toml::to_string(&fields).map_err(|e| Fault::new(Kind::BadOrder, format!("order: {e}.")))?;
            profile::order_text("order", &text)
        }
    }
}

impl Settled {
    /// The check's id: the same data judged the same way is the same check, also after a restart.
    #[must_use]
    pub fn id(&self) -> String {
        let told: Vec<String> = self.told.iter().map(|(p, w)| format!("{p}\0{w}")).collect();
        let order = format!("{:?}", self.order);
        let limits = format!("{:?}", self.limits);
        // Agreements end on a day, so the day belongs to the check wherever there are any.
        let agreed = &self.terms.agreed;
        let dated = !(agreed.permissions.is_empty() && agreed.departures.is_empty());
        let terms = format!("{:?} {:?}", self.terms_sent, agreed.today.filter(|_| dated));
        let parts = [VERSION, &self.data_set, &self.capability.text, &order, &told.join("\n"), &limits, &terms];
        let hashes: Vec<String> = parts.iter().map(|p| sha256(p.as_bytes())).collect();
        sha256(hashes.concat().as_bytes())[..32].to_owned()
    }

    /// What a measurement depends on.
    #[must_use]
    pub fn measured_by(&self) -> (String, Sayings) {
        (self.data_set.clone(), self.told.clone())
    }
}
