//! The service's side: processes apart, one for each board that is being checked or was lately.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::process::Stdio;
use std::sync::{Arc, Mutex as PlainMutex, PoisonError};
use std::time::{Duration, Instant};

use axum::body::Bytes;
use tokio::io::{AsyncBufReadExt, AsyncReadExt, AsyncWriteExt, BufReader, Lines};
use tokio::process::{Child, ChildStdin, ChildStdout, Command};
use tokio::sync::{Mutex, Semaphore, watch};
use tokio::task::JoinHandle;

use super::guest::over_memory;
use super::words::{Answer, Task};
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::Limits;
use crate::intake::limits::TABLE;
use crate::intake::told::Sayings;
use crate::job::Progress;
use crate::job::request::Settled;
use crate::store::checks::PackedPart;
use crate::store::{Aside, Store};

/// Boards kept measured, so that judging again costs no measuring.
const KEPT: usize = 3;
/// Boards judged again at once.
const JUDGING: usize = 2;
/// Name of the file that hands the board's bytes over.
const SET: &str = "set";
/// Bytes of a guest's last words that are read.
const LAST_WORDS: u64 = 4096;

/// What a check gave.
#[derive(Debug)]
pub struct Done {
    /// Its parts in order.
    pub parts: Vec<PackedPart>,
    /// Their bytes, one after another.
    pub bytes: Bytes,
}

/// Why a check gave nothing.
#[derive(Debug)]
pub enum Ended {
    /// The guest, or what is kept, said why.
    Fault(Fault),
    /// The guest ended by itself.
    Crash(String),
}

impl From<Fault> for Ended {
    fn from(fault: Fault) -> Self {
        Self::Fault(fault)
    }
}

impl Ended {
    fn fault(self) -> Fault {
        match self {
            Self::Fault(fault) => fault,
            Self::Crash(why) => Fault::new(Kind::CouldNotBeChecked, format!("The program ended on this data: {why}.")),
        }
    }
}

/// The processes apart.
#[derive(Clone, Debug)]
pub struct Rooms {
    inner: Arc<Inner>,
}

type Key = (String, Sayings);
type Slot = Arc<Mutex<Option<Room>>>;

/// A room with its board, and when it was last asked for.
#[derive(Debug)]
struct Kept {
    key: Key,
    slot: Slot,
    used: Instant,
}

#[derive(Debug)]
struct Inner {
    program: PathBuf,
    limits: Limits,
    kept: PlainMutex<VecDeque<Kept>>,
    judging: Semaphore,
}

/// One process apart, with its board's bytes.
#[derive(Debug)]
struct Room {
    child: Child,
    input: ChildStdin,
    lines: Lines<BufReader<ChildStdout>>,
    last_words: JoinHandle<String>,
    folder: Aside,
    tasks: u64,
}

impl Rooms {
    /// Rooms in which `program` works.
    #[must_use]
    pub fn new(program: PathBuf, limits: Limits) -> Self {
        let judging = Semaphore::new(JUDGING);
        Self { inner: Arc::new(Inner { program, limits, kept: PlainMutex::default(), judging }) }
    }

    fn kept(&self) -> std::sync::MutexGuard<'_, VecDeque<Kept>> {
        self.inner.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The room of a board; the one that was not used for longest makes place for a new one.
    fn slot(&self, key: &Key) -> Slot {
        let mut kept = self.kept();
        let at = kept.iter().position(|k| k.key == *key);
        let slot = at.and_then(|at| kept.remove(at)).map_or_else(Slot::default, |k| k.slot);
        kept.push_back(Kept { key: key.clone(), slot: Arc::clone(&slot), used: Instant::now() });
        while kept.len() > KEPT {
            kept.pop_front();
        }
        slot
    }

    /// Forgets a board whose data set was deleted.
    pub fn forget(&self, data_set: &str) {
        self.kept().retain(|k| k.key.0 != data_set);
    }

    /// Forgets the boards that were not asked for in so long a time.
    pub fn forget_unused(&self, time: Duration) {
        self.kept().retain(|k| k.used.elapsed() < time);
    }

