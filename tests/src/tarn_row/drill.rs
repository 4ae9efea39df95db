//! Writes drill files as XNC: one span and one plating to a file, decimal millimetres, finished diameters.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::model::{Hole, Point};

type Tool = (i64, &'static str);

/// The text of one drill file; `layers` is the number of copper layers the holes pass.
pub fn xnc(holes: &[Hole], plated: bool, layers: usize) -> String {
    let mut tools: BTreeMap<Tool, Vec<&Hole>> = BTreeMap::new();
    for hole in holes.iter().filter(|h| h.plated == plated) {
        tools.entry((hole.size, hole.function)).or_default().push(hole);
    }
    let mut text = head(plated, layers);
    for (number, (size, function)) in (1..).zip(tools.keys()) {
        let word = if plated { "Plated,PTH" } else { "NonPlated,NPTH" };
        let _ = writeln!(text, "; #@! TA.AperFunction,{word},{function}\nT{number:02}C{}", mm(*size));
    }
    text.push_str("%\nG05\n");
    for (number, list) in (1..).zip(tools.values()) {
        let _ = writeln!(text, "T{number:02}");
        hits(&mut text, list);
    }
    text.push_str("M30\n");
    text
}

fn head(plated: bool, layers: usize) -> String {
    let span = if plated { format!("Plated,1,{layers},PTH") } else { format!("NonPlated,1,{layers},NPTH") };
    format!(
        "M48\n; Tarn Row demo board, drawn by a program of the Landgap project\n\
         ; #@! TF.GenerationSoftware,Landgap,tarn-row,1\n; #@! TF.Part,Single\n\
         ; #@! TF.SameCoordinates,tarn-row\n; #@! TF.FileFunction,{span}\n; #@! TF.FilePolarity,Positive\n\
         METRIC\n"
    )
}

fn hits(text: &mut String, list: &[&Hole]) {
    for hole in list.iter().filter(|h| h.from == h.to) {
        let _ = writeln!(text, "{}", place(hole.from));
    }
    for slot in list.iter().filter(|h| h.from != h.to) {
        let _ = writeln!(text, "G00{}\nM15\nG01{}\nM16\nG05", place(slot.from), place(slot.to));
    }
}

fn place(p: Point) -> String {
    format!("X{}Y{}", mm(p.x), mm(p.y))
}

fn mm(um: i64) -> String {
    let sign = if um < 0 { "-" } else { "" };
    format!("{sign}{}.{:03}", um.abs() / 1000, um.abs() % 1000)
}
