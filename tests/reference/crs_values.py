"""Writes crs_values.json: places in several coordinate systems, for the tests of the program's own projections.

Origin: pyproj 3.7.2 (PROJ 9.5.1). Longitudes and latitudes are on each system's own datum, so no shift is applied.
Run: pip install pyproj==3.7.2 && python crs_values.py
"""

import json
import random
from pathlib import Path

import pyproj

assert pyproj.__version__ == "3.7.2", pyproj.__version__

# Code and a longitude-latitude box inside its area of use.
SYSTEMS = {
    26915: (-96.0, 42.0, -90.0, 46.0),
    3794: (13.4, 45.5, 16.6, 46.9),
    3035: (0.0, 40.0, 25.0, 60.0),
    32612: (-114.0, 40.0, -108.0, 50.0),
    32720: (-66.0, -45.0, -60.0, -20.0),
    25833: (12.0, 45.0, 18.0, 55.0),
    2965: (-86.6, 37.9, -84.8, 41.7),
    2263: (-74.2, 40.5, -71.9, 41.3),
    2256: (-116.0, 44.5, -104.1, 48.9),
    2154: (-1.0, 43.0, 7.0, 50.0),
}


def main():
    pick = random.Random(20261125)
    rows = []
    for code, (west, south, east, north) in SYSTEMS.items():
        crs = pyproj.CRS.from_epsg(code)
        forward = pyproj.Transformer.from_crs(crs.geodetic_crs, crs, always_xy=True)
        unit_m = crs.axis_info[0].unit_conversion_factor
        for _ in range(6):
            lon, lat = round(pick.uniform(west, east), 6), round(pick.uniform(south, north), 6)
            x, y = forward.transform(lon, lat)
            rows.append({"epsg": code, "lon": lon, "lat": lat, "x": x, "y": y, "unit_m": unit_m})
    origin = f"pyproj {pyproj.__version__}, PROJ {pyproj.proj_version_str}, tests/reference/crs_values.py"
    out = {"origin": origin, "places": rows}
    Path(__file__).with_suffix(".json").write_text(json.dumps(out, indent=1) + "\n")


main()
