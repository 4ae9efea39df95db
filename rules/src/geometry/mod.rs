//! The final image of a layer as polygons: dark minus clear, in file order.

pub mod layer;

pub use layer::{Bounds, Geometry, Island, LayerImage};
