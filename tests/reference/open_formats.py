"""Hands every demo field over in both units and reads each file of the folder with independent readers. Run by
tests/open_formats.sh, which pins them: ezdxf, gpxpy, lxml, pyproj, and fastkml for the schema of KML.
    python open_formats.py PROGRAM FOLDER-WITH-PLANS
"""
import csv
import hashlib
import json
import math
import subprocess
import sys
from decimal import ROUND_HALF_UP, Decimal
from importlib.resources import files
from pathlib import Path

import ezdxf
import gpxpy
from ezdxf.colors import DXF_DEFAULT_COLORS
from ezdxf.lldxf.encoding import decode_dxf_unicode
from lxml import etree
from pyproj import CRS, Transformer

METRES = {"m": 1.0, "ft": 0.3048, "us-ft": 1200 / 3937}
MILLIMETRE = 1e-3
CENT = Decimal("0.01")
K = {"k": "http://www.opengis.net/kml/2.2"}
L = {"x": "http://www.landxml.org/schema/LandXML-1.2"}


class Folder:
    """A folder that was handed over, with the places of its table of stakes in metres of the plan's system."""

    def __init__(self, path, plan):
        self.path, self.plan = path, plan
        self.metric = plan["title"]["units"] == "metric"
        self.head, self.rows = self.table("stakes.csv")
        self.across = next(c for c in self.rows[0] if c.startswith("easting_")).removeprefix("easting_")
        self.up = next(c for c in self.rows[0] if c.startswith("invert_")).removeprefix("invert_")
        self.crs = CRS.from_user_input(plan["ground"]["crs"])
        self.to_plane = Transformer.from_crs(self.crs.geodetic_crs, self.crs, always_xy=True).transform
        self.stakes = {f"{r['line']} {r['station']}": self.place(r, r[f"invert_{self.up}"]) for r in self.rows if r["station"]}
        self.marks = {r["line"]: self.place(r, r[f"benchmark_level_{self.up}"]) for r in self.rows if not r["station"]}
        self.named = self.stakes | self.marks

    def place(self, row, level):
        across, up = METRES[self.across], METRES[self.up]
        return (float(row[f"easting_{self.across}"]) * across, float(row[f"northing_{self.across}"]) * across, float(level) * up)

    def table(self, name):
        """Remarks and rows of a table; it begins with the mark of UTF-8, and each row has as many cells as the head."""
        data = (self.path / name).read_bytes()
        assert data.startswith(b"\xef\xbb\xbf") and data.count(b"\xef\xbb\xbf") == 1, name
        lines = data.decode("utf-8-sig").splitlines()
        kept = [line for line in lines if not line.startswith("#")]
        cells = list(csv.reader(kept))
        assert all(len(row) == len(cells[0]) for row in cells), (name, "cells")
        assert not any(cell.lower().lstrip("-") in ("inf", "nan") for row in cells for cell in row), name
        return [line for line in lines if line.startswith("#")], [dict(zip(cells[0], row)) for row in cells[1:]]

    def near(self, found, wanted, what, by=MILLIMETRE):
        assert len(found) == len(wanted) and all(abs(a - b) <= by for a, b in zip(found, wanted)), (what, found, wanted)

    def near_degrees(self, lon, lat, wanted, what):
        self.near(self.to_plane(lon, lat), wanted[:2], what)

    def of_kind(self, kind):
        return [m for m in self.plan.get("landmarks", {}).values() if kind in m["kind"]]


def number(text):
    return Decimal(text) if text else None


def cents(value):
    return value.quantize(CENT, ROUND_HALF_UP)


