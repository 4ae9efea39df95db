//! Little sets of our own: the depth gauge of Tarn Row, eight lands and their holes.

use landgap_parser::Limits;
use landgap_parser::drill::HitShape;
use landgap_rules::board::{HolePlating, KnownBy, OutlineState, Role, Side};
use landgap_rules::check::{InputFile, Told};
use landgap_rules::place::{ToldRole, place};

use super::common::{doubts, measure, own, placed, set};

const HEAD: &str = "%FSLAX46Y46*%\n%MOMM*%\n";

fn lands(diameter: &str) -> String {
    let mut text = format!("{HEAD}%ADD10C,{diameter}*%\n%ADD11C,0.25*%\nD10*\n");
    for (x, y) in PLACES {
        text += &format!("X{}Y{}D03*\n", x * 1_000_000, y * 1_000_000);
    }
    text + "D11*\nX3000000Y4000000D02*\nX17000000Y4000000D01*\nM02*\n"
}

const PLACES: [(i64, i64); 8] = [(3, 4), (5, 11), (8, 6), (9, 13), (12, 3), (13, 9), (17, 4), (15, 12)];

fn drill() -> String {
    let mut text = "M48\nMETRIC,TZ\nT1C0.3\n%\nT1\n".to_owned();
    for (x, y) in PLACES {
        text += &format!("X{x}.0Y{y}.0\n");
    }
    text + "M30\n"
}

fn rectangle(width: i64, height: i64, gap_um: i64) -> String {
    let (w, h) = (width * 1_000_000, height * 1_000_000);
    let gap = gap_um * 1_000;
    format!("{HEAD}%ADD10C,0.1*%\nD10*\nX0Y{gap}D02*\nX0Y{h}D01*\nX{w}Y{h}D01*\nX{w}Y0D01*\nX0Y0D01*\nM02*\n")
}

fn gauge(outline: Option<&str>) -> Vec<(String, String)> {
    let mut files = vec![
        ("gauge.gtl".to_owned(), lands("0.6")),
        ("gauge.gbl".to_owned(), lands("0.6")),
        ("gauge.gts".to_owned(), lands("0.7")),
        ("gauge.gbs".to_owned(), lands("0.7")),
        ("gauge.drl".to_owned(), drill()),
    ];
    files.extend(outline.map(|o| ("gauge.gko".to_owned(), o.to_owned())));
    files
}

fn owned(files: &[(String, String)]) -> Vec<InputFile> {
    files.iter().map(|(path, text)| InputFile { path: path.clone(), bytes: text.clone().into_bytes() }).collect()
}

#[test]
fn a_whole_set_raises_no_doubt() {
    let board = placed(&owned(&gauge(Some(&rectangle(20, 15, 0)))));
    assert_eq!(doubts(&board), Vec::<&str>::new(), "{:?}", board.doubts);
    assert_eq!(board.outline.state, OutlineState::Closed);
    assert_eq!(board.outline.bridged, 0);
    assert_eq!(
        board.copper.iter().map(|c| (c.number, c.side)).collect::<Vec<_>>(),
        [(1, Side::Top), (2, Side::Bottom)]
    );
    assert_eq!(board.holes.len(), 8);
    assert!(board.holes.iter().all(|h| h.finished == Some(300_000) && h.span == (1, 2)));
    assert!(board.holes.iter().all(|h| h.plating == HolePlating::Unclear));
    assert!((measure(&board).2 - 300.0).abs() < 1e-9);
}

#[test]
fn order_of_files_does_not_matter() {
    let mut files = owned(&gauge(Some(&rectangle(20, 15, 0))));
    let one = format!("{:?}", placed(&files).files);
    files.reverse();
    assert_eq!(one, format!("{:?}", placed(&files).files));
}

#[test]
fn small_gaps_are_bridged_and_wide_ones_are_not() {
    let board = placed(&owned(&gauge(Some(&rectangle(20, 15, 40)))));
    assert_eq!((board.outline.state, board.outline.bridged), (OutlineState::Closed, 40_000));
    let board = placed(&owned(&gauge(Some(&rectangle(20, 15, 80)))));
    assert_eq!(board.outline.state, OutlineState::Open);
    assert_eq!(board.outline.open_ends.len(), 1);
    let (a, b) = board.outline.open_ends[0];
    assert!((a.distance(b) - 80_000.0).abs() < 1.0);
}

#[test]
fn a_missing_outline_is_asked_for() {
    let board = placed(&owned(&gauge(None)));
    assert_eq!(doubts(&board), ["missing-outline"]);
    assert_eq!(board.outline.state, OutlineState::Missing);
}

