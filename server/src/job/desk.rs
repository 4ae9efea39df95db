//! The desk that takes checks, queues them, and tells how far they are.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};

use landgap_parser::Limits;
use tokio::sync::{Semaphore, watch};

use super::request::{CheckRequest, JudgeRequest, Settled, capability, order};
use super::state::{Progress, State};
use super::store::Store;
use super::work::{self, Memory, Record};
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::told;
use crate::terms::{self, TermsSent};
use crate::wire::Report;

/// Checks at work at once, waiting at most, and finished ones remembered in memory.
pub(super) const AT_WORK: usize = 2;
pub(super) const WAITING: usize = 16;
const REMEMBERED: usize = 500;
/// A check that takes longer is left at its next stage.
const LONGEST: Duration = Duration::from_secs(900);

/// One check.
#[derive(Debug)]
pub struct Job {
    /// What was asked.
    pub asked: Settled,
    progress: watch::Sender<Progress>,
    cancelled: AtomicBool,
}

impl Job {
    /// How far it is, now and from now on.
    #[must_use]
    pub fn progress(&self) -> watch::Receiver<Progress> {
        self.progress.subscribe()
    }

    fn is_final(&self) -> bool {
        self.progress.borrow().state.is_final()
    }
}

/// The desk.
#[derive(Debug)]
pub struct Desk {
    /// The data folder.
    pub store: Store,
    limits: Limits,
    memory: Memory,
    jobs: Mutex<BTreeMap<String, Arc<Job>>>,
    pub(super) at_work: Arc<Semaphore>,
}

/// What is known of a check.
#[derive(Clone, Debug)]
pub struct Known {
    /// Its data set, profile and statements.
    pub record: Record,
    /// How far it is.
    pub progress: Progress,
}

impl Desk {
    /// A desk over a data folder; `limits` bound the reading of a file.
    #[must_use]
    pub fn new(store: Store, limits: Limits) -> Arc<Self> {
        let at_work = Arc::new(Semaphore::new(AT_WORK));
        Arc::new(Self { store, limits, memory: Memory::default(), jobs: Mutex::default(), at_work })
    }

    fn jobs(&self) -> std::sync::MutexGuard<'_, BTreeMap<String, Arc<Job>>> {
        self.jobs.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes a check; one that is finished or under way is not begun again.
    pub fn take(self: &Arc<Self>, request: CheckRequest) -> Outcome<String> {
        let said = request.told.is_some();
        let mut asked = request.settle(self.limits)?;
        let manifest = self.store.manifest(&asked.data_set)?;
        asked.data_set = manifest.id;
        if let Some(path) = asked.told.keys().find(|p| !manifest.files.iter().any(|f| f.path == **p)) {
            return Err(Fault::new(Kind::BadTold, format!("The set has no file named {path:?}.")));
        }
        told::expect_words(&asked.told)?;
        // What is said is kept with the set, and holds for later checks that say nothing.
        if said {
            self.store.keep_told(&asked.data_set, &asked.told)?;
        } else {
            asked.told = self.store.told(&asked.data_set)?;
        }
        let id = asked.id();
        if self.store.check_part(&id, "record.json")?.is_some() {
            return Ok(id);
        }
        let mut jobs = self.jobs();
        if jobs.get(&id).is_some_and(|j| !j.is_final()) {
            return Ok(id);
        }
        if jobs.values().filter(|j| !j.is_final()).count() >= AT_WORK + WAITING {
            return Err(Fault::new(Kind::Busy, format!("{WAITING} checks are waiting already.")));
        }
        forget_some(&mut jobs);
        let (progress, _) = watch::channel(Progress::of(State::Queued));
        let job = Arc::new(Job { asked, progress, cancelled: AtomicBool::new(false) });
        jobs.insert(id.clone(), Arc::clone(&job));
        tokio::spawn(Arc::clone(self).run(id.clone(), job));
        Ok(id)
    }

