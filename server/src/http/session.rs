//! Signing in and out, and the first administrator: as JSON for programs and the page, and as two plain pages
//! that work without a script.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Form, Query, Request, State};
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::{Deserialize, Serialize};

use super::Service;
use super::body::json;
use super::who::{peer, session_secret};
use crate::fault::{Fault, Kind, Outcome};
use crate::people::accounts::{NewPerson, Person};
use crate::people::{Caller, Role, Scope};
use crate::store::audit::Entry;

/// Seconds the browser keeps the cookie.
const KEPT: u32 = 7 * 24 * 3600;

/// Who asks, as told to them.
#[derive(Debug, Serialize)]
pub struct Session {
    /// `trial`: everyone on this machine may do everything; `open`: data may be sent without an account;
    /// `closed`: everyone signs in.
    mode: &'static str,
    person: Option<Person>,
    scopes: Vec<Scope>,
}

/// Login and password.
#[derive(Deserialize)]
pub struct Credentials {
    login: String,
    password: String,
    /// Where to go afterwards.
    #[serde(default)]
    then: String,
}

/// Who asks, and what they may do.
pub async fn show(State(service): State<Service>, Extension(caller): Extension<Caller>) -> Outcome<Json<Session>> {
    let trial = service.access.is_trial(&service.queue.store).await?;
    let mode = match (trial, service.access.has_open_uploads()) {
        (true, _) => "trial",
        (false, true) => "open",
        (false, false) => "closed",
    };
    Ok(Json(Session { mode, person: caller.person, scopes: caller.scopes }))
}

async fn sign(service: &Service, given: &Credentials, peer: &str, before: &HeaderMap) -> Outcome<(Person, String)> {
    service.access.rates().sign_in(&given.login, peer)?;
    let store = &service.queue.store;
    let Some(person) = store.signs_in(&given.login, &given.password).await? else {
        store.note(&Entry::new("stranger", "sign-in-refused", "")).await?;
        return Err(Fault::new(Kind::SignInNeeded, "Login or password is wrong."));
    };
    // A secret that was there before is never taken over.
    if let Some(secret) = session_secret(before) {
        store.end_session(&secret).await?;
    }
    let secret = store.begin_session(&person).await?;
    store.note(&Entry::new(&person.id, "signed-in", &person.id)).await?;
    Ok((person, service.access.cookie(&secret, KEPT)))
}

type Cookie = [(HeaderName, String); 1];

const fn cookie(value: String) -> Cookie {
    [(header::SET_COOKIE, value)]
}

/// Signs in.
pub async fn begin(State(service): State<Service>, request: Request) -> Outcome<Response> {
    let (peer, headers) = (peer(request.extensions()), request.headers().clone());
    let body = whole(request).await?;
    let (person, set) = sign(&service, &json(&body)?, &peer, &headers).await?;
    let scopes = person.role.scopes().to_vec();
    Ok((cookie(set), Json(Session { mode: "closed", person: Some(person), scopes })).into_response())
}

async fn whole(request: Request) -> Outcome<Bytes> {
    axum::body::to_bytes(request.into_body(), 64 << 10)
        .await
        .map_err(|_| Fault::new(Kind::TooLarge, "The body is larger than 64 KiB."))
}

/// Signs out.
pub async fn end(State(service): State<Service>, headers: HeaderMap) -> Outcome<Response> {
    if let Some(secret) = session_secret(&headers) {
        service.queue.store.end_session(&secret).await?;
    }
    Ok((StatusCode::NO_CONTENT, cookie(service.access.cookie("", 0))).into_response())
}

/// Where the page may be sent: an address of this service.
fn safe(then: &str) -> &str {
    let stays = then.starts_with('/') && !then.starts_with("//") && !then.contains(['\\', '\r', '\n']);
    if stays { then } else { "/" }
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;").replace('\'', "&#39;")
}

fn page(title: &str, note: &str, fields: &str) -> Html<String> {
    let note = if note.is_empty() { String::new() } else { format!("<p role=\"alert\">{}</p>", escaped(note)) };
    Html(format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">\
         <title>{title} – Landgap</title><style>body{{font:1rem/1.5 system-ui,sans-serif;max-width:24rem;margin:4rem auto;padding:0 1rem}}\
         label{{display:block;margin:1rem 0}}input{{display:block;width:100%;box-sizing:border-box;font:inherit;padding:.4rem}}\
         button{{font:inherit;padding:.4rem 1.2rem}}</style><main><h1>{title}</h1>{note}<form method=\"post\">{fields}\
         <button>{title}</button></form></main></html>"
    ))
}

