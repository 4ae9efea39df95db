//! Parts (a customer's boards) and their revisions, each with its data set.

use serde::Serialize;
use sqlx::Row;
use sqlx::any::AnyRow;

use super::data_sets::whole_id;
use super::database::is_double;
use super::{Store, fresh_id, now};
use crate::fault::{Fault, Kind, Outcome};

/// A part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Part {
    /// Its id.
    pub id: String,
    /// Whose it is.
    pub owner: String,
    /// The customer's number for it.
    pub number: String,
    /// What it is called.
    pub title: String,
    /// Counts its changes.
    pub version: i64,
    /// In milliseconds since 1970.
    pub created_at: i64,
}

/// A revision of a part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Revision {
    /// Its id.
    pub id: String,
    /// The part.
    pub part_id: String,
    /// What the customer calls it.
    pub name: String,
    /// Its data set.
    pub data_set_id: String,
    /// In milliseconds since 1970.
    pub created_at: i64,
}

fn part(row: &AnyRow) -> Outcome<Part> {
    Ok(Part {
        id: row.try_get(0)?,
        owner: row.try_get(1)?,
        number: row.try_get(2)?,
        title: row.try_get(3)?,
        version: row.try_get(4)?,
        created_at: row.try_get(5)?,
    })
}

fn revision(row: &AnyRow) -> Outcome<Revision> {
    Ok(Revision {
        id: row.try_get(0)?,
        part_id: row.try_get(1)?,
        name: row.try_get(2)?,
        data_set_id: row.try_get(3)?,
        created_at: row.try_get(4)?,
    })
}

impl Store {
    /// Makes a part; its number is its own within an owner.
    pub async fn make_part(&self, owner: &str, number: &str, title: &str) -> Outcome<Part> {
        let made = Part {
            id: fresh_id(),
            owner: owner.to_owned(),
            number: number.to_owned(),
            title: title.to_owned(),
            version: 1,
            created_at: now(),
        };
        let done = sqlx::query(
            "INSERT INTO part (id, owner, number, title, version, created_at) VALUES ($1, $2, $3, $4, $5, $6)",
        )
        .bind(&made.id)
        .bind(&made.owner)
        .bind(&made.number)
        .bind(&made.title)
        .bind(made.version)
        .bind(made.created_at)
        .execute(self.db.pool())
        .await;
        match done {
            Err(e) if is_double(&e) => {
                Err(Fault::new(Kind::Conflict, format!("There is a part numbered {number:?} already.")))
            }
            Err(e) => Err(e.into()),
            Ok(_) => Ok(made),
        }
    }

    /// A part.
    pub async fn part(&self, id: &str) -> Outcome<Part> {
        let row = sqlx::query("SELECT id, owner, number, title, version, created_at FROM part WHERE id = $1")
            .bind(id)
            .fetch_optional(self.db.pool())
            .await?;
        row.as_ref().map_or_else(|| Err(Fault::new(Kind::NotFound, format!("There is no part {id}."))), part)
    }

    /// Parts of one owner, or all, newest first, from before an id on.
    pub async fn parts(&self, owner: Option<&str>, before: &str, most: i64) -> Outcome<Vec<Part>> {
        let rows = sqlx::query(
            "SELECT id, owner, number, title, version, created_at FROM part \
             WHERE ($1 = '' OR owner = $1) AND ($2 = '' OR id < $2) ORDER BY id DESC LIMIT $3",
        )
        .bind(owner.unwrap_or_default())
        .bind(before)
        .bind(most)
        .fetch_all(self.db.pool())
        .await?;
        rows.iter().map(part).collect()
    }

    /// Adds a revision with its data set; one of the same name and set is given back.
    pub async fn add_revision(&self, part_id: &str, name: &str, data_set: &str) -> Outcome<Revision> {
        let made = Revision {
            id: fresh_id(),
            part_id: part_id.to_owned(),
            name: name.to_owned(),
            data_set_id: whole_id(data_set)?,
            created_at: now(),
        };
        let done = sqlx::query(
            "INSERT INTO revision (id, part_id, name, data_set_id, created_at) VALUES ($1, $2, $3, $4, $5) \
             ON CONFLICT (part_id, name) DO NOTHING",
        )
        .bind(&made.id)
        .bind(&made.part_id)
        .bind(&made.name)
        .bind(&made.data_set_id)
        .bind(made.created_at)
        .execute(self.db.pool())
        .await?;
        if done.rows_affected() > 0 {
            return Ok(made);
        }
        let there = self.revisions(part_id).await?.into_iter().find(|r| r.name == name);
        there.filter(|r| r.data_set_id == made.data_set_id).ok_or_else(|| {
            Fault::new(Kind::Conflict, format!("Revision {name:?} of this part has another data set already."))
        })
    }

    /// The revisions of a part, oldest first.
    pub async fn revisions(&self, part_id: &str) -> Outcome<Vec<Revision>> {
        let rows = sqlx::query(
            "SELECT id, part_id, name, data_set_id, created_at FROM revision WHERE part_id = $1 ORDER BY id",
        )
        .bind(part_id)
        .fetch_all(self.db.pool())
        .await?;
        rows.iter().map(revision).collect()
    }

    /// A revision.
    pub async fn revision(&self, id: &str) -> Outcome<Revision> {
        let row = sqlx::query("SELECT id, part_id, name, data_set_id, created_at FROM revision WHERE id = $1")
            .bind(id)
            .fetch_optional(self.db.pool())
            .await?;
        row.as_ref().map_or_else(|| Err(Fault::new(Kind::NotFound, format!("There is no revision {id}."))), revision)
    }
}
