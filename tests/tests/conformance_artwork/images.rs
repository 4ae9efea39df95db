//! Whole images: chapters 2, 4.8 to 4.12. Areas derived in closed form.

use super::harness::*;
use landgap_parser::{Polarity, Shape};

#[test]
fn g_080_to_g_094_areas() {
    check_all(&[
        ("G-080", "4.10-regions/overlapping-contours", &[], 1, 175.0, 0.0),
        ("G-081", "4.9-polarity-and-transformations/clear-square-over", &[], 2, 115.0, 0.0),
        ("G-082", "4.9-polarity-and-transformations/dark-disc-over-clear", &[], 3, 115.0 + PI, 2.0 * PI),
        ("G-083", "4.9-polarity-and-transformations/clear-first", &[], 2, 175.0, 0.0),
        ("G-084", "4.4-standard-apertures/hole-is-transparent", &[], 2, 104.673416, 51.0),
        ("G-085", "4.9-polarity-and-transformations/macro-hole-over-plane", &[], 2, 400.0, 0.0),
        ("G-086", "4.9-polarity-and-transformations/macro-hole-cleared-from-plane", &[], 2, 319.634954, 15.8),
        ("G-087", "4.10-regions/cut-in-to-hole", &[], 1, 68.0, 0.0),
        ("G-088", "4.10-regions/hole-as-second-contour", &[], 1, 100.0, 0.0),
        ("G-089", "4.10-regions/cut-in-to-outside", &[], 1, 132.0, 0.0),
        ("G-090", "4.10-regions/cut-in-to-full-circle", &[], 1, 80.0 - 9.0 * PI, 18.9),
        ("G-091", "4.8-operations/draw", &[], 1, 10.785398, PI),
        ("G-092", "4.9-polarity-and-transformations/draw-scaled", &[], 1, 16.767146, 4.8),
        ("G-093", "4.8-operations/draw-of-no-length", &["info artwork-dot-drawn"], 1, PI / 4.0, PI),
        ("G-094", "4.8-operations/flash-of-no-size", &[], 1, 0.0, 0.0),
        ("G-100", "4.12-step-and-repeat/order-of-copies", &[], 6, 4.712389, 18.9),
        ("G-101", "4.12-step-and-repeat/copy-by-copy", &[], 4, 26.0, 0.0),
        ("G-110", "4.11-block-apertures/nested-rotated", &[], 4, PI, 12.6),
        ("G-111", "4.11-block-apertures/nested-mirrored-rotated", &[], 4, PI, 12.6),
        ("G-112", "4.11-block-apertures/nested-scaled", &[], 4, PI / 4.0, 6.3),
        ("G-113", "4.11-block-apertures/dark-with-clear-inside", &[], 3, 100.0 - PI, 6.3),
        ("G-114", "4.11-block-apertures/clear-toggles", &[], 3, 84.0 + PI, 6.3),
        ("G-115", "4.11-block-apertures/toggled-twice", &[], 3, 100.0 - PI, 6.3),
    ]);
}

// 2.4: the image of a draw without length is one flash, the object stays a draw.
#[test]
fn g_093_stays_a_draw() {
    let image = load("G-093", "4.8-operations/draw-of-no-length").image;
    match image.objects[0].shape {
        Shape::Draw { from, to, .. } => assert_eq!((from, to), (at(3.0, 4.0), at(3.0, 4.0)), "G-093"),
        ref other => panic!("G-093: {other:?}"),
    }
}

// 4.12: stepped in +y first, then in +x. 4.11, 4.9.3 to 4.9.5: mirror, then rotate, about the origin
// of the block, then move to the flash; nested blocks in file order.
#[test]
fn g_100_to_g_112_order_and_positions() {
    type Order = (&'static str, &'static str, &'static [(f64, f64)], f64);
    let rows: [Order; 4] = [
        (
            "G-100",
            "4.12-step-and-repeat/order-of-copies",
            &[(1.0, 1.0), (1.0, 5.0), (6.0, 1.0), (6.0, 5.0), (11.0, 1.0), (11.0, 5.0)],
            1.0,
        ),
        ("G-110", "4.11-block-apertures/nested-rotated", &[(10.0, 10.0), (10.0, 12.0), (7.0, 10.0), (7.0, 12.0)], 1.0),
        (
            "G-111",
            "4.11-block-apertures/nested-mirrored-rotated",
            &[(10.0, 10.0), (10.0, 8.0), (7.0, 10.0), (7.0, 8.0)],
            1.0,
        ),
        ("G-112", "4.11-block-apertures/nested-scaled", &[(10.0, 10.0), (11.0, 10.0), (10.0, 11.5), (11.0, 11.5)], 0.5),
    ];
    for (id, name, wanted, scale) in rows {
        let image = load(id, name).image;
        assert_eq!(flashes(id, &image), points(wanted), "{id}");
        for object in &image.objects {
            let Shape::Flash { turn, .. } = object.shape else { panic!("{id}: {object:?}") };
            assert_eq!(turn.scale, scale, "{id}: scale");
        }
    }
}

// 4.11.1: a block flashed clear toggles each object in it, through all levels. 4.12: a copy's clear
// objects come before the next copy's dark ones.
#[test]
fn g_101_g_113_to_g_115_polarity_in_order() {
    use Polarity::{Clear, Dark};
    type Order = (&'static str, &'static str, &'static [Polarity]);
    let rows: [Order; 4] = [
        ("G-101", "4.12-step-and-repeat/copy-by-copy", &[Dark, Clear, Dark, Clear]),
        ("G-113", "4.11-block-apertures/dark-with-clear-inside", &[Dark, Dark, Clear]),
        ("G-114", "4.11-block-apertures/clear-toggles", &[Dark, Clear, Dark]),
        ("G-115", "4.11-block-apertures/toggled-twice", &[Dark, Dark, Clear]),
    ];
    for (id, name, wanted) in rows {
        let found: Vec<Polarity> = load(id, name).image.objects.iter().map(|o| o.polarity).collect();
        assert_eq!(found, wanted, "{id}");
    }
}

// 4.9.1: transformations act on apertures, never on regions. 4.9.3, 4.9.4: mirror first, then rotate.
#[test]
fn n_061_n_062_transformations() {
    let region = load("N-061", "4.9-polarity-and-transformations/region-not-transformed");
    expect_said("N-061", &region, &[]);
    assert_eq!(extent(&region.image), (at(0.0, 0.0), at(10.0, 10.0)), "N-061");
    let turned = load("N-062", "4.9-polarity-and-transformations/mirror-then-rotate");
    expect_said("N-062", &turned, &[]);
    expect_corners("N-062", &turned.image, &[(0.0, 0.0), (0.0, -3.0), (-1.0, -3.0)], true);
}

// 4.7.1, 4.8.1: X and Y left out keep the value of the current point, and a bare D03 flashes there.
#[test]
fn n_052_modal_coordinates() {
    let art = load("N-052", "2-graphics-state/modal-coordinates");
    expect_said("N-052", &art, &[]);
    assert_eq!(flashes("N-052", &art.image), points(&[(1.0, 2.0), (5.0, 2.0), (5.0, 6.0), (5.0, 6.0)]), "N-052");
}
