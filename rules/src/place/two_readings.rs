//! Files that can be read in two ways, where that changes what is made.

use landgap_parser::{Remark, TwoReadings};

use crate::board::{Board, Doubt, Role, Source};

/// Differences below this are not worth a question: a hundredth of a square millimetre (common practice, no source).
const LEAST_NM2: u64 = 10_000_000_000;
/// Slivers thinner than a micrometre neither print nor etch (Gerber layer format 4.14.2).
const LEAST_THICK: i64 = 1_000;

/// An arc with ends very near each other: the standard says that it is the short way, so it is told, not asked.
const SHORT_ARC: &str = "artwork-arc-short";

/// A program that leaves the last side of its contours out does so all over the file; readers close them alike.
const OPEN: &str = "artwork-contour-open";
/// So many further contours left open are a habit (common practice, no source).
const HABIT: u32 = 4;

/// One doubt for each remark with places that matter.
pub(super) fn doubts(board: &mut Board) {
    let made = |role| matches!(role, Role::Copper | Role::Mask | Role::Outline) || super::guess::is_holes(role);
    let files = board.files.iter().enumerate().filter(|(_, f)| made(f.role));
    let found: Vec<Doubt> =
        files.flat_map(|(i, f)| f.remarks.iter().filter_map(move |r| doubt(i, &f.path, r))).collect();
    board.doubts.extend(found);
}

fn doubt(file: usize, path: &str, remark: &Remark) -> Option<Doubt> {
    let matters = |r: &&TwoReadings| r.differ_nm2 >= LEAST_NM2 && r.thick >= LEAST_THICK;
    let places: Vec<&TwoReadings> = remark.two_readings.iter().filter(matters).collect();
    if remark.code.id == SHORT_ARC || (remark.code.id == OPEN && remark.more >= HABIT) {
        return None;
    }
    let worst = places.iter().max_by_key(|r| r.differ_nm2)?;
    let (taken, other) = phrases(remark.code.id);
    let (as_read, otherwise) = match worst.areas_nm2 {
        Some((a, b)) => (format!(" ({} mm²)", mm2(a)), format!(" ({} mm²)", mm2(b))),
        None => (String::new(), format!(" ({} mm² differ)", mm2(worst.differ_nm2))),
    };
    Some(Doubt {
        rule: "two-readings",
        seen: format!(
            "{path} holds {}; on line {} its two readings differ by {} mm²",
            remark.found.split(" at (").next().unwrap_or_default(),
            worst.line,
            mm2(worst.differ_nm2)
        ),
        reasons: vec![format!("{path}, line {}: {}", remark.place.line, remark.found)],
        sources: places.iter().map(|r| Source { file: file as u32, line: r.line }).collect(),
        places: places.iter().map(|r| r.at).collect(),
        readings: vec![format!("{taken}{as_read}"), format!("{other}{otherwise}")],
    })
}

/// What was done, and what else may have been meant.
fn phrases(code: &str) -> (&'static str, &'static str) {
    match code {
        "artwork-contour-open" => {
            ("the contour is closed with a straight line", "the contour is closed otherwise, or not filled")
        }
        "artwork-contour-circle" => ("the arc is a full circle", "the arc is a dot"),
        "artwork-region-polarity" => ("the region has the polarity set before it", "the region has the other polarity"),
        "artwork-region-no-move" => {
            ("the contour starts at the point before it", "the contour starts at its first draw")
        }
        id if id.starts_with("artwork-contour") => {
            ("all that the contour goes round is filled", "what it goes round twice or the wrong way is left free")
        }
        "artwork-arc-no-radius" | "artwork-arc-nonsense" | "artwork-arc-in-line" | "artwork-arc-no-quadrant" => {
            ("a straight line stands for the arc", "an arc takes its course")
        }
        _ => ("the arc runs as we drew it", "the arc takes its other course"),
    }
}

fn mm2(nm2: u64) -> String {
    format!("{:.3}", nm2 as f64 / 1e12)
}
