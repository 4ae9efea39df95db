//! The job file against the set it lists.

use landgap_parser::job::{FilePolarity, Job as Data, LayerKind, ListedFile, function};
use landgap_parser::kind::Kind;
use landgap_parser::{ApertureShape, FileAttribute, Image, Nm, Shape};

use super::{Noted, Stated, attribute, codes, date};
use crate::board::{Board, OutlineState, Role};
use crate::place::extent::{self, Extent, mm};
use crate::place::job::{Job, first};
use crate::place::names;

/// Rounding of sizes as they are written (common practice, no source).
const ROUNDING: Nm = 10_000;

pub(super) fn check(jobs: &[Job], stated: &Stated, board: &Board, noted: &mut Noted) {
    let Some(job) = first(jobs) else { return };
    for other in jobs.iter().filter(|j| j.file != job.file) {
        let found = format!("a job file beside {}", board.files[job.file].path);
        noted.add(other.file, 1, &codes::JOB_SEVERAL, found, "one job file in a set");
    }
    size(job, board, noted);
    layers(job, board, noted);
    thickness(job, noted);
    listed(job, stated, board, noted);
    unlisted(job, board, noted);
    project(job, stated, board, noted);
    created(job, stated, board, noted);
    edge_plating(job, stated, board, noted);
}

/// Some writers include the pen of the outline: one pen width either way is no contradiction.
fn size(job: &Job, board: &Board, noted: &mut Noted) {
    let Some(size) = job.data.specifications.size.filter(|_| board.outline.state == OutlineState::Closed) else {
        return;
    };
    let Some(outline) = outline_box(board) else { return };
    let images = board.outline.files.iter().filter_map(|f| board.images[*f as usize].as_ref());
    let pen = images.map(widest_pen).max().unwrap_or(0);
    let differs = |stated: Nm, drawn: Nm| (stated - drawn).abs() > pen + ROUNDING;
    if differs(size.value.x, outline.width()) || differs(size.value.y, outline.height()) {
        let found = format!("the size {} × {} mm", mm(size.value.x), mm(size.value.y));
        let expected = format!("{}, the box of the outline, within its pen of {} mm", outline.words(), mm(pen));
        noted.add(job.file, size.place.line, &codes::JOB_SIZE, found, expected);
    }
}

fn outline_box(board: &Board) -> Option<Extent> {
    let boxes = board.outline.contours.iter().filter_map(extent::of_contour);
    extent::of_points(boxes.flat_map(|b| [b.low, b.high]))
}

fn widest_pen(image: &Image) -> Nm {
    let pen = |shape: &Shape| match shape {
        Shape::Draw { aperture, .. } | Shape::Arc { aperture, .. } => {
            match &image.apertures[*aperture as usize].shape {
                ApertureShape::Circle { diameter, .. } => *diameter,
                ApertureShape::Rectangle { width, height, .. } => *width.max(height),
                _ => 0,
            }
        }
        _ => 0,
    };
    image.objects.iter().map(|o| pen(&o.shape)).max().unwrap_or(0)
}

fn layers(job: &Job, board: &Board, noted: &mut Noted) {
    let Some(number) = job.data.specifications.layers else { return };
    let listed = job.data.files.iter().filter(|f| f.fields.first().is_some_and(|w| w == "Copper")).count();
    let stacked = job.data.stack.iter().filter(|l| l.kind == LayerKind::Copper).count();
    let counts = [
        (board.copper.len(), "copper files of the set"),
        (listed, "copper files of its own list"),
        (stacked, "copper layers of its own stack"),
    ];
    for (count, what) in counts.into_iter().filter(|(count, _)| *count > 0 && *count != number.value as usize) {
        let found = format!("{} copper layer(s)", number.value);
        noted.add(job.file, number.place.line, &codes::JOB_LAYERS, found, format!("{count}, the {what}"));
    }
}

/// The stack with and without mask; a part in a hundred of the thickness is rounding.
fn thickness(job: &Job, noted: &mut Noted) {
    let (Some(stated), Some((bare, masked))) = (job.data.specifications.thickness, stack(&job.data)) else { return };
    let slack = ROUNDING.max(stated.value / 100);
    if stated.value < bare - slack || stated.value > masked + slack {
        let sum = if bare == masked { mm(bare) } else { format!("{} to {}", mm(bare), mm(masked)) };
        let found = format!("the thickness {} mm", mm(stated.value));
        noted.add(job.file, stated.place.line, &codes::JOB_THICKNESS, found, format!("{sum} mm, the sum of its stack"));
    }
}

/// Thickness of copper and dielectric, without and with mask; `None` where one of them is not stated.
fn stack(data: &Data) -> Option<(Nm, Nm)> {
    let (mut bare, mut mask) = (0, 0);
    for layer in &data.stack {
        match layer.kind {
            LayerKind::Copper | LayerKind::Dielectric => bare += layer.thickness?.value,
            LayerKind::Mask => mask += layer.thickness.map_or(0, |t| t.value),
            _ => {}
        }
    }
    (bare > 0).then_some((bare, bare + mask))
}

