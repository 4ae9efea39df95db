//! The binary as scripts use it: output, formats, exit codes.

mod small_board;

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;
use small_board::{Folder, GAP_UM};

fn landgap(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_landgap")).args(arguments).output().unwrap()
}

fn path(path: &Path) -> &str {
    path.to_str().unwrap()
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("no signal ended it")
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

#[test]
fn a_board_with_a_tight_gap_fails_and_says_where() {
    let folder = Folder::new("gap").with_board();
    let run = landgap(&["check", path(&folder.0)]);
    assert_eq!(code(&run), 1, "{}", err(&run));
    assert!(out(&run).contains("tight-gap") && out(&run).contains("0.060 mm measured / 0."), "{}", out(&run));
    assert!(out(&run).contains("not an approval"), "the cautions are printed");
    assert!(!out(&run).contains("reading files"), "progress goes to standard error");
    let again = landgap(&["check", path(&folder.0)]);
    assert_eq!(run.stdout, again.stdout, "the same data give the same bytes");
}

#[test]
fn folder_zip_and_files_are_the_same_data() {
    let folder = Folder::new("same").with_board();
    let packed = Folder::new("same-zip");
    let zip = packed.write("board.zip", small_board::zip());
    let files: Vec<std::path::PathBuf> = small_board::files().iter().map(|(n, _)| folder.0.join(n)).collect();
    let mut arguments = vec!["check", "--format", "json"];
    arguments.extend(files.iter().map(|f| path(f)));
    let by_files = json(&landgap(&arguments));
    let by_folder = json(&landgap(&["check", path(&folder.0), "--format", "json"]));
    let by_zip = json(&landgap(&["check", path(&zip), "--format", "json"]));
    assert_eq!(by_files, by_folder);
    assert_eq!(by_zip, by_folder);
}

#[test]
fn the_report_holds_to_its_schema_and_its_words() {
    let folder = Folder::new("schema").with_board();
    let report = json(&landgap(&["check", path(&folder.0), "--format", "json"]));
    let schema: Value = serde_json::from_str(landgap_server::wire::SCHEMA).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    let faults: Vec<String> = validator.iter_errors(&report).map(|e| format!("{}: {e}", e.instance_path)).collect();
    assert!(faults.is_empty(), "{faults:#?}");
    let query = report["queries"].as_array().unwrap().iter().find(|q| q["rule"] == "tight-gap").unwrap();
    let off = (query["measured_um"].as_f64().unwrap() - GAP_UM).abs();
    assert!(off <= 0.5 && off <= query["uncertainty_um"].as_f64().unwrap(), "{off} µm off the drawn gap");
    assert_eq!(query["count"].as_u64().map(|c| c as usize), query["places"].as_array().map(Vec::len));
    let places = query["places"].as_array().unwrap();
    let values: Vec<f64> = places.iter().filter_map(|p| p["measured_um"].as_f64()).collect();
    assert!(values.is_sorted(), "worst first: {values:?}");
    assert_eq!(report["board"]["width_um"], 20_000);
    assert_eq!(report["board"]["holes"]["plated"], 2);
    let keys: Vec<&String> = report.as_object().unwrap().keys().collect();
    let ours = [
        "landgap",
        "report",
        "data",
        "board",
        "measured",
        "capability",
        "assumptions",
        "ran",
        "queries",
        "covered",
        "verdict",
        "cautions",
    ];
    let order: Vec<usize> = ours.iter().map(|k| keys.iter().position(|n| n == k).unwrap()).collect();
    assert!(order.is_sorted(), "{keys:?}");
}

#[test]
fn no_number_has_more_than_three_decimals() {
    let folder = Folder::new("decimals").with_board();
    let text = landgap(&["facts", path(&folder.0)]);
    assert_eq!(code(&text), 0, "{}", err(&text));
    fn walk(value: &Value, key: &str) {
        match value {
            Value::Number(n) if key.ends_with("_um") => {
                let decimals = n.to_string().split_once('.').map_or(0, |(_, d)| d.len());
                assert!(decimals <= 3, "{key}: {n}");
            }
            Value::Array(list) => list.iter().for_each(|v| walk(v, key)),
            Value::Object(map) => map.iter().for_each(|(k, v)| walk(v, k)),
            _ => {}
        }
    }
    let sheet = json(&text);
    walk(&sheet, "");
    assert!(!sheet["facts"].as_array().unwrap().is_empty());
}

#[test]
fn the_threshold_decides_the_exit_code() {
    let folder = Folder::new("threshold").with_board();
    let report = json(&landgap(&["check", path(&folder.0), "--format", "json"]));
    for (threshold, counted) in
        [("stop", vec!["stop"]), ("ask", vec!["stop", "ask"]), ("note", vec!["stop", "ask", "note"])]
    {
        let expected = counted.iter().any(|s| report["verdict"][s].as_u64() > Some(0));
        let run = landgap(&["check", path(&folder.0), "--fail-on", threshold]);
        assert_eq!(code(&run), i32::from(expected), "{threshold}: {}", report["verdict"]);
    }
}

#[test]
fn every_format_is_well_formed() {
    let folder = Folder::new("formats").with_board();
    let run = |format: &str| landgap(&["check", path(&folder.0), "--format", format]);
    let sarif = json(&run("sarif"));
    assert_eq!(sarif["version"], "2.1.0");
    let results = sarif["runs"][0]["results"].as_array().unwrap();
    let rules = sarif["runs"][0]["tool"]["driver"]["rules"].as_array().unwrap();
    for result in results {
        assert_eq!(rules[result["ruleIndex"].as_u64().unwrap() as usize]["id"], result["ruleId"]);
        assert!(["note", "warning", "error"].contains(&result["level"].as_str().unwrap()));
        assert!(!result["message"]["text"].as_str().unwrap().is_empty());
    }
    assert!(results.iter().any(|r| r["ruleId"] == "tight-gap"));
    let junit = run("junit");
    assert!(out(&junit).starts_with("<?xml") && out(&junit).contains("<failure message="));
    assert_eq!(out(&junit).matches("<testcase").count(), out(&junit).matches("</testcase>").count());
    let csv = run("csv");
    let columns = out(&csv).lines().next().unwrap().split(',').count();
    assert_eq!(columns, 17);
    assert!(out(&csv).contains("tight-gap") && out(&csv).ends_with("\r\n"));
    let html = run("html");
    assert!(
        out(&html).starts_with("<!doctype html>")
            && out(&html).contains("@page")
            && out(&html).contains("0.060 mm measured")
    );
    assert!(
        !out(&html).contains("http://")
            || out(&html).matches("http://").count() == out(&html).matches("http://www.w3.org/").count()
    );
}

#[test]
fn several_profiles_make_a_matrix() {
    let folder = Folder::new("matrix").with_board();
    let arguments = ["check", path(&folder.0), "--capability", "standard", "--capability", "advanced"];
    let text = landgap(&arguments);
    assert!(out(&text).contains("CAPABILITY PROFILES SIDE BY SIDE"), "{}", out(&text));
    let report = json(&landgap(&[&arguments[..], &["--format", "json"]].concat()));
    let names: Vec<&str> =
        report["matrix"].as_array().unwrap().iter().map(|r| r["capability"]["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["standard", "advanced"]);
    assert_eq!(report["least_demanding"], Value::Null, "a 60 µm gap is asked about with both");
    let form = landgap(&[&arguments[..], &["--format", "html"]].concat());
    assert_eq!(code(&form), 3);
}

#[test]
fn overlays_lie_over_one_another_and_the_query_names_the_file_that_set_its_limit() {
    let folder = Folder::new("overlay").with_board();
    let shop = Folder::new("overlay-files");
    let row = |copper: u32| format!("{{ copper = {copper}, preferred = 60, minimum = 55, special = 50 }}");
    let rows = format!("rows = [{}, {}]\n", row(12), row(18));
    let head = "name = \"fine gaps\"\nover = \"advanced\"\n[gap.outer]\nsource = \"trial of the shop\"\n";
    shop.write("process.toml", format!("{head}{rows}"));
    let part = shop.write("part.toml", "name = \"part\"\nover = \"process.toml\"\n");
    let lies = shop.write("circle.toml", "name = \"circle\"\nover = \"circle.toml\"\n");
    let lost = shop.write("lost.toml", "name = \"lost\"\nover = \"gone\"\n");

    let plain = json(&landgap(&["check", path(&folder.0), "--format", "json"]));
    let gap = |r: &Value| r["queries"].as_array().unwrap().iter().find(|q| q["rule"] == "tight-gap").cloned();
    let by = gap(&plain).expect("a tight gap")["required_by"].as_str().unwrap().to_owned();
    assert!(by.contains("(standard.toml, line "), "{by}");
    let fine = json(&landgap(&["check", path(&folder.0), "--format", "json", "--capability", path(&part)]));
    assert_eq!(gap(&fine), None, "60 µm passes where the process holds 60");

    let explained = landgap(&["capability", "explain", "gap.outer.18", "--capability", path(&part)]);
    assert!(out(&explained).contains("process.toml, line 5"), "{}", out(&explained));
    assert!(out(&explained).contains("trial of the shop"), "{}", out(&explained));
    assert_eq!(code(&landgap(&["capability", "lint", path(&part)])), 0);
    for (file, told) in [(&lies, "form a circle"), (&lost, "lost.toml")] {
        let run = landgap(&["capability", "lint", path(file)]);
        assert_eq!(code(&run), 3);
        assert!(err(&run).contains(told), "{}", err(&run));
    }
}

#[test]
fn out_writes_a_file_and_nothing_else() {
    let folder = Folder::new("out").with_board();
    let other = Folder::new("out-file");
    let target = other.0.join("report.json");
    let run = landgap(&["check", path(&folder.0), "--format", "json", "--out", path(&target)]);
    assert!(run.stdout.is_empty());
    let report: Value = serde_json::from_slice(&std::fs::read(&target).unwrap()).unwrap();
    assert_eq!(report["report"], 1);
}

#[test]
fn data_without_a_verdict_end_with_2() {
    let folder = Folder::new("unreadable");
    let empty = folder.write("empty.drl", "");
    let text = folder.write("letter.gbr", "Dear shop,\nplease find our board attached.\n");
    let broken = folder.write("board.zip", &small_board::zip()[..400]);
    let nothing = Folder::new("nothing");
    for (data, names) in [(&empty, "empty.drl"), (&text, "letter.gbr"), (&broken, "board.zip")] {
        let run = landgap(&["check", path(data)]);
        assert_eq!(code(&run), 2, "{names}: {}", err(&run));
        assert!(err(&run).contains(names) && run.stdout.is_empty(), "{}", err(&run));
    }
    assert_eq!(code(&landgap(&["check", path(&nothing.0)])), 2);
    assert_eq!(code(&landgap(&["check", path(&nothing.0.join("absent.zip"))])), 2);
    let holes = Folder::new("holes");
    let only_holes = small_board::files().into_iter().find(|(n, _)| n.ends_with(".drl")).unwrap();
    let file = holes.write(only_holes.0, only_holes.1);
    let run = landgap(&["check", path(&file)]);
    assert_eq!(code(&run), 2, "holes without copper: {}", out(&run));
    assert!(out(&run).contains("NO VERDICT IS POSSIBLE"));
}

#[test]
fn wrong_usage_profile_order_and_statements_end_with_3() {
    let folder = Folder::new("usage").with_board();
    let other = Folder::new("usage-files");
    let capability = other.write("ours.toml", "name = \"ours\"\nwidht = 3\n");
    let order = other.write("order.toml", "thickness_um = \"thick\"\n");
    let told = other.write("told.toml", "\"board-outline.gbr\" = \"edge\"\n");
    let data = path(&folder.0);
    let cases: [(&[&str], &str); 7] = [
        (&["check"], "DATA"),
        (&["chekc", data], "chekc"),
        (&["check", data, "--format", "doc"], "doc"),
        (&["check", data, "--capability", "none-such"], "none-such"),
        (&["check", data, "--capability", path(&capability)], "ours.toml"),
        (&["check", data, "--order", path(&order)], "order.toml"),
        (&["check", data, "--told", path(&told)], "edge"),
    ];
    for (arguments, names) in cases {
        let run = landgap(arguments);
        assert_eq!(code(&run), 3, "{arguments:?}: {}", err(&run));
        assert!(err(&run).contains(names), "{arguments:?}: {}", err(&run));
    }
    assert_eq!(code(&landgap(&["--help"])), 0);
    assert_eq!(code(&landgap(&["--version"])), 0);
}

#[test]
fn a_limit_ends_with_4() {
    let folder = Folder::new("bomb");
    let zip = folder.write("bomb.zip", bomb());
    let run = landgap(&["check", path(&zip)]);
    assert_eq!(code(&run), 4, "{}", err(&run));
    assert!(err(&run).contains("bomb.zip"));
}

/// 64 MiB of zeros in one entry.
fn bomb() -> Vec<u8> {
    use std::io::Write;
    let mut writer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    writer.start_file("zeros.gbr", zip::write::SimpleFileOptions::default()).unwrap();
    for _ in 0..64 {
        writer.write_all(&vec![0; 1 << 20]).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

#[test]
fn what_the_user_says_overrides() {
    let folder = Folder::new("told").with_board();
    let other = Folder::new("told-file");
    let told = other.write("told.toml", "\"board-mask-bottom.gbr\" = \"legend bottom\"\n");
    let report = json(&landgap(&["check", path(&folder.0), "--told", path(&told), "--format", "json"]));
    let files = report["data"]["files"].as_array().unwrap();
    let file = files.iter().find(|f| f["path"] == "board-mask-bottom.gbr").unwrap();
    assert_eq!((file["role"].as_str(), file["known_by"].as_str()), (Some("legend"), Some("told")));
}

#[test]
fn what_is_said_beside_the_data_holds_until_a_flag_says_otherwise() {
    let folder = Folder::new("told-beside").with_board();
    folder.write("told.toml", "\"board-mask-bottom.gbr\" = \"legend bottom\"\n");
    let role = |more: &[&str]| {
        let report = json(&landgap(&[&["check", path(&folder.0), "--format", "json"], more].concat()));
        let files = report["data"]["files"].as_array().unwrap().clone();
        let file = files.into_iter().find(|f| f["path"] == "board-mask-bottom.gbr").unwrap();
        assert_eq!(file["known_by"], "told");
        file["role"].as_str().unwrap().to_owned()
    };
    assert_eq!(role(&[]), "legend");
    assert_eq!(role(&["--tell", "board-mask-bottom.gbr=paste bottom"]), "paste");
}

#[test]
fn profiles_are_listed_shown_checked_and_explained() {
    let list = landgap(&["capability", "list"]);
    assert!(out(&list).contains("standard") && out(&list).contains("advanced"));
    let show = landgap(&["capability", "show", "standard"]);
    assert!(out(&show).contains("name = \"standard\""));
    for name in ["standard", "advanced"] {
        let lint = landgap(&["capability", "lint", name]);
        assert_eq!(code(&lint), 0, "{}", out(&lint));
    }
    let explain = landgap(&["capability", "explain", "gap.outer"]);
    assert!(out(&explain).contains("µm") && out(&explain).contains("source:"), "{}", out(&explain));
    assert_eq!(code(&landgap(&["capability", "explain", "moon"])), 3);
}
