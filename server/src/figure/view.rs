//! From board coordinates to paper coordinates.

use landgap_parser::Point;
use landgap_rules::geometry::Bounds;

/// A point on the paper, in pixels, y downwards.
pub type Px = (f64, f64);

/// A rectangle on the paper.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Extent in x.
    pub width: f64,
    /// Extent in y.
    pub height: f64,
}

impl Frame {
    /// The frame grown on every side.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self { left: self.left - by, top: self.top - by, width: self.width + 2.0 * by, height: self.height + 2.0 * by }
    }

    /// Whether a circle lies wholly inside.
    #[must_use]
    pub fn holds(self, (x, y): Px, radius: f64) -> bool {
        x - radius >= self.left
            && x + radius <= self.left + self.width
            && y - radius >= self.top
            && y + radius <= self.top + self.height
    }
}

/// Maps a window of the board into a frame on the paper.
#[derive(Clone, Copy, Debug)]
pub struct View {
    /// The part of the board that is seen.
    pub window: Bounds,
    /// Where it lands.
    pub frame: Frame,
    /// Pixels in a nanometre.
    pub scale: f64,
    /// Seen from below: x runs to the left.
    pub mirrored: bool,
}

impl View {
    /// The whole window, as large as the frame allows, in its middle.
    #[must_use]
    pub fn fit(window: Bounds, frame: Frame, mirrored: bool) -> Self {
        let (width, height) = (window.width().max(1) as f64, window.height().max(1) as f64);
        let scale = (frame.width / width).min(frame.height / height);
        let (w, h) = (width * scale, height * scale);
        let left = frame.left + (frame.width - w) / 2.0;
        let top = frame.top + (frame.height - h) / 2.0;
        Self { window, frame: Frame { left, top, width: w, height: h }, scale, mirrored }
    }

    /// A point on the paper.
    #[must_use]
    pub fn px(&self, p: Point) -> Px {
        let x = if self.mirrored { self.window.max.x - p.x } else { p.x - self.window.min.x };
        let y = self.window.max.y - p.y;
        (self.frame.left + x as f64 * self.scale, self.frame.top + y as f64 * self.scale)
    }

    /// A length on the paper.
    #[must_use]
    pub fn length(&self, nm: i64) -> f64 {
        nm as f64 * self.scale
    }
}
