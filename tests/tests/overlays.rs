//! Profiles laid over one another: what is set, what is refused, and who set it.

use landgap_rules::capability::{Capability, EntryValue, FileError, least_demanding, lies_over};

const CUSTOMER: &str = r#"
name = "Tarn Row"
over = "standard"
about = "What Tarn Row and its shop agreed on."

[edge_copper.outer]
minimum = 300
preferred = 350
source = "agreement of the demo scenario"

[track.outer]
source = "agreement of the demo scenario"
rows = [
  { copper = 18, preferred = 150, minimum = 125, special = 100 },
  { copper = 25, preferred = 150, minimum = 128, special = 100 },
]
"#;

const PART: &str = r#"
name = "buoy logger"
over = "customer.toml"

[edge_copper.outer]
preferred = 400
source = "drawing note of the demo scenario"
"#;

fn standard() -> Capability {
    Capability::named("standard").expect("a profile that comes with the program")
}

fn both() -> Capability {
    let customer = standard().laid_over("customer.toml", CUSTOMER).expect("a sound overlay");
    customer.laid_over("part.toml", PART).expect("a sound overlay")
}

fn least(capability: &Capability, key: &str) -> [i64; 3] {
    let entry = capability.entries().into_iter().find(|e| e.key == key).expect("the key");
    match entry.value {
        EntryValue::Least(l) => [l.preferred, l.minimum, l.special],
        other => panic!("{key} is {other:?}"),
    }
}

#[test]
fn the_upper_file_wins_and_the_rest_stays() {
    let [ground, part] = [standard(), both()];
    assert_eq!(lies_over("part.toml", PART), Ok(Some("customer.toml".to_owned())));
    assert_eq!(part.name, "buoy logger");
    let below = least(&ground, "edge_copper.outer");
    assert_eq!(least(&part, "edge_copper.outer"), [400_000, 300_000, below[2]]);
    assert_eq!(least(&part, "track.outer.18"), [150_000, 125_000, 100_000]);
    assert_eq!(least(&part, "track.outer.25"), [150_000, 128_000, 100_000]);
    for key in ["track.outer.12", "track.outer.35", "edge_copper.inner", "web.film.green"] {
        assert_eq!(least(&part, key), least(&ground, key), "{key}");
    }
    let rows: Vec<String> =
        part.entries().into_iter().map(|e| e.key).filter(|k| k.starts_with("track.outer")).take(4).collect();
    assert_eq!(rows, ["track.outer.12", "track.outer.18", "track.outer.25", "track.outer.35"]);
    assert!(part.lint().is_empty(), "{:?}", part.lint());
}

#[test]
fn every_value_knows_the_file_and_line_that_set_it() {
    let part = both();
    let line = |text: &str, what: &str| text.lines().position(|l| l.contains(what)).expect("a line") as u32 + 1;
    let set = |key: &str| part.set_by(key).to_string();
    assert_eq!(set("edge_copper.outer"), format!("part.toml, line {}", line(PART, "preferred = 400")));
    assert_eq!(set("track.outer.18"), format!("customer.toml, line {}", line(CUSTOMER, "copper = 18")));
    assert!(set("edge_copper.inner").starts_with("standard.toml, line "));
    let worded = part.set_by_worded("track.outer at 18 µm base copper plus ring_class_3");
    assert_eq!(worded, part.set_by("track.outer.18"));
    assert_eq!(part.files(), ["standard.toml", "customer.toml", "part.toml"]);
}

#[test]
fn faulty_overlays_are_refused_with_their_place() {
    let fails = |text: &str| standard().laid_over("mine.toml", text).expect_err("a faulty overlay");
    let place = |e: &FileError| (e.file.clone(), e.line, e.key.clone());
    let unknown = fails("name = \"x\"\nover = \"standard\"\n[edge_copper.outer]\nminimun = 3\n");
    assert_eq!(place(&unknown), ("mine.toml".to_owned(), 4, "edge_copper.outer.minimun".to_owned()));
    assert!(unknown.text.contains("minimum"), "{unknown}");
    assert_eq!(fails("name = \"x\"\n[spare]\na = 1\n").key, "spare");
    assert_eq!(fails("over = \"standard\"\n").key, "name");
    let wrong = fails("name = \"x\"\n[tool.step]\nvalue = \"fifty\"\n");
    assert_eq!(place(&wrong), ("mine.toml".to_owned(), 3, "tool.step.value".to_owned()));
    let rowless = fails("name = \"x\"\n[gap.inner]\nrows = [{ preferred = 1 }]\n");
    assert!(rowless.text.contains("base copper"), "{rowless}");
    assert!(lies_over("mine.toml", "over = 3\n").expect_err("no name").text.contains("in quotes"));
}

#[test]
fn a_number_without_its_own_source_and_a_finer_thick_row_are_linted() {
    let bare =
        standard().laid_over("bare.toml", "name = \"bare\"\n[edge_copper.outer]\nminimum = 245\n").expect("readable");
    let remarks = bare.lint();
    assert_eq!(remarks.len(), 1, "{remarks:?}");
    assert_eq!(
        (remarks[0].file.as_str(), remarks[0].line, remarks[0].key.as_str()),
        ("bare.toml", 3, "edge_copper.outer")
    );
    let row = "name = \"fine\"\n[gap.outer]\nsource = \"here\"\nrows = [{ copper = 70, preferred = 90, minimum = 80, special = 70 }]\n";
    let remarks = standard().laid_over("fine.toml", row).expect("readable").lint();
    assert!(remarks.iter().any(|r| r.file == "fine.toml" && r.text.contains("never finer")), "{remarks:?}");
}

#[test]
fn the_least_demanding_of_several_is_the_one_that_is_nowhere_finer() {
    let [plain, fine] = ["standard", "advanced"].map(|n| Capability::named(n).expect("a profile of the program"));
    assert_eq!(least_demanding(&[&fine, &plain]).map(|c| c.name.as_str()), Some("standard"));
    assert!(plain.is_nowhere_finer_than(&fine) && !fine.is_nowhere_finer_than(&plain));
    let mixed = fine
        .laid_over(
            "mixed.toml",
            "name = \"mixed\"\n[edge_copper.outer]\npreferred = 900\nminimum = 800\nsource = \"here\"\n",
        )
        .expect("a sound overlay");
    assert_eq!(least_demanding(&[&plain, &mixed]).map(|c| c.name.as_str()), None, "each is finer somewhere");
}
