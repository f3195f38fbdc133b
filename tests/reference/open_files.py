"""Opens a folder that was handed over with readers that know nothing of this program, and holds what they read against
the stakes as a table. Pinned as tests/paper.sh and tests/open_formats.sh pin them: pymupdf==1.26.4 ezdxf==1.4.5 gpxpy==1.6.2
lxml==6.1.3 pyproj==3.7.2. Run by hand; `local` where the
ground names no coordinate system:
    drainwright handover demo-fields/larkmoor-bench.drain -o folder --all-the-same --by "A. Marsh" --because "as found"
    python open_files.py folder EPSG:32631
"""
import csv
import json
import sys
from importlib.metadata import version
from pathlib import Path

import ezdxf
import gpxpy
import pymupdf
from ezdxf.lldxf.encoding import decode_dxf_unicode
from lxml import etree
from pyproj import CRS, Transformer

METRES = {"m": 1.0, "ft": 0.3048, "us-ft": 1200 / 3937}


def near(found, wanted, by, what):
    assert all(abs(a - b) <= by for a, b in zip(found, wanted)), (what, found, wanted)


def open_table(folder):
    """Stakes and benchmarks of the table, by name: easting, northing and level, and the units of both."""
    lines = [line for line in (folder / "stakes.csv").read_text(encoding="utf-8-sig").splitlines() if not line.startswith("#")]
    rows = list(csv.DictReader(lines))
    across = next(key for key in rows[0] if key.startswith("easting_")).removeprefix("easting_")
    up = next(key for key in rows[0] if key.startswith("invert_")).removeprefix("invert_")
    stakes = [row for row in rows if row["station"]]
    marks = [row for row in rows if not row["station"]]
    place = lambda row: (float(row["easting_" + across]), float(row["northing_" + across]))
    named = {f"{row['line']} {row['station']}": (*place(row), float(row["invert_" + up])) for row in stakes}
    named |= {row["line"]: (*place(row), float(row["benchmark_level_" + up])) for row in marks}
    return stakes, named, across, up


def open_folder(folder, crs):
    """Opens every file of a folder; answers the table's places by name, with the unit of each axis."""
    stakes, named, across, up = open_table(folder)
    print(len(stakes), "stakes,", len(named) - len(stakes), "benchmarks; places in", across, "levels in", up)
    # A drawing and LandXML have one unit for all three axes: that of the places.
    solid = {key: (e, n, z * METRES[up] / METRES[across]) for key, (e, n, z) in named.items()}
    open_drawing(folder, solid, across)
    open_landxml(folder, stakes, solid, across, up, crs)
    if crs != "local":
        open_degrees(folder, named, up, crs)
    open_pdf(folder, stakes, up)
    return named, across, up


def open_drawing(folder, solid, across):
    doc = ezdxf.readfile(folder / "plan.dxf")
    audit = doc.audit()
    assert not audit.has_errors, audit.errors
    assert doc.header["$INSUNITS"] == {"m": 6, "ft": 2, "us-ft": 21}[across]
    space = doc.modelspace()
    # The name of a point is the text that follows it.
    drawn = [e for e in space if e.dxf.layer in ("STAKES", "BENCHMARKS")]
    pairs = [(a, b) for a, b in zip(drawn, drawn[1:]) if (a.dxftype(), b.dxftype()) == ("POINT", "TEXT")]
    points = {decode_dxf_unicode(text.dxf.text): point.dxf.location for point, text in pairs}
    assert set(points) == set(solid)
    for key, wanted in solid.items():
        near(points[key], wanted, 2e-4, "dxf " + key)
    print("dxf:", len(points), "points,", len(space.query("POLYLINE")), "polylines, audit without errors")