def drawing(f):
    doc = ezdxf.readfile(f.path / "plan.dxf")
    audit = doc.audit()
    assert not audit.errors and not audit.fixes, (audit.errors, audit.fixes)
    across = METRES[f.across]
    assert doc.header["$INSUNITS"] == {"m": 6, "ft": 2, "us-ft": 21}[f.across]
    space = list(doc.modelspace())
    layers = {layer.dxf.name: layer for layer in doc.layers}
    assert {e.dxf.layer for e in space} <= set(layers)
    types = {line_type.dxf.name.upper() for line_type in doc.linetypes}
    for layer in layers.values():
        assert layer.dxf.linetype.upper() in types, layer.dxf.name
        assert layer.color == 7 or min(contrast(layer.color)) >= 3, (layer.dxf.name, layer.color)
    of = lambda kind, layer: [e for e in space if e.dxftype() == kind and e.dxf.layer == layer]
    drawn = [e for e in space if e.dxf.layer in ("STAKES", "BENCHMARKS")]
    pairs = [(a, b) for a, b in zip(drawn, drawn[1:]) if (a.dxftype(), b.dxftype()) == ("POINT", "TEXT")]
    places = {decode_dxf_unicode(text.dxf.text): [v * across for v in point.dxf.location] for point, text in pairs}
    assert set(places) == set(f.named), set(places) ^ set(f.named)
    for name, wanted in f.named.items():
        f.near(places[name], wanted, "dxf " + name)
    extents(doc, space)
    assert len(of("POLYLINE", "BOUNDARY")) == len([f.plan["field"]["ring"], *f.plan["field"].get("holes", [])])
    assert len(of("POINT", "OUTLETS")) == len(f.plan["outlets"])
    assert len(of("POLYLINE", "OLD_TILE")) == sum("old-tile" in line["kind"] for line in f.plan["lines"].values())
    assert len(of("POINT", "PITS")) == len(f.of_kind("pit"))
    buried = [m for kind in ("utility", "irrigation", "overhead-line") for m in f.of_kind(kind)]
    assert len(of("POLYLINE", "UTILITIES")) == len(buried)
    contours = of("POLYLINE", "CONTOURS") + of("POLYLINE", "INDEX_CONTOURS")
    levels = sorted({round(c.dxf.elevation.z * across / METRES[f.up], 3) for c in contours})
    assert len(levels) > 3, "contours"
    step = min(b - a for a, b in zip(levels, levels[1:]))
    assert all(abs(level / step - round(level / step)) < 5e-3 for level in levels), (levels, step)
    heights = {round(e.dxf.height * across, 3) for e in space if e.dxftype() == "TEXT"}
    assert min(heights) >= 0.4 and max(heights) <= 2.0, heights
    assert f.crs.to_string() in (f.path / "plan.dxf").read_text(), "crs in dxf"
    return len(space)


def extents(doc, space):
    """What the head says of the extents is what is drawn."""
    places = []
    for e in space:
        if e.dxftype() == "POLYLINE":
            places += [v.dxf.location for v in e.vertices]
        else:
            places.append(e.dxf.location if e.dxftype() == "POINT" else e.dxf.insert)
    for axis in (0, 1):
        for name, pick in (("$EXTMIN", min), ("$EXTMAX", max)):
            assert abs(doc.header[name][axis] - pick(p[axis] for p in places)) < 1e-3, name


def contrast(color):
    """Contrast of a color of the index to white and to black (WCAG 2.1, relative luminance)."""
    rgb = [(DXF_DEFAULT_COLORS[color] >> shift & 255) / 255 for shift in (16, 8, 0)]
    linear = [v / 12.92 if v <= 0.03928 else ((v + 0.055) / 1.055) ** 2.4 for v in rgb]
    light = sum(weight * v for weight, v in zip((0.2126, 0.7152, 0.0722), linear))
    return 1.05 / (light + 0.05), (light + 0.05) / 0.05


def landxml(f):
    root = etree.parse(f.path / "plan.xml").getroot()
    across = METRES[f.across]
    day = f.plan["title"].get("as_of")
    assert root.get("date") == day and (root.get("time") is None) == (day is None), "no date that was not given"
    units = root.find("x:Units", L)[0]
    assert units.get("linearUnit") == {"m": "meter", "ft": "foot", "us-ft": "USSurveyFoot"}[f.across]
    system = root.find("x:CoordinateSystem", L)
    assert f"EPSG:{system.get('epsgCode')}" == f.crs.to_string()
    solid = lambda text: [float(v) * across for v in text.split()]
    points = {p.get("name"): solid(p.text) for p in root.iterfind(".//x:CgPoint", L) if len(p.text.split()) == 3}
    assert set(points) == set(f.named)
    for name, (north, east, level) in points.items():
        f.near((east, north, level), f.named[name], "landxml " + name)
    network(f, root, solid, units.get("diameterUnit"))
    marks = f.plan.get("landmarks", {}).values()
    groups = {g.get("name"): g for g in root.iterfind("x:CgPoints", L)}
    at = [m for m in marks if "at" in m["outline"]]
    assert len(groups.get("marks on the land", [])) == len(at)
    old = sum("old-tile" in line["kind"] for line in f.plan["lines"].values())
    features = root.findall(".//x:PlanFeature", L)
    assert len(features) == len(marks) - len(at) + old + len(f.plan.get("watercourses", {}))
    assert len(root.findall(".//x:Parcel", L)) >= 1
    known = {p.get("id") for p in root.iterfind(".//x:Pnts/x:P", L)}
    assert all(i in known for face in root.iterfind(".//x:F", L) for i in face.text.split())
    alignments = root.findall(".//x:Alignment", L)
    assert {a.get("name") for a in alignments} == {line["name"] for line in f.plan["lines"].values()}
    return len(points)


