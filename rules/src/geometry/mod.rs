//! The final image of a layer as polygons: dark minus clear, in file order.
//!
//! Only [`engine`] knows the boolean library; [`union`](mod@union) decides what it is given and in what groups.

pub mod boxes;
pub mod distance;
pub mod edges;
pub mod engine;
pub mod flatten;
pub mod grid;
pub mod image;
pub mod layer;
mod lone;
pub mod nearby;
pub mod outline;
pub mod shape;
pub mod strokes;
pub mod union;

pub use boxes::BoxIndex;
pub use layer::{Bounds, Geometry, Island, LayerImage};