def open_landxml(folder, stakes, solid, across, up, crs):
    ns = {"x": "http://www.landxml.org/schema/LandXML-1.2"}
    root = etree.parse(folder / "plan.xml").getroot()
    linear = root.find("x:Units", ns)[0].get("linearUnit")
    assert linear == {"m": "meter", "ft": "foot", "us-ft": "USSurveyFoot"}[across]
    system = root.find("x:CoordinateSystem", ns)
    assert system.get("epsgCode") == (None if crs == "local" else crs.split(":")[1])
    # Findings are points without a level, in groups of their own.
    levelled = [point for point in root.findall(".//x:CgPoint", ns) if len(point.text.split()) == 3]
    assert {point.get("name") for point in levelled} == set(solid)
    for point in levelled:
        north, east, level = map(float, point.text.split())
        near((east, north, level), solid[point.get("name")], 2e-4, "landxml " + point.get("name"))
    alignments = root.findall(".//x:Alignment", ns)
    scale = METRES[up] / METRES[across]
    for alignment in alignments:
        pvis = [tuple(map(float, pvi.text.split())) for pvi in alignment.findall(".//x:PVI", ns)]
        for row in [row for row in stakes if row["line"] == alignment.get("name")]:
            at = float(row["along_" + up]) * scale
            for (s0, z0), (s1, z1) in zip(pvis, pvis[1:]):
                if s0 - 1e-3 <= at <= s1 + 1e-3:
                    level = z0 + (z1 - z0) * (at - s0) / (s1 - s0)
                    assert abs(level - float(row["invert_" + up]) * scale) < 2e-3, (row, level)
                    break
    faces, known = root.findall(".//x:F", ns), {p.get("id") for p in root.findall(".//x:Pnts/x:P", ns)}
    assert all(i in known for face in faces for i in face.text.split())
    print("landxml:", len(alignments), "alignments,", len(known), "ground points,", len(faces), "faces")


def open_degrees(folder, named, up, crs):
    """GPX, KML, GeoJSON against pyproj, on the system's own datum: no shift is applied."""
    crs = CRS.from_user_input(crs)
    to_degrees = Transformer.from_crs(crs, crs.geodetic_crs, always_xy=True)
    degrees = {key: to_degrees.transform(e, n) for key, (e, n, _) in named.items()}
    gpx = gpxpy.parse((folder / "stakes.gpx").read_text())
    ways = [way for way in gpx.waypoints if way.elevation is not None]
    for way in ways:
        near((way.longitude, way.latitude), degrees[way.name], 2e-9, "gpx " + way.name)
        assert abs(way.elevation - named[way.name][2] * METRES[up]) < 1e-4
    kml = etree.parse(folder / "stakes.kml").getroot()
    k = {"k": "http://www.opengis.net/kml/2.2"}
    folders = [f for f in kml.findall(".//k:Folder", k) if f.find("k:name", k).text in ("Stakes", "Benchmarks")]
    marks = [m for f in folders for m in f.findall("k:Placemark", k) if m.find("k:Point", k) is not None]
    for mark in marks:
        lon, lat = map(float, mark.find("k:Point/k:coordinates", k).text.split(","))
        near((lon, lat), degrees[mark.find("k:name", k).text], 2e-9, "kml")
    features = json.loads((folder / "stakes.geojson").read_text())["features"]
    points = [f for f in features if f["properties"]["what"] in ("stake", "benchmark")]
    for feature in points:
        near(feature["geometry"]["coordinates"], degrees[feature["properties"]["name"]], 2e-9, "geojson")
    assert len(ways) == len(marks) == len(points) == len(named)
    print("gpx, kml, geojson:", len(points), "points each;", len(gpx.routes), "routes")


def open_pdf(folder, stakes, up):
    """Text of every cut sheet against the table; the scale bar on the raster."""
    pdf = pymupdf.open(folder / "sheets.pdf")
    text = "\n".join(page.get_text() for page in pdf)
    words = set(text.split("\n"))
    for row in stakes:
        if row["cut_" + up]:
            cut = float(row["cut_" + up])
            printed = {f"{cut + d:.2f}" for d in (-0.0051, 0.0, 0.0051)}
            assert printed & words, (row, printed)
        assert row["station"] in words, row
    plan = next(page for page in pdf if "\nPlan\n" in page.get_text())
    pix = plan.get_pixmap(dpi=300, colorspace=pymupdf.csGRAY)
    scale = next(w for w in words if w.startswith("Scale"))
    ratio = float(scale.split(":")[1].strip(" )"))
    labels = [b for b in plan.get_text("words")]
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
    wanted = float(far[4]) * METRES[up] / ratio / 0.0254 * 300
    print(f"pdf: {len(pdf)} pages, every cut found; scale bar {best:.1f} pixels at 300 dpi, {wanted:.1f} wanted, off {abs(best / wanted - 1):.3%}")


if __name__ == "__main__":
    print({name: version(name) for name in ["pymupdf", "ezdxf", "gpxpy", "lxml", "pyproj"]})
    open_folder(Path(sys.argv[1]), sys.argv[2])
