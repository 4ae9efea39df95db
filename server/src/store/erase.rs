//! Deletion of a data set on its owner's request: all of it goes, and the audit log keeps the proof.

use sqlx::Row;

use super::audit::{self, Entry};
use super::data_sets::{Erased, whole_id};
use super::database::Tx;
use super::{Manifest, Store};
use crate::fault::{Fault, Kind, Outcome};

impl Store {
    /// Removes what an owner holds of a set. The content, its checks and the forms made on it go with
    /// the last holder.
    pub async fn erase_set(&self, id: &str, owner: &str, by: &str) -> Outcome<Erased> {
        let id = whole_id(id)?;
        let mut tx = self.db.write().await?;
        let held = sqlx::query("DELETE FROM holding WHERE data_set_id = $1 AND owner = $2")
            .bind(&id)
            .bind(owner)
            .execute(&mut *tx)
            .await?
            .rows_affected();
        if held == 0 {
            return Err(Fault::new(Kind::NotFound, format!("There is no data set {id}.")));
        }
        let others: i64 = sqlx::query("SELECT COUNT(*) FROM holding WHERE data_set_id = $1")
            .bind(&id)
            .fetch_one(&mut *tx)
            .await?
            .try_get(0)?;
        let mut erased = Erased { content: others == 0, ..Erased::default() };
        erased.forms = erase_forms(&mut tx, &id, owner).await?;
        let mut objects = Vec::new();
        if erased.content {
            (erased.files, erased.checks) = erase_content(&mut tx, &id, &mut objects).await?;
        }
        let told = serde_json::to_string(&erased).unwrap_or_default();
        let entry = Entry::new(by, "data-set-deleted", &id).with("owner", owner).with("removed", &told);
        audit::append(&mut tx, &entry).await?;
        tx.commit().await?;
        for key in objects {
            self.objects.remove(&key).await?;
        }
        self.db.fold().await?;
        Ok(erased)
    }

    /// Removes objects that no record names: left by a process that ended between the two writes. Those
    /// younger than `age` milliseconds may still be on their way into a record.
    pub async fn sweep(&self, age: i64) -> Outcome<usize> {
        let mut removed = 0;
        for (prefix, statement) in [
            ("sets", "SELECT 1 FROM data_set WHERE object = $1"),
            ("checks", "SELECT 1 FROM board_check WHERE object = $1"),
        ] {
            for key in self.objects.keys(prefix).await? {
                if made_at(&key).is_none_or(|at| at > super::now() - age) {
                    continue;
                }
                if sqlx::query(statement).bind(&key).fetch_optional(self.db.pool()).await?.is_none() {
                    self.objects.remove(&key).await?;
                    removed += 1;
                }
            }
        }
        Ok(removed)
    }
}

/// When a key was made: its name begins with the milliseconds.
fn made_at(key: &str) -> Option<i64> {
    i64::from_str_radix(key.rsplit('/').next()?.get(..12)?, 16).ok()
}

async fn erase_forms(tx: &mut Tx, id: &str, owner: &str) -> Outcome<usize> {
    let rows = sqlx::query(
        "SELECT f.id FROM form f JOIN revision r ON r.id = f.revision_id JOIN part p ON p.id = f.part_id \
         WHERE r.data_set_id = $1 AND p.owner = $2",
    )
    .bind(id)
    .bind(owner)
    .fetch_all(&mut **tx)
    .await?;
    for row in &rows {
        let form: String = row.try_get(0)?;
        for statement in [
            "INSERT INTO erasing (form_id) VALUES ($1)",
            "DELETE FROM form_log WHERE form_id = $1",
            "DELETE FROM answer_link WHERE form_id = $1",
            "DELETE FROM line WHERE form_id = $1",
            "DELETE FROM form WHERE id = $1",
            "DELETE FROM erasing WHERE form_id = $1",
        ] {
            sqlx::query(statement).bind(&form).execute(&mut **tx).await?;
        }
    }
    sqlx::query("DELETE FROM revision WHERE data_set_id = $1 AND part_id IN (SELECT id FROM part WHERE owner = $2)")
        .bind(id)
        .bind(owner)
        .execute(&mut **tx)
        .await?;
    Ok(rows.len())
}

async fn erase_content(tx: &mut Tx, id: &str, objects: &mut Vec<String>) -> Outcome<(usize, usize)> {
    let row = sqlx::query("SELECT object, manifest FROM data_set WHERE id = $1").bind(id).fetch_one(&mut **tx).await?;
    objects.push(row.try_get(0)?);
    let manifest: String = row.try_get(1)?;
    let files = serde_json::from_str::<Manifest>(&manifest).map_or(0, |m| m.files.len());
    let checks =
        sqlx::query("SELECT object FROM board_check WHERE data_set_id = $1").bind(id).fetch_all(&mut **tx).await?;
    for check in &checks {
        objects.extend(check.try_get::<Option<String>, _>(0)?);
    }
    for statement in [
        "DELETE FROM check_part WHERE check_id IN (SELECT id FROM board_check WHERE data_set_id = $1)",
        "DELETE FROM board_check WHERE data_set_id = $1",
        "DELETE FROM data_set WHERE id = $1",
    ] {
        sqlx::query(statement).bind(id).execute(&mut **tx).await?;
    }
    Ok((files, checks.len()))
}
