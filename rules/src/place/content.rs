//! What a file is by what it draws, where nothing else says it.

use landgap_parser::{Image, Point, Shape};

use super::contour;
use super::guess::{Guess, Number};
use super::lands::Lands;
use crate::board::{Board, Doubt, KnownBy, Role, Source};

/// Files with more objects than this are not tried as outlines.
const OUTLINE_OBJECTS: usize = 20_000;

/// Gives unclear artwork a role by its content, with a doubt that names it; `holes` are axes of plated holes.
pub(super) fn settle(board: &mut Board, guesses: &mut [Guess], holes: &[Point]) {
    let has_outline = board.files.iter().any(|f| f.role == Role::Outline);
    for (i, own) in guesses.iter_mut().enumerate() {
        if board.files[i].role != Role::Unclear {
            continue;
        }
        let Some(image) = &board.images[i] else { continue };
        let found = copper(image, holes).or_else(|| outline(image).filter(|_| !has_outline)).or_else(|| empty(image));
        doubt(board, i, found.as_ref());
        if let Some(guess) = found {
            let file = &mut board.files[i];
            file.role = guess.role;
            file.known_by = KnownBy::Content;
            file.confidence = guess.confidence;
            file.evidence.push(guess.evidence.clone());
            *own = guess;
        }
    }
}

fn copper(image: &Image, holes: &[Point]) -> Option<Guess> {
    let lands = Lands::of([image]);
    let share = lands.share(holes);
    if holes.len() < 4 || share < 0.6 {
        return None;
    }
    let draws = image
        .objects
        .iter()
        .filter(|o| matches!(o.shape, Shape::Draw { .. } | Shape::Arc { .. } | Shape::Region { .. }))
        .count();
    // Mask openings lie over the holes as lands do; tracks and areas are what sets copper apart.
    (draws * 4 > image.objects.len()).then(|| {
        let text = format!(
            "{:.0} % of {} holes land on what it flashes, and it draws tracks or areas",
            share * 100.0,
            holes.len()
        );
        Guess { number: Number::None, ..Guess::new(Role::Copper, None, KnownBy::Content, 55, text) }
    })
}

fn outline(image: &Image) -> Option<Guess> {
    let flashes = image.objects.iter().any(|o| matches!(o.shape, Shape::Flash { .. }));
    if flashes || image.objects.is_empty() || image.objects.len() > OUTLINE_OBJECTS {
        return None;
    }
    let joined = contour::of_image(image);
    let outer = joined.contours.first().and_then(super::extent::of_contour)?;
    let all = super::extent::of_image(image)?;
    let bounds_all = outer.grown(contour::BRIDGE).holds(all.low) && outer.grown(contour::BRIDGE).holds(all.high);
    (bounds_all && joined.open.is_empty()).then(|| {
        let text =
            format!("it draws nothing but {} closed line(s), the outer one {}", joined.contours.len(), outer.words());
        Guess::new(Role::Outline, None, KnownBy::Content, 55, text)
    })
}

fn empty(image: &Image) -> Option<Guess> {
    image.objects.is_empty().then(|| Guess::new(Role::Other, None, KnownBy::Content, 60, "it draws nothing"))
}

fn doubt(board: &mut Board, file: usize, found: Option<&Guess>) {
    if found.is_some_and(|g| g.role == Role::Other) {
        return;
    }
    let path = &board.files[file].path;
    let reading = found.map(|g| format!("{path} is {}", g.words()));
    let left_out = format!("{path} is not needed for the board");
    board.doubts.push(Doubt {
        rule: "unclear-role",
        seen: format!("neither attributes nor the name of {path} say what it is"),
        reasons: found.map(|g| g.evidence.clone()).into_iter().collect(),
        sources: vec![Source { file: file as u32, line: 0 }],
        places: Vec::new(),
        readings: reading.into_iter().chain([left_out]).collect(),
    });
}
