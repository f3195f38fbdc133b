"""Writes trellis_values.json: blocks of rows and lines of pipe, and where they meet.

Origin: shapely 2.1.2 (GEOS). Rows are straight lines of a bearing, so far apart, the first through the first corner, cut by the
ring of the block; a meeting is where a row crosses a line, told from where the row enters the block and from the line's first
point; an end post meets a line that lies within 3 ft of it. Coordinates are metres.
Run: pip install shapely==2.1.2 && python trellis_values.py
"""

import json
import math
import random
from pathlib import Path

import shapely
from shapely.geometry import LineString, Point, Polygon

assert shapely.__version__ == "2.1.2", shapely.__version__

POST_BESIDE_M = 3 * 0.3048


def rows_of(ring, bearing, spacing):
    """Number, start and end of every piece of a row."""
    east, north = math.sin(math.radians(bearing)), math.cos(math.radians(bearing))
    x0, y0 = ring[0]
    across = [(x - x0) * north - (y - y0) * east for x, y in ring]
    low, high = math.ceil(min(across) / spacing), math.floor(max(across) / spacing)
    found = []
    for number, k in enumerate(range(low, high + 1), 1):
        x, y = x0 + k * spacing * north, y0 - k * spacing * east
        long = LineString([(x - 5000 * east, y - 5000 * north), (x + 5000 * east, y + 5000 * north)])
        cut = Polygon(ring).intersection(long)
        pieces = [part for part in getattr(cut, "geoms", [cut]) if part.geom_type == "LineString" and part.length > 1e-3]
        along = lambda p: (p[0] - x) * east + (p[1] - y) * north
        pieces = [sorted(part.coords, key=along) for part in pieces]
        found += [(number, piece[0], piece[-1]) for piece in sorted(pieces, key=lambda piece: along(piece[0]))]
    return found


def meetings(rows, lines):
    """Crossings and end posts: row, from the start of the row, line, station."""
    crosses, posts, walked = [], [], {}
    for number, start, end in rows:
        before, row = walked.get(number, 0.0), LineString([start, end])
        for index, line in enumerate(lines):
            course = LineString(line)
            met = row.intersection(course)
            places = [part for part in getattr(met, "geoms", [met]) if part.geom_type == "Point"]
            crosses += [[number, before + Point(start).distance(p), index, course.project(p)] for p in places]
            for post, along in ((start, 0.0), (end, row.length)):
                if course.distance(Point(post)) < POST_BESIDE_M:
                    posts.append([number, before + along, index, course.project(Point(post))])
        walked[number] = before + row.length
    key = lambda met: (met[0], met[2], met[1])
    return sorted(crosses, key=key), sorted(posts, key=key)


def case(pick):
    corners = pick.randrange(4, 9)
    angles = [2 * math.pi * (i + 0.7 * pick.random()) / corners for i in range(corners)]
    ring = [[round(pick.uniform(60, 150) * math.cos(a), 3), round(pick.uniform(60, 150) * math.sin(a), 3)] for a in angles]
    bearing, spacing = round(pick.uniform(0, 180), 3), round(pick.uniform(2.4, 6), 3)
    lines = []
    for _ in range(4):
        # Lines that run with the rows lie under them, which is another meeting: these go across.
        way = math.radians(bearing + pick.uniform(25, 155))
        at, line = [pick.uniform(-100, 100), pick.uniform(-100, 100)], []
        for _ in range(pick.randrange(2, 5)):
            line.append([round(at[0], 3), round(at[1], 3)])
            turn, step = way + pick.uniform(-0.3, 0.3), pick.uniform(20, 80)
            at = [at[0] + step * math.sin(turn), at[1] + step * math.cos(turn)]
        lines.append(line)
    crosses, posts = meetings(rows_of(ring, bearing, spacing), lines)
    return {"ring": ring, "bearing_deg": bearing, "spacing_m": spacing, "lines": lines, "crosses": crosses, "posts": posts}


pick = random.Random(72)
cases = [case(pick) for _ in range(40)]
cases = [c for c in cases if Polygon(c["ring"]).is_valid]
path = Path(__file__).with_name("trellis_values.json")
path.write_text(json.dumps({"origin": "shapely 2.1.2, trellis_values.py", "cases": cases}) + "\n")
print(len(cases), sum(len(c["crosses"]) for c in cases), sum(len(c["posts"]) for c in cases))
