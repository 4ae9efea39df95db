//! Idempotency keys: a request that is sent again with the same `Idempotency-Key` does nothing again and gets the
//! same answer.

use axum::body::{Body, Bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use sqlx::Row;

use super::{SMALL_BODY, Service};
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::sha256;
use crate::people::Caller;
use crate::store::{Store, now};

const KEY: HeaderName = HeaderName::from_static("idempotency-key");
const REPEATED: HeaderName = HeaderName::from_static("idempotency-replayed");
/// Longest key.
const LONGEST: usize = 200;
/// How long an answer is kept,
const KEPT: i64 = 24 * 3_600_000;
/// and how long a request may take before it counts as broken off.
const AT_WORK: i64 = 60_000;

/// Answers a repeated request from what was kept.
pub async fn once(State(service): State<Service>, request: Request, next: Next) -> Response {
    let Some(key) = request.headers().get(KEY).cloned() else { return next.run(request).await };
    answered(&service, &key, request, next).await.unwrap_or_else(IntoResponse::into_response)
}

async fn answered(service: &Service, key: &HeaderValue, request: Request, next: Next) -> Outcome<Response> {
    let key = key.to_str().ok().filter(|k| !k.is_empty() && k.len() <= LONGEST).ok_or_else(|| {
        Fault::new(Kind::BadRequest, format!("Idempotency-Key: expected 1 to {LONGEST} printable characters."))
    })?;
    let owner = request.extensions().get::<Caller>().map_or_else(String::new, |c| c.actor.clone());
    let (parts, body) = request.into_parts();
    let body = axum::body::to_bytes(body, SMALL_BODY)
        .await
        .map_err(|_| Fault::new(Kind::TooLarge, "The body is larger than this address takes."))?;
    let asked = sha256(format!("{} {} {}", parts.method, parts.uri, sha256(&body)).as_bytes());
    let store = &service.queue.store;
    if let Some(response) = begin(store, &owner, key, &asked).await? {
        return Ok(response);
    }
    let response = next.run(Request::from_parts(parts, Body::from(body))).await;
    keep(store, &owner, key, response).await
}

/// Notes that a request is at work; gives the kept answer where there is one.
async fn begin(store: &Store, owner: &str, key: &str, asked: &str) -> Outcome<Option<Response>> {
    let at = now();
    sqlx::query("DELETE FROM repeated_request WHERE created_at < $1 OR (status = 0 AND created_at < $2)")
        .bind(at - KEPT)
        .bind(at - AT_WORK)
        .execute(store.db.pool())
        .await?;
    let begun = sqlx::query(
        "INSERT INTO repeated_request (owner, key, asked, status, headers, body, created_at) \
         VALUES ($1, $2, $3, 0, '', '', $4) ON CONFLICT (owner, key) DO NOTHING",
    )
    .bind(owner)
    .bind(key)
    .bind(asked)
    .bind(at)
    .execute(store.db.pool())
    .await?
    .rows_affected();
    if begun > 0 {
        return Ok(None);
    }
    let row = sqlx::query("SELECT asked, status, headers, body FROM repeated_request WHERE owner = $1 AND key = $2")
        .bind(owner)
        .bind(key)
        .fetch_optional(store.db.pool())
        .await?;
    let Some(row) = row else {
        return Err(Fault::new(Kind::Unavailable, "A request with this key has just broken off."));
    };
    if row.try_get::<String, _>(0)? != asked {
        return Err(Fault::new(Kind::Conflict, "Idempotency-Key: this key came with another request before."));
    }
    let status: i64 = row.try_get(1)?;
    if status == 0 {
        return Err(Fault::new(Kind::Conflict, "Idempotency-Key: the first request with this key is still at work."));
    }
    let status = u16::try_from(status).ok().and_then(|s| StatusCode::from_u16(s).ok()).unwrap_or(StatusCode::OK);
    let mut response = (status, row.try_get::<String, _>(3)?).into_response();
    for line in row.try_get::<String, _>(2)?.lines() {
        if let Some((name, value)) = line.split_once(": ")
            && let (Ok(name), Ok(value)) = (HeaderName::try_from(name), HeaderValue::from_str(value))
        {
            response.headers_mut().insert(name, value);
        }
    }
    response.headers_mut().insert(REPEATED, HeaderValue::from_static("true"));
    Ok(Some(response))
}

/// Keeps the answer; one of ours that failed is forgotten, so that the request may be tried again.
async fn keep(store: &Store, owner: &str, key: &str, response: Response) -> Outcome<Response> {
    let (parts, body) = response.into_parts();
    let body: Bytes = axum::body::to_bytes(body, usize::MAX)
        .await
        .map_err(|_| Fault::new(Kind::Storage, "The answer could not be kept."))?;
    let text = std::str::from_utf8(&body).ok().filter(|_| !parts.status.is_server_error());
    match text {
        Some(text) => {
            let kept = [header::CONTENT_TYPE, header::LOCATION].into_iter();
            let pairs = kept.filter_map(|n| Some(format!("{n}: {}\n", parts.headers.get(&n)?.to_str().ok()?)));
            sqlx::query(
                "UPDATE repeated_request SET status = $1, headers = $2, body = $3 WHERE owner = $4 AND key = $5",
            )
            .bind(i64::from(parts.status.as_u16()))
            .bind(pairs.collect::<String>())
            .bind(text)
            .bind(owner)
            .bind(key)
            .execute(store.db.pool())
            .await?;
        }
        None => {
            sqlx::query("DELETE FROM repeated_request WHERE owner = $1 AND key = $2")
                .bind(owner)
                .bind(key)
                .execute(store.db.pool())
                .await?;
        }
    }
    Ok(Response::from_parts(parts, Body::from(body)))
}
