//! Traits of drill programs.

use landgap_parser::Unit;
use landgap_parser::drill::{Number, Program, Value};

use super::harness::{Set, all, both_ways, counted};

/// Numbers behind a letter, over a whole program.
fn numbers(program: &Program, letter: u8) -> Vec<Number> {
    let words = program.lines.iter().flat_map(|line| program.words(line));
    words
        .filter(|w| w.letter == letter)
        .filter_map(|w| match w.value {
            Value::Number(number) => Some(number),
            _ => None,
        })
        .collect()
}

fn has(program: &Program, letter: u8, number: i64) -> bool {
    numbers(program, letter).iter().any(|n| n.digits == number && n.decimals.is_none())
}

fn coordinates(set: &Set) -> Vec<Number> {
    set.programs().flat_map(|p| [numbers(p, b'X'), numbers(p, b'Y')].concat()).filter(|n| n.digits != 0).collect()
}

#[test]
fn units_as_stated() {
    let Some(sets) = all() else { return };
    for set in sets {
        let Some(stated) = set.stated("drill[") else { continue };
        let word = stated.split([',', ';']).next().unwrap_or_default();
        let units: Vec<Option<Unit>> = set.programs().map(|p| p.stated.map(|f| f.unit)).collect();
        assert!(!units.is_empty(), "{}: no drill program was recognised", set.name);
        let wanted = match word {
            "INCH" | "M72" => Some(Unit::Inch),
            "METRIC" => Some(Unit::Millimetre),
            "none" => None,
            other => panic!("{}: the unit {other}", set.name),
        };
        assert!(units.iter().all(|u| *u == wanted), "{}: {units:?}, the table says {word}", set.name);
    }
}

#[test]
fn zeros_as_written() {
    let Some(sets) = all() else { return };
    for set in sets {
        let Some(stated) = set.stated("drill[") else { continue };
        let zeros = stated.split_once("zeros:").expect("zeros").1.trim_end_matches(']');
        let numbers = coordinates(set);
        assert!(numbers.len() >= 20, "{}: {} coordinates", set.name, numbers.len());
        let pointed = numbers.iter().filter(|n| n.decimals.is_some()).count();
        let lengths: std::collections::BTreeSet<u8> = numbers.iter().map(|n| n.length).collect();
        let leading = numbers.iter().any(Number::leading_zero);
        let holds = match zeros {
            "decimal point" => pointed == numbers.len(),
            "full width" => pointed == 0 && lengths.len() == 1,
            "leading zeros kept, trailing dropped" => pointed == 0 && lengths.len() > 1 && leading,
            "trailing zeros kept, leading dropped" => pointed == 0 && lengths.len() > 1 && !leading,
            other => panic!("{}: zeros {other}", set.name),
        };
        assert!(
            holds,
            "{}: {zeros}; {pointed} of {} with a point, lengths {lengths:?}, leading {leading}",
            set.name,
            numbers.len()
        );
    }
}

#[test]
fn programs_without_a_header() {
    both_ways("drill-without-M48", |set| {
        set.programs().any(|p| p.remarks.iter().any(|r| r.code.id == "drill-header-missing"))
    });
}

#[test]
fn holes_repeated_with_r() {
    both_ways("drill-repeat-R", |set| set.programs().any(|p| !numbers(p, b'R').is_empty()));
}

#[test]
fn programs_without_tool_codes() {
    both_ways("no-tool-codes(M00-stops)", |set| set.programs().any(|p| numbers(p, b'T').is_empty() && has(p, b'M', 0)));
}

#[test]
fn slots_of_two_ends_as_many_as_counted_elsewhere() {
    let slots = |p: &Program| numbers(p, b'G').iter().filter(|n| n.digits == 85).count();
    counted(
        "G85-slots:",
        |set| set.programs().map(slots).sum::<usize>(),
        |stated| stated.map_or(0, |n| n.parse().expect("a count")),
    );
}

/// Tool down, cut, tool up: the M15 and M16 of a routed path.
#[test]
fn slots_that_are_routed() {
    both_ways("routed-slots", |set| set.programs().any(|p| has(p, b'M', 15)));
}

#[test]
fn two_drill_files() {
    both_ways("2-drill-files", |set| set.programs().count() == 2);
}
