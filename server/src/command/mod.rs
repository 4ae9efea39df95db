//! The command line.

pub mod answers;
pub mod args;
pub mod capability;
pub mod check;
pub mod compare;
pub mod keep;
pub mod output;
pub mod progress;
pub mod remarks;
pub mod send;
pub mod serve;
pub mod wording;

use std::process::ExitCode;

use clap::Parser;

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::Limits;
use args::{Args, Command};

/// Parses the arguments, runs, and gives the exit code.
#[must_use]
pub fn main() -> ExitCode {
    let args = match Args::try_parse() {
        Ok(args) => args,
        Err(e) => {
            let _ = e.print();
            return ExitCode::from(if e.use_stderr() { Kind::Usage.row().exit } else { 0 });
        }
    };
    // A panic is told once, as a fault, by the guard round the work; a service's log keeps its place too.
    std::panic::set_hook(Box::new(|info| tracing::error!("{info}")));
    let ended = crate::engine::guarded("running this command", || run(args.command)).and_then(|outcome| outcome);
    match ended {
        Ok(code) => ExitCode::from(code),
        Err(fault) => {
            eprintln!("landgap: {fault}");
            ExitCode::from(fault.exit())
        }
    }
}

fn run(command: Command) -> Outcome<u8> {
    match command {
        Command::Check(check) => check::run(&check),
        Command::Compare(asked) => compare::run(&asked),
        Command::Answers(answers) => answers::run(&answers),
        Command::Facts(facts) => check::facts(&facts),
        Command::Capability { action } => capability::run(&action),
        Command::Remarks(remarks) => remarks::run(&remarks),
        Command::Wording(wording) => wording::run(&wording),
        Command::Serve(serve) => runtime()?.block_on(serve::run(&serve)),
        Command::Work(work) => runtime()?.block_on(serve::work(&work)),
        Command::Admin(admin) => runtime()?.block_on(keep::admin(&admin)),
        Command::Backup(backup) => runtime()?.block_on(keep::backup(&backup)),
        Command::Restore(backup) => runtime()?.block_on(keep::restore(&backup)),
        Command::Apart(apart) => crate::apart::guest::run(&Limits::with(&apart.limit)?),
        Command::Send(send) => runtime()?.block_on(send::run(&send)),
    }
}

fn runtime() -> Outcome<tokio::runtime::Runtime> {
    tokio::runtime::Runtime::new().map_err(|e| Fault::new(Kind::CouldNotBeChecked, format!("starting threads: {e}.")))
}