    async fn run(self: Arc<Self>, id: String, job: Arc<Job>) {
        let Ok(_turn) = Arc::clone(&self.at_work).acquire_owned().await else { return };
        if job.cancelled.load(Ordering::Relaxed) {
            job.progress.send_replace(Progress::of(State::Cancelled));
            return;
        }
        let working = Arc::clone(&job);
        let done = tokio::task::spawn_blocking(move || self.work(&id, &working)).await;
        let end = match done {
            Ok(Ok(_)) => Progress::of(State::Done),
            Ok(Err(fault)) if fault.kind == Kind::Cancelled => Progress::of(State::Cancelled),
            Ok(Err(fault)) => Progress { problem: Some(fault.problem()), ..Progress::of(State::Failed) },
            Err(e) => {
                let fault = Fault::new(Kind::CouldNotBeChecked, format!("The thread of this check ended: {e}."));
                Progress { problem: Some(fault.problem()), ..Progress::of(State::Failed) }
            }
        };
        job.progress.send_replace(end);
    }

    fn work(&self, id: &str, job: &Job) -> Outcome<Report> {
        let begun = Instant::now();
        let watch = |stage| {
            job.progress.send_replace(Progress::at(stage));
            if job.cancelled.load(Ordering::Relaxed) {
                return Err(Kind::Cancelled);
            }
            if begun.elapsed() > LONGEST { Err(Kind::TooSlow) } else { Ok(()) }
        };
        work::run(&self.store, &self.memory, id, &job.asked, &watch)
    }

    /// The job of a check that is not yet on disk, or failed.
    #[must_use]
    pub fn job(&self, id: &str) -> Option<Arc<Job>> {
        self.jobs().get(id).cloned()
    }

    /// What is known of a check, from memory or disk.
    pub fn known(&self, id: &str) -> Outcome<Known> {
        if let Some(record) = work::read_record(&self.store, id)? {
            return Ok(Known { record, progress: Progress::of(State::Done) });
        }
        let job = self.job(id).ok_or_else(|| Fault::new(Kind::NotFound, format!("There is no check {id}.")))?;
        let record = work::record(&job.asked);
        let progress = job.progress.borrow().clone();
        Ok(Known { record, progress })
    }

    /// A part of a finished check; otherwise why it is not there.
    pub fn part(&self, id: &str, name: &str, missing: &str) -> Outcome<Vec<u8>> {
        if let Some(bytes) = self.store.check_part(id, name)? {
            return Ok(bytes);
        }
        let progress = self.known(id)?.progress;
        Err(match (progress.state, progress.problem) {
            (State::Done, _) => Fault::new(Kind::NotFound, missing),
            (State::Cancelled, _) => Fault::new(Kind::Cancelled, format!("Check {id} was cancelled.")),
            (_, Some(problem)) => problem.into_fault(),
            (state, None) => Fault::new(Kind::NotReady, format!("Check {id} is {}.", state.word())),
        })
    }

    /// Asks a check to leave off. It does so between two stages, not at once; a finished one stays.
    pub fn cancel(&self, id: &str) -> Outcome<Known> {
        let known = self.known(id)?;
        if let Some(job) = self.job(id).filter(|j| !j.is_final()) {
            job.cancelled.store(true, Ordering::Relaxed);
        }
        Ok(known)
    }

    /// Cancels everything, for shutting down.
    pub fn cancel_all(&self) {
        self.jobs().values().for_each(|j| j.cancelled.store(true, Ordering::Relaxed));
    }

    /// Judges a finished check's board again; the outcome is a check of its own. Blocks.
    pub fn judge(&self, id: &str, request: JudgeRequest) -> Outcome<(String, Vec<u8>)> {
        let known = self.known(id)?;
        if known.progress.state != State::Done {
            return Err(Fault::new(Kind::NotReady, format!("Check {id} is {}.", known.progress.state.word())));
        }
        let asked = Settled {
            data_set: known.record.data_set,
            capability: capability(request.capability)?,
            order: order(request.order.clone())?,
            order_sent: request.order,
            told: known.record.told,
            terms: terms::of(request.terms.as_ref().unwrap_or(&TermsSent::default()), None)?,
            terms_sent: request.terms.unwrap_or_default(),
            limits: self.limits,
        };
        let other = asked.id();
        if self.store.check_part(&other, "report.json")?.is_none() {
            work::run(&self.store, &self.memory, &other, &asked, &|_| Ok(()))?;
        }
        let report = self.part(&other, "report.json", "The report is not there.")?;
        Ok((other, report))
    }
}

/// Drops finished jobs once there are many: what was done is on disk, what failed can be asked again.
fn forget_some(jobs: &mut BTreeMap<String, Arc<Job>>) {
    if jobs.len() >= REMEMBERED {
        jobs.retain(|_, j| !j.is_final());
    }
}
