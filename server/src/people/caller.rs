//! Who asks, and what they may do and see.

use super::accounts::Person;
use super::role::{Role, Scope};
use super::tokens::Token;
use crate::fault::{Fault, Kind, Outcome};
use crate::store::Store;

/// Owner of what the shop itself has sent, and of what was sent on trial.
pub const HOUSE: &str = "house";

/// Owner of what someone without an account has sent, where that is open.
pub const OPEN: &str = "open";

/// Who asks.
#[derive(Clone, Debug)]
pub struct Caller {
    /// The name under which the logs know them.
    pub actor: String,
    /// The person; none on trial, at open uploads, and of answer links.
    pub person: Option<Person>,
    /// What they may do.
    pub scopes: Vec<Scope>,
    /// Bounded to what this owner holds; none sees all.
    pub owner: Option<String>,
}

impl Caller {
    /// Anyone on this machine, while the service is tried without an administrator.
    #[must_use]
    pub fn trial() -> Self {
        let scopes = Scope::ALL.iter().copied().filter(|s| *s != Scope::People).collect();
        Self { actor: "trial".to_owned(), person: None, scopes, owner: None }
    }

    /// Someone without an account; with `open` they may send data and read what their checks found.
    #[must_use]
    pub fn stranger(open: bool) -> Self {
        let scopes = if open { vec![Scope::Send, Scope::Read] } else { Vec::new() };
        Self { actor: "stranger".to_owned(), person: None, scopes, owner: Some(OPEN.to_owned()) }
    }

    /// Someone who signed in.
    #[must_use]
    pub fn person(person: Person) -> Self {
        let scopes = person.role.scopes().to_vec();
        Self { actor: person.id.clone(), owner: person.customer_id.clone(), scopes, person: Some(person) }
    }

    /// A program with a token: what the token allows, as far as its person still may.
    #[must_use]
    pub fn token(token: &Token, person: Person) -> Self {
        let mut caller = Self::person(person);
        caller.scopes.retain(|s| token.scopes.contains(s));
        caller.actor = format!("{}/{}", caller.actor, token.id);
        caller
    }

    /// Their role, where they have one.
    #[must_use]
    pub fn role(&self) -> Option<Role> {
        self.person.as_ref().map(|p| p.role)
    }

    /// Whether they may do something.
    #[must_use]
    pub fn may(&self, scope: Scope) -> bool {
        self.scopes.contains(&scope)
    }

    /// Whose what they send becomes.
    #[must_use]
    pub fn sends_for(&self) -> &str {
        self.owner.as_deref().unwrap_or(HOUSE)
    }

    /// Whether what `owner` holds is theirs to see.
    #[must_use]
    pub fn sees(&self, owner: &str) -> bool {
        self.owner.as_deref().is_none_or(|own| own == owner)
    }

    /// Refuses someone without an account: lists, parts and forms are not for strangers.
    pub fn expect_known(&self) -> Outcome<()> {
        if self.person.is_some() || self.owner.is_none() {
            return Ok(());
        }
        Err(Fault::new(Kind::SignInNeeded, "Without an account, data can be sent and their checks be read, no more."))
    }

    /// Refuses a thing of another owner in the words for a thing that is not there.
    pub fn expect_sees(&self, owner: &str, absent: Fault) -> Outcome<()> {
        if self.sees(owner) { Ok(()) } else { Err(absent) }
    }

    /// Refuses a data set that another owner holds, as if it were not there. A stranger's only right to a set
    /// is to have sent it: its id can be known only from its bytes.
    pub async fn expect_set(&self, store: &Store, id: &str) -> Outcome<()> {
        let Some(owner) = self.owner.as_deref() else { return Ok(()) };
        let id = crate::store::data_sets::whole_id(id)?;
        if store.holds(&id, owner).await? {
            return Ok(());
        }
        Err(Fault::new(Kind::NotFound, format!("There is no data set {id}.")))
    }
}
