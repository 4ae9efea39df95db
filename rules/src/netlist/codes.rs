//! Every remark about a statement of a netlist that the drill data contradict.

use landgap_parser::{Code, Severity};

/// A hole's size.
pub static HOLE_SIZE: Code = Code {
    id: "set-netlist-hole-size",
    severity: Severity::Warning,
    clause: "IPC-D-356A, columns 33 to 37",
    action: "Confirm the sizes of the holes; the drill data were used.",
};

/// A hole's plating.
pub static HOLE_PLATING: Code = Code {
    id: "set-netlist-hole-plating",
    severity: Severity::Warning,
    clause: "IPC-D-356A, column 38",
    action: "Confirm which holes are plated; the drill data were used.",
};

/// A hole that only the netlist knows.
pub static HOLE_ABSENT: Code = Code {
    id: "set-netlist-hole-absent",
    severity: Severity::Warning,
    clause: "IPC-D-356A, columns 33 to 37",
    action: "Send the drill data of the same revision, or confirm that the hole is gone.",
};

/// All codes.
pub static ALL: &[&Code] = &[&HOLE_SIZE, &HOLE_PLATING, &HOLE_ABSENT];