#[test]
fn an_outline_drawn_in_the_legend_is_offered() {
    let mut files = gauge(None);
    files.push(("gauge.gto".to_owned(), rectangle(20, 15, 0)));
    let board = placed(&owned(&files));
    assert_eq!(doubts(&board), ["missing-outline"]);
    assert_eq!(board.outline.state, OutlineState::Assumed);
    assert!((measure(&board).2 - 300.0).abs() < 1e-9);
    assert!(board.doubts[0].readings[0].contains("gauge.gto"));
}

#[test]
fn rival_outlines_are_told() {
    let mut files = gauge(Some(&rectangle(20, 15, 0)));
    files.push(("gauge.gm1".to_owned(), rectangle(24, 15, 0)));
    assert_eq!(doubts(&placed(&owned(&files))), ["rival-outlines"]);
    files.pop();
    files.push(("gauge.gm1".to_owned(), rectangle(20, 15, 0)));
    let board = placed(&owned(&files));
    assert_eq!(doubts(&board), Vec::<&str>::new());
    assert_eq!(board.outline.files.len(), 2);
}

#[test]
fn an_unreadable_file_is_named_and_nothing_else_is_lost() {
    let mut files = gauge(Some(&rectangle(20, 15, 0)));
    files[2].1 = "<html>not found</html>".to_owned();
    let board = placed(&owned(&files));
    assert_eq!(doubts(&board), ["missing-mask", "unreadable-file"]);
    assert!(board.doubts.iter().any(|d| d.rule == "unreadable-file" && d.seen.contains("gauge.gts")));
    assert_eq!((board.copper.len(), board.holes.len()), (2, 8));
}

#[test]
fn a_limit_is_told_and_the_rest_is_placed() {
    let limits = Limits { objects: 8, ..Limits::default() };
    let board = place(&owned(&gauge(Some(&rectangle(20, 15, 0)))), &Told::new(), &limits, &|_| {});
    let unread: Vec<_> =
        board.doubts.iter().filter(|d| d.rule == "unreadable-file").map(|d| (&d.seen, &d.reasons)).collect();
    assert_eq!(unread.len(), 5, "{unread:?}");
    assert!(unread.iter().all(|u| u.1[0].contains("objects")));
    assert_eq!(board.outline.state, OutlineState::Closed);
}

#[test]
fn what_the_user_says_outweighs_attributes() {
    let text = format!("%TF.FileFunction,Legend,Top*%\n{}", lands("0.6"));
    let files = set(&[("a.gbr", &text)]);
    assert_eq!((placed(&files).files[0].role, placed(&files).files[0].known_by), (Role::Legend, KnownBy::Attribute));
    let told = Told::from([(
        "a.gbr".to_owned(),
        ToldRole { role: Role::Copper, side: Some(Side::Top), layer: Some(1), negative: None },
    )]);
    let board = place(&files, &told, &Limits::default(), &|_| {});
    assert_eq!((board.files[0].role, board.files[0].known_by), (Role::Copper, KnownBy::Told));
    assert_eq!(board.copper.len(), 1);
}

#[test]
fn attribute_against_name_is_told() {
    let text = format!("%TF.FileFunction,Soldermask,Top*%\n{}", lands("0.7"));
    let board = own(&[("gauge.gto", &text)]);
    assert_eq!(board.files[0].role, Role::Mask);
    assert!(doubts(&board).contains(&"unclear-role"));
}

#[test]
fn a_file_without_any_hint_is_read_by_its_content_and_told() {
    let mut files = gauge(None);
    files.push(("extra_a.gbr".to_owned(), rectangle(20, 15, 0)));
    let board = placed(&owned(&files));
    assert_eq!(doubts(&board), Vec::<&str>::new());
    assert_eq!(board.outline.state, OutlineState::Closed);
    let file = board.files.iter().find(|f| f.path == "extra_a.gbr").expect("the file");
    assert_eq!((file.role, file.known_by), (Role::Outline, KnownBy::Content));
    assert!(
        board.assumptions.iter().any(|a| a.starts_with("extra_a.gbr: taken as outline")),
        "{:?}",
        board.assumptions
    );
}

#[test]
fn a_file_whose_content_says_little_is_asked_about() {
    let mut files = gauge(Some(&rectangle(20, 15, 0)));
    let line = format!("{HEAD}%ADD10C,0.1*%\nD10*\nX1000000Y1000000D02*\nX9000000Y2000000D01*\nM02*\n");
    files.push(("extra_a.gbr".to_owned(), line));
    let board = placed(&owned(&files));
    assert_eq!(doubts(&board), ["unclear-role"]);
    assert_eq!(board.doubts[0].sources.len(), 1);
}

