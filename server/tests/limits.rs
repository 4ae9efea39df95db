//! The table of limits in the read-me is the one in the code.

use landgap_server::intake::limits::{Limits, TABLE};

#[test]
fn the_read_me_lists_every_limit_as_it_is() {
    let text = include_str!("../../README.md");
    let mut limits = Limits::default();
    for row in TABLE {
        let line = format!("| `{}` | {} | {} | {} |", row.name, (row.value)(&mut limits), row.guards, row.shows);
        assert!(text.contains(&line), "the read-me lacks: {line}");
    }
    let section = text.split("## Limits").nth(1).unwrap().split("\n## ").next().unwrap();
    assert_eq!(section.lines().filter(|l| l.starts_with("| `")).count(), TABLE.len());
}
