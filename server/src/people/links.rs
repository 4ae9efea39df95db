//! Links to answer a form by, without an account: signed, with an end, and revocable.
//!
//! A link's word is `ID.END.SIGNATURE`: the signature is HMAC-SHA256 over `ID.END` with a secret of the service,
//! so that a made-up link is refused before anything is looked up.

use serde::Serialize;
use sqlx::Row;
use sqlx::any::AnyRow;

use super::accounts::plain;
use super::secret;
use crate::fault::{Fault, Kind, Outcome};
use crate::store::audit::{self, Entry};
use crate::store::{Store, fresh_id, now};

const DAY: i64 = 86_400_000;
/// Longest life of a link in days.
const LONGEST: i64 = 180;
const KEY: &str = "answer-links";

/// A link without its signature.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AnswerLink {
    /// Its id.
    pub id: String,
    /// The form.
    pub form_id: String,
    /// Whom it was made for, as told by its maker.
    pub made_for: String,
    /// In milliseconds since 1970.
    pub created_at: i64,
    /// In milliseconds since 1970.
    pub expires_at: i64,
    /// When it was called back.
    pub revoked_at: Option<i64>,
}

const LINK: &str = "SELECT id, form_id, made_for, created_at, expires_at, revoked_at FROM answer_link";

fn link(row: &AnyRow) -> Outcome<AnswerLink> {
    Ok(AnswerLink {
        id: row.try_get(0)?,
        form_id: row.try_get(1)?,
        made_for: row.try_get(2)?,
        created_at: row.try_get(3)?,
        expires_at: row.try_get(4)?,
        revoked_at: row.try_get(5)?,
    })
}

impl Store {
    /// Makes a link to a form; its word is given here and can be made again by nobody else.
    pub async fn make_link(&self, form_id: &str, made_for: &str, days: i64, by: &str) -> Outcome<(AnswerLink, String)> {
        if !(1..=LONGEST).contains(&days) {
            return Err(Fault::new(Kind::BadRequest, format!("days: expected 1 to {LONGEST}.")));
        }
        let made_for = plain("made_for", made_for, 200)?;
        let at = now();
        let made = AnswerLink {
            id: fresh_id(),
            form_id: self.form(form_id).await?.id,
            made_for,
            created_at: at,
            expires_at: at + days * DAY,
            revoked_at: None,
        };
        let mut tx = self.db.write().await?;
        sqlx::query(
            "INSERT INTO answer_link (id, form_id, made_for, made_by, created_at, expires_at) VALUES ($1, $2, $3, $4, $5, $6)",
        )
        .bind(&made.id)
        .bind(&made.form_id)
        .bind(&made.made_for)
        .bind(by)
        .bind(made.created_at)
        .bind(made.expires_at)
        .execute(&mut *tx)
        .await?;
        audit::append(&mut tx, &Entry::new(by, "answer-link-made", &made.id).with("form", form_id)).await?;
        tx.commit().await?;
        let text = format!("{}.{}", made.id, made.expires_at);
        let word = format!("{text}.{}", secret::sign(&self.secret(KEY).await?, &text));
        Ok((made, word))
    }

    /// The link of a word; the same refusal whatever is wrong with it, but for an end that has come.
    pub async fn link(&self, word: &str) -> Outcome<AnswerLink> {
        let wrong = || Fault::new(Kind::NotFound, "This link is not one of this service, or it was called back.");
        let (text, signature) = word.rsplit_once('.').ok_or_else(wrong)?;
        let (id, end) = text.split_once('.').ok_or_else(wrong)?;
        if !secret::is_signed(&self.secret(KEY).await?, text, signature) {
            return Err(wrong());
        }
        if end.parse::<i64>().map_err(|_| wrong())? <= now() {
            return Err(Fault::new(Kind::Gone, "This link has come to its end."));
        }
        let row = sqlx::query(sqlx::AssertSqlSafe(format!("{LINK} WHERE id = $1 AND revoked_at IS NULL")))
            .bind(id)
            .fetch_optional(self.db.pool())
            .await?;
        row.as_ref().map_or_else(|| Err(wrong()), link)
    }

    /// The links of a form.
    pub async fn links(&self, form_id: &str) -> Outcome<Vec<AnswerLink>> {
        let rows = sqlx::query(sqlx::AssertSqlSafe(format!("{LINK} WHERE form_id = $1 ORDER BY id LIMIT 200")))
            .bind(form_id)
            .fetch_all(self.db.pool())
            .await?;
        rows.iter().map(link).collect()
    }

    /// Calls a link back.
    pub async fn revoke_link(&self, form_id: &str, id: &str, by: &str) -> Outcome<()> {
        let mut tx = self.db.write().await?;
        let done =
            sqlx::query("UPDATE answer_link SET revoked_at = COALESCE(revoked_at, $1) WHERE id = $2 AND form_id = $3")
                .bind(now())
                .bind(id)
                .bind(form_id)
                .execute(&mut *tx)
                .await?;
        if done.rows_affected() == 0 {
            return Err(Fault::new(Kind::NotFound, format!("This form has no link {id}.")));
        }
        audit::append(&mut tx, &Entry::new(by, "answer-link-revoked", id).with("form", form_id)).await?;
        Ok(tx.commit().await?)
    }
}
