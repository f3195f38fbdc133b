"""Writes rings_values.json: boundaries whose rings cross, overlap or double back, and the area that they enclose.

Origin: shapely 2.1.2 (GEOS). A ring encloses what make_valid makes of it (what it goes round an odd number of times), of
which the largest piece is taken; the parts left out are taken off it together. Coordinates are metres of a UTM-like plane.
Run: pip install shapely==2.1.2 && python rings_values.py
"""

import json
import math
import random
from pathlib import Path

import shapely
from shapely.geometry import Polygon
from shapely.ops import unary_union

assert shapely.__version__ == "2.1.2", shapely.__version__


def polygons(shape):
    """The polygons of a shape of any kind."""
    if shape.geom_type == "Polygon":
        return [shape]
    return [part for whole in getattr(shape, "geoms", []) for part in polygons(whole)]


def enclosed(rings):
    """What a boundary encloses without the parts left out, largest piece first."""
    outer, *holes = [unary_union(polygons(shapely.make_valid(Polygon(ring)))) for ring in rings]
    left = outer.difference(unary_union(holes)) if holes else outer
    return sorted(polygons(left), key=lambda piece: -piece.area)


def star(pick, corners, centre, radius):
    """A ring round a centre whose corners come in order of angle: it cannot cross itself."""
    angles = [2 * math.pi * (i + 0.8 * pick.random()) / corners for i in range(corners)]
    reach = [radius * pick.uniform(0.5, 1.0) for _ in angles]
    return [[round(centre[0] + r * math.cos(a), 3), round(centre[1] + r * math.sin(a), 3)] for a, r in zip(angles, reach)]


def knotted(pick, ring):
    """A receiver that stands still: a few points some centimetres apart, out of order."""
    at = pick.randrange(1, len(ring))
    x, y = ring[at]
    knot = [[round(x + pick.uniform(-0.15, 0.15), 3), round(y + pick.uniform(-0.15, 0.15), 3)] for _ in range(6)]
    return ring[:at] + knot + ring[at:]


def overshot(ring):
    """A walk round the field that crosses its own start and ends a little inside."""
    (ax, ay), (bx, by) = ring[0], ring[-1]
    middle = [sum(p[i] for p in ring) / len(ring) for i in (0, 1)]
    inward = [round(p + 0.002 * (m - p), 3) for p, m in zip((ax, ay), middle)]
    return ring + [[round(ax + 0.001 * (ax - bx), 3), round(ay + 0.001 * (ay - by), 3)], inward]


def spiked(pick, ring):
    """Out and back on one line."""
    at = pick.randrange(1, len(ring))
    x, y = ring[at]
    return ring[:at] + [[x, y], [round(x + 40.0, 3), round(y + 25.0, 3)], [x, y]] + ring[at + 1:]


def main():
    pick = random.Random(20261128)
    cases = []
    for index in range(60):
        centre = (pick.uniform(2e5, 8e5), pick.uniform(4e6, 6e6))
        radius = pick.uniform(80, 900)
        rings = [star(pick, 8 + index, centre, radius)]
        near = lambda share: (centre[0] + pick.uniform(-share, share) * radius, centre[1] + pick.uniform(-share, share) * radius)
        kind = ["knot", "overshot", "spike", "holes overlap", "hole crosses", "hole outside"][index % 6]
        if kind == "knot":
            rings[0] = knotted(pick, rings[0])
        elif kind == "overshot":
            rings[0] = overshot(rings[0])
        elif kind == "spike":
            rings[0] = spiked(pick, rings[0])
        elif kind == "holes overlap":
            at = near(0.1)
            rings += [star(pick, 7, at, 0.12 * radius), star(pick, 9, (at[0] + 0.05 * radius, at[1]), 0.12 * radius)]
        elif kind == "hole crosses":
            rings.append(star(pick, 9, rings[0][3], 0.1 * radius))
        else:
            rings.append(star(pick, 5, (centre[0] + 1.5 * radius, centre[1]), 0.2 * radius))
        pieces = enclosed(rings)
        cases.append({
            "kind": kind, "rings": rings, "area_m2": pieces[0].area,
            "other_pieces_m2": sum(piece.area for piece in pieces[1:]), "valid": Polygon(rings[0], rings[1:]).is_valid,
        })
    path = Path(__file__).with_name("rings_values.json")
    path.write_text(json.dumps({"origin": "shapely 2.1.2, rings_values.py", "cases": cases}, indent=None) + "\n")


main()
