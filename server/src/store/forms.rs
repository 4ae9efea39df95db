//! Forms: a head, numbered lines, and a log that only grows. What a state means and who may move a line
//! is not decided here.

use serde::Serialize;
use serde_json::Value;
use sqlx::Row;
use sqlx::any::AnyRow;

use super::form_changes::add_lines;
use super::{Store, fresh_id, now};
use crate::fault::{Fault, Kind, Outcome};

/// A form.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Form {
    /// Its id.
    pub id: String,
    /// The part.
    pub part_id: String,
    /// The revision it is about.
    pub revision_id: String,
    /// The check it was made from.
    pub check_id: String,
    /// What stands at its head.
    pub head: Value,
    /// Counts the changes of the form and its lines.
    pub version: i64,
    /// Who made it.
    pub created_by: String,
    /// In milliseconds since 1970.
    pub created_at: i64,
    /// In milliseconds since 1970.
    pub updated_at: i64,
}

/// A line of a form.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Line {
    /// Its number, stable for the form's life.
    pub number: i64,
    /// Its state.
    pub state: String,
    /// Its severity.
    pub severity: String,
    /// The rule it comes from.
    pub rule: String,
    /// Words, options, answers.
    pub body: Value,
    /// Counts its changes.
    pub version: i64,
    /// In milliseconds since 1970.
    pub updated_at: i64,
}

/// An entry of a form's log.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LogEntry {
    /// Its number within the form, from 1.
    pub entry: i64,
    /// The line it is about; none for the form as a whole.
    pub line: Option<i64>,
    /// In milliseconds since 1970.
    pub at: i64,
    /// Who.
    pub actor: String,
    /// What was done.
    pub action: String,
    /// State before.
    pub from_state: Option<String>,
    /// State after.
    pub to_state: Option<String>,
    /// Texts and values.
    pub body: Value,
}

/// A line to be made.
#[derive(Clone, Debug)]
pub struct NewLine {
    /// Its state.
    pub state: String,
    /// Its severity.
    pub severity: String,
    /// The rule it comes from.
    pub rule: String,
    /// Words, options, answers.
    pub body: Value,
}

const FORM: &str = "id, part_id, revision_id, check_id, head, version, created_by, created_at, updated_at";

fn value(text: &str) -> Outcome<Value> {
    serde_json::from_str(text).map_err(|e| Fault::new(Kind::Storage, format!("A stored form: {e}.")))
}

fn form(row: &AnyRow) -> Outcome<Form> {
    Ok(Form {
        id: row.try_get(0)?,
        part_id: row.try_get(1)?,
        revision_id: row.try_get(2)?,
        check_id: row.try_get(3)?,
        head: value(&row.try_get::<String, _>(4)?)?,
        version: row.try_get(5)?,
        created_by: row.try_get(6)?,
        created_at: row.try_get(7)?,
        updated_at: row.try_get(8)?,
    })
}

fn line(row: &AnyRow) -> Outcome<Line> {
    Ok(Line {
        number: row.try_get(0)?,
        state: row.try_get(1)?,
        severity: row.try_get(2)?,
        rule: row.try_get(3)?,
        body: value(&row.try_get::<String, _>(4)?)?,
        version: row.try_get(5)?,
        updated_at: row.try_get(6)?,
    })
}

fn missing(id: &str) -> Fault {
    Fault::new(Kind::NotFound, format!("There is no form {id}."))
}

impl Store {
    /// Makes a form with its first lines, numbered from 1.
    pub async fn make_form(
        &self,
        (part, revision, check): (&str, &str, &str),
        head: &Value,
        lines: &[NewLine],
        by: &str,
    ) -> Outcome<Form> {
        let id = fresh_id();
        let at = now();
        let mut tx = self.db.write().await?;
        sqlx::query(
            "INSERT INTO form (id, part_id, revision_id, check_id, head, version, last_entry, created_by, created_at, updated_at) \
             VALUES ($1, $2, $3, $4, $5, 1, 0, $6, $7, $7)",
        )
        .bind(&id)
        .bind(part)
        .bind(revision)
        .bind(check)
        .bind(head.to_string())
        .bind(by)
        .bind(at)
        .execute(&mut *tx)
        .await?;
        add_lines(&mut tx, &id, lines, (by, "made", at)).await?;
        tx.commit().await?;
        self.form(&id).await
    }

    /// A form.
    pub async fn form(&self, id: &str) -> Outcome<Form> {
        let row = sqlx::query(sqlx::AssertSqlSafe(format!("SELECT {FORM} FROM form WHERE id = $1")))
            .bind(id)
            .fetch_optional(self.db.pool())
            .await?;
        row.as_ref().map_or_else(|| Err(missing(id)), form)
    }

    /// Forms, newest first, from before an id on; of one owner or part where one is named.
    pub async fn forms(&self, owner: Option<&str>, part: Option<&str>, before: &str, most: i64) -> Outcome<Vec<Form>> {
        let columns: Vec<String> = FORM.split(", ").map(|c| format!("f.{c}")).collect();
        let rows = sqlx::query(sqlx::AssertSqlSafe(format!(
            "SELECT {} FROM form f JOIN part p ON p.id = f.part_id WHERE ($1 = '' OR p.owner = $1) \
             AND ($2 = '' OR f.part_id = $2) AND ($3 = '' OR f.id < $3) ORDER BY f.id DESC LIMIT $4",
            columns.join(", ")
        )))
        .bind(owner.unwrap_or_default())
        .bind(part.unwrap_or_default())
        .bind(before)
        .bind(most)
        .fetch_all(self.db.pool())
        .await?;
        rows.iter().map(form).collect()
    }

    /// The lines of a form in order of number.
    pub async fn lines(&self, form_id: &str) -> Outcome<Vec<Line>> {
        let rows = sqlx::query(
            "SELECT number, state, severity, rule, body, version, updated_at FROM line WHERE form_id = $1 ORDER BY number",
        )
        .bind(form_id)
        .fetch_all(self.db.pool())
        .await?;
        rows.iter().map(line).collect()
    }

    /// The log of a form, oldest first, after an entry.
    pub async fn form_log(&self, form_id: &str, after: i64, most: i64) -> Outcome<Vec<LogEntry>> {
        let rows = sqlx::query(
            "SELECT entry, line, at, actor, action, from_state, to_state, body FROM form_log \
             WHERE form_id = $1 AND entry > $2 ORDER BY entry LIMIT $3",
        )
        .bind(form_id)
        .bind(after)
        .bind(most)
        .fetch_all(self.db.pool())
        .await?;
        let entry = |r: &AnyRow| -> Outcome<LogEntry> {
            Ok(LogEntry {
                entry: r.try_get(0)?,
                line: r.try_get(1)?,
                at: r.try_get(2)?,
                actor: r.try_get(3)?,
                action: r.try_get(4)?,
                from_state: r.try_get(5)?,
                to_state: r.try_get(6)?,
                body: value(&r.try_get::<String, _>(7)?)?,
            })
        };
        rows.iter().map(entry).collect()
    }
}
