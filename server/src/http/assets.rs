//! The page, embedded when the program was built.

use axum::http::{HeaderMap, HeaderValue, Method, Uri, header};
use axum::response::{IntoResponse, Response};

use crate::fault::{Fault, Kind};
use crate::intake::sha256;

include!(concat!(env!("OUT_DIR"), "/assets.rs"));

/// An embedded file, the page itself for any other address outside `/api`.
pub async fn serve(method: Method, uri: Uri, headers: HeaderMap) -> Response {
    let path = uri.path();
    if path == "/api" || path.starts_with("/api/") {
        return Fault::new(Kind::NotFound, format!("{path} is no address of this service.")).into_response();
    }
    if !matches!(method, Method::GET | Method::HEAD) {
        return Fault::new(Kind::NoSuchMethod, format!("{path} takes GET alone.")).into_response();
    }
    let find = |wanted: &str| ASSETS.iter().find(|(p, _)| *p == wanted);
    // A name with a dot is a file; a missing one must not be answered with a page.
    let is_file = path.rsplit('/').next().is_some_and(|n| n.contains('.'));
    let found = find(path).or_else(|| if is_file { None } else { find("/index.html") });
    match found {
        Some((name, bytes)) => answer(name, bytes, &headers),
        None => Fault::new(Kind::NotFound, format!("{path} is no file of the page.")).into_response(),
    }
}

fn answer(name: &str, bytes: &'static [u8], asked: &HeaderMap) -> Response {
    let tag = format!("\"{}\"", &sha256(bytes)[..24]);
    // Built files under /assets carry a hash in their name and never change.
    let cache = if name.starts_with("/assets/") { "public, max-age=31536000, immutable" } else { "no-cache" };
    let known = asked.get(header::IF_NONE_MATCH).is_some_and(|t| t.as_bytes() == tag.as_bytes());
    let mut response = if known {
        axum::http::StatusCode::NOT_MODIFIED.into_response()
    } else {
        ([(header::CONTENT_TYPE, media(name))], bytes).into_response()
    };
    response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static(cache));
    if let Ok(tag) = HeaderValue::from_str(&tag) {
        response.headers_mut().insert(header::ETAG, tag);
    }
    response
}

fn media(name: &str) -> &'static str {
    match name.rsplit('.').next().unwrap_or_default() {
        "html" => "text/html; charset=utf-8",
        "js" | "mjs" => "text/javascript; charset=utf-8",
        "css" => "text/css; charset=utf-8",
        "svg" => "image/svg+xml",
        "json" | "map" => "application/json",
        "png" => "image/png",
        "ico" => "image/x-icon",
        "woff2" => "font/woff2",
        "txt" => "text/plain; charset=utf-8",
        _ => "application/octet-stream",
    }
}
