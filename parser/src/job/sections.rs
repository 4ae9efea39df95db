//! The sections of a job file, key by key.

use super::build::Build;
use super::json::Node;
use super::model::{
    DesignRules, FilePolarity, Job, LayerKind, ListedFile, Project, Rule, Side, Size, Specifications, StackLayer,
    Stated,
};
use super::{codes, function, path};

/// No board has more.
const MOST_LAYERS: u32 = 1000;

const RULES: [(&str, Rule); 6] = [
    ("PadToPad", Rule::PadToPad),
    ("PadToTrack", Rule::PadToTrack),
    ("TrackToTrack", Rule::TrackToTrack),
    ("MinLineWidth", Rule::LineWidth),
    ("TrackToRegion", Rule::TrackToRegion),
    ("RegionToRegion", Rule::RegionToRegion),
];

const KINDS: [(&str, LayerKind); 6] = [
    ("Legend", LayerKind::Legend),
    ("SolderPaste", LayerKind::Paste),
    ("SolderMask", LayerKind::Mask),
    ("Copper", LayerKind::Copper),
    ("Dielectric", LayerKind::Dielectric),
    ("Other", LayerKind::Other),
];

/// Reads all sections into the job.
pub(super) fn all(root: &Node, job: &mut Job, build: &mut Build) {
    const KEYS: [&str; 5] = ["Header", "GeneralSpecs", "DesignRules", "FilesAttributes", "MaterialStackup"];
    for (key, node) in build.members("the job file", root, &KEYS) {
        match key {
            "Header" => header(node, job, build),
            "GeneralSpecs" => specifications(node, &mut job.specifications, build),
            "DesignRules" => {
                for entry in build.list(key, node) {
                    job.design_rules.push(design_rules(entry, build));
                }
            }
            "FilesAttributes" => {
                for entry in build.list(key, node) {
                    file(entry, job, build);
                }
            }
            _ => {
                for entry in build.list(key, node) {
                    job.stack.push(stack_layer(entry, build));
                }
            }
        }
    }
}

fn header(node: &Node, job: &mut Job, build: &mut Build) {
    for (key, node) in build.members("Header", node, &["GenerationSoftware", "CreationDate"]) {
        if key == "CreationDate" {
            job.header.created = build.text(key, node);
            continue;
        }
        for (key, node) in build.members(key, node, &["Vendor", "Application", "Version"]) {
            let value = build.loose(key, node);
            match key {
                "Vendor" => job.header.vendor = value,
                "Application" => job.header.application = value,
                _ => job.header.version = value,
            }
        }
    }
}

fn specifications(node: &Node, out: &mut Specifications, build: &mut Build) {
    const KEYS: [&str; 12] = [
        "ProjectId",
        "Size",
        "LayerNumber",
        "BoardThickness",
        "Finish",
        "ImpedanceControlled",
        "EdgePlating",
        "Castellated",
        "EdgeConnector",
        "IPC-2221-Type",
        "IPC-6012-Class",
        "ViaProtection",
    ];
    for (key, node) in build.members("GeneralSpecs", node, &KEYS) {
        match key {
            "ProjectId" => out.project = project(node, build),
            "Size" => out.size = size(node, build),
            "LayerNumber" => out.layers = build.whole(key, node, MOST_LAYERS),
            "BoardThickness" => out.thickness = build.length(key, node, 1),
            "Finish" => out.finish = finish(node, build),
            "ImpedanceControlled" => out.impedance_controlled = build.truth(key, node),
            "EdgePlating" => out.edge_plating = build.truth(key, node),
            "Castellated" => out.castellated = build.truth(key, node),
            "EdgeConnector" => out.edge_connector = build.loose(key, node),
            "IPC-2221-Type" => out.ipc_2221_type = build.whole(key, node, 6),
            "IPC-6012-Class" => out.ipc_6012_class = build.loose(key, node),
            _ => out.via_protection = build.loose(key, node),
        }
    }
}

fn project(node: &Node, build: &mut Build) -> Project {
    let mut project = Project::default();
    for (key, node) in build.members("ProjectId", node, &["Name", "GUID", "Revision"]) {
        let value = build.loose(key, node);
        match key {
            "Name" => project.name = value,
            "GUID" => project.guid = value,
            _ => project.revision = value,
        }
    }
    project
}

