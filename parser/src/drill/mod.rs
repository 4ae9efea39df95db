//! Drill and rout programs (Excellon, XNC).
