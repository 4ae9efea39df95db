//! Entity tags: whoever has the bytes already gets none.

use axum::body::Bytes;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};

/// Bytes with their type and the hash they are known by.
#[derive(Debug)]
pub struct Tagged<'a> {
    /// Media type.
    pub media: &'static str,
    /// Hash of the bytes.
    pub tag: &'a str,
    /// The bytes.
    pub bytes: Bytes,
}

fn quoted(tag: &str) -> String {
    format!("\"{}\"", tag.get(..32).unwrap_or(tag))
}

/// Whether one of the tags the other side has is this one (RFC 9110, 13.1.2: compared weakly).
#[must_use]
pub fn is_known(headers: &HeaderMap, tag: &str) -> bool {
    let own = quoted(tag);
    let sent = headers.get_all(header::IF_NONE_MATCH).iter().filter_map(|v| v.to_str().ok());
    sent.flat_map(|v| v.split(',')).map(str::trim).any(|t| t == "*" || t.strip_prefix("W/").unwrap_or(t) == own)
}

fn dress(response: &mut Response, tag: &str) {
    let headers = response.headers_mut();
    // Boards are their owners' alone: no cache between here and there may keep them.
    headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("private, no-cache"));
    if let Ok(tag) = HeaderValue::from_str(&quoted(tag)) {
        headers.insert(header::ETAG, tag);
    }
}

impl Tagged<'_> {
    /// The answer to who has the bytes already.
    #[must_use]
    pub fn unchanged(tag: &str) -> Response {
        let mut response = StatusCode::NOT_MODIFIED.into_response();
        dress(&mut response, tag);
        response
    }
}

impl IntoResponse for Tagged<'_> {
    fn into_response(self) -> Response {
        let mut response = ([(header::CONTENT_TYPE, self.media)], self.bytes).into_response();
        dress(&mut response, self.tag);
        response
    }
}
