//! The service.

pub mod assets;
pub mod body;
pub mod catalogue;
pub mod checks;
pub mod data_sets;
pub mod demo;
pub mod events;
pub mod guard;
pub mod problem;
pub mod serve;

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware;
use axum::routing::{get, post};
use tokio::sync::{Semaphore, watch};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::TimeoutLayer;

use crate::fault::{Fault, Kind};
use crate::intake::Limits;
use crate::job::Desk;

/// The OpenAPI document.
pub const OPENAPI: &str = include_str!("../../schema/openapi.json");

/// What the handlers share.
#[derive(Clone, Debug)]
pub struct Service {
    /// Checks.
    pub desk: Arc<Desk>,
    /// Bounds on what is sent.
    pub limits: Limits,
    /// Data sets taken in at once.
    pub intake: Arc<Semaphore>,
    /// Demo data sets: id and title.
    pub demo: Arc<Vec<demo::DemoSet>>,
    /// Turns true when the service shuts down.
    pub closing: watch::Receiver<bool>,
}

/// Largest body of a request other than an upload.
const SMALL_BODY: usize = 2 << 20;
/// Form boundaries and names beside the files of an upload.
const SLACK: u64 = 1 << 20;
/// Time for any answer but an upload's and a judgement's.
const QUICK: Duration = Duration::from_secs(30);
const SLOW: Duration = Duration::from_secs(600);

/// Every address of the service.
pub fn router(service: Service) -> Router {
    let largest = usize::try_from(service.limits.packed + SLACK).unwrap_or(usize::MAX);
    let timeout = |time| TimeoutLayer::with_status_code(StatusCode::REQUEST_TIMEOUT, time);
    let upload = Router::new()
        .route("/api/data-sets", post(data_sets::upload))
        .layer(DefaultBodyLimit::max(largest))
        .layer(timeout(SLOW));
    let judge = Router::new()
        .route("/api/checks/{id}/judge", post(checks::judge))
        .layer(DefaultBodyLimit::max(SMALL_BODY))
        .layer(timeout(SLOW));
    upload
        .merge(judge)
        .merge(quick().layer(DefaultBodyLimit::max(SMALL_BODY)).layer(timeout(QUICK)))
        .fallback(assets::serve)
        .method_not_allowed_fallback(|| async {
            Fault::new(Kind::NoSuchMethod, "The method of the request is not taken here.")
        })
        .layer(middleware::from_fn(problem::dress))
        .layer(middleware::from_fn(guard::same_site))
        .layer(CatchPanicLayer::custom(problem::panicked))
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn(guard::headers))
        .with_state(service)
}

fn quick() -> Router<Service> {
    Router::new()
        .route("/livez", get(|| async { "alive\n" }))
        .route("/readyz", get(catalogue::ready))
        .route("/api/data-sets/{id}", get(data_sets::show))
        .route("/api/checks", post(checks::begin))
        .route("/api/checks/{id}", get(checks::show).delete(checks::cancel))
        .route("/api/checks/{id}/events", get(events::stream))
        .route("/api/checks/{id}/report", get(checks::report))
        .route("/api/checks/{id}/form", get(checks::form))
        .route("/api/checks/{id}/board.svg", get(checks::board))
        .route("/api/checks/{id}/figures/{figure}", get(checks::figure))
        .route("/api/capabilities", get(catalogue::capabilities))
        .route("/api/rules", get(catalogue::rules))
        .route("/api/recognisers", get(catalogue::recognisers))
        .route("/api/remarks", get(catalogue::remarks))
        .route("/api/demo", get(demo::list))
        .route("/api/problems", get(catalogue::problems))
        .route("/api/problems/{slug}", get(catalogue::problem))
        .route("/api/report.schema.json", get(|| async { catalogue::json_text(crate::wire::SCHEMA) }))
        .route("/api/openapi.json", get(|| async { catalogue::json_text(OPENAPI) }))
}
