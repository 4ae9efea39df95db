//! The service.

pub mod acts;
pub mod assets;
pub mod audit;
pub mod body;
pub mod catalogue;
pub mod checks;
pub mod data_sets;
pub mod demo;
pub mod events;
pub mod forms;
pub mod guard;
pub mod observe;
pub mod pages;
pub mod parts;
pub mod people;
pub mod problem;
pub mod rate;
pub mod repeat;
pub mod rights;
pub mod serve;
pub mod session;
pub mod tagged;
pub mod who;

use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::StatusCode;
use axum::middleware;
use axum::routing::{delete, get, post};
use tokio::sync::{Semaphore, watch};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::timeout::TimeoutLayer;

use observe::Metrics;
use who::Access;

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::Limits;
use crate::people::Caller;
use crate::queue::Queue;
use crate::store::checks::{Known, missing};

/// The OpenAPI document.
pub const OPENAPI: &str = include_str!("../../schema/openapi.json");

/// What the handlers share.
#[derive(Clone, Debug)]
pub struct Service {
    /// Checks.
    pub queue: Queue,
    /// Bounds on what is sent.
    pub limits: Limits,
    /// Data sets taken in at once.
    pub intake: Arc<Semaphore>,
    /// Demo data sets: id and title.
    pub demo: Arc<Vec<demo::DemoSet>>,
    /// Turns true when the service shuts down.
    pub closing: watch::Receiver<bool>,
    /// Who is let in.
    pub access: Access,
    /// What is counted.
    pub metrics: Metrics,
}

impl Service {
    /// Refuses a data set that is not the caller's to see, as if it were not there; the demo is everyone's.
    pub async fn expect_set(&self, caller: &Caller, id: &str) -> Outcome<()> {
        if self.demo.iter().any(|d| d.id == id) {
            return Ok(());
        }
        caller.expect_set(&self.queue.store, id).await
    }

    /// A check, where its data set is the caller's to see.
    pub async fn check(&self, caller: &Caller, id: &str) -> Outcome<Known> {
        let known = self.queue.known(id).await?;
        match self.expect_set(caller, &known.record.data_set).await {
            Err(fault) if fault.kind == Kind::NotFound => Err(missing(id)),
            other => other.map(|()| known),
        }
    }
}

/// Largest body of a request other than an upload.
pub(super) const SMALL_BODY: usize = 2 << 20;
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
        .merge(
            repeatable()
                .layer(middleware::from_fn_with_state(service.clone(), repeat::once))
                .merge(quick())
                .layer(DefaultBodyLimit::max(SMALL_BODY))
                .layer(timeout(QUICK)),
        )
        .fallback(assets::serve)
        .method_not_allowed_fallback(|| async {
            Fault::new(Kind::NoSuchMethod, "The method of the request is not taken here.")
        })
        .layer(middleware::from_fn(problem::dress))
        .layer(middleware::from_fn_with_state(service.clone(), who::identify))
        .layer(middleware::from_fn(guard::same_site))
        .layer(CatchPanicLayer::custom(problem::panicked))
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn(guard::headers))
        .layer(middleware::from_fn_with_state(service.clone(), observe::request))
        .with_state(service)
}

/// What makes something and may be sent again with an idempotency key. Answers that hold a secret are not kept.
fn repeatable() -> Router<Service> {
    Router::new()
        .route("/api/checks", post(checks::begin))
        .route("/api/checks/{id}/retry", post(checks::retry))
        .route("/api/parts", post(parts::make))
        .route("/api/parts/{id}/revisions", post(parts::add_revision))
        .route("/api/forms", post(forms::make))
        .route("/api/customers", post(people::make_customer))
}

fn quick() -> Router<Service> {
    Router::new()
        .merge(checks_and_sets())
        .merge(people_and_tokens())
        .route("/livez", get(|| async { "alive\n" }))
        .route("/readyz", get(catalogue::ready))
        .route("/metrics", get(observe::metrics))
        .route("/api/parts", get(parts::list))
        .route("/api/parts/{id}", get(parts::show))
        .route("/api/forms", get(forms::list))
        .route("/api/forms/{id}", get(forms::show))
        .route("/api/forms/{id}/log", get(forms::log))
        .route("/api/forms/{id}/links", get(forms::links).post(forms::make_link))
        .route("/api/forms/{id}/links/{link}", delete(forms::revoke_link))
        .route("/api/forms/{id}/gate", get(acts::gate_of))
        .route("/api/forms/{id}/lines/{number}/acts", post(acts::on_line))
        .route("/api/answers/{word}", get(forms::answers))
        .route("/api/answers/{word}/lines/{number}", post(acts::answer))
        .route("/api/audit", get(audit::list))
        .route("/api/audit/chain", get(audit::chain))
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

fn checks_and_sets() -> Router<Service> {
    Router::new()
        .route("/api/data-sets", get(data_sets::list))
        .route("/api/data-sets/{id}", get(data_sets::show).delete(data_sets::erase))
        .route("/api/checks/{id}", get(checks::show).delete(checks::cancel))
        .route("/api/checks/{id}/events", get(events::stream))
        .route("/api/checks/{id}/report", get(checks::report))
        .route("/api/checks/{id}/form", get(checks::form))
        .route("/api/checks/{id}/board.svg", get(checks::board))
        .route("/api/checks/{id}/figures/{figure}", get(checks::figure))
}

fn people_and_tokens() -> Router<Service> {
    Router::new()
        .route("/sign-in", get(session::sign_in).post(session::signed_in))
        .route("/first", get(session::first).post(session::made_first))
        .route("/api/session", get(session::show).post(session::begin).delete(session::end))
        .route("/api/people", get(people::list).post(people::make))
        .route("/api/people/{id}", get(people::show).patch(people::change))
        .route("/api/people/{id}/tokens", post(people::make_script_token))
        .route("/api/customers", get(people::customers))
        .route("/api/tokens", get(people::tokens).post(people::make_token))
        .route("/api/tokens/{id}", delete(people::revoke_token))
}
