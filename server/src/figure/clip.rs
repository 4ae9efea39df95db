//! Cuts contours to a frame (Sutherland and Hodgman) and drops detail below the eye's reach.

use super::view::{Frame, Px};

/// A side of the frame: which coordinate, where, and whether to keep what is larger.
type Side = (bool, f64, bool);

/// The part of a closed contour inside the frame. Edges along the frame may be added.
#[must_use]
pub fn clipped(contour: &[Px], frame: Frame) -> Vec<Px> {
    let sides: [Side; 4] = [
        (true, frame.left, true),
        (true, frame.left + frame.width, false),
        (false, frame.top, true),
        (false, frame.top + frame.height, false),
    ];
    let mut points = contour.to_vec();
    for side in sides {
        if !points.iter().all(|p| inside(*p, side)) {
            points = cut(&points, side);
        }
    }
    points
}

fn inside((x, y): Px, (is_x, at, keep_larger): Side) -> bool {
    let value = if is_x { x } else { y };
    if keep_larger { value >= at } else { value <= at }
}

fn cut(points: &[Px], side: Side) -> Vec<Px> {
    let mut out = Vec::with_capacity(points.len());
    let Some(mut before) = points.last().copied() else { return out };
    for &point in points {
        match (inside(before, side), inside(point, side)) {
            (true, true) => out.push(point),
            (true, false) => out.push(crossing(before, point, side)),
            (false, true) => out.extend([crossing(before, point, side), point]),
            (false, false) => {}
        }
        before = point;
    }
    out
}

fn crossing(a: Px, b: Px, (is_x, at, _): Side) -> Px {
    if is_x {
        (at, a.1 + (b.1 - a.1) * (at - a.0) / (b.0 - a.0))
    } else {
        (a.0 + (b.0 - a.0) * (at - a.1) / (b.1 - a.1), at)
    }
}

/// The contour without points nearer than `tolerance` to the last one kept; empty when the whole
/// of it is smaller than that.
#[must_use]
pub fn simplified(points: &[Px], tolerance: f64) -> Vec<Px> {
    let mut out: Vec<Px> = Vec::with_capacity(points.len());
    for &(x, y) in points {
        let far = |(a, b): &Px| (x - a).abs().max((y - b).abs()) >= tolerance;
        if out.last().is_none_or(far) {
            out.push((x, y));
        }
    }
    if out.len() < 3 { Vec::new() } else { out }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FRAME: Frame = Frame { left: 0.0, top: 0.0, width: 10.0, height: 10.0 };

    fn area(points: &[Px]) -> f64 {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>() / 2.0
    }

    #[test]
    fn what_lies_outside_goes() {
        let square = [(-5.0, -5.0), (5.0, -5.0), (5.0, 5.0), (-5.0, 5.0)];
        assert_eq!(area(&clipped(&square, FRAME)), 25.0);
        let around = [(-5.0, -5.0), (50.0, -5.0), (50.0, 50.0), (-5.0, 50.0)];
        assert_eq!(area(&clipped(&around, FRAME)), 100.0);
        let away = [(20.0, 20.0), (30.0, 20.0), (30.0, 30.0)];
        assert!(clipped(&away, FRAME).is_empty());
    }

    #[test]
    fn detail_below_the_tolerance_goes() {
        assert_eq!(simplified(&[(0.0, 0.0), (0.1, 0.0), (5.0, 0.0), (5.0, 5.0)], 0.5).len(), 3);
        assert!(simplified(&[(0.0, 0.0), (0.1, 0.0), (0.1, 0.1)], 0.5).is_empty());
    }
}
