//! Finds out who asks, and lets them through the door or not.

use std::net::{IpAddr, SocketAddr};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use axum::extract::{ConnectInfo, MatchedPath, Request, State};
use axum::http::request::Parts;
use axum::http::{Extensions, HeaderMap, Method, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use super::Service;
use super::rate::Rates;
use super::rights::{Need, need};
use crate::fault::{Fault, Kind, Outcome};
use crate::people::Caller;
use crate::store::Store;

/// The cookie of a session.
pub const COOKIE: &str = "landgap-session";

/// Who is let in at all.
#[derive(Clone, Debug)]
pub struct Access {
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    on_this_machine: bool,
    open_uploads: bool,
    secure_cookie: bool,
    has_people: AtomicBool,
    rates: Rates,
}

impl Access {
    /// `on_this_machine`: nobody else can reach the address; `open_uploads`: data may be sent without an account;
    /// `secure_cookie`: people reach the service by https alone.
    #[must_use]
    pub fn new(on_this_machine: bool, open_uploads: bool, secure_cookie: bool) -> Self {
        let inner = Inner {
            on_this_machine,
            open_uploads,
            secure_cookie,
            has_people: AtomicBool::new(false),
            rates: Rates::default(),
        };
        Self { inner: Arc::new(inner) }
    }

    /// Whether the service is tried: on this machine, and nobody has been made an administrator yet.
    pub async fn is_trial(&self, store: &Store) -> Outcome<bool> {
        Ok(self.inner.on_this_machine && !self.has_people(store).await?)
    }

    /// Whether there is anyone. Once there is, there always is.
    pub async fn has_people(&self, store: &Store) -> Outcome<bool> {
        if self.inner.has_people.load(Ordering::Relaxed) {
            return Ok(true);
        }
        let has = store.has_people().await?;
        self.inner.has_people.store(has, Ordering::Relaxed);
        Ok(has)
    }

    /// Whether data may be sent without an account.
    #[must_use]
    pub fn has_open_uploads(&self) -> bool {
        self.inner.open_uploads
    }

    /// The attributes of the session's cookie.
    #[must_use]
    pub fn cookie(&self, secret: &str, seconds: u32) -> String {
        let secure = if self.inner.secure_cookie { "; Secure" } else { "" };
        format!("{COOKIE}={secret}; Path=/; HttpOnly; SameSite=Lax; Max-Age={seconds}{secure}")
    }

    /// How often may be asked.
    #[must_use]
    pub fn rates(&self) -> &Rates {
        &self.inner.rates
    }
}

/// The address a request came from.
#[must_use]
pub fn peer(extensions: &Extensions) -> String {
    extensions.get::<ConnectInfo<SocketAddr>>().map_or_else(String::new, |c| c.0.ip().to_string())
}

/// The secret in the session's cookie.
#[must_use]
pub fn session_secret(headers: &HeaderMap) -> Option<String> {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|v| v.to_str().ok());
    let mut pairs = cookies.flat_map(|v| v.split(';')).filter_map(|p| p.trim().split_once('='));
    pairs.find(|(name, _)| *name == COOKIE).map(|(_, value)| value.to_owned())
}

async fn caller(service: &Service, headers: &HeaderMap) -> Outcome<Caller> {
    let store = &service.queue.store;
    if let Some(value) = headers.get(header::AUTHORIZATION) {
        let secret = value.to_str().ok().and_then(|v| v.strip_prefix("Bearer "));
        let found = match secret {
            Some(secret) => store.token(secret.trim()).await?,
            None => None,
        };
        return found.map(|(token, person)| Caller::token(&token, person)).ok_or_else(|| {
            Fault::new(Kind::SignInNeeded, "The token is none of this service, has ended, or was called back.")
        });
    }
    if let Some(secret) = session_secret(headers)
        && let Some(person) = store.session(&secret).await?
    {
        return Ok(Caller::person(person));
    }
    if service.access.is_trial(store).await? {
        expect_own_name(headers)?;
        return Ok(Caller::trial());
    }
    Ok(Caller::stranger(service.access.has_open_uploads()))
}

