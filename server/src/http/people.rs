//! People, customers and tokens.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};

use super::Service;
use super::body::json;
use super::pages::{Asked, Page, page};
use crate::fault::{Fault, Kind, Outcome};
use crate::people::accounts::{NewPerson, Person, PersonChange};
use crate::people::customers::Customer;
use crate::people::tokens::Token;
use crate::people::{Caller, Role, Scope};

/// A person as sent.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PersonSent {
    login: String,
    name: String,
    role: Role,
    #[serde(default)]
    customer_id: Option<String>,
    #[serde(default)]
    password: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CustomerSent {
    name: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TokenSent {
    name: String,
    scopes: Vec<Scope>,
    #[serde(default = "month")]
    days: i64,
}

const fn month() -> i64 {
    30
}

/// A token with its secret, given once.
#[derive(Debug, Serialize)]
struct TokenGiven {
    #[serde(flatten)]
    token: Token,
    secret: String,
}

/// People.
pub async fn list(State(service): State<Service>, Query(asked): Query<Asked>) -> Outcome<Json<Page<Person>>> {
    let limit = asked.limit()?;
    Ok(page(service.queue.store.people(asked.after(), limit + 1).await?, limit, |p| p.id.clone()))
}

/// Makes a person.
pub async fn make(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    body: Bytes,
) -> Outcome<Response> {
    let sent: PersonSent = json(&body)?;
    let PersonSent { login, name, role, customer_id, password } = sent;
    let new = NewPerson { login, name, role, customer_id, password };
    let person = service.queue.store.make_person(new, &caller.actor).await?;
    let location = format!("/api/people/{}", person.id);
    Ok((StatusCode::CREATED, [(header::LOCATION, location)], Json(person)).into_response())
}

/// One person.
pub async fn show(State(service): State<Service>, Path(id): Path<String>) -> Outcome<Json<Person>> {
    service.queue.store.person(&id).await.map(Json)
}

/// Changes a person.
pub async fn change(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
    body: Bytes,
) -> Outcome<Json<Person>> {
    let change: PersonChange = json(&body)?;
    service.queue.store.change_person(&id, &change, &caller.actor).await.map(Json)
}

/// Customers.
pub async fn customers(State(service): State<Service>, Query(asked): Query<Asked>) -> Outcome<Json<Page<Customer>>> {
    let limit = asked.limit()?;
    Ok(page(service.queue.store.customers(asked.after(), limit + 1).await?, limit, |c| c.id.clone()))
}

/// Makes a customer.
pub async fn make_customer(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    body: Bytes,
) -> Outcome<Response> {
    let sent: CustomerSent = json(&body)?;
    let customer = service.queue.store.make_customer(&sent.name, &caller.actor).await?;
    Ok((StatusCode::CREATED, Json(customer)).into_response())
}

fn own(caller: &Caller) -> Outcome<&Person> {
    caller.person.as_ref().ok_or_else(|| Fault::new(Kind::SignInNeeded, "A token belongs to a person."))
}

/// The caller's own tokens.
pub async fn tokens(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
) -> Outcome<Json<Page<Token>>> {
    let tokens = service.queue.store.tokens(&own(&caller)?.id).await?;
    Ok(page(tokens, i64::MAX, |t| t.id.clone()))
}

async fn given(service: &Service, person: &Person, body: &[u8]) -> Outcome<Response> {
    let sent: TokenSent = json(body)?;
    let (token, secret) = service.queue.store.make_token(person, &sent.name, &sent.scopes, sent.days).await?;
    let answer = Json(TokenGiven { token, secret });
    Ok((StatusCode::CREATED, [(header::CACHE_CONTROL, "no-store")], answer).into_response())
}

/// Makes a token of the caller's own. One token cannot make another with more rights than it has.
pub async fn make_token(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    body: Bytes,
) -> Outcome<Response> {
    if caller.actor != own(&caller)?.id {
        return Err(Fault::new(Kind::NotAllowed, "A token makes no tokens; sign in for that."));
    }
    given(&service, own(&caller)?, &body).await
}

/// Makes a token for a program's account.
pub async fn make_script_token(
    State(service): State<Service>,
    Path(id): Path<String>,
    body: Bytes,
) -> Outcome<Response> {
    let person = service.queue.store.person(&id).await?;
    if person.role != Role::Script {
        return Err(Fault::new(Kind::NotAllowed, "Only scripts are given tokens; people make their own."));
    }
    given(&service, &person, &body).await
}

/// Calls a token back: one's own, or anyone's for who sees to people.
pub async fn revoke_token(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<StatusCode> {
    let of = if caller.may(Scope::People) { None } else { Some(own(&caller)?.id.as_str()) };
    service.queue.store.revoke_token(&id, of, &caller.actor).await?;
    Ok(StatusCode::NO_CONTENT)
}
