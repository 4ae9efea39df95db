//! Tokens for programs: shown once, kept as hashes, with scopes and an end.

use serde::Serialize;
use sqlx::Row;
use sqlx::any::AnyRow;

use super::accounts::{Person, plain};
use super::role::Scope;
use super::secret;
use crate::fault::{Fault, Kind, Outcome};
use crate::store::audit::{self, Entry};
use crate::store::{Store, fresh_id, now};

const DAY: i64 = 86_400_000;
/// Longest life of a token in days.
const LONGEST: i64 = 400;
/// What a token begins with, so that it is recognised where it should not be.
const MARK: &str = "landgap_";

/// A token without its secret.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Token {
    /// Its id.
    pub id: String,
    /// Whose it is.
    pub person_id: String,
    /// What it is for.
    pub name: String,
    /// What may be done with it.
    pub scopes: Vec<Scope>,
    /// In milliseconds since 1970.
    pub created_at: i64,
    /// In milliseconds since 1970.
    pub expires_at: i64,
    /// When it was called back.
    pub revoked_at: Option<i64>,
}

const TOKEN: &str = "SELECT id, person_id, name, scopes, created_at, expires_at, revoked_at FROM token";

fn token(row: &AnyRow) -> Outcome<Token> {
    let scopes: String = row.try_get(3)?;
    Ok(Token {
        id: row.try_get(0)?,
        person_id: row.try_get(1)?,
        name: row.try_get(2)?,
        scopes: scopes.split(' ').filter(|s| !s.is_empty()).map(Scope::of).collect::<Outcome<_>>()?,
        created_at: row.try_get(4)?,
        expires_at: row.try_get(5)?,
        revoked_at: row.try_get(6)?,
    })
}

impl Store {
    /// Makes a token; its secret is given here and never again.
    pub async fn make_token(
        &self,
        person: &Person,
        name: &str,
        scopes: &[Scope],
        days: i64,
    ) -> Outcome<(Token, String)> {
        if let Some(beyond) = scopes.iter().find(|s| !person.role.scopes().contains(s)) {
            let role = person.role.word();
            return Err(Fault::new(
                Kind::NotAllowed,
                format!("scopes: the role {role} has no scope {:?}.", beyond.word()),
            ));
        }
        if scopes.is_empty() || !(1..=LONGEST).contains(&days) {
            return Err(Fault::new(Kind::BadRequest, format!("expected one scope at least and 1 to {LONGEST} days.")));
        }
        let (id, secret, at) = (fresh_id(), format!("{MARK}{}", secret::fresh()?), now());
        let words: Vec<&str> = scopes.iter().map(|s| s.word()).collect();
        let mut tx = self.db.write().await?;
        sqlx::query(
            "INSERT INTO token (id, hash, person_id, name, scopes, created_at, expires_at) VALUES ($1, $2, $3, $4, $5, $6, $7)",
        )
        .bind(&id)
        .bind(secret::kept(&secret))
        .bind(&person.id)
        .bind(plain("name", name, 100)?)
        .bind(words.join(" "))
        .bind(at)
        .bind(at + days * DAY)
        .execute(&mut *tx)
        .await?;
        audit::append(&mut tx, &Entry::new(&person.id, "token-made", &id).with("scopes", &words.join(" "))).await?;
        tx.commit().await?;
        let row = sqlx::query(sqlx::AssertSqlSafe(format!("{TOKEN} WHERE id = $1")))
            .bind(&id)
            .fetch_one(self.db.pool())
            .await?;
        Ok((token(&row)?, secret))
    }

    /// The token of a secret and whose it is; none where it has ended, was called back, or they are shut out.
    pub async fn token(&self, secret: &str) -> Outcome<Option<(Token, Person)>> {
        let row = sqlx::query(sqlx::AssertSqlSafe(format!(
            "{TOKEN} WHERE hash = $1 AND expires_at > $2 AND revoked_at IS NULL"
        )))
        .bind(secret::kept(secret))
        .bind(now())
        .fetch_optional(self.db.pool())
        .await?;
        let Some(row) = row else { return Ok(None) };
        let token = token(&row)?;
        let person = self.person(&token.person_id).await?;
        Ok(Some((token, person)).filter(|(_, p)| !p.disabled))
    }

    /// The tokens of a person.
    pub async fn tokens(&self, person_id: &str) -> Outcome<Vec<Token>> {
        let rows = sqlx::query(sqlx::AssertSqlSafe(format!("{TOKEN} WHERE person_id = $1 ORDER BY id DESC LIMIT 200")))
            .bind(person_id)
            .fetch_all(self.db.pool())
            .await?;
        rows.iter().map(token).collect()
    }

    /// Calls a token back; `of` bounds it to one person's own.
    pub async fn revoke_token(&self, id: &str, of: Option<&str>, by: &str) -> Outcome<()> {
        let mut tx = self.db.write().await?;
        let done = sqlx::query(
            "UPDATE token SET revoked_at = COALESCE(revoked_at, $1) WHERE id = $2 AND ($3 = '' OR person_id = $3)",
        )
        .bind(now())
        .bind(id)
        .bind(of.unwrap_or_default())
        .execute(&mut *tx)
        .await?;
        if done.rows_affected() == 0 {
            return Err(Fault::new(Kind::NotFound, format!("There is no token {id}.")));
        }
        audit::append(&mut tx, &Entry::new(by, "token-revoked", id)).await?;
        Ok(tx.commit().await?)
    }
}
