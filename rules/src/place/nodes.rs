//! Points that lie so close that they are one.

use std::collections::BTreeMap;

use landgap_parser::{Nm, Point};

/// Points with the node each belongs to.
pub(super) struct Nodes {
    points: Vec<Point>,
    parent: Vec<usize>,
}

/// Points compared in one cell: a crowd in one place is one node anyhow.
const CROWD: usize = 16;

impl Nodes {
    /// Points within `reach` of each other share a node.
    pub fn of(points: Vec<Point>, reach: Nm) -> Self {
        let mut nodes = Self { parent: (0..points.len()).collect(), points };
        let all: Vec<usize> = (0..nodes.points.len()).collect();
        let mut pairs = nodes.pairs(&all, reach);
        pairs.sort_unstable();
        for (_, a, b) in pairs {
            nodes.unite(a, b);
        }
        nodes
    }

    /// The node of a point, by its index.
    pub fn of_point(&mut self, index: usize) -> usize {
        let mut root = index;
        while self.parent[root] != root {
            self.parent[root] = self.parent[self.parent[root]];
            root = self.parent[root];
        }
        root
    }

    /// Joins loose points two by two, the closest first.
    pub fn bridge(&mut self, loose: &[usize], reach: Nm) {
        let mut pairs = self.pairs(loose, reach);
        pairs.sort_unstable();
        let mut used = std::collections::BTreeSet::new();
        for (_, a, b) in pairs {
            if used.contains(&a) || used.contains(&b) {
                continue;
            }
            used.extend([a, b]);
            self.unite(a, b);
        }
    }

    fn unite(&mut self, a: usize, b: usize) {
        let (a, b) = (self.of_point(a), self.of_point(b));
        self.parent[a.max(b)] = a.min(b);
    }

    /// Pairs among the points no further apart than `reach`, with their distance.
    fn pairs(&self, among: &[usize], reach: Nm) -> Vec<(Nm, usize, usize)> {
        let cell = |p: Point| (p.x.div_euclid(reach), p.y.div_euclid(reach));
        let mut cells: BTreeMap<(i64, i64), Vec<usize>> = BTreeMap::new();
        for &i in among {
            cells.entry(cell(self.points[i])).or_default().push(i);
        }
        let mut out = Vec::new();
        for &i in among {
            let (x, y) = cell(self.points[i]);
            for near in (x - 1..=x + 1).flat_map(|x| (y - 1..=y + 1).map(move |y| (x, y))) {
                let others = cells.get(&near).into_iter().flatten().take(CROWD).filter(|&&j| j != i);
                let spaced =
                    others.map(|&j| (self.points[i].distance(self.points[j]).ceil() as Nm, i.min(j), i.max(j)));
                out.extend(spaced.filter(|(gap, ..)| *gap <= reach));
            }
        }
        out
    }
}
