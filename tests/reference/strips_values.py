"""Writes strips_values.json: the land nearest to each line of some layouts, for the test of the areas that lines drain.

Origin: shapely 2.1.2 (GEOS) and numpy 2.3.5. The field is covered with points 0.25 m apart on a grid turned by an odd angle, so
that no row of it runs along a line; each point inside the field and outside its holes goes to the line nearest to it
(STRtree.query_nearest; in equal parts where several are as near) if that is no farther than a line drains, and to the
place of the line nearest to it (line_locate_point). Layouts are the three demo fields as they were when this was run, and made ones with a fixed seed;
coordinates are metres.
Run: pip install shapely==2.1.2 numpy==2.3.5 && python strips_values.py
"""

import json
import math
import random
from pathlib import Path

import numpy
import shapely
from shapely.geometry import LineString, Polygon

assert shapely.__version__ == "2.1.2", shapely.__version__
assert numpy.__version__ == "2.3.5", numpy.__version__

HERE = Path(__file__).resolve().parent
STEP_M = 0.25
TURN = math.radians(17.3)
SERVED_M = 15.24
SHARES = [0.0, 0.3, 0.55, 0.8]


def demo(path):
    """Field and collecting lines of a demo field."""
    plan = json.loads(path.read_text())["plan"]
    pair = lambda p: [p["x"], p["y"]]
    rings = [[pair(p) for p in plan["field"]["ring"]]]
    rings += [[pair(p) for p in hole] for hole in plan["field"].get("holes", [])]
    new = [line for line in plan["lines"].values() if isinstance(line["kind"], str)]
    assert all(line["served"] == "strip" for line in new)
    lines = [[pair(p) for p in line["points"]] for line in new]
    return layout(path.stem, rings, lines, plan["brief"]["served_m"])


def layout(name, rings, lines, served_m=SERVED_M):
    rounded = lambda points: [[round(x, 4), round(y, 4)] for x, y in points]
    return {
        "name": name,
        "served_m": served_m,
        "rings": [rounded(ring) for ring in rings],
        "lines": [{"points": rounded(line)} for line in lines],
    }


def star(pick, corners, centre, radius, least=0.6):
    """A ring round a centre whose corners come in order of angle: it cannot cross itself."""
    angles = [2 * math.pi * (i + 0.8 * pick.random()) / corners for i in range(corners)]
    reach = [radius * pick.uniform(least, 1.0) for _ in angles]
    return [[centre[0] + r * math.cos(a), centre[1] + r * math.sin(a)] for a, r in zip(angles, reach)]


def at(points, share):
    place = LineString(points).interpolate(share, normalized=True)
    return [place.x, place.y]


def grid(pick, spacing, angle, name):
    """Laterals side by side from a main, over a field with two holes, turned."""
    turn = lambda p: [p[0] * math.cos(angle) - p[1] * math.sin(angle), p[0] * math.sin(angle) + p[1] * math.cos(angle)]
    main = [[0.0, 0.0], [140.0, -3.0], [300.0, 2.0]]
    lines = [main]
    count = int(280 / spacing)
    for i in range(count):
        foot = at(main, (10 + i * spacing) / 300)
        lines.append([foot, [foot[0] + 1.0, foot[1] + pick.uniform(120, 190)]])
    ring = star(pick, 17, (150.0, 90.0), 190.0)
    holes = [star(pick, 7, (90.0, 70.0), 22.0), star(pick, 5, (215.0, 110.0), 17.0)]
    return layout(name, [[turn(p) for p in r] for r in [ring, *holes]], [[turn(p) for p in line] for line in lines])


def herringbone(pick, spacing, name):
    """Laterals at 45° from both sides of a main up the middle; one hole lies over the edge of the field."""
    main = [[0.0, 0.0], [6.0, 120.0], [-4.0, 260.0]]
    lines = [main]
    for i in range(int(230 / spacing)):
        foot = at(main, (8 + i * spacing) / 262)
        side = 1 if i % 2 else -1
        reach = pick.uniform(60, 130)
        lines.append([foot, [foot[0] + side * 0.7 * reach, foot[1] + 0.7 * reach]])
    ring = star(pick, 13, (0.0, 140.0), 190.0)
    hole = star(pick, 6, (60.0, 150.0), 25.0)
    edge = star(pick, 6, ((ring[0][0] + ring[1][0]) / 2, (ring[0][1] + ring[1][1]) / 2), 18.0)
    return layout(name, [ring, hole, edge], lines)