def network(f, root, solid, diameter_unit):
    """Names are unique, what is referred to is there, pipes are as long as the way between their ends, lengths and sizes are those of the plan in GeoJSON."""
    structs = {s.get("name"): s for s in root.iterfind(".//x:Struct", L)}
    pipes = {p.get("name"): p for p in root.iterfind(".//x:Pipe", L)}
    assert len(structs) == len(root.findall(".//x:Struct", L)) and len(pipes) == len(root.findall(".//x:Pipe", L))
    across = METRES[f.across]
    inverts = {(s, i.get("refPipe"), i.get("flowDir")): float(i.get("elev")) * across for s in structs for i in structs[s].iterfind("x:Invert", L)}
    assert {pipe for _, pipe, _ in inverts} <= set(pipes)
    features = json.loads((f.path / "plan.geojson").read_text())["features"]
    lines = {p["properties"]["name"]: p["properties"] for p in features if p["properties"]["what"] == "line"}
    length = dict.fromkeys(lines, 0.0)
    for name, pipe in pipes.items():
        upper, lower = pipe.get("refStart"), pipe.get("refEnd")
        assert upper in structs and lower in structs, name
        line = max((n for n in lines if name.startswith(n + " ")), key=len)
        length[line] += float(pipe.get("length")) * across
        size_m = float(pipe.find("x:CircPipe", L).get("diameter")) * {"millimeter": 1e-3, "inch": 0.0254}[diameter_unit]
        assert 0.02 < size_m < 1.6, name
        high, low = inverts.get((upper, name, "out")), inverts.get((lower, name, "in"))
        stations = lines[line].get("stations", [])
        for level in (high, low):
            known = [s["invert_m"] for s in stations if s["invert_m"] is not None]
            assert level is None or min(known) - 2e-3 <= level <= max(known) + 0.2, (name, level)
        # A pipe lies between its ends: no longer than the way between them, but for a joint that is off by a hair.
        ends = [solid(structs[s].find("x:Center", L).text) for s in (upper, lower)]
        assert abs(math.dist(*ends) - float(pipe.get("length")) * across) < 2e-2, (name, ends)
    for name, line in lines.items():
        if "length_m" in line:
            assert abs(length[name] - line["length_m"]) < 2e-2, (name, length[name], line["length_m"])


def degrees(f):
    """GPX, KML and GeoJSON brought back to the plan's system."""
    gpx = gpxpy.parse((f.path / "stakes.gpx").read_text())
    ways = [way for way in gpx.waypoints if way.elevation is not None]
    assert {way.name for way in ways} == set(f.named)
    for way in ways:
        f.near_degrees(way.longitude, way.latitude, f.named[way.name], "gpx " + way.name)
        assert abs(way.elevation - f.named[way.name][2]) <= MILLIMETRE, way.name
    size = " mm" if f.metric else " in"
    assert all(route.description.endswith(size) for route in gpx.routes)
    told = gpx.description
    assert "degrees" in told and "in meters" in told and f.crs.to_string() in told
    schema = etree.XMLSchema(etree.parse(str(files("fastkml") / "schema" / "ogckml22.xsd")))
    kml = etree.parse(f.path / "stakes.kml").getroot()
    schema.assertValid(kml)
    told = kml.findtext("k:Document/k:description", namespaces=K)
    assert "degrees" in told and "No heights" in told and f.crs.to_string() in told
    folders = {folder.findtext("k:name", namespaces=K): folder for folder in kml.iterfind(".//k:Folder", K)}
    assert all(p.findtext("k:description", namespaces=K).endswith(size) for p in folders["Lines"].iterfind("k:Placemark", K))
    assert len(folders.get("Marks on the land", [0])) - 1 == len(f.plan.get("landmarks", {}))
    coordinates = [c for element in kml.iterfind(".//k:coordinates", K) for c in element.text.split()]
    assert all(len(c.split(",")) == 2 for c in coordinates)
    seen = 0
    for group in ("Stakes", "Benchmarks"):
        for mark in folders[group].iterfind("k:Placemark", K):
            name = mark.findtext("k:name", namespaces=K)
            lon, lat = map(float, mark.findtext("k:Point/k:coordinates", namespaces=K).split(","))
            f.near_degrees(lon, lat, f.named[name], "kml " + name)
            seen += 1
    assert seen == len(f.named)
    geojson(f)
    return len(ways)