fn same_name(one: &str, other: &str) -> bool {
    names::base(one).eq_ignore_ascii_case(names::base(other))
}

/// Every listed file: is it there, and does it say the same of itself.
fn listed(job: &Job, stated: &Stated, board: &Board, noted: &mut Noted) {
    for entry in &job.data.files {
        let there: Vec<usize> =
            (0..board.files.len()).filter(|&i| same_name(&board.files[i].path, &entry.path)).collect();
        if there.is_empty() {
            let found = format!("\"{}\" is listed and not in the set", entry.path);
            noted.add(job.file, entry.place.line, &codes::JOB_MISSING, found, "");
        }
        for file in there {
            compare(entry, file, &stated[file], noted);
        }
    }
}

fn compare(entry: &ListedFile, file: usize, own: &[FileAttribute], noted: &mut Noted) {
    if let Some(own) = attribute(own, ".FileFunction").filter(|own| !function::agree(&own.values, &entry.fields)) {
        let found = format!("the file function \"{}\"", own.values.join(","));
        let expected = format!("\"{}\" as in the job file", entry.function.value);
        noted.add(file, own.line, &codes::JOB_FUNCTION, found, expected);
    }
    let (Some(own), Some(listed)) = (attribute(own, ".FilePolarity"), entry.polarity) else { return };
    let word = if listed.value == FilePolarity::Positive { "Positive" } else { "Negative" };
    if own.values.first().is_some_and(|v| !v.trim().eq_ignore_ascii_case(word)) {
        let found = format!("the file polarity {}", own.values.join(","));
        noted.add(file, own.line, &codes::JOB_POLARITY, found, format!("{word} as in the job file"));
    }
}

/// Data of the board that a job file with a list does not list.
fn unlisted(job: &Job, board: &Board, noted: &mut Noted) {
    if job.data.files.is_empty() {
        return;
    }
    for (i, file) in board.files.iter().enumerate() {
        let data = matches!(file.kind, Kind::Artwork | Kind::Drill);
        let of_board = data && !matches!(file.role, Role::Drawing | Role::Other | Role::Unclear);
        if of_board && !job.data.files.iter().any(|l| same_name(&l.path, &file.path)) {
            noted.add(i, 1, &codes::JOB_UNLISTED, "a file the job file does not list".to_owned(), "");
        }
    }
}

fn project(job: &Job, stated: &Stated, board: &Board, noted: &mut Noted) {
    let own = &job.data.specifications.project;
    let parts = [(&own.name, 0, "name"), (&own.guid, 1, "GUID"), (&own.revision, 2, "revision")];
    for (part, field, word) in parts {
        let Some(part) = part else { continue };
        let other = stated.iter().enumerate().find_map(|(i, list)| {
            let value = attribute(list, ".ProjectId")?.values.get(field)?;
            (value.trim() != part.value.trim()).then_some((i, value))
        });
        if let Some((file, value)) = other {
            let found = format!("the project {word} \"{}\"", part.value);
            let expected = format!("\"{value}\" as in {}", board.files[file].path);
            noted.add(job.file, part.place.line, &codes::JOB_PROJECT, found, expected);
        }
    }
}

fn created(job: &Job, stated: &Stated, board: &Board, noted: &mut Noted) {
    let Some(created) = &job.data.header.created else { return };
    let Some(moment) = date::read(&created.value) else { return };
    let far = stated.iter().enumerate().find_map(|(i, list)| {
        let value = attribute(list, ".CreationDate")?.values.first()?;
        date::read(value).filter(|other| !other.near(moment)).map(|_| (i, value))
    });
    if let Some((file, value)) = far {
        let expected = format!("a date within an hour of {value} in {}", board.files[file].path);
        noted.add(job.file, created.place.line, &codes::JOB_DATE, format!("the date {}", created.value), expected);
    }
}

fn edge_plating(job: &Job, stated: &Stated, board: &Board, noted: &mut Noted) {
    let Some(plated) = job.data.specifications.edge_plating else { return };
    let own = stated.iter().enumerate().filter(|(i, _)| board.files[*i].role == Role::Outline).find_map(|(i, list)| {
        let function = attribute(list, ".FileFunction")?;
        let word = function.values.get(1)?.trim().to_ascii_uppercase();
        matches!(word.as_str(), "P" | "NP").then_some((i, word))
    });
    if let Some((file, word)) = own.filter(|(_, word)| (word == "P") != plated.value) {
        let found = format!("edge plating {}", plated.value);
        let expected = format!("\"Profile,{word}\" as in {}", board.files[file].path);
        noted.add(job.file, plated.place.line, &codes::JOB_EDGE_PLATING, found, expected);
    }
}
