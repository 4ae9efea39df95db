//! A comparison of two data sets as plain text.

use std::fmt::Write;

use super::text::table;
use crate::wire::compared::{Compared, HoleRow, LayerRow, QueryRow};
use crate::wire::report::UmPoint;
use crate::wire::um::{Um, mm};

/// Regions and holes shown; the JSON has all of them.
const SHOWN: usize = 20;

/// The comparison for people: queries first, then what else changed.
#[must_use]
pub fn print(c: &Compared) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "Old: {}", c.old.id);
    let _ = writeln!(out, "New: {}", c.new.id);
    let _ = writeln!(
        out,
        "Laid over each other by {} ({} of {} holes and lands meet)\n",
        at(c.shift_um),
        c.met[0],
        c.met[1]
    );
    queries(&mut out, &c.queries);
    elsewhere(&mut out, c);
    let _ = writeln!(out, "PLEASE NOTE");
    c.cautions.iter().for_each(|line| _ = writeln!(out, "  - {line}"));
    out
}

fn queries(out: &mut String, rows: &[QueryRow]) {
    let _ = writeln!(out, "QUERIES");
    if rows.is_empty() {
        let _ = writeln!(out, "  Neither set asks anything.");
    }
    for row in rows {
        let number = match (row.old, row.new.as_slice()) {
            (Some(old), []) => format!("old {old}"),
            (Some(old), new) => format!("old {old}, new {}", joined(new)),
            (None, new) => format!("new {}", joined(new)),
        };
        let covered = if row.covered { ", covered by an accepted departure" } else { "" };
        let _ = writeln!(out, "  {} ({number}{covered}): {}", row.became.to_uppercase(), row.title);
        let mut facts = Vec::new();
        if row.severity_old != row.severity_new {
            let word = |s: &Option<String>| s.clone().unwrap_or_else(|| "nothing".to_owned());
            facts.push(format!("{} before, {} now", word(&row.severity_old), word(&row.severity_new)));
        }
        match (row.measured_old_um, row.measured_new_um) {
            (Some(a), Some(b)) => facts.push(format!("{} mm before, {} mm now", mm(a), mm(b))),
            (Some(a), None) => facts.push(format!("{} mm before", mm(a))),
            (None, Some(b)) => facts.push(format!("{} mm", mm(b))),
            (None, None) => {}
        }
        for (count, word) in [(row.places_kept, "still there"), (row.places_gone, "gone"), (row.places_new, "new")] {
            if count > 0 {
                facts.push(format!("{} {word}", super::words::count(count as usize, "place")));
            }
        }
        facts.extend(row.at_um.map(|p| format!("at {}", at(p))));
        if !facts.is_empty() {
            let _ = writeln!(out, "    {}", facts.join("; "));
        }
    }
    out.push('\n');
}

fn joined(numbers: &[u32]) -> String {
    numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

/// What changed, first what nobody asked for.
fn elsewhere(out: &mut String, c: &Compared) {
    let head = match c.unasked {
        0 => "WHAT ELSE CHANGED: nothing beyond what was asked".to_owned(),
        n => format!("WHAT ELSE CHANGED: {} that nobody asked for", super::words::count(n as usize, "change")),
    };
    let _ = writeln!(out, "{head}");
    part(out, c, false);
    out.push('\n');
    let _ = writeln!(out, "WHAT CHANGED WHERE SOMETHING WAS ASKED");
    part(out, c, true);
    out.push('\n');
    if !c.unchanged.is_empty() {
        let _ = writeln!(out, "UNCHANGED: {}\n", c.unchanged.join(", "));
    }
    for (word, files) in [("added", &c.files.added), ("removed", &c.files.removed), ("changed", &c.files.changed)] {
        if !files.is_empty() {
            let _ = writeln!(out, "Files {word}: {}", files.join(", "));
        }
    }
    out.push('\n');
}

fn part(out: &mut String, c: &Compared, asked: bool) {
    for layer in &c.layers {
        regions(out, layer, asked);
    }
    let rows: Vec<&HoleRow> = c.holes.iter().filter(|h| h.asked == asked).collect();
    let cells = rows.iter().take(SHOWN).map(|h| {
        let size = h.finished_um.map_or_else(|| "no size".to_owned(), |s| format!("{} mm", mm(s)));
        let before = h.before.as_ref().map_or_else(String::new, |b| format!("before: {b}"));
        vec![format!("hole {}", h.changed), at(h.at_um), size, h.plating.clone(), before]
    });
    out.push_str(&table(&cells.collect::<Vec<_>>()));
    more(out, rows.len(), "hole");
    for net in c.nets.iter().filter(|n| n.asked == asked) {
        let parts = net.parts.join(", ");
        let _ = match net.changed.as_str() {
            "split" => writeln!(out, "  Net {} is split into {parts}; lands at {}", net.whole, places(&net.at_um)),
            _ => writeln!(out, "  Nets {parts} are joined to {}; lands at {}", net.whole, places(&net.at_um)),
        };
    }
}

fn regions(out: &mut String, layer: &LayerRow, asked: bool) {
    if layer.present != "both" && layer.asked == asked {
        let _ = writeln!(out, "  {} is only in the {} set", layer.layer, layer.present);
    }
    let rows: Vec<_> = layer.regions.iter().filter(|r| r.asked == asked).collect();
    let cells = rows.iter().take(SHOWN).map(|r| {
        let size = |i: usize| Um(r.box_um[1][i].0 - r.box_um[0][i].0);
        vec![
            layer.layer.clone(),
            format!(
                "x {} to {}, y {} to {} mm",
                mm(r.box_um[0][0]),
                mm(r.box_um[1][0]),
                mm(r.box_um[0][1]),
                mm(r.box_um[1][1])
            ),
            format!("{} × {} mm", mm(size(0)), mm(size(1))),
            format!("{:.4} mm² came, {:.4} mm² went", r.added_mm2, r.removed_mm2),
        ]
    });
    out.push_str(&table(&cells.collect::<Vec<_>>()));
    more(out, rows.len(), "region");
}

fn more(out: &mut String, count: usize, one: &str) {
    if count > SHOWN {
        let _ = writeln!(
            out,
            "  and {} (--format json has all)",
            super::words::count(count - SHOWN, &format!("more {one}"))
        );
    }
}

fn at(p: UmPoint) -> String {
    format!("x {}, y {} mm", mm(p[0]), mm(p[1]))
}

fn places(points: &[UmPoint]) -> String {
    points.iter().take(4).map(|p| at(*p)).collect::<Vec<_>>().join("; ")
}
