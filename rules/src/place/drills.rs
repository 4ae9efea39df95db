//! Drill files: numbers settled, holes made.

use std::collections::BTreeMap;

use landgap_parser::drill::{HitShape, HoleImage, Plating};
use landgap_parser::{Limits, Point};

use super::fit::{self, Fit, Ground, Member, Standing};
use super::guess::is_holes;
use super::load::Loaded;
use crate::board::{Board, Doubt, Hole, HoleKind, HolePlating, PlacedFile, Reason, Role, Source};

/// Decodes every drill program of the set; the result stands beside the files.
pub(super) fn decode(loaded: &[Loaded<'_>], board: &mut Board, ground: &Ground<'_>) -> Vec<Option<HoleImage>> {
    let mut out: Vec<Option<HoleImage>> = loaded.iter().map(|_| None).collect();
    for group in groups(loaded) {
        let members: Vec<Member<'_>> = group.iter().filter_map(|&i| member(&loaded[i], &board.files[i])).collect();
        match fit::settle(&members, ground) {
            Some(fit) => {
                let images = fit::decode(&members, &fit.chosen.format, ground.limits).unwrap_or_default();
                take(fit, images, &group, board, &mut out);
            }
            None => fail(&group, loaded, board, ground.limits),
        }
    }
    out
}

/// Files that state the same come from one export.
fn groups(loaded: &[Loaded<'_>]) -> Vec<Vec<usize>> {
    let mut groups: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (i, file) in loaded.iter().enumerate() {
        if let Some(program) = &file.program {
            let stated = program.stated.map_or_else(|| "nothing".to_owned(), |f| f.words());
            groups.entry(format!("{stated}, decimal {}", program.all_decimal)).or_default().push(i);
        }
    }
    groups.into_values().collect()
}

fn member<'a>(loaded: &'a Loaded<'_>, placed: &PlacedFile) -> Option<Member<'a>> {
    let program = loaded.program.as_ref()?;
    Some(Member { program, lands: placed.role != Role::UnplatedHoles })
}

fn take(fit: Fit, images: Vec<HoleImage>, group: &[usize], board: &mut Board, out: &mut [Option<HoleImage>]) {
    let paths: Vec<&str> = group.iter().map(|&i| board.files[i].path.as_str()).collect();
    let paths = paths.join(", ");
    let sources: Vec<Source> = group.iter().map(|&i| Source { file: i as u32, line: 0 }).collect();
    match fit.standing {
        Standing::Stated => {}
        Standing::Found => board.assumptions.push(format!("{paths}: {}", fit.evidence)),
        Standing::Contradicted => board.doubts.push(doubt(
            format!("the numbers of {paths} do not fit the board as the file states them, but fit in another format"),
            &fit,
            sources,
        )),
        Standing::Open => board.doubts.push(doubt(
            format!("how the numbers of {paths} are to be read is not stated and the data do not settle it"),
            &fit,
            sources,
        )),
    }
    let words = fit.chosen.words();
    for (&i, image) in group.iter().zip(images) {
        let file = &mut board.files[i];
        file.format = Some(words.clone());
        file.evidence.push(fit.evidence.clone());
        file.remarks.clone_from(&image.remarks);
        out[i] = Some(image);
    }
}

fn doubt(seen: String, fit: &Fit, sources: Vec<Source>) -> Doubt {
    Doubt {
        rule: "unclear-drill-format",
        seen,
        reasons: vec![fit.evidence.clone(), format!("read as {}", fit.chosen.words())],
        sources,
        places: Vec::new(),
        readings: fit.readings.clone(),
    }
}

/// No candidate decodes: the reason of the first one is told.
fn fail(group: &[usize], loaded: &[Loaded<'_>], board: &mut Board, limits: &Limits) {
    for &i in group {
        let Some(program) = &loaded[i].program else { continue };
        let formats = program.stated.into_iter().chain(program.candidates());
        match formats.filter_map(|f| program.decode(&f, limits).err()).next() {
            // A fatal remark is asked about with those of all other files.
            Some(limit) => board.files[i].remarks.push(limit.remark()),
            None => {
                let reason = "no number format fits its numbers";
                board.doubts.push(super::missing::unreadable(i, &loaded[i].file.path, reason));
            }
        }
    }
}

/// Makes the holes of all files, in order of file, dropping what another file gives as well.
pub(super) fn holes(images: &[Option<HoleImage>], board: &mut Board) {
    let count = board.copper.len().max(1) as u32;
    let mut seen: BTreeMap<(String, i64), usize> = BTreeMap::new();
    let mut dropped: BTreeMap<(usize, usize), u32> = BTreeMap::new();
    for (i, image) in images.iter().enumerate() {
        let Some(image) = image.as_ref().filter(|_| is_holes(board.files[i].role)) else { continue };
        let mut own = Vec::new();
        for hit in &image.hits {
            let hole = hole(&board.files[i], i, image, hit, count);
            let key = (shape_key(&hole.shape), hole.finished.unwrap_or(-1));
            if let Some(&first) = seen.get(&key).filter(|&&first| agree(&board.files[first], &board.files[i])) {
                *dropped.entry((first, i)).or_default() += 1;
                continue;
            }
            own.push(key);
            board.holes.push(hole);
        }
        own.into_iter().for_each(|key| {
            seen.entry(key).or_insert(i);
        });
    }
    for ((first, second), number) in dropped {
        let (a, b) = (&board.files[first].path, &board.files[second].path);
        board.assumptions.push(format!(
            "{number} holes of {b} stand in {a} as well, with the same place and size, and are counted once"
        ));
    }
}

/// Two files may share a hole only where neither says the opposite of its plating.
fn agree(a: &PlacedFile, b: &PlacedFile) -> bool {
    !matches!((a.role, b.role), (Role::PlatedHoles, Role::UnplatedHoles) | (Role::UnplatedHoles, Role::PlatedHoles))
}

fn shape_key(shape: &HitShape) -> String {
    match shape {
        HitShape::Slot { from, to } => {
            let (a, b) = if from <= to { (from, to) } else { (to, from) };
            format!("slot {} {} {} {}", a.x, a.y, b.x, b.y)
        }
        HitShape::Hole { at } => format!("hole {} {}", at.x, at.y),
        HitShape::Route { start, edges } => format!("route {} {} {edges:?}", start.x, start.y),
    }
}

fn hole(file: &PlacedFile, index: usize, image: &HoleImage, hit: &landgap_parser::drill::Hit, count: u32) -> Hole {
    let tool = image.tools.get(hit.tool as usize);
    let (plating, reason) = plating(file, tool.and_then(|t| t.plating));
    let round = matches!(hit.shape, HitShape::Hole { .. });
    Hole {
        shape: hit.shape.clone(),
        finished: tool.and_then(|t| t.diameter),
        plating,
        kind: if round { HoleKind::Unclear } else { HoleKind::Slot },
        span: file.span.map_or((1, count), |(a, b)| (a.min(count), b.min(count))),
        source: Source { file: index as u32, line: hit.line },
        step: image.step,
        function: tool.and_then(|t| t.function.clone()),
        tolerance: tool.and_then(|t| t.tolerance),
        reasons: vec![reason],
    }
}

fn plating(file: &PlacedFile, tool: Option<Plating>) -> (HolePlating, Reason) {
    let told = file.known_by == crate::board::KnownBy::Told;
    match (file.role, tool) {
        (Role::PlatedHoles, _) if told || tool.is_none() => (HolePlating::Plated, Reason::FilePlated),
        (Role::UnplatedHoles, _) if told || tool.is_none() => (HolePlating::Unplated, Reason::FileUnplated),
        (_, Some(Plating::Plated)) => (HolePlating::Plated, Reason::ToolPlated),
        (_, Some(Plating::NonPlated)) => (HolePlating::Unplated, Reason::ToolUnplated),
        _ => (HolePlating::Unclear, Reason::PlatingUnstated),
    }
}

/// Tools without a size: one doubt for the set.
pub(super) fn unsized_tools(images: &[Option<HoleImage>], board: &mut Board) {
    let mut sources = Vec::new();
    let mut places: Vec<Point> = Vec::new();
    let mut reasons = Vec::new();
    for (i, image) in images.iter().enumerate() {
        let Some(image) = image.as_ref().filter(|_| is_holes(board.files[i].role)) else { continue };
        for (t, tool) in image.tools.iter().enumerate() {
            let hits: Vec<_> = image.hits.iter().filter(|h| h.tool as usize == t).collect();
            if tool.diameter.is_some_and(|d| d > 0) || hits.is_empty() {
                continue;
            }
            sources.push(Source { file: i as u32, line: tool.line });
            places.extend(hits.iter().map(|h| start(&h.shape)));
            reasons.push(format!(
                "{}: tool {} is used {} times and has no size",
                board.files[i].path,
                tool.number,
                hits.len()
            ));
        }
    }
    if reasons.is_empty() {
        return;
    }
    board.doubts.push(Doubt {
        rule: "unsized-tool",
        seen: format!("{} drill tool(s) are used without a size", reasons.len()),
        reasons,
        sources,
        places,
        readings: vec!["sizes to be sent by the customer".to_owned(), "sizes taken from the drill drawing".to_owned()],
    });
}

fn start(shape: &HitShape) -> Point {
    match shape {
        HitShape::Hole { at } => *at,
        HitShape::Slot { from, .. } => *from,
        HitShape::Route { start, .. } => *start,
    }
}
