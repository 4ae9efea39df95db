//! What is done with a line: the rules of a line's life decide, the records keep it.

use axum::Json;
use axum::body::Bytes;
use axum::extract::{Extension, Path, State};
use landgap_rules::query::life::{Act, Actor, Gate, Line, Policy, Refusal, Reply, Role as LifeRole, gate};
use serde::{Deserialize, Serialize};
use serde_json::Value;

use super::Service;
use super::body::json;
use super::forms::seen as seen_form;
use crate::fault::{Fault, Kind, Outcome};
use crate::people::{Caller, Role};
use crate::store::form_changes::Change;
use crate::store::now;

/// How often a change is tried again when another line of the same form was changed at the same moment.
const TRIES: usize = 8;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ActSent {
    /// The entry of the line's log that was seen last.
    seen: u32,
    act: Act,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ReplySent {
    seen: u32,
    reply: Reply,
}

/// A line as it stands after what was done.
#[derive(Debug, Serialize)]
pub struct Done {
    line: Line,
}

/// As what a caller acts. An administrator leads; whoever tries the service alone is an engineer.
fn actor(caller: &Caller) -> Outcome<Actor> {
    caller.expect_known()?;
    let role = match caller.role() {
        None | Some(Role::Engineer) => LifeRole::Engineer,
        Some(Role::Administrator) => LifeRole::Lead,
        Some(Role::SecondEngineer) => LifeRole::SecondEngineer,
        Some(Role::Quality) => LifeRole::Quality,
        Some(Role::Sales) => LifeRole::Sales,
        Some(Role::Customer) => LifeRole::Designer,
        Some(Role::Script) => LifeRole::Script,
    };
    let name = caller.person.as_ref().map_or_else(|| caller.actor.clone(), |p| p.name.clone());
    Ok(Actor { name, role })
}

fn refused(refusal: &Refusal) -> Fault {
    let kind = match refusal {
        Refusal::Role(..) => Kind::NotAllowed,
        Refusal::State(..) | Refusal::Changed(_) => Kind::Conflict,
        Refusal::Reason(_) | Refusal::Content(_) => Kind::BadRequest,
    };
    Fault::new(kind, refusal.to_string())
}

fn line_of(body: Value) -> Outcome<Line> {
    serde_json::from_value(body).map_err(|e| Fault::new(Kind::Storage, format!("A stored line: {e}.")))
}

/// The word of a state as kept.
pub fn word_of<T: Serialize>(state: &T) -> String {
    serde_json::to_value(state).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

async fn act(service: &Service, form_id: &str, number: i64, sent: &ActSent, by: &Actor, who: &str) -> Outcome<Done> {
    let store = &service.queue.store;
    let mut lost = Fault::new(Kind::Conflict, "The form is being changed by others without a pause.");
    for _ in 0..TRIES {
        let form = store.form(form_id).await?;
        let stored = store.lines(form_id).await?.into_iter().find(|l| l.number == number);
        let stored = stored.ok_or_else(|| Fault::new(Kind::NotFound, format!("The form has no line {number}.")))?;
        let mut line = line_of(stored.body)?;
        let event =
            line.act(sent.act.clone(), by, now() / 1000, sent.seen, &Policy::default()).map_err(|r| refused(&r))?;
        let told = serde_json::to_value(event).unwrap_or_default();
        let action = event.done.clone();
        let body = serde_json::to_value(&line).unwrap_or_default();
        let change = Change {
            actor: who,
            action: &action,
            on_version: form.version,
            head: None,
            lines: vec![(number, word_of(&line.state), body)],
            added: Vec::new(),
            told,
        };
        match store.change_form(form_id, change).await {
            Ok(_) => return Ok(Done { line }),
            // Another line was changed: this one is looked at again, and what was seen of it still counts.
            Err(fault) if fault.kind == Kind::Conflict => lost = fault,
            Err(fault) => return Err(fault),
        }
    }
    Err(lost)
}

/// Does something with a line.
pub async fn on_line(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path((id, number)): Path<(String, i64)>,
    body: Bytes,
) -> Outcome<Json<Done>> {
    let form = seen_form(&service, &caller, &id).await?;
    let by = actor(&caller)?;
    act(&service, &form.id, number, &json(&body)?, &by, &caller.actor).await.map(Json)
}

/// Answers a line by a link.
pub async fn answer(
    State(service): State<Service>,
    Path((word, number)): Path<(String, i64)>,
    body: Bytes,
) -> Outcome<Json<Done>> {
    let link = service.queue.store.link(&word).await?;
    let ReplySent { seen, reply } = json(&body)?;
    let by = Actor { name: link.made_for, role: LifeRole::Designer };
    let sent = ActSent { seen, act: Act::Answer { reply } };
    act(&service, &link.form_id, number, &sent, &by, &format!("link/{}", link.id)).await.map(Json)
}

/// Whether the part of a form is free to tool, as far as this form goes.
pub async fn gate_of(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Json<Gate>> {
    let form = seen_form(&service, &caller, &id).await?;
    let lines = service.queue.store.lines(&form.id).await?;
    let lines = lines.into_iter().map(|l| line_of(l.body)).collect::<Outcome<Vec<Line>>>()?;
    Ok(Json(gate(&lines)))
}
