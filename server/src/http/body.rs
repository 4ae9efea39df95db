//! JSON in requests, with errors that say where.

use serde::de::DeserializeOwned;

use crate::fault::{Fault, Kind, Outcome};

/// Reads a JSON body.
pub fn json<T: DeserializeOwned>(bytes: &[u8]) -> Outcome<T> {
    serde_json::from_slice(bytes).map_err(|e| Fault::new(Kind::BadRequest, format!("The body as JSON: {e}.")))
}

/// Runs blocking work on a thread made for it.
pub async fn blocking<T: Send + 'static>(work: impl FnOnce() -> Outcome<T> + Send + 'static) -> Outcome<T> {
    tokio::task::spawn_blocking(work).await.unwrap_or_else(|_| {
        Err(Fault::new(Kind::CouldNotBeChecked, "The program failed while answering this request."))
    })
}
