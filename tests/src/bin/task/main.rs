//! The repository's own errands: `cargo task start` and `cargo task test`.
//!
//! Both do all set-up a fresh machine needs; Rust and Node are expected to be there, nothing else.

mod fuzz;

use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

const HELP: &str = "\
usage: cargo task <errand>

  start   build everything, check the Tarn Row demo, run the service, print its address
  test    everything a change must pass: format, lints, page, all tests
  build   the page and the release binary
  page    the page only
  fuzz    [TARGET] [SECONDS]: search for input that breaks a reader's promises
  bench   measure reading, union and measuring, beside a baseline where its library is installed
";

fn main() -> ExitCode {
    let mut arguments = std::env::args().skip(1);
    let errand = arguments.next().unwrap_or_default();
    let rest: Vec<String> = arguments.collect();
    let done = match errand.as_str() {
        "start" => start(&rest),
        "test" => test(),
        "build" => build(),
        "page" => page(),
        "bench" => bench(),
        "fuzz" => fuzz::errand(&rest),
        _ => Err(HELP.to_string()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(reason) => {
            eprintln!("{reason}");
            ExitCode::FAILURE
        }
    }
}

fn start(rest: &[String]) -> Result<(), String> {
    build()?;
    let binary = target().join("release/landgap");
    let demo = root().join("corpus/tarn-row");
    let order = demo.join("order.toml");
    for board in ["buoy-logger", "buoy-logger-faults"] {
        println!("\n== the Tarn Row demo: {board} ==\n");
        let data = demo.join(board);
        let mut check = Command::new(&binary);
        check.arg("check").arg(&data).arg("--order").arg(&order);
        let status = check.status().map_err(|e| format!("could not run {}: {e}", binary.display()))?;
        if !matches!(status.code(), Some(0 | 1)) {
            return Err(format!("the demo check of {board} ended with {status}; expected 0 or 1"));
        }
    }
    run(Command::new(&binary).arg("serve").arg("--demo").arg(&demo).args(rest))
}

fn build() -> Result<(), String> {
    page()?;
    run(cargo().args(["build", "--release", "--locked", "-p", "landgap-server"]))
}

fn page() -> Result<(), String> {
    let web = root().join("web");
    run(npm().current_dir(&web).args(["ci", "--no-audit", "--no-fund"]))?;
    run(npm().current_dir(&web).args(["run", "build"]))
}

fn test() -> Result<(), String> {
    run(cargo().args(["fmt", "--all", "--check"]))?;
    page()?;
    run(npm().current_dir(root().join("web")).args(["run", "check"]))?;
    run(npm().current_dir(root().join("web")).args(["test"]))?;
    run(cargo().args(["clippy", "--workspace", "--all-targets", "--locked", "--", "-D", "warnings"]))?;
    browser()?;
    run(cargo().args(["test", "--workspace", "--locked"]))?;
    agreement()?;
    fuzz::short()?;
    run(cargo().args(["build", "--locked", "-p", "landgap-server"]))?;
    let binary = target().join("debug/landgap");
    run(npm().current_dir(root().join("web")).args(["run", "e2e"]).env("LANDGAP", binary))
}

/// Random scenes against GEOS, where that library is installed.
fn agreement() -> Result<(), String> {
    if !has_geos() {
        println!("skipped: the GEOS library (Debian's libgeos-dev) is not installed, so nothing is compared with it");
        return Ok(());
    }
    let test = ["test", "-p", "landgap-tests", "--locked", "--features", "baseline", "--test", "geos_agreement"];
    run(cargo().args(test))
}

fn has_geos() -> bool {
    Path::new("/usr/include/geos_c.h").exists()
}

fn bench() -> Result<(), String> {
    let mut command = cargo();
    command.args(["bench", "-p", "landgap-tests", "--locked"]);
    if has_geos() {
        command.args(["--features", "baseline"]);
    } else {
        println!("the GEOS library is not installed: benches run without the baseline beside them");
    }
    run(&mut command)
}

/// Browser journeys need Chromium; on Debian as root it is installed here.
fn browser() -> Result<(), String> {
    const PLACES: [&str; 3] = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];
    if std::env::var_os("CHROMIUM").is_some() || PLACES.iter().any(|p| Path::new(p).exists()) {
        return Ok(());
    }
    println!("Chromium is not installed; trying to install the package \"chromium\"");
    let installed = run(Command::new("apt-get").arg("update"))
        .and_then(|()| run(Command::new("apt-get").args(["install", "-y", "--no-install-recommends", "chromium"])));
    installed.map_err(|e| format!("{e}\nThe browser journeys need Chromium: install it, or set CHROMIUM to its path."))
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map_or_else(PathBuf::new, Path::to_path_buf)
}

/// Where cargo puts what it builds.
fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), |dir| root().join(dir))
}

fn cargo() -> Command {
    let mut command = Command::new(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()));
    command.current_dir(root());
    command
}

fn npm() -> Command {
    Command::new("npm")
}

fn run(command: &mut Command) -> Result<(), String> {
    let shown = format!("{command:?}").replace('"', "");
    println!("> {shown}");
    match command.status() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(format!("{shown}: {status}")),
        Err(e) => Err(format!("{shown}: {e}; is it installed?")),
    }
}