def swales(pick, name, step, served_m=SERVED_M):
    """Lines that wind as a followed swale does, with many bends, and branches into them."""

    def wind(start, angle, length):
        points, phase = [start], pick.uniform(0, 6)
        for k in range(int(length / step)):
            a = angle + 0.7 * math.sin(phase + k * step / 23) + pick.uniform(-0.15, 0.15)
            points.append([points[-1][0] + step * math.cos(a), points[-1][1] + step * math.sin(a)])
        return points

    main = wind([0.0, 0.0], math.radians(60), 320)
    lines = [main]
    for i in range(9):
        foot = main[int((i + 1) * len(main) / 11)]
        lines.append(wind(foot, math.radians(60 + (70 if i % 2 else -70)), pick.uniform(40, 150)))
    ring = star(pick, 60, (70.0, 140.0), 230.0, 0.85)
    holes = [star(pick, 9, (70.0, 130.0), 20.0), star(pick, 9, (40.0, 200.0), 15.0)]
    return layout(name, [ring, *holes], lines, served_m)


def oddities(pick):
    """What is rarely drawn: lines that cross, a hairpin, stubs, a line along the boundary, one that leaves the field, a line
    that carries another on, two close together, one drawn twice in parts."""
    ring = [[0, 0], [200, 0], [200, 80], [120, 80], [120, 100], [200, 100], [200, 220], [0, 220]]
    lines = [
        [[10, 20], [190, 30]],
        [[60, 5], [70, 120]],
        [[190, 30], [191, 75]],
        [[0, 60], [0, 200]],
        [[30, 150], [90, 150], [90, 156], [30, 156]],
        [[100, 160], [104, 163]],
        [[150, 150], [260, 160]],
        [[150, 200], [180, 200]],
        [[150, 203], [180, 203]],
        [[130, 60], [175, 60], [175, 75]],
        [[110, 175], [135, 185], [110, 195]],
        [[20, 100], [45, 100], [20, 100.4]],
    ]
    hole = [[140, 140], [165, 140], [165, 170], [140, 170]]
    float_of = lambda points: [[float(x), float(y)] for x, y in points]
    return layout("oddities", [float_of(ring), float_of(hole)], [float_of(line) for line in lines])


def measure(one):
    """Fills in area of each line and, for shares of its length, the area that drains to places above them."""
    lines = [LineString(line["points"]) for line in one["lines"]]
    served_m = one["served_m"]
    box = shapely.unary_union(lines).buffer(served_m + 1)
    shape = box
    if one["rings"]:
        shape = Polygon(one["rings"][0])
        for hole in one["rings"][1:]:
            shape = shape.difference(Polygon(hole))
        shape = shape.intersection(box)
    shapely.prepare(shape)
    west, south, east, north = shape.bounds
    middle, half = ((west + east) / 2, (south + north) / 2), math.hypot(east - west, north - south) / 2
    row = numpy.arange(-half, half, STEP_M) + STEP_M / 2
    tree = shapely.STRtree(lines)
    area = numpy.zeros((len(lines), len(SHARES)))
    for v in row:
        x = middle[0] + row * math.cos(TURN) - v * math.sin(TURN)
        y = middle[1] + row * math.sin(TURN) + v * math.cos(TURN)
        inside = shapely.contains_xy(shape, x, y)
        points = shapely.points(x[inside], y[inside])
        if len(points) == 0:
            continue
        pairs = tree.query_nearest(points, max_distance=served_m, all_matches=True)
        part = 1 / numpy.maximum(numpy.bincount(pairs[0], minlength=len(points)), 1)
        for index in numpy.unique(pairs[1]):
            own = pairs[0][pairs[1] == index]
            station = shapely.line_locate_point(lines[index], points[own])
            for k, share in enumerate(SHARES):
                area[index, k] += STEP_M**2 * numpy.sum(part[own][station >= share * lines[index].length])
    for line, areas in zip(one["lines"], area):
        line["area_above_m2"] = [round(float(a), 2) for a in areas]
    print(one["name"], len(lines), "lines,", round(float(area[:, 0].sum())), "m²")


def main():
    pick = random.Random(20270316)
    layouts = [demo(path) for path in sorted((HERE / "../../demo-fields").glob("*.drain"))]
    layouts += [
        grid(pick, 9.0, math.radians(0), "grid of 9 m"),
        grid(pick, 20.0, math.radians(33), "grid of 20 m, turned"),
        herringbone(pick, 12.0, "herringbone"),
        herringbone(pick, 25.0, "wide herringbone"),
        swales(pick, "swales", 6.0),
        swales(pick, "swales with many bends", 2.0),
        swales(pick, "swales, wide strips", 6.0, 40.0),
        oddities(pick),
    ]
    free = swales(pick, "without a field", 6.0)
    free["rings"] = []
    layouts.append(free)
    for one in layouts:
        measure(one)
    origin = "strips_values.py: shapely 2.1.2, numpy 2.3.5; points 0.25 m apart, each to the nearest line within served_m"
    values = {"origin": origin, "shares": SHARES, "layouts": layouts}
    (HERE / "strips_values.json").write_text(json.dumps(values, separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main()
