//! Attributes: chapter 5; clauses stand in the files.

use super::harness::*;
use landgap_parser::Image;

#[track_caller]
fn attributes(id: &str, name: &str, remarks: &[&str]) -> Image {
    let art = load(id, &format!("5-attributes/{name}"));
    expect_said(id, &art, remarks);
    art.image
}

/// Name and fields of every file attribute, in order.
fn of_file(image: &Image) -> Vec<(&str, Vec<&str>)> {
    image.file_attributes.iter().map(|a| (a.name.as_str(), a.values.iter().map(String::as_str).collect())).collect()
}

/// Name and joined fields of one set of attributes.
fn of_set(image: &Image, set: u32) -> Vec<String> {
    image.attribute_sets[set as usize].iter().map(|a| format!("{}={}", a.name, a.values.join("|"))).collect()
}

fn of_objects(image: &Image) -> Vec<Vec<String>> {
    image.objects.iter().map(|o| of_set(image, o.attributes)).collect()
}

fn of_apertures(image: &Image) -> Vec<Vec<String>> {
    image.apertures.iter().map(|a| of_set(image, a.attributes)).collect()
}

// 5.6.2 to 5.6.9.
#[test]
fn a_001_file_attributes() {
    let image = attributes("A-001", "file-attributes", &[]);
    let found = of_file(&image);
    let wanted = [
        (".Part", vec!["Single"]),
        (".FileFunction", vec!["Copper", "L1", "Top", "Signal"]),
        (".FilePolarity", vec!["Positive"]),
        (".SameCoordinates", vec!["buoy"]),
        (".CreationDate", vec!["2024-05-17T09:30:00+02:00"]),
        (".GenerationSoftware", vec!["Tarn Row", "Board drawing", "1.0"]),
        (".ProjectId", vec!["Buoy", "6b2a1f0e-7c35-4d0a-9a51-3f4f2f6c1d20", "A"]),
    ];
    assert_eq!(found[..7], wanted, "A-001");
    assert!(found.len() == 8 && found[7].0 == ".MD5" && found[7].1[0].len() == 32, "A-001: {found:?}");
    assert_eq!(image.file_attribute(".FilePolarity"), Some(&["Positive".to_owned()][..]), "A-001");
}

/// 5.6.10, with what older and newer revisions call by these names.
const FUNCTIONS: [&str; 35] = [
    "ViaDrill|Ia",
    "BackDrill",
    "ComponentDrill|PressFit",
    "MechanicalDrill|Tooling",
    "CastellatedDrill",
    "OtherDrill|vent",
    "ComponentPad",
    "SMDPad|CuDef",
    "BGAPad|SMDef",
    "ConnectorPad",
    "HeatsinkPad",
    "ViaPad",
    "TestPad",
    "CastellatedPad",
    "FiducialPad|Global",
    "ThermalReliefPad",
    "WasherPad",
    "AntiPad",
    "OtherPad|spring",
    "Conductor",
    "EtchedComponent",
    "NonConductor",
    "CopperBalancing",
    "Border",
    "OtherCopper|mark",
    "ComponentMain",
    "ComponentOutline|Body",
    "ComponentPin",
    "Profile",
    "NonMaterial",
    "Material",
    "Other|ink",
    "CutOut",
    "Slot",
    "Cavity",
];

#[test]
fn a_002_aperture_functions() {
    let image = attributes("A-002", "aperture-functions", &[]);
    let wanted: Vec<Vec<String>> = FUNCTIONS.iter().map(|f| vec![format!(".AperFunction={f}")]).collect();
    assert_eq!(of_apertures(&image), wanted, "A-002");
}

// 5.3, 5.5: an aperture takes the dictionary as it stands at AD, for good; its objects show it.
#[test]
fn a_003_apertures_keep_their_own() {
    let image = attributes("A-003", "aperture-keeps-its-own", &[]);
    let wanted = [
        vec![".AperFunction=Conductor"],
        vec![".AperFunction=ViaPad", ".DrillTolerance=0.05|0.02"],
        vec![".DrillTolerance=0.05|0.02"],
        vec![],
    ];
    assert_eq!(of_apertures(&image), wanted, "A-003: apertures");
    assert_eq!(of_objects(&image), wanted, "A-003: objects");
}

// 5.5: TD does not reach file attributes (made plain in revision 2023.08).
#[test]
fn a_004_delete_spares_file_attributes() {
    let image = attributes("A-004", "delete-spares-file", &[]);
    assert_eq!(of_file(&image), [(".FileFunction", vec!["Legend", "Top"])], "A-004");
    assert_eq!(of_objects(&image), [Vec::<String>::new()], "A-004");
}

// 5.4, 5.6.13 to 5.6.15: an empty net is no net, N/C a net of one pad.
#[test]
fn a_005_object_attributes() {
    let image = attributes("A-005", "object-attributes", &[]);
    let own = ".AperFunction=ComponentPad";
    let wanted = [
        vec![own, ".C=U1", ".N=GND", ".P=U1|1|VSS"],
        vec![own, ".N=GND"],
        vec![own, ".N=SDA|SCL"],
        vec![own, ".N="],
        vec![own, ".N=N/C"],
        vec![own],
    ];
    assert_eq!(of_objects(&image), wanted, "A-005");
    let net = image.attribute(&image.objects[2], ".N");
    assert_eq!(net, Some(&["SDA".to_owned(), "SCL".to_owned()][..]), "A-005");
    assert_eq!(image.attribute(&image.objects[5], ".N"), None, "A-005");
}