#[test]
fn a_layer_named_by_attribute_and_absent_is_missed() {
    let copper = |n: u32, side: &str| format!("%TF.FileFunction,Copper,L{n},{side}*%\n{}", lands("0.6"));
    let (top, inner, bottom) = (copper(1, "Top"), copper(2, "Inr"), copper(4, "Bot"));
    let drill = drill();
    let board = own(&[("a.gbr", &top), ("b.gbr", &inner), ("c.gbr", &bottom), ("gauge.drl", &drill)]);
    assert!(doubts(&board).contains(&"missing-layer"));
    assert_eq!(board.copper.iter().map(|c| c.number).collect::<Vec<_>>(), [1, 2, 3]);
    assert_eq!(board.files.iter().filter_map(|f| f.layer).collect::<Vec<_>>(), [1, 2, 4]);
}

#[test]
fn inner_layers_without_numbers_are_asked_about() {
    let copper = lands("0.6");
    let files =
        [("g_top.gbr", copper.as_str()), ("g_gnd.gbr", &copper), ("g_pwr.gbr", &copper), ("g_bottom.gbr", &copper)];
    let board = own(&files);
    assert!(doubts(&board).contains(&"unclear-layer-order"));
    let number = |path: &str| board.files.iter().find(|f| f.path == path).and_then(|f| f.layer);
    assert_eq!(number("g_top.gbr"), Some(1));
    assert_eq!(number("g_gnd.gbr"), Some(2));
    assert_eq!(number("g_pwr.gbr"), Some(3));
    assert_eq!(number("g_bottom.gbr"), Some(4));
}

#[test]
fn numbers_that_state_only_a_unit_are_fitted_to_the_lands() {
    // 3:3 digits with leading zeros kept: 3 mm is written 003, which the header does not say.
    let mut text = "M48\nMETRIC\nT1C0.3\n%\nT1\n".to_owned();
    for (x, y) in PLACES {
        text += &format!("X{x:03}Y{y:03}\n");
    }
    let mut files = gauge(Some(&rectangle(20, 15, 0)));
    files[4].1 = text + "M30\n";
    let board = placed(&owned(&files));
    assert_eq!(doubts(&board), Vec::<&str>::new(), "{:?}", board.doubts);
    assert_eq!(board.holes[0].at(), landgap_parser::Point::new(3_000_000, 4_000_000));
}

#[test]
fn holes_moved_as_a_whole_are_told() {
    let mut text = "M48\nMETRIC,TZ\nT1C0.3\n%\nT1\n".to_owned();
    for (x, y) in PLACES {
        text += &format!("X{x}.4Y{y}.2\n");
    }
    let mut files = gauge(Some(&rectangle(20, 15, 0)));
    files[4].1 = text + "M30\n";
    let board = placed(&owned(&files));
    assert_eq!(doubts(&board), ["shifted-holes"], "{:?}", board.doubts);
}

#[test]
fn holes_drawn_as_artwork_are_holes() {
    let text = format!("%TF.FileFunction,Plated,1,2,PTH*%\n{}", lands("0.3"));
    let mut files = gauge(Some(&rectangle(20, 15, 0)));
    files[4] = ("gauge-plated.gbr".to_owned(), text);
    let board = placed(&owned(&files));
    let round = board.holes.iter().filter(|h| matches!(h.shape, HitShape::Hole { .. })).count();
    assert_eq!((round, board.holes.len()), (8, 9));
    assert!(board.holes.iter().all(|h| h.plating == HolePlating::Plated));
}

#[test]
fn holes_given_in_two_files_are_counted_once() {
    let mut files = gauge(Some(&rectangle(20, 15, 0)));
    let copy = files[4].1.clone();
    files.push(("gauge_via.drl".to_owned(), copy));
    let board = placed(&owned(&files));
    assert_eq!(board.holes.len(), 8);
    assert!(board.assumptions.iter().any(|a| a.contains("gauge_via.drl")));
}

#[test]
fn nothing_and_nonsense_do_not_crash() {
    assert!(placed(&[]).copper.is_empty());
    let noise: Vec<u8> = (0..4096u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    for name in ["a.gtl", "a.drl", "a.gbrjob", "", "/", ".gbr", "é.ÄÖ"] {
        let board = placed(&[InputFile { path: name.to_owned(), bytes: noise.clone() }]);
        assert_eq!(board.files.len(), 1);
    }
}

#[test]
fn what_the_user_says_of_polarity_stands_in_for_the_files_own_statement() {
    let text = format!("%TF.FilePolarity,Negative*%\n{}", lands("0.6"));
    for (negative, value) in [(Some(false), "Positive"), (Some(true), "Negative"), (None, "Negative")] {
        let role = ToldRole { role: Role::Copper, side: Some(Side::Top), layer: Some(1), negative };
        let told = Told::from([("a.gbr".to_owned(), role)]);
        let board = place(&set(&[("a.gbr", &text)]), &told, &Limits::default(), &|_| {});
        let image = board.images[0].as_ref().expect("its image");
        assert_eq!(image.file_attribute(".FilePolarity"), Some([value.to_owned()].as_slice()));
    }
}
