//! The cautions every report and form carries.

/// What the reader must bear in mind.
pub const CAUTIONS: [&str; 5] = [
    "Everything here is an estimate made from the data that were sent. It is not an approval of the board or of the data.",
    "Spacing at high voltage, safety insulation, creepage and clearance are not judged. They belong to the responsible engineer and to the codes in force where the board is used.",
    "The limits come from the capability profile named above. The shop's own engineer decides what can be built.",
    "What is not in the data cannot be seen: a query that is not here does not mean the fault is not there. See what ran and what could not run.",
    "Where something was assumed, it is listed. An assumption that is wrong makes the answers that rest on it wrong.",
];
