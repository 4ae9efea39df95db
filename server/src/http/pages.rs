//! Lists in pages: `limit` and `after`; an answer names where the next page begins.

use axum::Json;
use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Kind, Outcome};

/// Entries of a page, unless told,
const USUAL: i64 = 50;
/// and at most.
const MOST: i64 = 500;

/// What may be asked of a list.
#[derive(Clone, Debug, Default, Deserialize)]
pub struct Asked {
    limit: Option<i64>,
    after: Option<String>,
    /// Of one part alone, where the list can be bounded so.
    pub part: Option<String>,
}

/// A page of a list.
#[derive(Debug, Serialize)]
pub struct Page<T> {
    items: Vec<T>,
    /// What `after` is for the next page; none at the end.
    next: Option<String>,
}

impl Asked {
    /// Entries wanted.
    pub fn limit(&self) -> Outcome<i64> {
        let limit = self.limit.unwrap_or(USUAL);
        if (1..=MOST).contains(&limit) {
            return Ok(limit);
        }
        Err(Fault::new(Kind::BadRequest, format!("limit={limit}: expected 1 to {MOST}.")))
    }

    /// Where the page begins.
    #[must_use]
    pub fn after(&self) -> &str {
        self.after.as_deref().unwrap_or_default()
    }
}

/// A page from a list that was asked for one entry more than wanted.
pub fn page<T>(mut items: Vec<T>, limit: i64, place: impl Fn(&T) -> String) -> Json<Page<T>> {
    let limit = usize::try_from(limit).unwrap_or(1);
    let is_more = items.len() > limit;
    items.truncate(limit);
    let next = items.last().filter(|_| is_more).map(place);
    Json(Page { items, next })
}
