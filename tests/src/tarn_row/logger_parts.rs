//! Parts of the buoy logger and what each pin is joined to. Lengths in micrometres.

use super::footprint::{Part, columns, five, four_sides, header, single, three, two};
use super::model::{Form, Side, at};

const R0603: Form = Form::Rect(800, 900);
const C0805: Form = Form::Rect(1000, 1300);

struct Small(&'static str, i64, i64, u8, Side, &'static [&'static str]);

const SMALL: [Small; 20] = [
    Small("R1", 29_500, 31_500, 0, Side::Top, &["V33", "NRST"]),
    Small("R2", 44_000, 30_500, 1, Side::Top, &["V33", "SDA"]),
    Small("R3", 46_500, 30_500, 1, Side::Top, &["V33", "SCL"]),
    Small("R4", 33_000, 35_500, 0, Side::Top, &["LED", "LEDA"]),
    Small("R5", 20_500, 26_000, 0, Side::Top, &["VBAT", "VSENSE"]),
    Small("R6", 25_000, 28_000, 1, Side::Top, &["VSENSE", "GND"]),
    Small("R7", 60_000, 16_000, 1, Side::Top, &["SENS+", "AIN+"]),
    Small("R8", 60_000, 21_500, 1, Side::Top, &["AIN-", "SENS-"]),
    Small("R9", 45_000, 37_000, 0, Side::Top, &["REN", "RADIO"]),
    Small("C3", 27_500, 15_500, 2, Side::Top, &["XIN", "GND"]),
    Small("C4", 21_000, 15_500, 0, Side::Top, &["XOUT", "GND"]),
    Small("C5", 42_800, 17_500, 0, Side::Top, &["V33", "GND"]),
    Small("C6", 36_000, 29_800, 0, Side::Top, &["V33", "GND"]),
    Small("C7", 52_500, 38_500, 0, Side::Top, &["V33", "GND"]),
    Small("C8", 53_500, 25_500, 0, Side::Top, &["V33", "GND"]),
    Small("C9", 55_500, 13_300, 0, Side::Top, &["AIN+", "AIN-"]),
    Small("C10", 34_000, 23_000, 0, Side::Bottom, &["V33", "GND"]),
    Small("C11", 40_500, 23_000, 1, Side::Bottom, &["V33", "GND"]),
    Small("C12", 54_000, 21_000, 0, Side::Bottom, &["V33", "GND"]),
    Small("R10", 30_000, 12_000, 0, Side::Bottom, &["BOOT", "GND"]),
];

fn small(s: &Small) -> Part {
    let lands = two(800, R0603);
    Part { name: s.0, at: at(s.1, s.2), quarters: s.3, side: s.4, lands, body: (1600, 850), nets: s.5 }
}

/// Every part of the board.
pub fn parts() -> Vec<Part> {
    let mut list = chips();
    list.extend(connectors());
    list.extend(larger());
    list.extend(SMALL.iter().map(small));
    list.extend(bench());
    list
}

const U1: [&str; 32] = [
    "XOUT", "XIN", "NRST", "VSENSE", "BOOT", "LED", "GND", "V33", "RTX", "RRX", "REN", "N/C", "SDA", "SCL", "N/C",
    "GND", "V33", "DRDY", "N/C", "CSF", "SCK", "MISO", "MOSI", "N/C", "GND", "V33", "PCLK", "PDATA", "N/C", "N/C",
    "N/C", "GND",
];

fn chips() -> Vec<Part> {
    let top = Side::Top;
    let soic = Form::Rect(1550, 600);
    vec![
        Part {
            name: "U1",
            at: at(36_000, 22_000),
            quarters: 0,
            side: top,
            lands: four_sides(8, 800, 4250, Form::Rect(1500, 450)),
            body: (3300, 3300),
            nets: &U1,
        },
        Part {
            name: "U2",
            at: at(15_000, 33_000),
            quarters: 0,
            side: top,
            lands: five(950, 1250, Form::Rect(1100, 600)),
            body: (800, 1500),
            nets: &["VIN", "GND", "VIN", "N/C", "V33"],
        },
        Part {
            name: "U3",
            at: at(54_000, 33_500),
            quarters: 0,
            side: top,
            lands: columns(8, 1270, 2700, soic),
            body: (1900, 2450),
            nets: &["CSF", "MISO", "V33", "GND", "MOSI", "SCK", "V33", "V33"],
        },
        Part {
            name: "U4",
            at: at(53_500, 19_500),
            quarters: 2,
            side: top,
            lands: columns(8, 1270, 2700, soic),
            body: (1900, 2450),
            nets: &["AIN+", "AIN-", "GND", "GND", "SDA", "SCL", "DRDY", "V33"],
        },
        Part {
            name: "Q1",
            at: at(13_000, 20_000),
            quarters: 2,
            side: top,
            lands: three(950, 1100, Form::Rect(1100, 700)),
            body: (700, 1500),
            nets: &["GND", "VIN", "VBAT"],
        },
    ]
}

fn connector(
    name: &'static str,
    place: (i64, i64, u8),
    pins: (usize, usize, i64),
    size: (i64, i64),
    body: (i64, i64),
    nets: &'static [&'static str],
) -> Part {
    let lands = header(pins.0, pins.1, pins.2, size.0, size.1);
    Part { name, at: at(place.0, place.1), quarters: place.2, side: Side::Top, lands, body, nets }
}

fn connectors() -> Vec<Part> {
    let tab = single(Form::Oblong(1900, 3100), Some((900, 0, 600)));
    vec![
        connector("J1", (5500, 20_000, 0), (2, 1, 3500), (1200, 2400), (2600, 4300), &["VBAT", "GND"]),
        Part {
            name: "J1T",
            at: at(5500, 26_500),
            quarters: 0,
            side: Side::Top,
            lands: tab,
            body: (0, 0),
            nets: &["GND"],
        },
        connector("J2", (65_000, 19_500, 0), (6, 1, 2500), (1000, 1800), (1900, 7900), J2),
        connector("J3", (22_500, 39_000, 3), (6, 2, 2540), (1000, 1700), (2600, 3900), J3),
        connector("J4", (38_000, 41_000, 1), (4, 1, 2540), (1000, 1700), (1600, 5200), &["RADIO", "RTX", "RRX", "GND"]),
    ]
}

const J2: &[&str] = &["V33", "SENS+", "SENS-", "GND", "SHIELD", "N/C"];
const J3: &[&str] = &["V33", "PDATA", "GND", "PCLK", "BOOT", "NRST"];

fn larger() -> Vec<Part> {
    let top = Side::Top;
    let two_of = |name, x, y, quarters, reach, form, body, nets| Part {
        name,
        at: at(x, y),
        quarters,
        side: top,
        lands: two(reach, form),
        body,
        nets,
    };
    vec![
        two_of("X1", 24_300, 19_500, 0, 2400, Form::Rect(1400, 2000), (3500, 1400), &["XOUT", "XIN"]),
        two_of("C1", 10_500, 31_000, 1, 1000, C0805, (1900, 1000), &["GND", "VIN"]),
        two_of("C2", 19_500, 33_500, 3, 1000, C0805, (1900, 1000), &["V33", "GND"]),
        two_of("D1", 30_500, 39_500, 0, 1050, C0805, (1900, 1000), &["LEDA", "GND"]),
        two_of("C13", 61_000, 27_500, 3, 1000, C0805, (1900, 1000), &["SHIELD", "GND"]),
    ]
}

/// Lands of the bench test, joined by straight tracks laid by hand.
fn bench() -> Vec<Part> {
    let place = |name, x, y, side, nets| Part {
        name,
        at: at(x, y),
        quarters: 0,
        side,
        lands: single(Form::Disc(1000), None),
        body: (0, 0),
        nets,
    };
    let (top, bottom) = (Side::Top, Side::Bottom);
    vec![
        place("TP1", 46_000, 5000, top, &["BENCH1"]),
        place("TP2", 58_000, 5000, top, &["BENCH1"]),
        place("TP3", 46_000, 6600, top, &["BENCH2"]),
        place("TP4", 58_000, 6600, top, &["BENCH2"]),
        place("TP5", 46_000, 8200, top, &["BENCH3"]),
        place("TP6", 58_000, 8200, top, &["BENCH3"]),
        place("TP7", 46_000, 5000, bottom, &["BENCH4"]),
        place("TP8", 58_000, 5000, bottom, &["BENCH4"]),
        place("TP9", 46_000, 6600, bottom, &["BENCH5"]),
        place("TP10", 58_000, 6600, bottom, &["BENCH5"]),
    ]
}
