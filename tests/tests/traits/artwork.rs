//! Traits of artwork.
//!
//! Attributes: Gerber layer format 2021.02, chapter 5; formats 4.2; macros 4.5; arcs 4.7; regions
//! 4.10; words no longer part of the format 8.1.

use std::collections::BTreeSet;

use landgap_parser::artwork::{Act, AttributeKind, ImageSetting, PlotMode, What, Zeros};
use landgap_parser::image::Hole;
use landgap_parser::{ApertureShape, Limits, Shape, Unit};
use landgap_rules::board::Role;
use landgap_rules::check::{InputFile, Told};

use super::harness::{File, Set, both_ways, counted};

#[test]
fn formats_and_units() {
    counted("FS", formats, |stated| {
        let (formats, unit) = stated.expect("each set states its format").split_once(' ').expect("a unit");
        formats.split("/FS").map(|f| format!("{f} {unit}")).collect()
    });
}

/// Each coordinate format of a set with its unit, as the table writes them.
fn formats(set: &Set) -> BTreeSet<String> {
    set.artwork().filter_map(format).collect()
}

fn format(file: &File) -> Option<String> {
    let found = file.commands().iter().find_map(|c| match c.what {
        What::Format(format) => Some(format),
        _ => None,
    })?;
    let unit = file.commands().iter().find_map(|c| match c.what {
        What::Unit(unit) => Some((unit, "")),
        _ => None,
    });
    let legacy = file.commands().iter().find_map(|c| match c.what {
        What::LegacyUnit(unit) => Some((unit, if unit == Unit::Inch { "(G70)" } else { "" })),
        _ => None,
    });
    let (unit, by) = unit.or(legacy)?;
    let zeros = if found.zeros == Zeros::LeadingOmitted { "L" } else { "" };
    let ((xi, xd), (yi, yd)) = (found.x, found.y);
    Some(format!("{zeros}AX{xi}{xd}Y{yi}{yd} {}{by}", unit.name()))
}

fn attribute(what: &What, comment: bool) -> bool {
    matches!(what, What::Attribute { in_comment, .. } if *in_comment == comment)
}

#[test]
fn x2_attributes() {
    both_ways("X2-attr", |set| set.has(|w| attribute(w, false)));
}

#[test]
fn x2_attributes_in_comments() {
    both_ways("X2-in-G04", |set| set.has(|w| attribute(w, true)));
}

#[test]
fn x2_attributes_of_nets_and_components() {
    both_ways("X2-net/comp-attr", |set| {
        set.has(|w| matches!(w, What::Attribute { kind: AttributeKind::Object, in_comment: false, .. }))
    });
}

#[test]
fn no_attributes() {
    both_ways("no-attr", |set| !set.has(|w| matches!(w, What::Attribute { .. })));
}

#[test]
fn macros_with_their_primitives() {
    counted("macros(", primitives, |stated| {
        let Some(stated) = stated else { return (BTreeSet::new(), false) };
        let inner = stated.trim_end_matches(')');
        let (codes, expressions) = inner.split_once(";expr").map_or((inner, false), |(codes, _)| (codes, true));
        (codes.split('/').map(|c| c.parse().expect("a primitive")).collect(), expressions)
    });
}

/// Codes of the primitives in all macros, and whether any of them computes.
fn primitives(set: &Set) -> (BTreeSet<u32>, bool) {
    let mut codes = BTreeSet::new();
    let mut computes = false;
    for file in set.artwork() {
        for command in file.commands() {
            let What::Macro { body, .. } = command.what else { continue };
            for word in file.text(body).split('*').map(str::trim) {
                computes |= word.contains('$') && !word.starts_with('0');
                let code: String = word.chars().take_while(char::is_ascii_digit).collect();
                let comment = code.starts_with('0');
                codes.extend(if comment { Some(0) } else { code.parse().ok() });
            }
        }
    }
    (codes, computes)
}

fn number(stated: Option<&str>) -> usize {
    stated.map_or(0, |n| n.parse().expect("a count"))
}

#[test]
fn arcs_as_many_as_counted_elsewhere() {
    counted("arcs:", |set| set.artwork().map(arcs).sum::<usize>(), number);
}

/// Draws while the pen travels in circles, modal ones included.
fn arcs(file: &File) -> usize {
    let (mut circular, mut last, mut count) = (false, None, 0);
    for command in file.commands() {
        match command.what {
            What::Plot(mode) => circular = mode != PlotMode::Linear,
            What::Operation(operation) => {
                last = operation.act.or(last);
                let places = [operation.x, operation.y, operation.i, operation.j].iter().any(|c| c.is_present());
                count += usize::from(circular && places && last == Some(Act::Draw));
            }
            _ => {}
        }
    }
    count
}

#[test]
fn regions_as_many_as_counted_elsewhere() {
    counted("regions:", |set| set.count(|_, c| c.what == What::RegionStart), number);
}

/// The image holds them too: each region that closes a contour is one object.
#[test]
fn regions_reach_the_image() {
    let drawn = |set: &Set| -> usize {
        set.artwork().map(|f| f.objects().iter().filter(|o| matches!(o.shape, Shape::Region { .. })).count()).sum()
    };
    counted("regions:", |set| drawn(set) >= set.count(|_, c| c.what == What::RegionStart), |_| true);
}

#[test]
fn clear_polarity() {
    both_ways("clear-polarity", |set| set.has(|w| *w == What::Clear(true)));
}

fn apertures(set: &Set, asked: impl Fn(&ApertureShape) -> bool) -> bool {
    set.artwork().filter_map(|f| f.artwork.as_ref()).any(|a| a.image.apertures.iter().any(|p| asked(&p.shape)))
}

