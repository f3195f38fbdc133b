"""Writes geometry_values.json: areas and lengths of plane figures, for the tests of the program's own geometry.

Origin: shapely 2.1.2 (GEOS). The figures are made with a fixed seed; coordinates are metres of a UTM-like plane.
Run: pip install shapely==2.1.2 && python geometry_values.py
"""

import json
import math
import random
from pathlib import Path

import shapely
from shapely.geometry import LineString, Polygon

assert shapely.__version__ == "2.1.2", shapely.__version__


def star(pick, corners, centre, radius):
    """A ring round a centre whose corners come in order of angle: it cannot cross itself."""
    angles = [2 * math.pi * (i + 0.8 * pick.random()) / corners for i in range(corners)]
    reach = [radius * pick.uniform(0.4, 1.0) for _ in angles]
    return [[round(centre[0] + r * math.cos(a), 3), round(centre[1] + r * math.sin(a), 3)] for a, r in zip(angles, reach)]


def main():
    pick = random.Random(20261125)
    polygons, lines = [], []
    for index in range(20):
        centre = (pick.uniform(2e5, 8e5), pick.uniform(4e6, 6e6))
        rings = [star(pick, 3 + 3 * index, centre, pick.uniform(50, 900))]
        if index % 3 == 2:
            rings.append(star(pick, 5, centre, 10.0))
        shape = Polygon(rings[0], rings[1:])
        assert shape.is_valid
        middle = shape.centroid
        polygons.append(
            {"rings": rings, "area_m2": shape.area, "length_m": shape.length, "centroid": [middle.x, middle.y]}
        )
        walk = [[round(centre[0] + pick.uniform(-400, 400), 3), round(centre[1] + pick.uniform(-400, 400), 3)]
                for _ in range(2 + index)]
        line = LineString(walk)
        at = 0.37 * line.length
        place = line.interpolate(at)
        lines.append({"points": walk, "length_m": line.length, "station_m": at, "at": [place.x, place.y]})
    origin = f"shapely {shapely.__version__}, GEOS {shapely.geos_version_string}, tests/reference/geometry_values.py"
    out = {"origin": origin, "polygons": polygons, "lines": lines}
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n")


main()
