//! People as kept.

use serde::Serialize;
use sqlx::Row;
use sqlx::any::AnyRow;

use super::role::Role;
use super::{password, secret};
use crate::fault::{Fault, Kind, Outcome};
use crate::store::audit::{self, Entry};
use crate::store::database::is_double;
use crate::store::{Store, fresh_id, now};

/// A person.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Person {
    /// Their id.
    pub id: String,
    /// What they sign in with.
    pub login: String,
    /// Their name.
    pub name: String,
    /// Their role.
    pub role: Role,
    /// The customer they belong to.
    pub customer_id: Option<String>,
    /// Whether they are shut out.
    pub disabled: bool,
    /// Counts the changes.
    pub version: i64,
    /// In milliseconds since 1970.
    pub created_at: i64,
}

/// A person to be made.
#[derive(Clone, Debug)]
pub struct NewPerson {
    /// What they sign in with.
    pub login: String,
    /// Their name.
    pub name: String,
    /// Their role.
    pub role: Role,
    /// The customer they belong to.
    pub customer_id: Option<String>,
    /// Their password; none for a program that has tokens alone.
    pub password: Option<String>,
}

/// Name under which the key of the first administrator is kept.
const FIRST: &str = "first-administrator";
const PERSON: &str = "SELECT id, login, name, role, customer_id, disabled, version, created_at FROM person";

fn person(row: &AnyRow) -> Outcome<Person> {
    Ok(Person {
        id: row.try_get(0)?,
        login: row.try_get(1)?,
        name: row.try_get(2)?,
        role: Role::of(&row.try_get::<String, _>(3)?)?,
        customer_id: row.try_get(4)?,
        disabled: row.try_get::<i64, _>(5)? != 0,
        version: row.try_get(6)?,
        created_at: row.try_get(7)?,
    })
}

/// A text a person types: without control characters, not empty, not endless.
pub fn plain(what: &str, text: &str, most: usize) -> Outcome<String> {
    let text = text.trim();
    if text.is_empty() || text.chars().count() > most || text.chars().any(char::is_control) {
        return Err(Fault::new(
            Kind::BadRequest,
            format!("{what}: expected 1 to {most} characters without line ends or other control characters."),
        ));
    }
    Ok(text.to_owned())
}

impl Store {
    /// Whether there is anyone at all.
    pub async fn has_people(&self) -> Outcome<bool> {
        Ok(sqlx::query("SELECT 1 FROM person LIMIT 1").fetch_optional(self.db.pool()).await?.is_some())
    }

    /// Makes a person.
    pub async fn make_person(&self, new: NewPerson, by: &str) -> Outcome<Person> {
        self.make_person_with(new, by, None).await
    }

    /// Makes the first administrator with the key that was given out at the start; it works once.
    pub async fn make_first(&self, key: &str, new: NewPerson) -> Outcome<Person> {
        self.make_person_with(new, "first-administrator", Some(key)).await
    }

    async fn make_person_with(&self, new: NewPerson, by: &str, key: Option<&str>) -> Outcome<Person> {
        let login = plain("login", &new.login, 200)?.to_lowercase();
        let name = plain("name", &new.name, 200)?;
        if (new.role == Role::Customer) != new.customer_id.is_some() && new.role != Role::Script {
            return Err(Fault::new(
                Kind::BadRequest,
                "customer_id: a customer's person has one, the shop's own people have none.",
            ));
        }
        let hash = match &new.password {
            Some(password) => Some(password::hash(password).await?),
            None if new.role == Role::Script => None,
            None => return Err(Fault::new(Kind::BadRequest, "password: only a script has none.")),
        };
        let id = fresh_id();
        let mut tx = self.db.write().await?;
        if let Some(key) = key {
            let used = sqlx::query("DELETE FROM secret WHERE name = $1 AND value = $2")
                .bind(FIRST)
                .bind(secret::kept(key))
                .execute(&mut *tx)
                .await?
                .rows_affected();
            let anyone = sqlx::query("SELECT 1 FROM person LIMIT 1").fetch_optional(&mut *tx).await?;
            if used == 0 || anyone.is_some() {
                return Err(Fault::new(
                    Kind::NotAllowed,
                    "The key of the first administrator is wrong, was used already, or is of an earlier start.",
                ));
            }
        }
        sqlx::query(
            "INSERT INTO person (id, login, name, role, customer_id, password, disabled, version, created_at) \
             VALUES ($1, $2, $3, $4, $5, $6, 0, 1, $7)",
        )
        .bind(&id)
        .bind(&login)
        .bind(&name)
        .bind(new.role.word())
        .bind(&new.customer_id)
        .bind(hash)
        .bind(now())
        .execute(&mut *tx)
        .await
        .map_err(|e| match e {
            e if is_double(&e) => {
                Fault::new(Kind::Conflict, format!("There is a person with the login {login:?} already."))
            }
            sqlx::Error::Database(d) if d.is_foreign_key_violation() => {
                Fault::new(Kind::NotFound, "customer_id: there is no such customer.")
            }
            e => e.into(),
        })?;
        audit::append(&mut tx, &Entry::new(by, "person-made", &id).with("role", new.role.word())).await?;
        tx.commit().await?;
        self.person(&id).await
    }

