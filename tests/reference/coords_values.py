"""Places of a small invented job in systems that count in metres, feet and US survey feet, with the longitudes and latitudes
that pyproj gives them: on the system's own datum, and on WGS 84 by the shift that EPSG publishes where there is one; and
how far such shifts move places at most, for data on which the program applies none.
Pinned: pyproj 3.7.2 (PROJ 9.5.1, no grids). The values are held against every staking format by crates/app/tests/coords.rs,
and opened with other readers by open_coords.py.
    python coords_values.py > coords_values.json
"""
import json
import sys
from importlib.metadata import version

import pyproj
from pyproj import CRS, Geod, Transformer
from pyproj.aoi import AreaOfInterest
from pyproj.database import query_crs_info
from pyproj.enums import PJType

assert version("pyproj") == "3.7.2", version("pyproj")
pyproj.network.set_network_enabled(False)

# Metres of a unit, and how many units make a step of the job.
UNITS = {"m": (1.0, 1), "ft": (0.3048, 3), "us-ft": (1200 / 3937, 3)}

# The job in steps from its south-west corner.
PLACES = {
    "sw": (0, 0), "se": (120, 0), "ne": (120, 90), "nw": (0, 90), "outlet": (6, 3), "main_end": (100, 20),
    "joint": (53, 11.5), "lateral_end": (60, 80), "benchmark": (-10, -5), "gas_a": (30, -5), "gas_b": (30, 40),
}

# Code, unit, south-west corner in that unit: open water, but for the local ones, which are nowhere.
SYSTEMS = [
    ("EPSG:26915", "m", (412_345, 3_012_345)),
    ("EPSG:2252", "ft", (20_123_456, 987_654)),
    ("EPSG:2225", "us-ft", (5_654_321, 2_012_345)),
    ("EPSG:2870", "us-ft", (5_654_321, 2_012_345)),
    ("local", "m", (1_000, 2_000)),
    ("local", "ft", (3_281_000, 6_562_000)),
    ("local", "us-ft", (3_281_000, 6_562_000)),
]
GEOD = Geod(ellps="WGS84")

# Data whose published shifts to WGS 84 are not nothing, though definitions of systems on them hold none.
DATA = ["NAD83(HARN)", "NAD83(CSRS)", "NAD83(CSRS98)", "POSGAR 2007", "CR05"]


def system(code, unit, corner):
    metres, step = UNITS[unit]
    places = {name: {"plane": [corner[0] + x * step, corner[1] + y * step]} for name, (x, y) in PLACES.items()}
    found = {"code": code, "unit": unit, "unit_m": metres, "step": step, "places": places}
    if code == "local":
        return found
    crs = CRS.from_user_input(code)
    assert abs(crs.axis_info[0].unit_conversion_factor - metres) < 1e-12, (code, crs.axis_info)
    own = Transformer.from_crs(crs, crs.geodetic_crs, always_xy=True)
    world = Transformer.from_crs(crs, "EPSG:4326", always_xy=True)
    for place in places.values():
        place["degrees"] = own.transform(*place["plane"])
        lon, lat = world.transform(*place["plane"])
        place["wgs84_apart_m"] = GEOD.inv(*place["degrees"], lon, lat)[2]
    return {**found, "name": crs.name}


def shifts():
    """The greatest shift of each datum in the middle and at the corners of the area of each system on it, metres."""
    most = dict.fromkeys(DATA, 0.0)
    for info in query_crs_info("EPSG", pj_types=[PJType.PROJECTED_CRS], allow_deprecated=True):
        crs = CRS.from_epsg(info.code)
        datum = crs.geodetic_crs.name
        if datum not in most or info.area_of_use is None:
            continue
        west, south, east, north, _ = info.area_of_use
        area = AreaOfInterest(west, south, east, north)
        world = Transformer.from_crs(crs.geodetic_crs, "EPSG:4326", always_xy=True, area_of_interest=area)
        middle = ((west + east) / 2, (south + north) / 2)
        for lon, lat in [middle, (west, south), (east, south), (west, north), (east, north)]:
            most[datum] = max(most[datum], GEOD.inv(lon, lat, *world.transform(lon, lat))[2])
    return most


json.dump(
    {
        "origin": f"pyproj {version('pyproj')}, PROJ {pyproj.proj_version_str}, tests/reference/coords_values.py",
        "shifts_m": shifts(),
        "systems": [system(*each) for each in SYSTEMS],
    },
    sys.stdout,
    indent=1,
)
print()
