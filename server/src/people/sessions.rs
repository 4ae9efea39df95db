//! Sessions of people who signed in: a random secret in a cookie, its hash in the records.

use sqlx::Row;

use super::accounts::Person;
use super::secret;
use crate::fault::Outcome;
use crate::store::{Store, now};

const HOUR: i64 = 3_600_000;
/// A session ends after so long without a request,
const IDLE: i64 = 12 * HOUR;
/// and after so long in any case.
const LONGEST: i64 = 7 * 24 * HOUR;
/// How often the time of the last request is written down.
const NOTED: i64 = 60_000;

impl Store {
    /// Begins a session, always with a new secret.
    pub async fn begin_session(&self, person: &Person) -> Outcome<String> {
        let secret = secret::fresh()?;
        let at = now();
        sqlx::query("DELETE FROM session WHERE expires_at < $1 OR seen_at < $2")
            .bind(at)
            .bind(at - IDLE)
            .execute(self.db.pool())
            .await?;
        sqlx::query(
            "INSERT INTO session (hash, person_id, created_at, seen_at, expires_at) VALUES ($1, $2, $3, $3, $4)",
        )
        .bind(secret::kept(&secret))
        .bind(&person.id)
        .bind(at)
        .bind(at + LONGEST)
        .execute(self.db.pool())
        .await?;
        Ok(secret)
    }

    /// Whose session a secret is.
    pub async fn session(&self, secret: &str) -> Outcome<Option<Person>> {
        let (hash, at) = (secret::kept(secret), now());
        let row =
            sqlx::query("SELECT person_id, seen_at FROM session WHERE hash = $1 AND expires_at > $2 AND seen_at > $3")
                .bind(&hash)
                .bind(at)
                .bind(at - IDLE)
                .fetch_optional(self.db.pool())
                .await?;
        let Some(row) = row else { return Ok(None) };
        if row.try_get::<i64, _>(1)? < at - NOTED {
            sqlx::query("UPDATE session SET seen_at = $1 WHERE hash = $2")
                .bind(at)
                .bind(&hash)
                .execute(self.db.pool())
                .await?;
        }
        let person = self.person(&row.try_get::<String, _>(0)?).await?;
        Ok(Some(person).filter(|p| !p.disabled))
    }

    /// Ends a session.
    pub async fn end_session(&self, secret: &str) -> Outcome<()> {
        sqlx::query("DELETE FROM session WHERE hash = $1").bind(secret::kept(secret)).execute(self.db.pool()).await?;
        Ok(())
    }
}
