"""Makes the small job of coords_values.json in every system and under both kinds of plan, hands each over, opens every
format with other readers (open_files.py), and holds the places against the numbers given. Run by hand:
    python open_coords.py target/debug/drainwright
"""
import json
import subprocess
import sys
import tempfile
from pathlib import Path

from open_files import METRES, open_folder

program = str(Path(sys.argv[1]).resolve())
values = json.loads((Path(__file__).parent / "coords_values.json").read_text())


def level(job, x, y):
    """Level of the ground so many steps from the corner, in the unit of the system."""
    return (60 + 0.01 * x + 0.03 * y) * job["step"]


def feature(properties, kind, coordinates):
    return {"type": "Feature", "properties": properties, "geometry": {"type": kind, "coordinates": coordinates}}


def write(job, folder):
    step, plane = job["step"], {name: place["plane"] for name, place in job["places"].items()}
    west, south = (number - 15 * step for number in plane["sw"])
    rows = [[level(job, -13.5 + 3 * col, -13.5 + 3 * row) for col in range(50)] for row in reversed(range(40))]
    head = f"ncols 50\nnrows 40\nxllcorner {west}\nyllcorner {south}\ncellsize {3 * step}\n"
    (folder / "g.asc").write_text(head + "".join(" ".join(f"{z:.4f}" for z in row) + "\n" for row in rows))
    ring = [plane[name] for name in ["sw", "se", "ne", "nw", "sw"]]
    (folder / "field.geojson").write_text(json.dumps(feature({}, "Polygon", [ring])))
    lines = [
        feature({"name": "M1", "kind": "main", "size": "6 in"}, "LineString", [plane["outlet"], plane["main_end"]]),
        feature({"name": "L1", "kind": "lateral", "size": "4 in"}, "LineString", [plane["joint"], plane["lateral_end"]]),
    ]
    (folder / "lines.geojson").write_text(json.dumps({"type": "FeatureCollection", "features": lines}))
    return plane


def hand_over(job, units, folder):
    plane = write(job, folder)
    run = lambda *arguments: subprocess.run([program, *map(str, arguments)], cwd=folder, check=True, stdout=subprocess.DEVNULL)
    x, y = plane["outlet"]
    named = ["--horizontal-unit", job["unit"]] if job["code"] == "local" else ["--ground-crs", job["code"]]
    run("new", "--ground", "g.asc", "--field", "field.geojson", "--crs", "ground", "--units", units, *named,
        "--outlet", f"{x},{y},{level(job, 6, 3) - 1.2 * job['step']}", "--vertical-unit", job["unit"], "-o", "a.drain")
    run("lines", "a.drain", "lines.geojson", "--crs", "ground")
    x, y = plane["benchmark"]
    run("survey", "a.drain", "--benchmark", f"BM1,{x},{y},{level(job, -10, -5) * job['unit_m']} m")
    run("handover", "a.drain", "-o", "folder")
    return plane


for job in values["systems"]:
    for units in ["feet", "metric"]:
        print("---", job["code"], "in", job["unit"], "plan in", units)
        with tempfile.TemporaryDirectory() as name:
            plane = hand_over(job, units, Path(name))
            found, across, up = open_folder(Path(name) / "folder", job["code"])
            assert across == job["unit"] and (up == "m") == (units == "metric")
            ends = {"M1 0+00": "outlet", "BM1": "benchmark"}
            ends |= {max(key for key in found if key.startswith(line + " ")): place
                     for line, place in [("M1", "main_end"), ("L1", "lateral_end")]}
            for key, place in ends.items():
                off_m = max(abs(a - b) for a, b in zip(found[key], plane[place])) * METRES[across]
                assert off_m <= 0.001, (key, place, found[key], plane[place])
print("every place within a millimetre")
