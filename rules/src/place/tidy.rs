//! Closed contours put in order: slivers and copies dropped, overlapping cut-outs made one.

use landgap_parser::{Contour, Edge, Point};

use super::extent::{self, Extent};
use crate::geometry::{engine, flatten};

/// Contours that are thinner than this on average enclose nothing that could be made.
const SLIVER: f64 = 25_000.0;
/// Pairs of contours tried for overlap.
const PAIRS: usize = 400;
/// Contours beyond which overlaps are not looked for: such a file is no outline.
const MANY: usize = 2_000;

struct Sized {
    contour: Contour,
    points: Vec<Point>,
    area: i128,
    box_: Extent,
}

/// The contours worth keeping, largest first.
pub(super) fn all(contours: Vec<Contour>) -> Vec<Contour> {
    let mut kept: Vec<Sized> = Vec::new();
    for sized in contours.into_iter().filter_map(sized) {
        if !kept.iter().rev().take(500).any(|other| twins(other, &sized)) {
            kept.push(sized);
        }
    }
    sort(&mut kept);
    join_overlapping(&mut kept);
    kept.into_iter().map(|s| s.contour).collect()
}

fn sized(contour: Contour) -> Option<Sized> {
    let points = flatten::contour(&contour);
    let area = engine::doubled_area(&points).abs();
    let next = points.iter().cycle().skip(1);
    let perimeter: f64 = points.iter().zip(next).map(|(a, b)| a.distance(*b)).sum();
    let box_ = extent::of_points(points.iter().copied())?;
    // Twice the area over half the perimeter: the width of a long thin shape, twice.
    (area as f64 > SLIVER * perimeter).then_some(Sized { contour, points, area, box_ })
}

fn sort(list: &mut [Sized]) {
    list.sort_by(|a, b| b.area.cmp(&a.area).then_with(|| (a.box_.low, a.box_.high).cmp(&(b.box_.low, b.box_.high))));
}

fn twins(a: &Sized, b: &Sized) -> bool {
    let near = |a: Point, b: Point| (a.x - b.x).abs() <= 2_000 && (a.y - b.y).abs() <= 2_000;
    near(a.box_.low, b.box_.low)
        && near(a.box_.high, b.box_.high)
        && (a.area - b.area).abs() as f64 <= a.area as f64 * 1e-3
}

/// Cut-outs of one board that overlap are milled as one opening.
fn join_overlapping(list: &mut Vec<Sized>) {
    let mut tried = 0;
    let mut i = 0;
    while i < list.len() && list.len() <= MANY && tried < PAIRS {
        let partner = (i + 1..list.len()).find(|&j| {
            let near = tried < PAIRS && overlap(&list[i].box_, &list[j].box_) && inside_another(list, i, j);
            tried += usize::from(near);
            near && cross(&list[i], &list[j])
        });
        let Some(j) = partner else {
            i += 1;
            continue;
        };
        let (b, a) = (list.remove(j), list.remove(i));
        list.extend(united(&a, &b));
        sort(list);
        i = 0;
    }
}

fn overlap(a: &Extent, b: &Extent) -> bool {
    a.low.x < b.high.x && b.low.x < a.high.x && a.low.y < b.high.y && b.low.y < a.high.y
}

fn inside_another(list: &[Sized], i: usize, j: usize) -> bool {
    let within = |a: &Sized, b: &Sized| a.area > b.area && a.box_.holds(b.box_.low) && a.box_.holds(b.box_.high);
    list.iter().enumerate().any(|(k, outer)| k != i && k != j && within(outer, &list[i]) && within(outer, &list[j]))
}

/// Whether both share area and neither lies in the other.
fn cross(a: &Sized, b: &Sized) -> bool {
    let shared = engine::intersection(&[positive(a)], &[positive(b)]);
    let area: i128 = shared.iter().flatten().map(|c| engine::doubled_area(c)).sum();
    let least = a.area.min(b.area) as f64;
    area > 0 && (area as f64) < least * 0.999
}

fn positive(sized: &Sized) -> Vec<Point> {
    let mut points = sized.points.clone();
    if engine::doubled_area(&points) < 0 {
        points.reverse();
    }
    points
}

fn united(a: &Sized, b: &Sized) -> Vec<Sized> {
    let line = a.contour.line.min(b.contour.line);
    let polygons = engine::union(&[positive(a), positive(b)]);
    polygons.into_iter().flatten().filter_map(|points| sized(of_points(&points, line)?)).collect()
}

fn of_points(points: &[Point], line: u32) -> Option<Contour> {
    let (&start, rest) = points.split_first()?;
    let edges = rest.iter().map(|&to| Edge::Line { to }).chain([Edge::Line { to: start }]).collect();
    Some(Contour { start, edges, line })
}

#[cfg(test)]
mod tests {
    use super::*;
    use landgap_parser::Nm;

    fn square(x: Nm, y: Nm, size: Nm) -> Contour {
        let corners = [(x, y), (x + size, y), (x + size, y + size), (x, y + size)].map(|(x, y)| Point::new(x, y));
        of_points(&corners, 1).expect("corners")
    }

    #[test]
    fn copies_and_slivers_go_and_overlapping_cutouts_join() {
        let mm = 1_000_000;
        let sliver = of_points(&[Point::new(0, 0), Point::new(mm, 0), Point::new(mm, 9_000)], 1).expect("corners");
        let list = vec![
            square(0, 0, 20 * mm),
            square(0, 0, 20 * mm),
            square(5 * mm, 5 * mm, 2 * mm),
            square(6 * mm, 6 * mm, 2 * mm),
            sliver,
        ];
        let kept = all(list);
        assert_eq!(kept.len(), 2);
        // Two squares of 4 mm² that share 1 mm².
        let area = engine::doubled_area(&flatten::contour(&kept[1])).abs() / 2;
        assert_eq!(area, 7 * i128::from(mm * mm));
    }
}
