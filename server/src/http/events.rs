//! Progress of a check as server-sent events: `progress` while it goes on, then `done` or `failed`.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::{Path, State};
use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use futures_util::stream::{self, Stream};
use tokio::sync::watch;

use super::Service;
use crate::fault::{Fault, Kind, Outcome};
use crate::job::{Progress, State as JobState};

/// Where a stream of events stands.
enum Step {
    /// Tell this, then watch on.
    Tell(Progress, Option<watch::Receiver<Progress>>),
    /// Wait for the next change.
    Wait(watch::Receiver<Progress>),
    /// The end has been told.
    End,
}

/// The events of a check from now on.
pub async fn stream(
    State(service): State<Service>,
    Path(id): Path<String>,
) -> Outcome<Sse<impl Stream<Item = Result<Event, Infallible>>>> {
    let known = service.desk.known(&id)?;
    let watching = service.desk.job(&id).filter(|_| !known.progress.state.is_final()).map(|j| j.progress());
    let first = Step::Tell(watching.as_ref().map_or(known.progress, |w| w.borrow().clone()), watching);
    let events = stream::unfold((first, service.closing.clone()), |(step, closing)| next(step, closing));
    Ok(Sse::new(events).keep_alive(KeepAlive::new().interval(Duration::from_secs(15))))
}

async fn next(
    step: Step,
    mut closing: watch::Receiver<bool>,
) -> Option<(Result<Event, Infallible>, (Step, watch::Receiver<bool>))> {
    let (progress, watching) = match step {
        Step::End => return None,
        Step::Tell(progress, watching) => (progress, watching),
        Step::Wait(mut watching) => {
            tokio::select! {
                changed = watching.changed() => changed.ok()?,
                _ = closing.wait_for(|c| *c) => return None,
            }
            let progress = watching.borrow_and_update().clone();
            (progress, Some(watching))
        }
    };
    let after = match watching {
        Some(watching) if !progress.state.is_final() => Step::Wait(watching),
        _ => Step::End,
    };
    Some((Ok(event(&progress)), (after, closing)))
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
