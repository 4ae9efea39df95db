//! What a job file lists, a thick outline, the outline of one board beside that of an array, and layers
//! moved that have no lands to be held by. Limits as in the pages (common practice, no source).

use landgap_rules::board::Board;

use super::common::doubts;
use super::odd::{artwork, board, flashes, places, rectangle, seen};

/// A job file that lists the set and more.
fn job(more: &[(&str, &str)]) -> Option<String> {
    let own = [
        ("top.gbr", "Copper,L1,Top"),
        ("bottom.gbr", "Copper,L2,Bot"),
        ("topmask.gbr", "SolderMask,Top"),
        ("bottommask.gbr", "SolderMask,Bot"),
        ("edge.gbr", "Profile"),
        ("holes.drl", "Plated,1,2,PTH"),
    ];
    let entry =
        |(path, function): &(&str, &str)| format!("{{ \"Path\": \"{path}\", \"FileFunction\": \"{function}\" }}");
    let list = own.iter().chain(more).map(entry).collect::<Vec<_>>().join(",\n");
    Some(format!("{{ \"GeneralSpecs\": {{ \"LayerNumber\": 2 }},\n\"FilesAttributes\": [ {list} ] }}"))
}

fn readings(board: &Board, rule: &str) -> Vec<String> {
    board.doubts.iter().filter(|d| d.rule == rule).flat_map(|d| d.readings.clone()).collect()
}

#[test]
fn what_the_job_file_lists_and_the_board_needs_is_asked_for() {
    assert_eq!(doubts(&board(&[("job.gbrjob", job(&[]))])), [""; 0]);
    let legend = board(&[("job.gbrjob", job(&[("print.gbr", "Legend,Top")]))]);
    assert_eq!(doubts(&legend), ["missing-layer"]);
    assert!(seen(&legend, "missing-layer").contains("print.gbr (top legend)"), "{}", seen(&legend, "missing-layer"));
    // Paste and drawings are no part of the bare board: told, not asked.
    let paste =
        board(&[("job.gbrjob", job(&[("paste.gbr", "SolderPaste,Top"), ("assembly.gbr", "AssemblyDrawing,Top")]))]);
    assert_eq!(doubts(&paste), [""; 0]);
    assert!(paste.assumptions.iter().any(|a| a.contains("paste.gbr")), "{:?}", paste.assumptions);
    // What is missed already gains a reason and no second question.
    let mask = board(&[("job.gbrjob", job(&[])), ("topmask.gbr", None)]);
    assert_eq!(doubts(&mask), ["missing-mask"]);
    assert!(mask.doubts[0].reasons.iter().any(|r| r.contains("lists topmask.gbr")), "{:?}", mask.doubts);
    // A list of other files says nothing of these.
    let other: Vec<(String, &str)> = (0..20).map(|i| (format!("other{i}.gbr"), "Legend,Top")).collect();
    let other: Vec<(&str, &str)> = other.iter().map(|(p, f)| (p.as_str(), *f)).collect();
    assert_eq!(doubts(&board(&[("job.gbrjob", job(&other))])), [""; 0]);
}

#[test]
fn a_thick_outline_is_taken_at_its_middle_and_its_three_sizes_are_told() {
    let edge = |pen: &str| {
        let body = format!("%ADD12C,{pen}*%\nD12*\n{}", rectangle(0.0, 0.0, 40.0, 30.0));
        board(&[("edge.gbr", Some(artwork("Profile,NP", &body)))])
    };
    let thick = edge("0.4");
    assert_eq!((thick.outline.pen, doubts(&thick).len()), (400_000, 0));
    let told = thick.assumptions.iter().find(|a| a.starts_with("edge.gbr")).expect("the sizes");
    for size in
        ["40.000 × 30.000 mm at its middle", "39.600 × 29.600 mm at its inner", "40.400 × 30.400 mm at its outer"]
    {
        assert!(told.contains(size), "{told}");
    }
    let silent = |board: &Board| !board.assumptions.iter().any(|a| a.starts_with("edge.gbr"));
    assert!(silent(&edge("0.15")), "just at 0.15 mm it does not matter");
    assert!(!silent(&edge("0.151")));
    assert!(silent(&edge("0")), "a pen of no size marks the middle itself");
}

