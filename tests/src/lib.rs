//! What the tests across crates share: the demo boards of *Tarn Row*, made by a small program of our own.

pub mod tarn_row;
