//! Headers that keep a browser on the safe side, and refusal of what other sites' pages ask for.

use axum::extract::Request;
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::fault::{Fault, Kind};

const POLICY: &str = "default-src 'self'; img-src 'self' data: blob:; style-src 'self' 'unsafe-inline'; object-src 'none'; \
base-uri 'none'; form-action 'self'; frame-ancestors 'self'";

/// Adds the security headers.
pub async fn headers(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    let mut set = |name: header::HeaderName, value: &'static str| headers.insert(name, HeaderValue::from_static(value));
    set(header::CONTENT_SECURITY_POLICY, POLICY);
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(header::REFERRER_POLICY, "no-referrer");
    set(header::X_FRAME_OPTIONS, "SAMEORIGIN");
    response
}

/// Refuses changes that a page of another site asks for. Programs send neither header and pass.
pub async fn same_site(request: Request, next: Next) -> Response {
    let changes = !matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    if changes && is_foreign(request.headers()) {
        return Fault::new(Kind::CrossSite, "The request comes from a page of another site.").into_response();
    }
    next.run(request).await
}

fn is_foreign(headers: &HeaderMap) -> bool {
    let text = |name: &str| headers.get(name).and_then(|v| v.to_str().ok());
    if let Some(site) = text("sec-fetch-site") {
        return !matches!(site, "same-origin" | "none");
    }
    let Some(origin) = text("origin") else { return false };
    let host = origin.split_once("://").map_or(origin, |(_, host)| host);
    text("host") != Some(host)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn headers(list: &[(&'static str, &'static str)]) -> HeaderMap {
        list.iter().map(|(n, v)| (header::HeaderName::from_static(n), HeaderValue::from_static(v))).collect()
    }

    #[test]
    fn pages_of_other_sites_are_foreign_and_programs_are_not() {
        assert!(is_foreign(&headers(&[("sec-fetch-site", "cross-site")])));
        assert!(is_foreign(&headers(&[("origin", "http://elsewhere.example"), ("host", "127.0.0.1:8710")])));
        assert!(!is_foreign(&headers(&[("origin", "http://127.0.0.1:8710"), ("host", "127.0.0.1:8710")])));
        assert!(!is_foreign(&headers(&[])));
    }
}
