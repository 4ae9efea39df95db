//! Fuzzing: each target searches for input that breaks what its reader promises.

use std::path::{Path, PathBuf};

use crate::{cargo, root, run, target};

/// Every target, as `tests/fuzz/targets/` has them.
const TARGETS: [&str; 5] = ["artwork", "drill", "netlist", "job", "set"];
const VERSION: &str = "0.13.2";
/// Inputs each target tries as part of the tests; the same ones every time, so that a change is judged alike.
const SHORT: [u64; 5] = [4_000, 2_000, 10_000, 10_000, 400];
/// Seconds a target runs when asked for by name.
const LONG: u64 = 600;

/// `cargo task fuzz [TARGET] [SECONDS]`.
pub fn errand(rest: &[String]) -> Result<(), String> {
    let (targets, rest) = match rest.split_first() {
        Some((name, rest)) if TARGETS.contains(&name.as_str()) => (vec![name.as_str()], rest),
        _ => (TARGETS.to_vec(), rest),
    };
    let seconds = match rest {
        [] => LONG,
        [text] => text.parse().map_err(|_| wrong(text))?,
        [_, more, ..] => return Err(wrong(more)),
    };
    each(&targets, seconds)
}

fn wrong(text: &str) -> String {
    format!("\"{text}\" is neither a target ({}) nor a number of seconds", TARGETS.join(", "))
}

/// The short run every change must pass.
pub fn short() -> Result<(), String> {
    installed()?;
    let fixed = |runs: &u64| vec!["-seed=1".to_owned(), format!("-runs={runs}"), "-timeout=60".to_owned()];
    TARGETS.iter().zip(&SHORT).try_for_each(|(name, runs)| one(name, &fixed(runs)))
}

fn each(targets: &[&str], seconds: u64) -> Result<(), String> {
    installed()?;
    let timed = [format!("-max_total_time={seconds}"), "-timeout=10".to_owned()];
    targets.iter().try_for_each(|name| one(name, &timed))
}

/// Installs cargo-fuzz where it is missing; without it this errand fails rather than pass unseen.
fn installed() -> Result<(), String> {
    let there = cargo().args(["fuzz", "--version"]).output().is_ok_and(|o| o.status.success());
    if there {
        return Ok(());
    }
    println!("cargo-fuzz is not installed; installing version {VERSION}");
    run(cargo().args(["install", "cargo-fuzz", "--locked", "--version", VERSION]))
        .map_err(|e| format!("{e}\nFuzzing needs cargo-fuzz: install it, then run this errand again."))
}

fn one(name: &str, until: &[String]) -> Result<(), String> {
    let home = root().join("tests/fuzz");
    let build = target().join("fuzz");
    let found = build.join("corpus").join(name);
    let broken = build.join("broken").join(name);
    for folder in [&found, &broken] {
        std::fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    }
    let mut command = cargo();
    // The crates forbid unsafe code, so the search needs no sanitizer and runs on the pinned toolchain.
    command.args(["fuzz", "run", "--sanitizer", "none", "--fuzz-dir"]).arg(&home);
    command.arg("--target-dir").arg(&build).arg(name).arg(&found);
    command.args(seeds(&home, name));
    command.arg("--").args(["-rss_limit_mb=1024", "-max_len=4096"]).args(until);
    command.arg(format!("-dict={}", home.join("dictionaries").join(name).with_extension("dict").display()));
    command.arg(format!("-artifact_prefix={}/", broken.display()));
    run(&mut command).map_err(|e| {
        format!(
            "{e}\nWhere an input broke a promise it lies in {}: fix the reader, then keep the input \
                 with a telling name in tests/fuzz/regressions/{name}/.",
            broken.display()
        )
    })
}

/// Folders of inputs to start from; what is found does not go into them.
fn seeds(home: &Path, name: &str) -> Vec<PathBuf> {
    let folders = ["corpus", "regressions"].map(|part| home.join(part).join(name));
    folders.into_iter().filter(|f| f.is_dir()).collect()
}
