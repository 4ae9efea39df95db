//! The side in the process apart.

use std::fs;
use std::io::{BufRead, BufWriter, Write};
use std::sync::mpsc;

use super::words::{Answer, Task};
use crate::engine::guarded;
use crate::fault::{Fault, Kind, Outcome};
use crate::intake::told::Sayings;
use crate::intake::{Limits, sha256};
use crate::job::Progress;
use crate::job::request::Taken;
use crate::job::work::{self, Known};
use crate::store::checks::PackedPart;

/// Does the tasks that come in on standard input until it ends.
pub fn run(limits: &Limits) -> Outcome<u8> {
    bound_memory(limits.memory);
    let (hand_on, tasks) = mpsc::channel::<String>();
    // Standard input ends when the host does, whatever ended it: then this process ends in the middle of its work.
    std::thread::spawn(move || {
        for line in std::io::stdin().lock().lines().map_while(Result::ok) {
            if hand_on.send(line).is_err() {
                break;
            }
        }
        std::process::exit(0);
    });
    let mut kept = None;
    for line in tasks {
        let done = guarded("doing this check", || one(&line, limits, &mut kept)).and_then(|done| done);
        say(&match done {
            Ok(parts) => Answer::Done(parts),
            Err(fault) => Answer::Fault(fault.problem()),
        });
    }
    Ok(0)
}

/// More than this is refused by the system, which ends this process and no other.
fn bound_memory(bytes: u64) {
    use rustix::process::{Resource, Rlimit, setrlimit};
    let _ = setrlimit(Resource::Data, Rlimit { current: Some(bytes), maximum: Some(bytes) });
    let _ = setrlimit(Resource::Core, Rlimit { current: Some(0), maximum: Some(0) });
}

/// The fault of a check that asks for more memory than it may have.
pub(super) fn over_memory(memory: u64) -> Fault {
    Fault::new(
        Kind::TooLarge,
        format!("the limit \"memory\" is {memory}, and this check asks for more; --limit memory=VALUE sets it higher"),
    )
}

type Kept = Option<((String, Sayings), Known)>;

fn one(line: &str, limits: &Limits, kept: &mut Kept) -> Outcome<Vec<PackedPart>> {
    let wrong = |e: serde_json::Error| Fault::new(Kind::CouldNotBeChecked, format!("a task that is none: {e}"));
    let task: Task = serde_json::from_str(line).map_err(wrong)?;
    let asked = Taken::read(&task.asked)?.settle(limits.reading)?;
    let watch = |stage| {
        say(&Answer::Progress(Progress::at(stage)));
        Ok(())
    };
    let key = asked.measured_by();
    if kept.as_ref().is_none_or(|(k, _)| *k != key) {
        *kept = None;
        let bytes = fs::read(&task.set).map_err(|e| match e.kind() {
            std::io::ErrorKind::OutOfMemory => over_memory(limits.memory),
            _ => Fault::storage("the data set", &e),
        })?;
        let set = task.manifest.unpack(&bytes)?;
        drop(bytes);
        *kept = Some((key, work::measured(set, &asked, &watch)?));
    }
    let Some((_, known)) = kept else { return Err(Fault::new(Kind::CouldNotBeChecked, "nothing was measured")) };
    let parts = work::parts(known, &asked, &watch)?;
    write(&task.out, &parts).map_err(|e| Fault::storage("the outcome of a check", &e))?;
    let packed =
        |(name, bytes): (String, Vec<u8>)| PackedPart { name, sha256: sha256(&bytes), bytes: bytes.len() as u64 };
    Ok(parts.into_iter().map(packed).collect())
}

fn write(out: &std::path::Path, parts: &[(String, Vec<u8>)]) -> std::io::Result<()> {
    let mut file = BufWriter::new(fs::File::create(out)?);
    for (_, bytes) in parts {
        file.write_all(bytes)?;
    }
    file.flush()
}

fn say(answer: &Answer) {
    let text = serde_json::to_string(answer).unwrap_or_default();
    // When nobody listens any more there is nothing left to do.
    let mut out = std::io::stdout().lock();
    if writeln!(out, "{text}").and_then(|()| out.flush()).is_err() {
        std::process::exit(0);
    }
}
