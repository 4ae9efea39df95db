//! Changes of a form: each names the version it was made on, and loses against a quicker one. What changes and
//! what the log keeps of it are written together or not at all.

use serde_json::Value;
use sqlx::Row;

use super::database::Tx;
use super::forms::{Form, NewLine};
use super::{Store, now};
use crate::fault::{Fault, Kind, Outcome};

/// One change of a form: what becomes of the lines, and what the log keeps of it.
#[derive(Clone, Debug)]
pub struct Change<'a> {
    /// Who.
    pub actor: &'a str,
    /// What was done.
    pub action: &'a str,
    /// The version of the form it was made on.
    pub on_version: i64,
    /// The head, where it changes.
    pub head: Option<Value>,
    /// Lines with their new state and body, by number.
    pub lines: Vec<(i64, String, Value)>,
    /// Lines to be added.
    pub added: Vec<NewLine>,
    /// What the log keeps beside the states.
    pub told: Value,
}

impl Store {
    /// Changes a form and its lines at once, or not at all when another change was quicker.
    pub async fn change_form(&self, form_id: &str, change: Change<'_>) -> Outcome<Form> {
        let at = now();
        let mut tx = self.db.write().await?;
        let won = sqlx::query("UPDATE form SET version = version + 1, updated_at = $1 WHERE id = $2 AND version = $3")
            .bind(at)
            .bind(form_id)
            .bind(change.on_version)
            .execute(&mut *tx)
            .await?
            .rows_affected();
        if won == 0 {
            drop(tx);
            self.form(form_id).await?;
            return Err(Fault::new(
                Kind::Conflict,
                "The form has been changed meanwhile. Nothing was done; fetch it again and repeat what is still wanted.",
            ));
        }
        if let Some(head) = &change.head {
            sqlx::query("UPDATE form SET head = $1 WHERE id = $2")
                .bind(head.to_string())
                .bind(form_id)
                .execute(&mut *tx)
                .await?;
        }
        if change.lines.is_empty() && change.added.is_empty() {
            log(&mut tx, form_id, None, (change.actor, change.action, at), (None, None), &change.told).await?;
        }
        for (number, state, body) in &change.lines {
            let before = sqlx::query("SELECT state FROM line WHERE form_id = $1 AND number = $2")
                .bind(form_id)
                .bind(number)
                .fetch_optional(&mut *tx)
                .await?
                .ok_or_else(|| Fault::new(Kind::NotFound, format!("The form has no line {number}.")))?;
            let before: String = before.try_get(0)?;
            sqlx::query(
                "UPDATE line SET state = $1, body = $2, version = version + 1, updated_at = $3 WHERE form_id = $4 AND number = $5",
            )
            .bind(state)
            .bind(body.to_string())
            .bind(at)
            .bind(form_id)
            .bind(number)
            .execute(&mut *tx)
            .await?;
            let states = (Some(before.as_str()), Some(state.as_str()));
            log(&mut tx, form_id, Some(*number), (change.actor, change.action, at), states, &change.told).await?;
        }
        add_lines(&mut tx, form_id, &change.added, (change.actor, change.action, at)).await?;
        tx.commit().await?;
        self.form(form_id).await
    }
}

type Deed<'a> = (&'a str, &'a str, i64);

/// Adds lines behind the last one.
pub(super) async fn add_lines(tx: &mut Tx, form_id: &str, lines: &[NewLine], deed: Deed<'_>) -> Outcome<()> {
    let last: Option<i64> = sqlx::query("SELECT MAX(number) FROM line WHERE form_id = $1")
        .bind(form_id)
        .fetch_one(&mut **tx)
        .await?
        .try_get(0)?;
    for (number, line) in (last.unwrap_or(0) + 1..).zip(lines) {
        sqlx::query(
            "INSERT INTO line (form_id, number, state, severity, rule, body, version, updated_at) \
             VALUES ($1, $2, $3, $4, $5, $6, 1, $7)",
        )
        .bind(form_id)
        .bind(number)
        .bind(&line.state)
        .bind(&line.severity)
        .bind(&line.rule)
        .bind(line.body.to_string())
        .bind(deed.2)
        .execute(&mut **tx)
        .await?;
        log(tx, form_id, Some(number), deed, (None, Some(&line.state)), &Value::Null).await?;
    }
    Ok(())
}

async fn log(
    tx: &mut Tx,
    form_id: &str,
    line: Option<i64>,
    (actor, action, at): Deed<'_>,
    (from, to): (Option<&str>, Option<&str>),
    told: &Value,
) -> Outcome<()> {
    let entry: i64 = sqlx::query("UPDATE form SET last_entry = last_entry + 1 WHERE id = $1 RETURNING last_entry")
        .bind(form_id)
        .fetch_one(&mut **tx)
        .await?
        .try_get(0)?;
    sqlx::query(
        "INSERT INTO form_log (form_id, entry, line, at, actor, action, from_state, to_state, body) \
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
    )
    .bind(form_id)
    .bind(entry)
    .bind(line)
    .bind(at)
    .bind(actor)
    .bind(action)
    .bind(from)
    .bind(to)
    .bind(told.to_string())
    .execute(&mut **tx)
    .await?;
    Ok(())
}