    /// Does a check; `tell` hears how far it is. Leaving the future ends the process.
    pub async fn check(
        &self,
        store: &Store,
        asked: &str,
        settled: &Settled,
        tell: &watch::Sender<Progress>,
    ) -> Result<Done, Ended> {
        let slot = self.slot(&settled.measured_by());
        let mut slot = slot.lock().await;
        // Taken out, so that a room left in the middle of a task is never used again.
        let mut room = match slot.take() {
            Some(room) => room,
            None => self.open(store, &settled.data_set).await?,
        };
        let seconds = self.inner.limits.seconds;
        let work = room.task(store, asked, settled, tell);
        let Ok(done) = tokio::time::timeout(Duration::from_secs(seconds), work).await else {
            let detail = format!("the limit \"seconds\" is {seconds}, and this check was not done by then.");
            return Err(Fault::new(Kind::TooSlow, detail).into());
        };
        match done {
            Ok(done) => {
                // The guest has it in memory now: no copy stays on the disk.
                let _ = tokio::fs::remove_file(room.folder.path.join(SET)).await;
                *slot = Some(room);
                Ok(done)
            }
            Err(None) => Err(room.ended(self.inner.limits.memory).await),
            Err(Some(fault)) => Err(fault.into()),
        }
    }

    /// Judges a measured board again.
    pub async fn judge(&self, store: &Store, asked: &str, settled: &Settled) -> Outcome<Done> {
        let _turn = self.inner.judging.acquire().await;
        let (tell, _) = watch::channel(Progress::of(crate::job::State::Running));
        self.check(store, asked, settled, &tell).await.map_err(Ended::fault)
    }

    async fn open(&self, store: &Store, data_set: &str) -> Outcome<Room> {
        let failed = |e: std::io::Error| Fault::storage("starting a process apart", &e);
        let folder = store.scratch.aside()?;
        let bytes = store.packed_set(data_set).await?;
        tokio::fs::write(folder.path.join(SET), bytes).await.map_err(failed)?;
        let mut limits = self.inner.limits;
        let mut command = Command::new(&self.inner.program);
        // No secret of the service's surroundings reaches it.
        command.env_clear().arg("apart");
        for row in TABLE {
            command.arg("--limit").arg(format!("{}={}", row.name, *(row.value)(&mut limits)));
        }
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).kill_on_drop(true);
        let mut child = command.spawn().map_err(failed)?;
        let (Some(input), Some(output), Some(errors)) = (child.stdin.take(), child.stdout.take(), child.stderr.take())
        else {
            return Err(Fault::new(Kind::Storage, "a process apart has no pipes"));
        };
        let last_words = tokio::spawn(async move {
            let mut text = Vec::new();
            let mut errors = errors;
            let _ = (&mut errors).take(LAST_WORDS).read_to_end(&mut text).await;
            // What comes after is thrown away, so that the guest is never held up by it.
            let _ = tokio::io::copy(&mut errors, &mut tokio::io::sink()).await;
            String::from_utf8_lossy(&text).into_owned()
        });
        let lines = BufReader::new(output).lines();
        Ok(Room { child, input, lines, last_words, folder, tasks: 0 })
    }
}

impl Room {
    /// Does one task. `None` as error: the guest ended by itself.
    async fn task(
        &mut self,
        store: &Store,
        asked: &str,
        settled: &Settled,
        tell: &watch::Sender<Progress>,
    ) -> Result<Done, Option<Fault>> {
        self.tasks += 1;
        let out = self.folder.path.join(format!("out-{}", self.tasks));
        let manifest = store.manifest(&settled.data_set).await.map_err(Some)?;
        let task = Task { set: self.folder.path.join(SET), manifest, asked: asked.to_owned(), out: out.clone() };
        let line = serde_json::to_string(&task).unwrap_or_default() + "\n";
        self.input.write_all(line.as_bytes()).await.map_err(|_| None)?;
        loop {
            let line = self.lines.next_line().await.ok().flatten().ok_or(None)?;
            match serde_json::from_str(&line) {
                Ok(Answer::Progress(progress)) => drop(tell.send_replace(progress)),
                Ok(Answer::Fault(problem)) => return Err(Some(problem.into_fault())),
                Ok(Answer::Done(parts)) => {
                    let read = tokio::fs::read(&out).await;
                    let bytes = read.map_err(|e| Some(Fault::storage("the outcome of a check", &e)))?;
                    let _ = tokio::fs::remove_file(&out).await;
                    return Ok(Done { parts, bytes: bytes.into() });
                }
                Err(_) => return Err(None),
            }
        }
    }

    /// Why a guest ended by itself.
    async fn ended(mut self, memory: u64) -> Ended {
        let _ = self.child.start_kill();
        let status = self.child.wait().await.map_or_else(|e| e.to_string(), |s| s.to_string());
        let words = self.last_words.await.unwrap_or_default();
        // What the standard library says when the system gives no more, for the heap or for a thread's stack.
        if ["memory allocation of", "failed to spawn thread"].iter().any(|said| words.contains(said)) {
            return over_memory(memory).into();
        }
        let last = words.lines().rfind(|l| !l.trim().is_empty()).unwrap_or_default().trim().to_owned();
        Ended::Crash(if last.is_empty() { status } else { format!("{status}; {last}") })
    }
}
