//! Every error leaves as an RFC 9457 problem.

use std::any::Any;

use axum::body::Body;
use axum::extract::Request;
use axum::http::{HeaderValue, Response, StatusCode, header};
use axum::middleware::Next;
use axum::response::IntoResponse;

use crate::fault::{Fault, Kind};

/// The media type of a problem.
pub const MEDIA: &str = "application/problem+json";

impl IntoResponse for Fault {
    fn into_response(self) -> axum::response::Response {
        let problem = self.problem();
        if problem.status >= 500 {
            // The detail may name a customer's files: it goes to who asked, not to the log.
            tracing::error!(problem = problem.type_, "a request failed");
        }
        let body = serde_json::to_vec(&problem).unwrap_or_default();
        let status = StatusCode::from_u16(problem.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
        let mut response = (status, [(header::CONTENT_TYPE, MEDIA)], body).into_response();
        let wait = match self.kind {
            Kind::Busy => Some("20"),
            Kind::TooMany => Some("10"),
            Kind::Unavailable => Some("3"),
            _ => None,
        };
        if self.kind == Kind::SignInNeeded {
            response.headers_mut().insert(header::WWW_AUTHENTICATE, HeaderValue::from_static("Bearer"));
        }
        if let Some(seconds) = wait {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static(seconds));
        }
        response
    }
}

/// A panic of a handler as a problem.
pub fn panicked(_: Box<dyn Any + Send + 'static>) -> Response<Body> {
    Fault::new(Kind::CouldNotBeChecked, "The program failed while answering this request.").into_response()
}

/// Turns errors that layers and extractors answer as plain text into problems.
pub async fn dress(request: Request, next: Next) -> axum::response::Response {
    let response = next.run(request).await;
    let status = response.status();
    let is_ours = |t: &HeaderValue| t == MEDIA || t.as_bytes().starts_with(b"text/html");
    let is_ours = response.headers().get(header::CONTENT_TYPE).is_some_and(is_ours);
    if is_ours || !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let kind = match status {
        StatusCode::PAYLOAD_TOO_LARGE => Kind::TooLarge,
        StatusCode::REQUEST_TIMEOUT => Kind::TooSlow,
        StatusCode::NOT_FOUND => Kind::NotFound,
        s if s.is_client_error() => Kind::BadRequest,
        _ => Kind::CouldNotBeChecked,
    };
    Fault::new(kind, said(response).await).into_response()
}

async fn said(response: axum::response::Response) -> String {
    let status = response.status();
    let bytes = axum::body::to_bytes(response.into_body(), 4096).await.unwrap_or_default();
    let text = String::from_utf8_lossy(&bytes).trim().to_owned();
    if text.is_empty() { status.to_string() } else { text }
}
