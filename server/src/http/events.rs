//! Progress of a check as server-sent events: `progress` while it goes on, then `done` or `failed`.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::{Extension, Path, State};
use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use futures_util::stream::{self, Stream};

use super::Service;
use crate::fault::{Fault, Kind, Outcome};
use crate::job::{Progress, State as JobState};
use crate::people::Caller;
use crate::store::checks::Known;

/// The events of a check from now on. What another process does is seen as well.
pub async fn stream(
    State(service): State<Service>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Outcome<Sse<impl Stream<Item = Result<Event, Infallible>>>> {
    let known = service.check(&caller, &id).await?;
    let watching = Watching { service, id, next: Some(known), told: None };
    Ok(Sse::new(stream::unfold(watching, step)).keep_alive(KeepAlive::new().interval(Duration::from_secs(15))))
}

/// Where a stream of events stands.
struct Watching {
    service: Service,
    id: String,
    /// What is to be told at once.
    next: Option<Known>,
    /// The version told last; none once the end has been told.
    told: Option<i64>,
}

async fn step(mut watching: Watching) -> Option<(Result<Event, Infallible>, Watching)> {
    let known = match watching.next.take() {
        Some(known) => known,
        None => news(&mut watching).await?,
    };
    watching.told = (!known.progress.state.is_final()).then_some(known.version);
    Some((Ok(event(&known.progress)), watching))
}

/// Waits for the next change; none when the end has been told, the check is gone or the service closes.
async fn news(watching: &mut Watching) -> Option<Known> {
    let told = watching.told?;
    let queue = watching.service.queue.clone();
    loop {
        tokio::select! {
            () = queue.wait_for_news() => {}
            _ = watching.service.closing.wait_for(|c| *c) => return None,
        }
        match queue.known(&watching.id).await {
            Ok(known) if known.version != told => return Some(known),
            Err(fault) if fault.kind == Kind::NotFound => return None,
            // A database that does not answer for a moment is asked again.
            _ => {}
        }
    }
}

fn event(progress: &Progress) -> Event {
    let mut progress = progress.clone();
    let name = match progress.state {
        JobState::Queued | JobState::Running => "progress",
        JobState::Done => "done",
        JobState::Failed => "failed",
        JobState::Cancelled => {
            progress.problem = Some(Fault::new(Kind::Cancelled, "It was left on request.").problem());
            "failed"
        }
    };
    let text = serde_json::to_string(&progress).unwrap_or_default();
    Event::default().event(name).data(text)
}
