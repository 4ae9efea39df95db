"""A board measured by a plain script on a general geometry library: the yardstick for our speed.

What a careful user would write in an afternoon: one union a layer, a tree of the pieces, distances
between near pieces, nets through the holes, rings, hole walls, webs, edges, openings. It reads what
our own reader exported (see the bench `against`), so reading is in neither time; it measures no
widths, which makes it do less than we do. Vectorised calls throughout; arcs are cut to half a
micrometre, the accuracy we promise.

    python3 measure.py primitives.json     prints least values, counts and seconds
"""

import json
import math
import sys
import time

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry import MultiPolygon, Polygon

HORIZON = 0.5  # mm
SAGITTA = 0.0005  # mm


def quarter(radius):
    """Chords in a quarter circle whose sagitta stays below the tolerance."""
    if radius <= SAGITTA:
        return 2
    return max(2, math.ceil(math.pi / 4 / math.acos(1 - SAGITTA / radius)))


def shapes(objects):
    """Every object as a polygon, in order."""
    out = np.empty(len(objects), dtype=object)
    round_pens = {}
    for number, item in enumerate(objects):
        if "path" in item:
            round_pens.setdefault(item["radius"], []).append(number)
        else:
            rings = [Polygon(ring) for ring in item["rings"] if len(ring) > 2]
            solid = [r for r, source in zip(rings, item["rings"]) if not turns_back(source)]
            holes = [r for r, source in zip(rings, item["rings"]) if turns_back(source)]
            shape = shapely.union_all([shapely.make_valid(r) for r in solid])
            out[number] = shape.difference(shapely.union_all(holes)) if holes else shape
    for radius, numbers in round_pens.items():
        paths = [objects[n]["path"] for n in numbers]
        lines = shapely.from_ragged_array(
            shapely.GeometryType.LINESTRING,
            np.array([p for path in paths for p in path]),
            (np.cumsum([0] + [len(p) for p in paths]),),
        )
        out[numbers] = shapely.buffer(lines, radius, quad_segs=quarter(radius))
    return out


def turns_back(ring):
    points = np.array(ring)
    x, y = points[:, 0], points[:, 1]
    return np.dot(x, np.roll(y, -1)) < np.dot(y, np.roll(x, -1))


def image(objects):
    """Pieces of the final image: dark less clear, in order."""
    made = shapes(objects)
    total, start = MultiPolygon(), 0
    for end in range(1, len(objects) + 1):
        if end == len(objects) or objects[end]["dark"] != objects[start]["dark"]:
            run = shapely.union_all(made[start:end])
            total = total.union(run) if objects[start]["dark"] else total.difference(run)
            start = end
    return np.array([p for p in shapely.get_parts(total) if p.area > 1e-6], dtype=object)


def near_pairs(pieces):
    """Distances between pieces nearer than the horizon."""
    if len(pieces) < 2:
        return np.empty((0, 2), int), np.empty(0)
    pairs = STRtree(pieces).query(pieces, predicate="dwithin", distance=HORIZON).T
    pairs = pairs[pairs[:, 0] < pairs[:, 1]]
    return pairs, shapely.distance(pieces[pairs[:, 0]], pieces[pairs[:, 1]])


class Sets:
    def __init__(self, count):
        self.parent = list(range(count))

    def root(self, i):
        while self.parent[i] != i:
            self.parent[i] = self.parent[self.parent[i]]
            i = self.parent[i]
        return i

    def join(self, a, b):
        self.parent[self.root(a)] = self.root(b)


def least(values):
    return round(float(np.min(values)) * 1000, 3) if len(values) else None


def measure(board):
    facts = {}
    copper = [image(layer) for layer in board["copper"]]
    masks = [image(layer) for layer in board["masks"]]
    holes = board["holes"]
    axes = np.array(
        [shapely.LineString([h["from"], h["to"]]) if h["from"] != h["to"] else shapely.Point(h["from"]) for h in holes],
        dtype=object,
    )
    radii = np.array([h["diameter"] / 2 for h in holes])
    plated = np.array([h["plated"] for h in holes], dtype=bool)
    starts = np.cumsum([0] + [len(layer) for layer in copper])
    nets = Sets(int(starts[-1]))
    rings, first = [], {}
    for number, layer in enumerate(copper):
        if not len(layer) or not len(axes):
            continue
        hole, piece = STRtree(layer).query(axes, predicate="dwithin", distance=radii)
        inside = shapely.intersects(layer[piece], axes[hole])
        reach = shapely.distance(shapely.boundary(layer[piece]), axes[hole])
        reach = np.where(inside, reach, -reach)
        rings.extend((reach - radii[hole])[plated[hole]])
        for h, p in zip(hole, piece):
            if plated[h]:
                node = int(starts[number] + p)
                nets.join(node, first.setdefault(int(h), node))
        hole, piece = STRtree(layer).query(axes, predicate="dwithin", distance=radii + HORIZON)
        clear = shapely.distance(layer[piece], axes[hole]) - radii[hole]
        facts.setdefault("hole_to_copper", []).extend(clear[clear > 0])
    facts["rings"] = rings
    for number, layer in enumerate(copper):
        pairs, gaps = near_pairs(layer)
        roots = np.array([nets.root(int(starts[number] + i)) for i in range(len(layer))])
        if len(pairs):
            facts.setdefault("gaps", []).extend(gaps[roots[pairs[:, 0]] != roots[pairs[:, 1]]])
    if len(axes):
        a, b = STRtree(axes).query(axes, predicate="dwithin", distance=HORIZON + 2 * radii.max())
        once = a < b
        facts["walls"] = shapely.distance(axes[a[once]], axes[b[once]]) - radii[a[once]] - radii[b[once]]
    facts["webs"] = np.concatenate([near_pairs(layer)[1] for layer in masks] or [np.empty(0)])
    edge = shapely.union_all([shapely.LinearRing(c) for c in board["outline"] if len(c) > 2])
    if not edge.is_empty:
        facts["copper_to_edge"] = np.concatenate([shapely.distance(layer, edge) for layer in copper] or [np.empty(0)])
        facts["hole_to_edge"] = shapely.distance(axes, edge) - radii if len(axes) else []
    for layer, mask in zip([copper[0], copper[-1]] if copper else [], masks):
        opening, land = STRtree(layer).query(mask, predicate="intersects") if len(layer) else ([], [])
        margins = shapely.distance(shapely.boundary(mask[opening]), shapely.boundary(layer[land]))
        facts.setdefault("openings", []).extend(margins)
    count = {"islands": [len(layer) for layer in copper], "nets": len({nets.root(i) for i in range(int(starts[-1]))})}
    return count, {name: least(values) for name, values in facts.items()}


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        board = json.load(file)
    started = time.perf_counter()
    counts, values = measure(board)
    print(json.dumps({"seconds": round(time.perf_counter() - started, 3), **counts, "least_um": values}))


if __name__ == "__main__":
    main()
