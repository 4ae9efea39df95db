//! Every address with what it needs. An address that is not in this table is refused: nothing is open by oversight.

use axum::http::Method;

use crate::people::Scope;

/// What an address needs of who asks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Need {
    /// Nothing.
    Nothing,
    /// A person who signed in, or a token of theirs.
    Person,
    /// The scope.
    Of(Scope),
}

/// One address.
#[derive(Debug)]
pub struct Door {
    /// Method.
    pub method: Method,
    /// Path as routed.
    pub path: &'static str,
    /// What it needs.
    pub need: Need,
}

const fn door(method: Method, path: &'static str, need: Need) -> Door {
    Door { method, path, need }
}

const READ: Need = Need::Of(Scope::Read);
const SEND: Need = Need::Of(Scope::Send);
const PEOPLE: Need = Need::Of(Scope::People);

/// The table.
pub static DOORS: &[Door] = &[
    door(Method::GET, "/livez", Need::Nothing),
    door(Method::GET, "/readyz", Need::Nothing),
    door(Method::GET, "/metrics", Need::Of(Scope::Watch)),
    door(Method::GET, "/sign-in", Need::Nothing),
    door(Method::POST, "/sign-in", Need::Nothing),
    door(Method::GET, "/first", Need::Nothing),
    door(Method::POST, "/first", Need::Nothing),
    door(Method::GET, "/api/session", Need::Nothing),
    door(Method::POST, "/api/session", Need::Nothing),
    door(Method::DELETE, "/api/session", Need::Nothing),
    door(Method::GET, "/api/data-sets", READ),
    door(Method::POST, "/api/data-sets", SEND),
    door(Method::GET, "/api/data-sets/{id}", READ),
    door(Method::DELETE, "/api/data-sets/{id}", Need::Of(Scope::Erase)),
    door(Method::POST, "/api/checks", SEND),
    door(Method::GET, "/api/checks/{id}", READ),
    door(Method::DELETE, "/api/checks/{id}", SEND),
    door(Method::POST, "/api/checks/{id}/retry", SEND),
    door(Method::POST, "/api/checks/{id}/judge", SEND),
    door(Method::GET, "/api/checks/{id}/events", READ),
    door(Method::GET, "/api/checks/{id}/report", READ),
    door(Method::GET, "/api/checks/{id}/form", READ),
    door(Method::GET, "/api/checks/{id}/board.svg", READ),
    door(Method::GET, "/api/checks/{id}/figures/{figure}", READ),
    door(Method::GET, "/api/parts", READ),
    door(Method::POST, "/api/parts", SEND),
    door(Method::GET, "/api/parts/{id}", READ),
    door(Method::POST, "/api/parts/{id}/revisions", SEND),
    door(Method::GET, "/api/forms", READ),
    door(Method::POST, "/api/forms", Need::Of(Scope::Word)),
    door(Method::GET, "/api/forms/{id}", READ),
    door(Method::GET, "/api/forms/{id}/log", READ),
    door(Method::GET, "/api/forms/{id}/links", Need::Of(Scope::Release)),
    door(Method::POST, "/api/forms/{id}/links", Need::Of(Scope::Release)),
    door(Method::DELETE, "/api/forms/{id}/links/{link}", Need::Of(Scope::Release)),
    door(Method::GET, "/api/forms/{id}/gate", READ),
    door(Method::POST, "/api/forms/{id}/lines/{number}/acts", READ),
    door(Method::GET, "/api/answers/{word}", Need::Nothing),
    door(Method::POST, "/api/answers/{word}/lines/{number}", Need::Nothing),
    door(Method::GET, "/api/people", PEOPLE),
    door(Method::POST, "/api/people", PEOPLE),
    door(Method::GET, "/api/people/{id}", PEOPLE),
    door(Method::PATCH, "/api/people/{id}", PEOPLE),
    door(Method::POST, "/api/people/{id}/tokens", PEOPLE),
    door(Method::GET, "/api/customers", PEOPLE),
    door(Method::POST, "/api/customers", PEOPLE),
    door(Method::GET, "/api/tokens", Need::Person),
    door(Method::POST, "/api/tokens", Need::Person),
    door(Method::DELETE, "/api/tokens/{id}", Need::Person),
    door(Method::GET, "/api/audit", Need::Of(Scope::Audit)),
    door(Method::GET, "/api/audit/chain", Need::Of(Scope::Audit)),
    door(Method::GET, "/api/capabilities", Need::Nothing),
    door(Method::GET, "/api/rules", Need::Nothing),
    door(Method::GET, "/api/recognisers", Need::Nothing),
    door(Method::GET, "/api/remarks", Need::Nothing),
    door(Method::GET, "/api/demo", Need::Nothing),
    door(Method::GET, "/api/problems", Need::Nothing),
    door(Method::GET, "/api/problems/{slug}", Need::Nothing),
    door(Method::GET, "/api/report.schema.json", Need::Nothing),
    door(Method::GET, "/api/openapi.json", Need::Nothing),
];

/// What an address needs; none where it is not in the table.
#[must_use]
pub fn need(method: &Method, path: &str) -> Option<Need> {
    let method = if method == Method::HEAD { &Method::GET } else { method };
    DOORS.iter().find(|d| d.method == method && d.path == path).map(|d| d.need)
}
