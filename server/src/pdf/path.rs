//! SVG path data as our figures write it (M, L, A, Z, absolute) as a PDF path.

use krilla::geom::{Path, PathBuilder};

/// The path and the box round its points: left, top, right, bottom.
pub fn path(d: &str) -> Option<(Path, [f32; 4])> {
    let mut builder = PathBuilder::new();
    let mut bounds = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
    let mut at = (0.0, 0.0);
    let words = d.split_inclusive(|c: char| c.is_ascii_alphabetic()).collect::<Vec<_>>();
    // Each piece ends with the next command's letter: pair letters with the numbers behind them.
    let mut letter = ' ';
    for piece in words {
        let (numbers, next) = match piece.char_indices().last() {
            Some((i, c)) if c.is_ascii_alphabetic() => (&piece[..i], c),
            _ => (piece, ' '),
        };
        at = command(&mut builder, letter, &values(numbers), at, &mut bounds)?;
        letter = next;
    }
    command(&mut builder, letter, &[], at, &mut bounds)?;
    Some((builder.finish()?, bounds))
}

fn values(text: &str) -> Vec<f32> {
    text.split([' ', ',']).filter(|w| !w.is_empty()).filter_map(|w| w.parse().ok()).collect()
}

fn command(
    builder: &mut PathBuilder,
    letter: char,
    v: &[f32],
    at: (f32, f32),
    bounds: &mut [f32; 4],
) -> Option<(f32, f32)> {
    let mut at = at;
    let mut grow = |(x, y): (f32, f32)| {
        *bounds = [bounds[0].min(x), bounds[1].min(y), bounds[2].max(x), bounds[3].max(y)];
    };
    match letter {
        ' ' => {}
        'Z' => builder.close(),
        'M' | 'L' => {
            for (i, xy) in v.chunks_exact(2).enumerate() {
                at = (xy[0], xy[1]);
                if letter == 'M' && i == 0 {
                    builder.move_to(at.0, at.1)
                } else {
                    builder.line_to(at.0, at.1)
                }
                grow(at);
            }
        }
        'A' => {
            for a in v.chunks_exact(7) {
                let to = (a[5], a[6]);
                arc(builder, at, to, a[0], a[3] != 0.0, a[4] != 0.0);
                [(-a[0], -a[0]), (a[0], a[0])].into_iter().for_each(|(x, y)| grow((to.0 + x, to.1 + y)));
                at = to;
            }
        }
        _ => return None,
    }
    Some(at)
}

/// A circular arc as cubic curves of at most a quarter each.
/// Centre by the SVG specification's implementation notes, F.6.5, for equal radii.
fn arc(builder: &mut PathBuilder, from: (f32, f32), to: (f32, f32), radius: f32, large: bool, sweep: bool) {
    let (hx, hy) = ((from.0 - to.0) / 2.0, (from.1 - to.1) / 2.0);
    let half = (hx * hx + hy * hy).sqrt();
    if half == 0.0 || radius <= 0.0 {
        return builder.line_to(to.0, to.1);
    }
    let r = radius.max(half);
    let off = ((r * r - half * half).max(0.0)).sqrt() / half * if large == sweep { -1.0 } else { 1.0 };
    let centre = ((from.0 + to.0) / 2.0 + off * hy, (from.1 + to.1) / 2.0 - off * hx);
    let start = (from.1 - centre.1).atan2(from.0 - centre.0);
    let end = (to.1 - centre.1).atan2(to.0 - centre.0);
    let mut turn = end - start;
    if sweep && turn < 0.0 {
        turn += std::f32::consts::TAU;
    } else if !sweep && turn > 0.0 {
        turn -= std::f32::consts::TAU;
    }
    let pieces = (turn.abs() / std::f32::consts::FRAC_PI_2).ceil().max(1.0);
    let step = turn / pieces;
    let handle = 4.0 / 3.0 * (step / 4.0).tan() * r;
    for i in 0..pieces as usize {
        let (a, b) = (start + step * i as f32, start + step * (i + 1) as f32);
        let p = |t: f32| (centre.0 + r * t.cos(), centre.1 + r * t.sin());
        let (p0, p3) = (p(a), p(b));
        builder.cubic_to(
            p0.0 - handle * a.sin(),
            p0.1 + handle * a.cos(),
            p3.0 + handle * b.sin(),
            p3.1 - handle * b.cos(),
            p3.0,
            p3.1,
        );
    }
}

/// A circle.
pub fn circle(x: f32, y: f32, r: f32) -> Option<Path> {
    let mut builder = PathBuilder::new();
    builder.move_to(x + r, y);
    arc(&mut builder, (x + r, y), (x - r, y), r, false, true);
    arc(&mut builder, (x - r, y), (x + r, y), r, false, true);
    builder.close();
    builder.finish()
}

/// A straight line.
pub fn line(from: (f32, f32), to: (f32, f32)) -> Option<Path> {
    let mut builder = PathBuilder::new();
    builder.move_to(from.0, from.1);
    builder.line_to(to.0, to.1);
    builder.finish()
}

/// An upright rectangle.
pub fn rectangle(x: f32, y: f32, width: f32, height: f32) -> Option<Path> {
    let mut builder = PathBuilder::new();
    builder.push_rect(krilla::geom::Rect::from_xywh(x, y, width, height)?);
    builder.finish()
}