// 5.3.1: a region has no aperture; it takes the aperture attributes of the dictionary.
#[test]
fn a_006_region_takes_the_dictionary() {
    let image = attributes("A-006", "region-takes-dictionary", &[]);
    assert_eq!(of_objects(&image), [vec![".AperFunction=CopperBalancing", ".N=GND"]], "A-006");
}

// Standard comments: 5.1.1 of revision 2024.05 (title known, text not at hand), the form as seen in use.
#[test]
fn a_007_in_comments() {
    let image = attributes("A-007", "in-comments", &[]);
    assert_eq!(of_file(&image), [(".FileFunction", vec!["Soldermask", "Top"])], "A-007");
    assert!(image.file_attributes[0].in_comment, "A-007");
    assert_eq!(of_objects(&image), [vec![".AperFunction=Material", ".C=R1"], vec![".AperFunction=Material"]], "A-007");
}

// Derived: what a real command says goes before what a comment says.
#[test]
fn a_008_command_over_comment() {
    let image = attributes("A-008", "command-over-comment", &[]);
    let wanted = [(".FileFunction", vec!["Paste", "Top"]), (".FilePolarity", vec!["Positive"])];
    assert_eq!(of_file(&image), wanted, "A-008");
    assert_eq!(of_objects(&image), [vec![".N=REAL"]], "A-008");
}

// 5.2.
#[test]
fn a_009_file_attribute_twice() {
    let image = attributes("A-009", "file-attribute-twice", &["warning artwork-attribute-twice"]);
    assert_eq!(of_file(&image), [(".FileFunction", vec!["Copper", "L1", "Top"])], "A-009");
}

// 5.6.1, 5.1: a leading dot is the standard's; names without are the user's.
#[test]
fn a_010_unknown_names() {
    let image = attributes("A-010", "unknown-standard-name", &["info artwork-attribute-unknown"]);
    assert_eq!(of_file(&image), [(".Unheard", vec!["1"]), ("Station", vec!["Tarn Row"])], "A-010");
}

// 3.4.3, 3.4.4.
#[test]
fn a_011_escapes() {
    let image = attributes("A-011", "escapes", &[]);
    assert_eq!(of_file(&image), [("Text", vec!["a,b", "%", "*", "\\", "µm", "\u{1F30A}", "höhe"])], "A-011");
}

// 5.1: a name is unique across TF, TA and TO.
#[test]
fn a_012_name_of_two_kinds() {
    attributes("A-012", "name-of-two-kinds", &["warning artwork-attribute-kind"]);
}

// 5.1, 4.10.1: no attribute command inside a region; it counts for what follows.
#[test]
fn a_013_inside_region() {
    let image = attributes("A-013", "inside-region", &["error artwork-region-command"]);
    assert_eq!(of_objects(&image), [Vec::<String>::new()], "A-013");
}

// 3.4.5.
#[test]
fn a_014_no_name() {
    let image = attributes("A-014", "malformed-name", &["error artwork-attribute-malformed"]);
    assert_eq!((image.file_attributes.len(), image.objects.len()), (0, 1), "A-014");
}

// 5.6.15.1, 5.6.12: names the standard knows raise nothing and keep their fields.
#[test]
fn a_015_a_016_components_and_text() {
    let image = attributes("A-015", "component-characteristics", &[]);
    let wanted = [
        ".C=R1",
        ".CFtp=0603",
        ".CHgt=0.5",
        ".CLbD=own library",
        ".CLbN=own",
        ".CMPN=TR-1",
        ".CMfr=Tarn Row",
        ".CMnt=SMD",
        ".CPgD=1.6 by 0.8",
        ".CPgN=Chip",
        ".CRot=90",
        ".CSup=Tarn Row|TR-1",
        ".CVal=10k",
    ];
    assert_eq!(of_objects(&image), [wanted], "A-015");
    let image = attributes("A-016", "flash-text", &[]);
    assert_eq!(of_objects(&image), [[".FlashText=TR-1|C|R|font|2|revision"]], "A-016");
}

// 5.3, 4.11: AB takes the dictionary like AD.
#[test]
fn a_017_block_takes_aperture_attributes() {
    let image = attributes("A-017", "block-takes-aperture-attributes", &[]);
    assert_eq!(flashes("A-017", &image), [at(5.0, 5.0)], "A-017");
    assert_eq!(of_objects(&image), [[".AperFunction=ComponentPad"]], "A-017");
}

// 5.6.3.
#[test]
fn a_020_to_a_030_file_functions() {
    let rows = [
        ("A-020", "copper-inner", "Copper|L2|Inr|Plane"),
        ("A-021", "plated", "Plated|1|4|PTH|Drill"),
        ("A-022", "non-plated", "NonPlated|1|4|NPTH|Mixed"),
        ("A-023", "profile", "Profile|NP"),
        ("A-024", "solder-mask", "Soldermask|Bot|1"),
        ("A-025", "paste", "Paste|Top"),
        ("A-026", "component", "Component|L1|Top"),
        ("A-027", "v-cut", "Vcut"),
        ("A-028", "via-fill", "Viafill"),
        ("A-029", "other-drawing", "OtherDrawing|stack-up"),
        ("A-030", "other", "Other|test marks"),
    ];
    for (id, name, wanted) in rows {
        let image = attributes(id, &format!("function-{name}"), &[]);
        assert_eq!(image.file_attribute(".FileFunction").map(|v| v.join("|")).as_deref(), Some(wanted), "{id}");
    }
}
