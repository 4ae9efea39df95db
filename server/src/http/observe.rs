//! What is going on: a name for each request, a line in the log, and the metrics in the text format of
//! Prometheus. Addresses are told as routed, never as asked: no identifier, name or address of a person gets out.

use std::sync::Arc;
use std::sync::atomic::AtomicU64;
use std::time::Instant;

use axum::extract::{MatchedPath, Request, State};
use axum::http::{HeaderName, HeaderValue, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use prometheus_client::encoding::{EncodeLabelSet, text::encode};
use prometheus_client::metrics::counter::Counter;
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::Gauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::registry::Registry;
use sqlx::Row;

use super::Service;
use crate::fault::{Fault, Kind, Outcome};
use crate::store::fresh_id;

const REQUEST_ID: HeaderName = HeaderName::from_static("x-request-id");
/// Upper ends of the classes of time, in seconds.
const TIMES: [f64; 10] = [0.002, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 1.0, 5.0, 30.0];

#[derive(Clone, Debug, Hash, PartialEq, Eq, EncodeLabelSet)]
struct Asked {
    method: String,
    path: String,
    status: u16,
}

#[derive(Clone, Debug, Hash, PartialEq, Eq, EncodeLabelSet)]
struct Path {
    path: String,
}

#[derive(Clone, Debug, Hash, PartialEq, Eq, EncodeLabelSet)]
struct Stated {
    state: String,
}

/// The metrics of this process.
#[derive(Clone, Debug)]
pub struct Metrics {
    registry: Arc<Registry>,
    requests: Family<Asked, Counter>,
    seconds: Family<Path, Histogram, fn() -> Histogram>,
    checks: Family<Stated, Gauge>,
    memory: Gauge<u64, AtomicU64>,
}

fn times() -> Histogram {
    Histogram::new(TIMES)
}

impl Default for Metrics {
    fn default() -> Self {
        let mut registry = Registry::with_prefix("landgap");
        let requests = Family::default();
        let seconds = Family::new_with_constructor(times as fn() -> Histogram);
        let (checks, memory) = (Family::default(), Gauge::default());
        registry.register("requests", "Requests answered", requests.clone());
        registry.register("request_seconds", "Time until an answer began", seconds.clone());
        registry.register("checks", "Checks by state, of all processes", checks.clone());
        registry.register("memory_bytes", "Memory this process has in use", memory.clone());
        Self { registry: Arc::new(registry), requests, seconds, checks, memory }
    }
}

/// Names the request, counts it, and writes a line about it.
pub async fn request(State(service): State<Service>, request: Request, next: Next) -> Response {
    let id = request_id(&request);
    let path = request.extensions().get::<MatchedPath>().map_or("(page)", MatchedPath::as_str).to_owned();
    let method = request.method().to_string();
    let begun = Instant::now();
    let mut response = next.run(request).await;
    let (status, time) = (response.status().as_u16(), begun.elapsed());
    let metrics = &service.metrics;
    metrics.seconds.get_or_create(&Path { path: path.clone() }).observe(time.as_secs_f64());
    tracing::info!(
        id,
        method,
        path,
        status,
        milliseconds = u64::try_from(time.as_millis()).unwrap_or(u64::MAX),
        "answered"
    );
    metrics.requests.get_or_create(&Asked { method, path, status }).inc();
    if let Ok(value) = HeaderValue::from_str(&id) {
        response.headers_mut().insert(REQUEST_ID, value);
    }
    response
}

/// The name the other side gave the request, where it is a plain one; else a new one.
fn request_id(request: &Request) -> String {
    let given = request.headers().get(REQUEST_ID).and_then(|v| v.to_str().ok());
    let is_plain = |id: &&str| {
        (8..=64).contains(&id.len()) && id.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'-' | b'_' | b'.'))
    };
    given.filter(is_plain).map_or_else(fresh_id, str::to_owned)
}

/// The metrics.
pub async fn metrics(State(service): State<Service>) -> Outcome<Response> {
    let metrics = &service.metrics;
    for state in ["queued", "running", "done", "failed", "cancelled"] {
        metrics.checks.get_or_create(&Stated { state: state.to_owned() }).set(0);
    }
    let rows = sqlx::query("SELECT state, COUNT(*) FROM board_check GROUP BY state")
        .fetch_all(service.queue.store.db.pool())
        .await?;
    for row in &rows {
        metrics.checks.get_or_create(&Stated { state: row.try_get(0)? }).set(row.try_get(1)?);
    }
    metrics.memory.set(memory().unwrap_or(0));
    let mut text = String::new();
    encode(&mut text, &metrics.registry)
        .map_err(|_| Fault::new(Kind::CouldNotBeChecked, "The metrics could not be written."))?;
    let media = "application/openmetrics-text; version=1.0.0; charset=utf-8";
    Ok(([(header::CONTENT_TYPE, media)], text).into_response())
}

/// Resident memory, where the system tells it.
fn memory() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmRSS:"))?;
    Some(line.trim().trim_end_matches(" kB").parse::<u64>().ok()? * 1024)
}