    /// A key with which the first administrator can be made, as long as there is nobody.
    pub async fn first_key(&self) -> Outcome<String> {
        let key = secret::fresh()?;
        sqlx::query("INSERT INTO secret (name, value) VALUES ($1, $2) ON CONFLICT (name) DO UPDATE SET value = $2")
            .bind(FIRST)
            .bind(secret::kept(&key))
            .execute(self.db.pool())
            .await?;
        Ok(key)
    }

    /// A person.
    pub async fn person(&self, id: &str) -> Outcome<Person> {
        let row = sqlx::query(sqlx::AssertSqlSafe(format!("{PERSON} WHERE id = $1")))
            .bind(id)
            .fetch_optional(self.db.pool())
            .await?;
        row.as_ref().map_or_else(|| Err(Fault::new(Kind::NotFound, format!("There is no person {id}."))), person)
    }

    /// People in order of their ids, after one.
    pub async fn people(&self, after: &str, most: i64) -> Outcome<Vec<Person>> {
        let rows = sqlx::query(sqlx::AssertSqlSafe(format!("{PERSON} WHERE id > $1 ORDER BY id LIMIT $2")))
            .bind(after)
            .bind(most)
            .fetch_all(self.db.pool())
            .await?;
        rows.iter().map(person).collect()
    }

    /// Who signs in with this login and password; nobody where either is wrong or they are shut out.
    pub async fn signs_in(&self, login: &str, password: &str) -> Outcome<Option<Person>> {
        let row = sqlx::query("SELECT id, password FROM person WHERE login = $1 AND disabled = 0")
            .bind(login.trim().to_lowercase())
            .fetch_optional(self.db.pool())
            .await?;
        let known: Option<(String, Option<String>)> =
            row.map(|r| Ok::<_, Fault>((r.try_get(0)?, r.try_get(1)?))).transpose()?;
        let hash = known.as_ref().and_then(|(_, hash)| hash.clone());
        if !password::is_right(password, hash).await {
            return Ok(None);
        }
        match known {
            Some((id, _)) => Ok(Some(self.person(&id).await?)),
            None => Ok(None),
        }
    }

    /// Changes role, password or admission of a person; their sessions end.
    pub async fn change_person(&self, id: &str, change: &PersonChange, by: &str) -> Outcome<Person> {
        let before = self.person(id).await?;
        if let Some(role) = change.role
            && (role == Role::Customer) != (before.role == Role::Customer)
        {
            return Err(Fault::new(
                Kind::BadRequest,
                "role: a customer's person cannot become one of the shop's, nor the other way.",
            ));
        }
        let hash = match &change.password {
            Some(password) => Some(password::hash(password).await?),
            None => None,
        };
        let mut tx = self.db.write().await?;
        sqlx::query(
            "UPDATE person SET role = $1, disabled = $2, password = COALESCE($3, password), version = version + 1 WHERE id = $4",
        )
        .bind(change.role.unwrap_or(before.role).word())
        .bind(i64::from(change.disabled.unwrap_or(before.disabled)))
        .bind(hash)
        .bind(id)
        .execute(&mut *tx)
        .await?;
        let administrators = sqlx::query("SELECT COUNT(*) FROM person WHERE role = 'administrator' AND disabled = 0")
            .fetch_one(&mut *tx)
            .await?;
        if administrators.try_get::<i64, _>(0)? == 0 {
            return Err(Fault::new(Kind::Conflict, "One administrator must remain."));
        }
        sqlx::query("DELETE FROM session WHERE person_id = $1").bind(id).execute(&mut *tx).await?;
        let entry = Entry::new(by, "person-changed", id)
            .with("role", change.role.map_or("", Role::word))
            .with("disabled", change.disabled.map_or("", |d| if d { "yes" } else { "no" }))
            .with("password", if change.password.is_some() { "new" } else { "" });
        audit::append(&mut tx, &entry).await?;
        tx.commit().await?;
        self.person(id).await
    }
}

/// What changes of a person.
#[derive(Clone, Debug, Default, serde::Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PersonChange {
    /// Another role.
    #[serde(default)]
    pub role: Option<Role>,
    /// Shut out, or let in again.
    #[serde(default)]
    pub disabled: Option<bool>,
    /// A new password.
    #[serde(default)]
    pub password: Option<String>,
}