#[test]
fn the_outline_of_one_board_beside_that_of_an_array_is_no_rival() {
    let outline = |body: String| Some(artwork("Profile,NP", &format!("D10*\n{body}")));
    let two = rectangle(0.0, 0.0, 40.0, 30.0) + &rectangle(45.0, 0.0, 40.0, 30.0);
    let framed = board(&[("array.gbr", outline(two.clone() + &rectangle(-5.0, -5.0, 95.0, 40.0)))]);
    assert_eq!(doubts(&framed), ["array-or-single"], "{:?}", framed.doubts);
    assert!(readings(&framed, "array-or-single").is_empty(), "told, not asked");
    assert!(seen(&framed, "array-or-single").contains("an array of 2"));
    assert_eq!(framed.outline.contours.len(), 1, "the copper fills the one board");
    // A board of another size is a rival, with the size of each.
    let rival = board(&[("array.gbr", outline(rectangle(0.0, 0.0, 42.0, 30.0)))]);
    assert_eq!(doubts(&rival), ["rival-outlines"]);
    let sizes = readings(&rival, "rival-outlines");
    assert!(
        sizes.iter().any(|r| r.contains("42.000 × 30.000 mm"))
            && sizes.iter().any(|r| r.contains("40.000 × 30.000 mm")),
        "{sizes:?}"
    );
}

/// Frames round every land, 0.05 mm off the openings.
fn print(by: (f64, f64)) -> Option<String> {
    let frame = |p: &(f64, f64)| rectangle(p.0 - 0.65 + by.0, p.1 - 0.65 + by.1, 1.3, 1.3);
    Some(artwork("Legend,Top", &format!("D10*\n{}", places(40).iter().map(frame).collect::<String>())))
}

#[test]
fn print_that_a_small_shift_takes_off_the_openings_is_asked_about() {
    assert_eq!(doubts(&board(&[("print.gbr", print((0.0, 0.0)))])), [""; 0]);
    let moved = board(&[("print.gbr", print((0.5, 0.3)))]);
    assert_eq!(doubts(&moved), ["misplaced-layer"], "{:?}", moved.doubts);
    assert!(seen(&moved, "misplaced-layer").contains("prints into the mask openings"));
    // Print over lands that no shift clears is as it was drawn.
    let strokes: String = (0..14).map(|i| format!("X0Y{0}D02*\nX400000Y{0}D01*\n", 10_000 + i * 20_000)).collect();
    let hatched = board(&[("print.gbr", Some(artwork("Legend,Top", &format!("D10*\n{strokes}"))))]);
    assert_eq!(doubts(&hatched), [""; 0]);
}

/// Copper filled up to so far from the edge on the left, and 0.5 mm on all other sides.
fn filled(function: &str, left: f64) -> Option<String> {
    let lands = flashes(&places(40), (0.0, 0.0), 1.0);
    // The pen of the frame reaches 0.1 mm beyond its middle.
    let frame = rectangle(left + 0.1, 0.6, 39.4 - left - 0.1, 28.8);
    Some(artwork(function, &format!("D11*\n{lands}D10*\n{frame}")))
}

#[test]
fn an_outline_off_the_copper_that_follows_it_is_asked_about() {
    let set = |left: f64, by: (f64, f64)| {
        let edge = artwork("Profile,NP", &format!("D10*\n{}", rectangle(by.0, by.1, 40.0, 30.0)));
        let copper = |f: &str| filled(f, left);
        board(&[
            ("edge.gbr", Some(edge)),
            ("top.gbr", copper("Copper,L1,Top")),
            ("bottom.gbr", copper("Copper,L2,Bot")),
        ])
    };
    assert_eq!(doubts(&set(0.5, (0.0, 0.0))), [""; 0]);
    let moved = set(0.5, (0.4, 0.3));
    assert_eq!(doubts(&moved), ["misplaced-layer"], "{:?}", moved.doubts);
    assert!(
        seen(&moved, "misplaced-layer").contains("moved by -0.400 mm in x and -0.300 mm in y"),
        "{:?}",
        moved.doubts
    );
    // Just at 0.05 mm nothing is said; nor where the copper keeps off unevenly by design.
    assert_eq!(doubts(&set(0.5, (0.049, 0.0))), [""; 0]);
    assert_eq!(doubts(&set(1.0, (0.0, 0.0))), [""; 0]);
}
