//! Files that are broken, foreign or hostile.

use std::time::{Duration, Instant};

use super::harness::*;
use landgap_parser::drill::{self, codes};
use landgap_parser::{LimitReached, Limits, Severity};

fn limit_of(text: &str, limits: &Limits) -> LimitReached {
    let started = Instant::now();
    let found = drill::read(text.as_bytes(), limits).and_then(|program| {
        let format = program.candidates()[0];
        program.decode(&format, limits).map(|_| ())
    });
    assert!(started.elapsed() < Duration::from_secs(2), "took {:?}", started.elapsed());
    found.expect_err("a limit")
}

#[test]
fn empty_file() {
    for text in ["", "\n\r\n  \n"] {
        let found = decode_first(text);
        expect(&found, "drill-empty", Severity::Fatal);
        assert!(found.hits.is_empty());
    }
}

#[test]
fn text_file() {
    let found = decode_first("Dear shop,\n\nthe buoy boards are in the next mail.\nX is the long side.\n");
    expect(&found, "drill-not-a-program", Severity::Fatal);
    assert!(found.hits.is_empty(), "{:?}", found.hits);
}

#[test]
fn truncated_file() {
    let whole = "M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y1.0\nX2.0Y1.0\nM30\n";
    for length in 0..whole.len() {
        let found = decode_first(&whole[..length]);
        assert!(found.hits.len() <= 2);
        let ended = whole[..length].trim_end().ends_with("M30");
        let silent = has(&found, "drill-empty") || has(&found, "drill-not-a-program");
        assert_eq!(has(&found, "drill-missing-end"), !ended && !silent, "after {length} bytes: {:?}", found.remarks);
    }
    expect(&decode_first("M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y1.0\n"), "drill-missing-end", Severity::Error);
}

#[test]
fn data_behind_the_end() {
    let found = metric("X1.0Y1.0\nM30\nX2.0Y2.0");
    assert_eq!(found.hits.len(), 1);
    expect(&found, "drill-data-after-end", Severity::Error);
    let stopped = metric("X1.0Y1.0\nM00\nX2.0Y2.0");
    assert_eq!(stopped.hits.len(), 2, "nothing is lost behind a stop");
    expect(&stopped, "drill-stop-mid-file", Severity::Warning);
}

#[test]
fn huge_repeat_names_the_limit() {
    for count in ["9999999", "4294967295"] {
        let text = format!("M48\nMETRIC\nT1C0.5\n%\nT1\nX1.0Y1.0\nR{count}X0.001\nM30\n");
        let reached = limit_of(&text, &Limits::default());
        assert_eq!((reached.limit, reached.line), ("hits", 7));
        assert!(reached.reached > reached.allowed);
    }
    let beyond = metric("X1.0Y1.0\nR18446744073709551616X1.0");
    expect(&beyond, "drill-malformed", Severity::Error);
}

#[test]
fn deep_patterns_name_the_limit() {
    let mut text = String::from("M48\nMETRIC\nT1C0.5\n%\nT1\nM25\nX1.0Y1.0\n");
    for _ in 0..200 {
        text.push_str("M01\nR9M02X0.001\n");
    }
    assert_eq!(limit_of(&text, &Limits::default()).limit, "hits");
    let opened = "M25\n".repeat(100_000);
    assert_eq!(metric(&format!("{opened}X1.0Y1.0")).hits.len(), 1);
}

#[test]
fn copies_out_of_range_are_paid_for_too() {
    let mut text = String::from("M48\nMETRIC\nT1C0.5\n%\nT1\nM25\nX999.0Y1.0\nR1000Y0.01\nM01\n");
    for _ in 0..100_000 {
        text.push_str("R1000M02X900.0\n");
    }
    assert_eq!(limit_of(&text, &Limits::default()).limit, "hits");
}

#[test]
fn size_limits_are_checked_first() {
    let small = Limits { bytes: 10, ..Limits::default() };
    assert_eq!(limit_of("M48\nMETRIC\nT1C0.5\n", &small).limit, "bytes");
    let few = Limits { objects: 4, ..Limits::default() };
    assert_eq!(limit_of("X1Y1\nX2Y2\nX3Y3\n", &few).limit, "objects");
    let corners = Limits { vertices: 2, ..Limits::default() };
    let text = "M48\nMETRIC\nT1C0.5\n%\nT1\nG00X0.0Y0.0\nM15\nG01X1.0\nY1.0\nX0.0\nM16\nM30\n";
    assert_eq!(limit_of(text, &corners).limit, "vertices");
}

#[test]
fn numbers_beyond_reach() {
    expect(&metric("X99999.0Y1.0"), "drill-out-of-range", Severity::Error);
    expect(&metric("X1.0Y1.0\nX1234567890123456789Y1"), "drill-number-unreadable", Severity::Error);
    expect(&metric("X1.0Y1.0\nX-Y1.0"), "drill-number-unreadable", Severity::Error);
    expect(&metric("X1.0Y1.0*"), "drill-malformed", Severity::Error);
    let far = metric("G91\nX900.0Y0.0\nX900.0");
    assert_eq!(far.hits.len(), 1);
    assert!(metric("G93X999999.0\nX1.0Y1.0").remarks.iter().any(|r| r.code.id == "drill-out-of-range"));
}

#[test]
fn any_format_may_be_asked_for() {
    let program = program("M48\nMETRIC\nT1C05\n%\nT1\nX12345Y-00012\nM30\n");
    let mut format = program.candidates()[0];
    for (integer, decimals) in [(0, 0), (u32::MAX, 4), (2, u32::MAX), (18, 18)] {
        (format.integer, format.decimals) = (integer, decimals);
        let found = program.decode(&format, &Limits::default()).expect("within limits");
        assert!(found.hits.len() <= 1);
    }
}

#[test]
fn shuffled_bytes_never_stop_the_reader() {
    let seed = b"M48\nINCH,LZ\nT01C.02\n%\nM25\nX01Y02G85X03\nR3X01\nM01\nM02X1Y1M80\nM08\nG00X0Y0\nM15\nG03X1A9I-3\nG32X1Y1A5\nG82\nP3X1\n;T1=.3mm\nM30\n";
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let limits = Limits { hits: 20_000, ..Limits::default() };
    for _ in 0..4_000 {
        let mut bytes = seed.to_vec();
        for _ in 0..6 {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
            let (from, to) = (state as usize % bytes.len(), (state >> 24) as usize % bytes.len());
            if state & 0x100 == 0 { bytes.swap(from, to) } else { bytes[to] = (state >> 40) as u8 }
        }
        let Ok(program) = drill::read(&bytes, &limits) else { continue };
        for format in program.candidates() {
            if let Ok(image) = program.decode(&format, &limits) {
                assert!(image.hits.iter().all(|h| (h.tool as usize) < image.tools.len()));
            }
        }
    }
}

#[test]
fn codes_are_unique_and_say_what_to_do() {
    for (index, code) in codes::ALL.iter().enumerate() {
        assert!(code.id.starts_with("drill-") && !code.clause.is_empty() && code.action.ends_with('.'), "{}", code.id);
        assert!(codes::ALL[..index].iter().all(|c| c.id != code.id), "{} twice", code.id);
    }
}