fn size(node: &Node, build: &mut Build) -> Option<Stated<Size>> {
    let (mut x, mut y) = (None, None);
    for (key, node) in build.members("Size", node, &["X", "Y"]) {
        let value = build.length(key, node, 1);
        *(if key == "X" { &mut x } else { &mut y }) = value;
    }
    Some(Stated { value: Size { x: x?.value, y: y?.value }, place: node.place })
}

fn finish(node: &Node, build: &mut Build) -> Option<Stated<String>> {
    let finish = build.text("Finish", node)?;
    if finish.value.eq_ignore_ascii_case("none") {
        build.note(&codes::FINISH_NONE, node.place, "the finish \"None\"", "");
    }
    Some(finish)
}

fn design_rules(node: &Node, build: &mut Build) -> DesignRules {
    let mut keys = vec!["Layers"];
    keys.extend(RULES.map(|(key, _)| key));
    let mut rules = DesignRules { layers: None, least: Vec::new(), place: node.place };
    for (key, node) in build.members("DesignRules", node, &keys) {
        if let Some((_, rule)) = RULES.iter().find(|(k, _)| *k == key) {
            rules.least.extend(build.length(key, node, 0).map(|least| (*rule, least)));
        } else {
            let sides = [("Outer", Side::Outer), ("Inner", Side::Inner)];
            rules.layers = build.one_of(key, node, &sides).map(|s| s.value);
        }
    }
    rules
}

fn file(entry: &Node, job: &mut Job, build: &mut Build) {
    let (mut written, mut stated, mut polarity) = (None, None, None);
    for (key, node) in build.members("FilesAttributes", entry, &["Path", "FileFunction", "FilePolarity"]) {
        match key {
            "Path" => written = build.text(key, node),
            "FileFunction" => stated = build.text(key, node),
            _ => {
                let words = [("Positive", FilePolarity::Positive), ("Negative", FilePolarity::Negative)];
                polarity = build.one_of(key, node, &words);
            }
        }
    }
    let (Some(written), Some(function)) = (written, stated) else {
        build.note(&codes::ENTRY_INCOMPLETE, entry.place, "an entry without Path or FileFunction", "both");
        return;
    };
    let Some(path) = path::inside(&written.value) else {
        let found = format!("the path {}, which is not inside the set", super::text::show(written.value.as_bytes()));
        build.note(&codes::PATH_OUTSIDE, written.place, found, "a path relative to the job file, without leaving it");
        job.refused.push(written);
        return;
    };
    if !build.is_first(&path) {
        build.note(
            &codes::PATH_TWICE,
            written.place,
            format!("the path {} again", super::text::show(path.as_bytes())),
            "",
        );
        return;
    }
    let fields = function::fields(&function.value);
    if !function::is_known(&fields) {
        let found = format!("the file function {}", super::text::show(function.value.as_bytes()));
        build.note(&codes::VALUE_UNKNOWN, function.place, found, "a file function of the Gerber layer format, 5.6.3");
    }
    job.files.push(ListedFile { path, function, fields, polarity, place: entry.place });
}

fn stack_layer(entry: &Node, build: &mut Build) -> StackLayer {
    const KEYS: [&str; 8] =
        ["Type", "Color", "Thickness", "Material", "Name", "Notes", "DielectricConstant", "LossTangent"];
    let mut layer = StackLayer {
        kind: LayerKind::Other,
        colour: None,
        thickness: None,
        material: None,
        name: None,
        notes: None,
        dielectric_constant: None,
        loss_tangent: None,
        place: entry.place,
    };
    for (key, node) in build.members("MaterialStackup", entry, &KEYS) {
        match key {
            "Type" => layer.kind = build.one_of(key, node, &KINDS).map_or(LayerKind::Other, |k| k.value),
            "Color" => layer.colour = build.text(key, node),
            "Thickness" => layer.thickness = build.length(key, node, 0),
            "Material" => layer.material = build.text(key, node),
            "Name" => layer.name = build.text(key, node),
            "Notes" => layer.notes = build.text(key, node),
            "DielectricConstant" => layer.dielectric_constant = build.decimal(key, node),
            _ => layer.loss_tangent = build.decimal(key, node),
        }
    }
    layer
}