def geojson(f):
    stakes = json.loads((f.path / "stakes.geojson").read_text())
    whole = json.loads((f.path / "plan.geojson").read_text())
    for collection in (stakes, whole):
        assert f.crs.to_string() in collection["brought_from"] and "degrees" in collection["positions"]
        names = {mark["name"] for mark in f.plan.get("landmarks", {}).values()}
        assert names <= {feature["properties"].get("name") for feature in collection["features"]}
    points = [p for p in stakes["features"] if p["properties"]["what"] in ("stake", "benchmark")]
    assert {p["properties"]["name"] for p in points} == set(f.named)
    for point in points:
        properties = point["properties"]
        f.near_degrees(*point["geometry"]["coordinates"], f.named[properties["name"]], "geojson")
        level = properties.get("invert_m", properties.get("level_m"))
        assert abs(level - f.named[properties["name"]][2]) <= MILLIMETRE
    whats = [feature["properties"]["what"] for feature in whole["features"]]
    assert whats.count("pit") + whats.count("soil pit") == len(f.of_kind("pit")), whats
    assert whats.count("outlet") == len(f.plan["outlets"])
    field = next(p for p in whole["features"] if p["properties"]["what"] == "field")
    ring = [f.to_plane(*place) for place in field["geometry"]["coordinates"][0][:-1]]
    for corner in f.plan["field"]["ring"]:
        wanted = [corner["x"], corner["y"]] if isinstance(corner, dict) else corner
        assert min(math.dist(wanted, place) for place in ring) <= MILLIMETRE


def collector(f):
    """Number, northing, easting, level and code, in ASCII, and the places of the stakes."""
    data = (f.path / "points.csv").read_bytes()
    data.decode("ascii")
    rows = [line.split(",") for line in data.decode("ascii").split("\r\n")[:-1]]
    assert [row[0] for row in rows] == [str(i + 1) for i in range(len(rows))] and all(len(row) == 5 for row in rows)
    across = METRES[f.across]
    placed = [(float(row[2]) * across, float(row[1]) * across, float(row[3]) * across) for row in rows]
    told = (f.path / "points.txt").read_text()
    assert f.crs.to_string() in told and f"in {dict(m='meters', ft='international feet')[f.across]}" in told
    assert all(any(line.split()[:1] == [row[4].split()[0]] for line in told.splitlines()) for row in rows)
    staked = [p for p, row in zip(placed, rows) if row[4].split()[0] in ("STK", "NODIG")]
    assert len(staked) == len(f.stakes)
    for found, wanted in zip(staked, f.stakes.values()):
        f.near(found, wanted, "points")
    levelled = [p for p, row in zip(placed, rows) if row[4].startswith("BM ")]
    for found, wanted in zip(levelled, f.marks.values()):
        f.near(found, wanted, "points, benchmarks")
    return len(rows)


def sums(f):
    """Every sum and difference of the tables, reckoned again from what is printed, in decimals."""
    for row in f.rows:
        cut, invert = number(row[f"cut_{f.up}"]), number(row[f"invert_{f.up}"])
        if cut is not None:
            of = row[f"hub_level_{f.up}"] if row["cut_from"] == "hub" else row[f"ground_{f.up}"]
            assert abs(Decimal(of) - invert - cut) <= Decimal("0.0001"), row
    head, costs = f.table("materials-and-cost.csv")
    items = [row for row in costs if row["unit"]]
    for row in items:
        if row["amount"]:
            assert cents(number(row["bought"]) * number(row["price_each"])) == number(row["amount"]), row
    total = {row["item"]: number(row["amount"]) for row in costs if not row["unit"]}
    assert total["material"] + total["work"] == total["total"] == sum(number(row["amount"]) or 0 for row in items)
    share = Decimal(str(f.plan["price_list"]["reserve"]))
    assert cents(total["total"] * (1 + share)) == total["total with contingency"]
    _, lines = f.table("cost-by-line.csv")
    each = [row for row in lines if row["pipe"] and row["line"] != "all lines"]
    together = next(row for row in lines if row["line"] == "all lines")
    parts = ["pipe", "fittings", "machine", "protection"]
    for column in [*parts, "together"]:
        assert sum(number(row[column]) for row in each) == number(together[column]), column
    for row in [*each, together]:
        assert sum(number(row[column]) for column in parts) == number(row["together"]), row
    assert lines[-1]["line"].startswith("estimate")
    after = lines[lines.index(together):-1]
    assert sum(number(row["together"]) for row in after) == number(lines[-1]["together"]) == total["total"]
    protection(f)
    rolls(f, items)
    bid(f, items)


