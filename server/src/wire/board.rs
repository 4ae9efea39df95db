//! The board part of a report.

use landgap_parser::drill::HitShape;
use landgap_parser::kind::Kind;
use landgap_parser::limits::LIMIT_REACHED;
use landgap_rules::board::{Board as Placed, Hole, HolePlating, PlacedFile, Role};
use landgap_rules::capability::Capability;
use landgap_rules::check::Measured;
use landgap_rules::geometry::Bounds;

use super::groups;
use super::remark::remarks;
use super::report::{Board, File, Holes, Laid, Layer, Registration, Remark, UmPoint};
use super::um::Um;
use crate::fault::Kind as FaultKind;
use crate::intake::refused::Refused;
use crate::intake::{DataSet, sha256};

/// x and y of a point.
#[must_use]
pub const fn point(p: landgap_parser::Point) -> UmPoint {
    [Um(p.x), Um(p.y)]
}

/// Every file of the set with what it was found to be, and every entry that was left out.
#[must_use]
pub fn files(set: &DataSet, board: &Placed) -> Vec<File> {
    let each = set.files.iter().zip(&set.hashes);
    let taken = each.map(|(input, hash)| match board.files.iter().position(|p| p.path == input.path) {
        Some(at) => File { registration: registration(board, at), ..file(&board.files[at], &input.bytes, hash) },
        None => unplaced(&input.path, hash, input.bytes.len() as u64),
    });
    let mut all: Vec<File> = taken.chain(set.refused.iter().map(left_out)).collect();
    all.sort_by(|a, b| a.path.cmp(&b.path));
    all
}

/// How a file lies on the others; the worst where it was held against several.
fn registration(board: &Placed, file: usize) -> Option<Registration> {
    let own = board.registrations.iter().filter(|r| r.file as usize == file);
    let worst = own.min_by(|a, b| a.as_sent.share.total_cmp(&b.as_sent.share))?;
    Some(Registration {
        against: worst.against.clone(),
        points: worst.points,
        as_sent: laid(&worst.as_sent),
        better: worst.better.as_ref().map(laid),
        pure_shift: worst.pure_shift().is_some(),
    })
}

fn laid(way: &landgap_rules::board::Laid) -> Laid {
    // Six decimals of a factor are 0.1 µm on 100 mm; four of a share, one point in ten thousand.
    let rounded = |value: f64, decimals: i32| (value * 10f64.powi(decimals)).round() / 10f64.powi(decimals);
    Laid {
        mirrored: way.mirrored,
        turned_deg: u16::from(way.quarter_turns) * 90,
        scale: rounded(way.scale, 6),
        shift_um: point(way.shift),
        share: rounded(way.share, 4),
        max_um: way.residual.map(|r| Um(r.max)),
        rms_um: way.residual.map(|r| Um(r.rms)),
    }
}

/// An entry of which no byte was taken in.
fn left_out(refused: &Refused) -> File {
    let code = if refused.kind() == FaultKind::TooLarge { LIMIT_REACHED.id } else { &refused.code };
    let remark = Remark {
        code: code.to_owned(),
        severity: "error".to_owned(),
        line: 0,
        column: 0,
        text: refused.why.clone(),
        found: refused.why.clone(),
        expected: String::new(),
        action: refused.kind().row().advice.to_owned(),
        more: 0,
        excerpt: None,
        two_readings: Vec::new(),
    };
    File { role: Role::Other.word().to_owned(), remarks: vec![remark], ..unplaced(&refused.path, &sha256(&[]), 0) }
}

fn file(placed: &PlacedFile, bytes: &[u8], hash: &str) -> File {
    File {
        path: placed.path.clone(),
        sha256: hash.to_owned(),
        bytes: placed.bytes,
        kind: if placed.kind == Kind::Empty { "other" } else { placed.kind.word() }.to_owned(),
        role: placed.role.word().to_owned(),
        side: placed.side.map(|s| s.word().to_owned()),
        layer: placed.layer,
        span: placed.span.map(|(a, b)| [a, b]),
        known_by: placed.known_by.word().to_owned(),
        confidence: f64::from(placed.confidence) / 100.0,
        evidence: placed.evidence.clone(),
        runner_up: placed.runner_up.clone(),
        format: placed.format.clone(),
        registration: None,
        remarks: remarks(bytes, &placed.remarks),
    }
}

/// A file the placing did not speak of.
fn unplaced(path: &str, hash: &str, bytes: u64) -> File {
    File {
        path: path.to_owned(),
        sha256: hash.to_owned(),
        bytes,
        kind: "other".to_owned(),
        role: "unclear".to_owned(),
        side: None,
        layer: None,
        span: None,
        known_by: "content".to_owned(),
        confidence: 0.0,
        evidence: Vec::new(),
        runner_up: None,
        format: None,
        registration: None,
        remarks: Vec::new(),
    }
}

/// The board; thickness and tool sizes come from order and capability profile, where there is one.
#[must_use]
pub fn board(measured: &Measured, thickness: Option<i64>, capability: Option<&Capability>) -> Board {
    let edge = outline_box(measured);
    let known = !edge.is_empty();
    let facts = &measured.facts;
    Board {
        width_um: known.then_some(Um(edge.width())),
        height_um: known.then_some(Um(edge.height())),
        outline_um: known.then_some([point(edge.min), point(edge.max)]),
        area_mm2: known.then_some(round(facts.board_mm2)),
        copper_layers: measured.board.copper.len() as u32,
        outline: measured.board.outline.state.word().to_owned(),
        thickness_um: thickness.map(Um),
        nets: facts.net_names.len() as u32,
        holes: holes(&measured.board.holes, capability),
        hole_kinds: groups::holes(&measured.board.holes),
        features: groups::features(&measured.board),
        layers: facts.layers.iter().map(layer).collect(),
    }
}

fn layer(facts: &landgap_rules::fact::LayerFacts) -> Layer {
    Layer {
        layer: facts.layer,
        side: facts.side.word().to_owned(),
        copper_mm2: round(facts.copper_mm2),
        islands: facts.islands,
    }
}

/// The box round the outline's polygons.
#[must_use]
pub fn outline_box(measured: &Measured) -> Bounds {
    let mut all = Bounds::EMPTY;
    measured.geometry.outline.iter().flatten().for_each(|p| all.add(*p));
    all
}

/// Areas carry three decimals: more would be noise of the flattening.
fn round(mm2: f64) -> f64 {
    (mm2 * 1000.0).round() / 1000.0
}

fn holes(holes: &[Hole], capability: Option<&Capability>) -> Holes {
    let count = |plating| holes.iter().filter(|h| h.plating == plating).count() as u32;
    let slots = holes.iter().filter(|h| !matches!(h.shape, HitShape::Hole { .. })).count();
    Holes {
        plated: count(HolePlating::Plated),
        unplated: count(HolePlating::Unplated),
        unclear: count(HolePlating::Unclear),
        slots: slots as u32,
        smallest_finished_um: holes.iter().filter_map(|h| h.finished).min().map(Um),
        smallest_drilled_um: holes.iter().filter_map(|h| capability?.tool(h)).min().map(Um),
    }
}