/// On trial anyone on this machine may do everything: a page of another site must not reach that by
/// giving its own name this machine's address.
fn expect_own_name(headers: &HeaderMap) -> Outcome<()> {
    let host = headers.get(header::HOST).and_then(|h| h.to_str().ok()).unwrap_or_default();
    let name = match host.strip_prefix('[') {
        Some(rest) => rest.split(']').next().unwrap_or_default(),
        None => host.rsplit_once(':').map_or(host, |(name, _)| name),
    };
    if name == "localhost" || name.parse::<IpAddr>().is_ok_and(|a| a.is_loopback()) {
        return Ok(());
    }
    Err(Fault::new(
        Kind::NotAllowed,
        format!("Without an administrator this service answers only as localhost or 127.0.0.1, not as {name:?}."),
    ))
}

async fn admitted(service: &Service, path: &str, request: &Parts) -> Outcome<Caller> {
    let need = need(&request.method, path)
        .ok_or_else(|| Fault::new(Kind::NoSuchMethod, "The method of the request is not taken here."))?;
    let caller = match (caller(service, &request.headers).await, need) {
        // Whoever carries a token that has ended may still ask whether the service is alive.
        (Err(fault), Need::Nothing) if fault.kind == Kind::SignInNeeded => Caller::stranger(false),
        (found, _) => found?,
    };
    let allowed = match need {
        Need::Nothing => true,
        Need::Person => caller.person.is_some(),
        Need::Of(scope) => caller.may(scope),
    };
    if !allowed && caller.person.is_none() {
        return Err(Fault::new(Kind::SignInNeeded, "Nobody has signed in, and this is not open to everyone."));
    }
    if !allowed {
        let role = caller.role().map_or("", crate::people::Role::word);
        return Err(Fault::new(Kind::NotAllowed, format!("The role {role}, or the token used, does not include it.")));
    }
    let asks = if caller.person.is_some() { caller.actor.clone() } else { peer(&request.extensions) };
    if !matches!(need, Need::Nothing) && !service.access.is_trial(&service.queue.store).await? {
        service.access.rates().request(&asks)?;
    }
    Ok(caller)
}

/// Lets through with the [`Caller`] known, or refuses.
pub async fn identify(State(service): State<Service>, request: Request, next: Next) -> Response {
    let (mut parts, body) = request.into_parts();
    let Some(path) = parts.extensions.get::<MatchedPath>().map(|p| p.as_str().to_owned()) else {
        return match page_needs_sign_in(&service, &parts).await {
            Some(then) => Redirect::to(&then).into_response(),
            None => next.run(Request::from_parts(parts, body)).await,
        };
    };
    match admitted(&service, &path, &parts).await {
        Ok(caller) => {
            parts.extensions.insert(caller);
            next.run(Request::from_parts(parts, body)).await
        }
        Err(fault) => fault.into_response(),
    }
}

/// Where a browser that opens the page without a right to anything is sent.
async fn page_needs_sign_in(service: &Service, request: &Parts) -> Option<String> {
    let accepts = request.headers.get(header::ACCEPT).and_then(|a| a.to_str().ok()).unwrap_or_default();
    let path = request.uri.path();
    let is_page = request.method == Method::GET && accepts.contains("text/html") && !path.starts_with("/api/");
    // A customer's page to answer by opens without an account.
    if !is_page || path.starts_with("/answer/") || path.starts_with("/assets/") {
        return None;
    }
    let caller = caller(service, &request.headers).await.ok()?;
    (caller.person.is_none() && caller.scopes.is_empty()).then(|| format!("/sign-in?then={}", escaped(&request.uri)))
}

fn escaped(uri: &Uri) -> String {
    uri.path()
        .bytes()
        .map(|b| {
            if b.is_ascii_alphanumeric() || b"/-._".contains(&b) {
                (b as char).to_string()
            } else {
                format!("%{b:02X}")
            }
        })
        .collect()
}
