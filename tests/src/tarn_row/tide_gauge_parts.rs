//! Parts of the tide gauge. Lengths in ten-thousandths of an inch.

use super::footprint::{Land, Part, columns, header, single, two};
use super::model::{Form, Side, at};

const CHIP: Form = Form::Rect(500, 700);

/// Every part of the board.
pub fn parts() -> Vec<Part> {
    let mut list = vec![dual_in_line(), tab()];
    list.extend(headers());
    list.extend(chips());
    list
}

fn dual_in_line() -> Part {
    let lands = columns(8, 1000, 1500, Form::Disc(600))
        .into_iter()
        .enumerate()
        .map(|(i, land)| Land {
            form: if i == 0 { Form::Rect(600, 600) } else { land.form },
            hole: Some((320, 0, 0)),
            ..land
        })
        .collect();
    Part {
        name: "U1",
        at: at(10_000, 6000),
        quarters: 0,
        side: Side::Top,
        lands,
        body: (1050, 2000),
        nets: &["RESET", "FLOAT1", "FLOAT2", "GND", "TX", "RX", "LEDA", "VCC"],
    }
}

fn tab() -> Part {
    let lands = single(Form::Oblong(900, 1400), Some((450, 0, 250)));
    Part { name: "E1", at: at(1600, 9500), quarters: 0, side: Side::Top, lands, body: (0, 0), nets: &["GND"] }
}

fn headers() -> Vec<Part> {
    let part = |name, y, x, count, pitch, hole, size, body, nets| Part {
        name,
        at: at(x, y),
        quarters: 0,
        side: Side::Top,
        lands: header(count, 1, pitch, hole, size),
        body,
        nets,
    };
    vec![
        part("J1", 6000, 1600, 2, 2000, 520, 1000, (1000, 2000), &["VIN", "GND"]),
        part("J2", 6000, 18_300, 4, 1000, 400, 700, (500, 2000), &["VCC", "TX", "RX", "GND"]),
        part("J3", 9500, 5500, 3, 1000, 400, 700, (500, 1500), &["FLOAT1", "GND", "FLOAT2"]),
    ]
}

fn chips() -> Vec<Part> {
    let part = |name, x, y, quarters, nets| Part {
        name,
        at: at(x, y),
        quarters,
        side: Side::Top,
        lands: two(600, CHIP),
        body: (1000, 450),
        nets,
    };
    vec![
        part("R1", 7000, 2500, 0, &["VCC", "RESET"]),
        part("R2", 14_200, 8500, 0, &["LEDA", "LEDK"]),
        part("D1", 14_200, 10_300, 2, &["GND", "LEDK"]),
        part("C1", 13_800, 5200, 1, &["GND", "VCC"]),
        part("F1", 4500, 5000, 0, &["VIN", "VCC"]),
        part("C2", 15_500, 2500, 0, &["VCC", "GND"]),
    ]
}
