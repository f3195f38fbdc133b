"""Opens a folder that was handed over with readers that know nothing of this program, and holds what they read against
the stakes as a table. Pinned: pymupdf, ezdxf, gpxpy, lxml, pyproj (see the versions printed). Run by hand:
    drainwright handover demo-fields/larkmoor-bench.drain -o /tmp/folder
    python open_files.py /tmp/folder EPSG:32631 ft
"""
import csv
import json
import sys
from importlib.metadata import version
from pathlib import Path

import ezdxf
import gpxpy
import pymupdf
from lxml import etree
from pyproj import Transformer

folder, crs, unit = Path(sys.argv[1]), sys.argv[2], sys.argv[3]
metre = {"ft": 0.3048, "m": 1.0}[unit]
print({name: version(name) for name in ["pymupdf", "ezdxf", "gpxpy", "lxml", "pyproj"]})

rows = [line for line in (folder / "stakes.csv").read_text().splitlines() if not line.startswith("#")]
stakes = list(csv.DictReader(rows))
name = lambda row: f"{row['line']} {row['station']}"
plane = {name(row): tuple(float(row[k + unit]) for k in ["easting_", "northing_", "invert_"]) for row in stakes}
to_degrees = Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
degrees = {k: to_degrees.transform(e * metre, n * metre) for k, (e, n, _) in plane.items()}
print(len(stakes), "stakes")


def near(found, wanted, by, what):
    assert all(abs(a - b) <= by for a, b in zip(found, wanted)), (what, found, wanted)


# DXF: drawn points and their names
doc = ezdxf.readfile(folder / "plan.dxf")
audit = doc.audit()
assert not audit.has_errors, audit.errors
space = doc.modelspace()
points = [e.dxf.location for e in space.query("POINT")]
texts = {e.dxf.text: e.dxf.insert for e in space.query("TEXT[layer=='STAKES']")}
assert len(points) == len(stakes)
for key, wanted in plane.items():
    near(texts[key], wanted, 1e-4, "dxf " + key)
print("dxf:", len(points), "points,", len(space.query("POLYLINE")), "polylines, audit without errors")

# LandXML: points, alignments, profiles, surface
ns = {"x": "http://www.landxml.org/schema/LandXML-1.2"}
root = etree.parse(folder / "plan.xml").getroot()
for point in root.findall(".//x:CgPoint", ns):
    north, east, level = map(float, point.text.split())
    near((east, north, level), plane[point.get("name")], 1e-4, "landxml " + point.get("name"))
alignments = root.findall(".//x:Alignment", ns)
for alignment in alignments:
    pvis = [tuple(map(float, pvi.text.split())) for pvi in alignment.findall(".//x:PVI", ns)]
    own = [row for row in stakes if row["line"] == alignment.get("name")]
    for row in own:
        at = float(row["along_" + unit])
        for (s0, z0), (s1, z1) in zip(pvis, pvis[1:]):
            if s0 - 1e-3 <= at <= s1 + 1e-3:
                level = z0 + (z1 - z0) * (at - s0) / (s1 - s0)
                assert abs(level - float(row["invert_" + unit])) < 2e-3, (row, level)
                break
faces, known = root.findall(".//x:F", ns), {p.get("id") for p in root.findall(".//x:Pnts/x:P", ns)}
assert all(i in known for face in faces for i in face.text.split())
print("landxml:", len(alignments), "alignments,", len(known), "ground points,", len(faces), "faces")

# GPX, KML, GeoJSON: degrees against pyproj
gpx = gpxpy.parse((folder / "stakes.gpx").read_text())
for way in gpx.waypoints:
    near((way.longitude, way.latitude), degrees[way.name], 2e-9, "gpx " + way.name)
    assert abs(way.elevation - plane[way.name][2] * metre) < 1e-4
kml = etree.parse(folder / "stakes.kml").getroot()
k = {"k": "http://www.opengis.net/kml/2.2"}
marks = [m for m in kml.findall(".//k:Placemark", k) if m.find("k:Point", k) is not None]
for mark in marks:
    lon, lat = map(float, mark.find("k:Point/k:coordinates", k).text.split(","))
    near((lon, lat), degrees[mark.find("k:name", k).text], 2e-9, "kml")
features = json.loads((folder / "stakes.geojson").read_text())["features"]
named = [f for f in features if f["properties"]["what"] == "stake"]
for feature in named:
    near(feature["geometry"]["coordinates"], degrees[feature["properties"]["name"]], 2e-9, "geojson")
assert len(gpx.waypoints) == len(marks) == len(named) == len(stakes)
print("gpx, kml, geojson:", len(named), "stakes each;", len(gpx.routes), "routes")

# PDF: text of every cut sheet against the table; the scale bar on the raster
pdf = pymupdf.open(folder / "sheets.pdf")
text = "\n".join(page.get_text() for page in pdf)
words = set(text.split("\n"))
for row in stakes:
    if row["cut_" + unit]:
        cut = float(row["cut_" + unit])
        printed = {f"{cut + d:.2f}" for d in (-0.0051, 0.0, 0.0051)}
        assert printed & words, (row, printed)
    assert row["station"] in words, row
pix = pdf[0].get_pixmap(dpi=300, colorspace=pymupdf.csGRAY)
scale = next(w for w in words if w.startswith("Scale"))
ratio = float(scale.split(":")[1].strip(" )"))
labels = [b for b in pdf[0].get_text("words")]
head = next(b for b in labels if b[4] == "Scale")
figures = [b for b in labels if b[1] > head[3] and b[1] < head[3] + 40 and b[4].isdigit() and b[0] >= head[0] - 2]
far = max(figures, key=lambda b: float(b[4]))
first, last = int(head[3] * 300 / 72), int(figures[0][1] * 300 / 72) + 6
best = 0
for row in range(first, last):
    # The longest dark run of a row: the outline of the bar runs through from end to end.
    line, run = pix.samples[row * pix.stride:(row + 1) * pix.stride], 0
    for value in line[int(head[0] * 300 / 72) - 5:]:
        run = run + 1 if value < 160 else 0
        best = max(best, run)
# Its outline is 0.2 mm wide, half of it on either side.
best -= 0.2 / 25.4 * 300
wanted = float(far[4]) * metre / ratio / 0.0254 * 300
print(f"pdf: {len(pdf)} pages, every cut found; scale bar {best:.1f} pixels at 300 dpi, {wanted:.1f} wanted, off {abs(best / wanted - 1):.3%}")