fn input(label: &str, name: &str, kind: &str, complete: &str) -> String {
    format!("<label>{label}<input name=\"{name}\" type=\"{kind}\" autocomplete=\"{complete}\" required></label>")
}

fn hidden(name: &str, value: &str) -> String {
    format!("<input type=\"hidden\" name=\"{name}\" value=\"{}\">", escaped(value))
}

/// What may stand in the address of the two pages.
#[derive(Deserialize, Default)]
pub struct Asked {
    #[serde(default)]
    then: String,
    #[serde(default)]
    key: String,
}

fn sign_in_page(then: &str, note: &str) -> Html<String> {
    let fields = input("Login", "login", "text", "username")
        + &input("Password", "password", "password", "current-password")
        + &hidden("then", safe(then));
    page("Sign in", note, &fields)
}

/// The page to sign in.
pub async fn sign_in(Query(asked): Query<Asked>) -> Html<String> {
    sign_in_page(&asked.then, "")
}

/// What the page to sign in sends.
pub async fn signed_in(State(service): State<Service>, request: Request) -> Outcome<Response> {
    let (peer, headers) = (peer(request.extensions()), request.headers().clone());
    let given: Credentials = form(request).await?;
    match sign(&service, &given, &peer, &headers).await {
        Ok((_, set)) => Ok((cookie(set), Redirect::to(safe(&given.then))).into_response()),
        Err(fault) if matches!(fault.kind, Kind::SignInNeeded | Kind::TooMany) => {
            let status = StatusCode::from_u16(fault.kind.row().status).unwrap_or(StatusCode::UNAUTHORIZED);
            Ok((status, sign_in_page(&given.then, &fault.detail)).into_response())
        }
        Err(fault) => Err(fault),
    }
}

async fn form<T: serde::de::DeserializeOwned>(request: Request) -> Outcome<T> {
    use axum::extract::FromRequest;
    let read = Form::<T>::from_request(request, &()).await;
    read.map(|f| f.0).map_err(|e| Fault::new(Kind::BadRequest, e.body_text()))
}

/// The first administrator as sent.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct First {
    key: String,
    login: String,
    name: String,
    password: String,
}

async fn make_first(service: &Service, first: First, peer: &str) -> Outcome<Person> {
    service.access.rates().sign_in("first administrator", peer)?;
    let new = NewPerson {
        login: first.login,
        name: first.name,
        role: Role::Administrator,
        customer_id: None,
        password: Some(first.password),
    };
    service.queue.store.make_first(&first.key, new).await
}

fn first_page(key: &str, note: &str) -> Html<String> {
    let fields = hidden("key", key)
        + &input("Login", "login", "text", "username")
        + &input("Name", "name", "text", "name")
        + &input("Password (12 characters at least)", "password", "password", "new-password");
    page("Make the first administrator", note, &fields)
}

/// The page that makes the first administrator; its address with the key is printed at the start.
pub async fn first(Query(asked): Query<Asked>) -> Html<String> {
    first_page(&asked.key, "")
}

/// What that page sends.
pub async fn made_first(State(service): State<Service>, request: Request) -> Outcome<Response> {
    let peer = peer(request.extensions());
    let given: First = form(request).await?;
    let key = given.key.clone();
    match make_first(&service, given, &peer).await {
        Ok(_) => Ok(Redirect::to("/sign-in").into_response()),
        Err(fault) if fault.kind.row().status < 500 => {
            let status = StatusCode::from_u16(fault.kind.row().status).unwrap_or(StatusCode::BAD_REQUEST);
            Ok((status, first_page(&key, &fault.detail)).into_response())
        }
        Err(fault) => Err(fault),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_is_sent_elsewhere_after_signing_in() {
        for (asked, goes) in [
            ("/parts?x=1", "/parts?x=1"),
            ("//elsewhere.example", "/"),
            ("https://elsewhere.example", "/"),
            ("/\\elsewhere.example", "/"),
            ("", "/"),
        ] {
            assert_eq!(safe(asked), goes, "{asked}");
        }
        let shown = sign_in_page("/\"><script>", "").0;
        assert!(!shown.contains("<script>"));
    }
}