def protection(f):
    _, rows = f.table("trench-protection.csv")
    column = next(name for name in rows[-1] if name.startswith("length_"))
    of_line, all_lines = Decimal(0), Decimal(0)
    for row in rows[:-1]:
        if row["from"] == "all of it":
            assert of_line == number(row[column]), row
            all_lines, of_line = all_lines + of_line, Decimal(0)
        else:
            of_line += number(row[column])
    assert rows[-1]["line"] == "together" and number(rows[-1][column]) == all_lines


def rolls(f, items):
    _, rows = f.table("rolls.csv")
    column = next((name for name in rows[0] if name.startswith("length_")), None) if rows else None
    for pipe in {row["pipe"] for row in rows}:
        cuts = [number(row[column]) for row in rows if row["pipe"] == pipe]
        needed = next(number(row["needed"]) for row in items if sorted(row["item"].split()) == sorted(pipe.split()))
        assert abs(sum(cuts) - needed) <= Decimal("0.005") * len(cuts) + Decimal("0.05"), pipe


def bid(f, items):
    _, rows = f.table("bid.csv")
    asked = [row for row in rows if row["number"]]
    assert [row["number"] for row in asked] == [str(i + 1) for i in range(len(asked))]
    assert all(row["unit_price"] == row["amount"] == "" for row in rows)
    for row in items:
        same = [a for a in asked if a["item"].startswith(row["item"] + ",")]
        if row["unit"] in ("each", "ft", "m") and same:
            assert number(same[0]["quantity"]) == number(row["needed"]), (row, same)
    foreign = {"ft", "in", "ac", "yd3"} if f.metric else {"m", "mm", "ha", "m3"}
    assert not {row["unit"] for row in asked} & foreign
    assert (f.path / "bid.pdf").read_bytes().startswith(b"%PDF-")


def checksums(f):
    for line in (f.path / "SHA256SUMS").read_text().splitlines():
        wanted, name = line.split("  ", 1)
        assert hashlib.sha256((f.path / name).read_bytes()).hexdigest() == wanted, name


def plans(work):
    """Every demo field in both units; one with odd names and no date."""
    for name in ("larkmoor-bench", "saltern-flat", "fernholt-piece"):
        file = json.loads((work / f"{name}.drain").read_text())
        for units in ("feet", "metric"):
            file["plan"]["title"]["units"] = units
            yield f"{name}-{units}", file
    plan = file["plan"]
    plan["title"]["as_of"] = None
    plan["title"]["name"] = "Äcker \"Süd\" × 6″, Поле"
    next(iter(plan["lines"].values()))["name"] = "½ \"Nord\", 1"
    yield "odd", file


def main(program, work):
    for name, file in plans(work):
        source = work / f"{name}-plan.drain"
        source.write_text(json.dumps(file, ensure_ascii=False, indent=2))
        folder = work / name
        signed = ["--all-the-same", "--by", "A. Marsh", "--on", "2031-04-02", "--because", "as found"]
        subprocess.run([program, "handover", source, "-o", folder, *signed], check=True, stdout=subprocess.DEVNULL)
        f = Folder(folder, json.loads((folder / "plan.drain").read_text())["plan"])
        assert any(f.crs.to_string() in line for line in f.head), "crs in the table"
        counts = [drawing(f), landxml(f), degrees(f), collector(f)]
        sums(f)
        checksums(f)
        [f.table(path.name) for path in folder.glob("*.csv") if path.name != "points.csv"]
        print(f"{name}: {counts[0]} things drawn, {counts[1]} points in LandXML, {counts[2]} in degrees, {counts[3]} for a collector: all agree")


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve(), Path(sys.argv[2]).resolve())