#[test]
fn apertures_of_no_size() {
    both_ways("zero-size-aperture", |set| apertures(set, |s| matches!(s, ApertureShape::Circle { diameter: 0, .. })));
}

#[test]
fn apertures_with_a_hole() {
    both_ways("aperture-with-hole", |set| {
        apertures(set, |shape| match shape {
            ApertureShape::Circle { hole, .. }
            | ApertureShape::Rectangle { hole, .. }
            | ApertureShape::Obround { hole, .. }
            | ApertureShape::Polygon { hole, .. } => *hole != Hole::None,
            _ => false,
        })
    });
}

#[test]
fn layers_that_draw_nothing() {
    both_ways("empty-layers", |set| set.artwork().any(|f| f.objects().is_empty()));
}

#[test]
fn operations_without_coordinates() {
    both_ways("bare-D01/D02/D03-words", |set| {
        set.has(|w| match w {
            What::Operation(o) => o.act.is_some() && [o.x, o.y, o.i, o.j].iter().all(|c| !c.is_present()),
            _ => false,
        })
    });
}

#[test]
fn coordinates_without_an_operation() {
    both_ways("coords-without-D-code", |set| {
        set.has(|w| matches!(w, What::Operation(o) if o.act.is_none() && (o.x.is_present() || o.y.is_present())))
    });
}

#[test]
fn apertures_selected_with_g54() {
    both_ways("G54-select", |set| {
        set.count(|f, c| matches!(c.what, What::Select(_)) && f.word(c).starts_with(b"G54")) > 0
    });
}

#[test]
fn single_quadrant_arcs() {
    both_ways("G74", |set| set.has(|w| *w == What::MultiQuadrant(false)));
}

/// Two commands between one pair of %, the closing `*` of one followed at once by the next.
#[test]
fn several_commands_between_two_percent_signs() {
    both_ways("several-commands-in-one-%-block", |set| {
        set.artwork().any(|f| {
            f.commands().windows(2).any(|pair| {
                let end = (pair[0].place.offset + pair[0].length) as usize;
                let extended = |w: &What| matches!(w, What::Image { .. } | What::Format(_) | What::Unit(_));
                extended(&pair[0].what)
                    && extended(&pair[1].what)
                    && f.bytes[end..pair[1].place.offset as usize].iter().all(|b| *b != b'%')
            })
        })
    });
}

#[test]
fn a_mirrored_image() {
    both_ways("mirror-MI", |set| {
        set.count(|f, c| match c.what {
            What::Image { setting: ImageSetting::Mirror, value } => f.text(value).contains('1'),
            _ => false,
        }) > 0
    });
}

/// Most files of a set end their lines alike.
#[test]
fn ends_of_lines() {
    let ends = |set: &Set| {
        let crlf = set.artwork().filter(|f| f.bytes.windows(2).any(|w| w == b"\r\n")).count();
        if crlf * 2 > set.artwork().count() { "CRLF" } else { "LF" }.to_owned()
    };
    counted("EOL:", ends, |stated| stated.expect("each set states it").to_owned());
}

/// Lines count to the same number whatever ends them: the last command stands where a plain count says.
#[test]
fn lines_are_counted_alike() {
    counted(
        "EOL:",
        |set| {
            set.artwork().all(|f| {
                let Some(last) = f.commands().last() else { return true };
                let before = &f.bytes[..last.place.offset as usize];
                before.iter().filter(|b| **b == b'\n').count() + 1 == last.place.line as usize
            })
        },
        |_| true,
    );
}

fn placed(set: &Set) -> landgap_rules::board::Board {
    let input = |f: &File| InputFile { path: f.path.clone(), bytes: f.bytes.clone() };
    let files: Vec<InputFile> = set.files.iter().map(input).collect();
    landgap_rules::place::place(&files, &Told::new(), &Limits::default(), &|_| {})
}

#[test]
fn holes_drawn_as_artwork() {
    both_ways("drill-as-Gerber", |set| {
        let board = placed(set);
        let drawn = |role| matches!(role, Role::Holes | Role::PlatedHoles | Role::UnplatedHoles);
        board.files.iter().zip(&board.images).any(|(file, image)| image.is_some() && drawn(file.role))
    });
}

/// A copper file whose strokes, laid side by side, would cover a quarter of what they enclose.
#[test]
fn copper_filled_with_strokes() {
    let Some(sets) = super::all() else { return };
    for set in sets.iter().filter(|s| s.stated("stroke-filled-copper").is_some()) {
        let board = placed(set);
        let share =
            board.copper.iter().filter_map(|l| board.images[l.file as usize].as_ref()).map(share).fold(0.0, f64::max);
        assert!(share > 0.25, "{}: strokes cover {share:.2}", set.name);
    }
}

fn share(image: &landgap_parser::Image) -> f64 {
    let (mut area, mut low, mut high) = (0.0, [f64::MAX; 2], [f64::MIN; 2]);
    for object in &image.objects {
        let Shape::Draw { aperture, from, to, .. } = object.shape else { continue };
        let ApertureShape::Circle { diameter, .. } = image.apertures[aperture as usize].shape else { continue };
        area += from.distance(to) * diameter as f64;
        for p in [from, to] {
            low = [low[0].min(p.x as f64), low[1].min(p.y as f64)];
            high = [high[0].max(p.x as f64), high[1].max(p.y as f64)];
        }
    }
    area / ((high[0] - low[0]) * (high[1] - low[1])).max(1.0)
}
