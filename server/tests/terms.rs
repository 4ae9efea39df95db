//! Wording, permissions and accepted departures on the command line.

mod small_board;

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use small_board::Folder;

fn landgap(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_landgap")).args(arguments).output().unwrap()
}

fn path(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn out(output: &Output) -> &str {
    std::str::from_utf8(&output.stdout).unwrap()
}

fn err(output: &Output) -> &str {
    std::str::from_utf8(&output.stderr).unwrap()
}

fn json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {} {}", out(output), err(output)))
}

/// The small board with its track moved so that 95 µm are left: an ask in the standard profile, no stop.
fn board(name: &str) -> Folder {
    let folder = Folder::new(name);
    for (file, text) in small_board::files() {
        folder.write(file, text.replace("X5760000", "X5795000"));
    }
    folder
}

const ORDER: &str =
    "customer = \"Tarn Row\"\npart = \"TR-20\"\nrevision = \"B\"\nnumber = \"4711\"\nanswer_by = 2026-07-01\n";

const ACCEPTED: &str = "[[departure]]\nid = \"D1\"\nrule = \"tight-gap\"\nfloor_um = 90\npart = \"TR-20\"\n\
    answer = \"Accepted with the rejects it brings\"\npicture = \"figure-1.svg\"\naccepted_by = \"I. Brant\"\n\
    accepted_on = 2026-01-10\nuntil = 2026-12-31\n";

#[test]
fn an_accepted_departure_is_shown_as_covered_and_lets_the_run_pass() {
    let (data, files) = (board("covered"), Folder::new("covered-files"));
    let (order, accepted) = (files.write("order.toml", ORDER), files.write("accepted.toml", ACCEPTED));
    let run = |day: &str, format: &str| {
        landgap(&[
            "check",
            path(&data.0),
            "--order",
            path(&order),
            "--accepted",
            path(&accepted),
            "--on",
            day,
            "--format",
            format,
        ])
    };
    let report = json(&run("2026-06-01", "json"));
    let schema: Value = serde_json::from_str(landgap_server::wire::SCHEMA).unwrap();
    let faults: Vec<String> =
        jsonschema::validator_for(&schema).unwrap().iter_errors(&report).map(|e| e.to_string()).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    assert_eq!(report["covered"][0]["rule"], "tight-gap", "{report:#}");
    assert_eq!(report["covered"][0]["settled_by"]["id"], "D1");
    assert_eq!(report["covered"][0]["settled_by"]["floor_um"], 90);
    assert!(report["queries"].as_array().unwrap().iter().all(|q| q["rule"] != "tight-gap"));
    assert_eq!(report["ordered"]["part"], "TR-20");
    let text = run("2026-06-01", "text");
    assert!(out(&text).contains("ACCEPTED EARLIER (1)") && out(&text).contains("figure-1.svg"), "{}", out(&text));
    let form = run("2026-06-01", "html");
    assert!(out(&form).contains("Accepted earlier (1)") && out(&form).contains("TR-20, revision B"));
    let late = json(&run("2027-01-01", "json"));
    assert!(late["covered"].as_array().unwrap().is_empty());
    let open = late["queries"].as_array().unwrap().iter().find(|q| q["rule"] == "tight-gap").unwrap();
    assert!(open["reasons"].to_string().contains("ended on 2026-12-31"), "{}", open["reasons"]);
}

#[test]
fn a_permission_is_listed_in_the_change_log() {
    let (data, files) = (board("fix"), Folder::new("fix-files"));
    let permissions = files.write(
        "permissions.toml",
        "[[permission]]\nid = \"P7\"\nrule = \"tight-gap\"\ndo = \"The track is moved away from the land.\"\n\
         most_change_um = 20\ngiven_by = \"I. Brant\"\ngiven_on = 2026-01-10\n",
    );
    let arguments = ["check", path(&data.0), "--permissions", path(&permissions), "--format"];
    let report = json(&landgap(&[&arguments[..], &["json"]].concat()));
    assert_eq!(report["verdict"]["fix"], 1);
    let fixed = report["queries"].as_array().unwrap().iter().find(|q| q["severity"] == "fix").unwrap();
    assert_eq!((fixed["rule"].as_str(), fixed["settled_by"]["id"].as_str()), (Some("tight-gap"), Some("P7")));
    let form = landgap(&[&arguments[..], &["html"]].concat());
    assert!(out(&form).contains("Change log") && out(&form).contains("The track is moved away"));
}

#[test]
fn wording_is_shown_edited_and_used() {
    let (data, files) = (board("wording"), Folder::new("wording-files"));
    let list = landgap(&["wording"]);
    assert!(out(&list).lines().any(|l| l == "tight-gap") && out(&list).lines().any(|l| l == "answers"));
    let own = landgap(&["wording", "tight-gap"]);
    assert!(out(&own).starts_with("# tight-gap\n") && !out(&own).contains("```case"), "{}", out(&own));
    let folder = files.0.join("words");
    assert!(landgap(&["wording", "--out", path(&folder)]).status.success());
    let file = folder.join("tight-gap.md");
    let edited = std::fs::read_to_string(&file).unwrap().replacen("## Title\n\n", "## Title\n\nSqueezed: ", 1);
    std::fs::write(&file, edited).unwrap();
    let run = landgap(&["check", path(&data.0), "--wording", path(&folder)]);
    assert!(out(&run).contains("Squeezed: Copper of different nets"), "{} {}", out(&run), err(&run));
    std::fs::write(&file, "# tight-gap\n\n## Headline\n\nx\n").unwrap();
    let wrong = landgap(&["check", path(&data.0), "--wording", path(&folder)]);
    assert_eq!(wrong.status.code(), Some(3));
    assert!(err(&wrong).contains("tight-gap.md, line 3") && err(&wrong).contains("Headline"), "{}", err(&wrong));
}

#[test]
fn agreements_that_cannot_be_used_end_with_3() {
    let (data, files) = (board("agreement-usage"), Folder::new("agreement-usage-files"));
    let short = files.write("a.toml", ACCEPTED.replace("tight-gap", "short"));
    let good = files.write("b.toml", ACCEPTED);
    for (arguments, names) in [
        (["--accepted", path(&short), "--on", "2026-06-01"], "netlist"),
        (["--accepted", path(&good), "--on", "yesterday"], "yesterday"),
        (["--permissions", path(&good), "--on", "2026-06-01"], "departure"),
    ] {
        let run = landgap(&[&["check", path(&data.0)][..], &arguments].concat());
        assert_eq!(run.status.code(), Some(3), "{}", err(&run));
        assert!(err(&run).contains(names), "{}", err(&run));
    }
}
