//! Customers as kept: the owners of what their people send.

use serde::Serialize;
use sqlx::Row;

use super::accounts::plain;
use crate::fault::{Fault, Kind, Outcome};
use crate::store::audit::{self, Entry};
use crate::store::database::is_double;
use crate::store::{Store, fresh_id, now};

/// A customer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Customer {
    /// Its id: the owner of what it sends.
    pub id: String,
    /// Its name.
    pub name: String,
    /// In milliseconds since 1970.
    pub created_at: i64,
}

impl Store {
    /// Makes a customer.
    pub async fn make_customer(&self, name: &str, by: &str) -> Outcome<Customer> {
        let made = Customer { id: fresh_id(), name: plain("name", name, 200)?, created_at: now() };
        let mut tx = self.db.write().await?;
        sqlx::query("INSERT INTO customer (id, name, created_at) VALUES ($1, $2, $3)")
            .bind(&made.id)
            .bind(&made.name)
            .bind(made.created_at)
            .execute(&mut *tx)
            .await
            .map_err(|e| {
                if is_double(&e) {
                    Fault::new(Kind::Conflict, format!("There is a customer named {name:?} already."))
                } else {
                    e.into()
                }
            })?;
        audit::append(&mut tx, &Entry::new(by, "customer-made", &made.id)).await?;
        tx.commit().await?;
        Ok(made)
    }

    /// Customers in order of their ids, after one.
    pub async fn customers(&self, after: &str, most: i64) -> Outcome<Vec<Customer>> {
        let rows = sqlx::query("SELECT id, name, created_at FROM customer WHERE id > $1 ORDER BY id LIMIT $2")
            .bind(after)
            .bind(most)
            .fetch_all(self.db.pool())
            .await?;
        rows.iter()
            .map(|r| Ok(Customer { id: r.try_get(0)?, name: r.try_get(1)?, created_at: r.try_get(2)? }))
            .collect()
    }
}
