//! What the netlist reader promises.

use landgap_parser::netlist::read;

use super::{Lines, mark, small_limits};

/// Checks one input with small limits.
pub fn holds(bytes: &[u8]) {
    let lines = Lines::of(bytes);
    let once = read(bytes, &small_limits());
    assert_eq!(mark(&once), mark(&read(bytes, &small_limits())), "two readings differ");
    let netlist = match once {
        Ok(netlist) => netlist,
        Err(limit) => return lines.hold_limit(&limit),
    };
    lines.hold_remarks(&netlist.remarks);
    lines.hold_line(netlist.lines);
    netlist.unread.iter().for_each(|l| lines.hold_line(*l));
    netlist.points.iter().for_each(|p| lines.hold_line(p.line));
    netlist.conductors.iter().for_each(|c| lines.hold_line(c.line));
    netlist.outlines.iter().for_each(|o| lines.hold_line(o.line));
    netlist.kept.iter().for_each(|k| lines.hold_line(k.line));
}
