"""Small files of invented ground for the tests of the readers, and what other libraries find in them.

Writes crates/exchange/tests/data/* and tests/reference/reader_values.json. Libraries: laspy 2.7.0 with lazrs, pyproj
3.7.2, geopandas 1.2.0 with pyogrio 0.13.0 (GDAL), numpy 2. Run from the repository's root.
"""
import json
import pathlib

import geopandas
import laspy
import numpy as np
import pyproj
from shapely.geometry import LineString, MultiLineString, Point, Polygon

DATA = pathlib.Path("crates/exchange/tests/data")
DATA.mkdir(parents=True, exist_ok=True)
EAST, NORTH = 451_200.0, 4_640_310.0


def level(x, y):
    return 260 + 0.004 * (x - EAST) - 0.003 * (y - NORTH) + 0.2 * np.sin(x / 37) * np.cos(y / 29)


def cloud(name, version, form, crs=None, classes=True, scale=0.01, count=600, backend=None, unit=1.0):
    rng = np.random.default_rng(7)
    header = laspy.LasHeader(version=version, point_format=form)
    header.offsets, header.scales = [EAST / unit, NORTH / unit, 0], [scale] * 3
    if crs:
        header.add_crs(pyproj.CRS.from_user_input(crs))
    las = laspy.LasData(header)
    x, y = EAST + rng.uniform(0, 200, count), NORTH + rng.uniform(0, 150, count)
    klass = rng.choice([2, 2, 1, 5], count) if classes else np.zeros(count, int)
    las.x, las.y = x / unit, y / unit
    las.z = (level(x, y) + np.where(klass == 5, 4.0, 0.0)) / unit
    las.classification = klass
    las.withheld = rng.uniform(size=count) < 0.02
    las.synthetic = rng.uniform(size=count) < 0.01
    las.intensity = rng.integers(0, 4000, count)
    if form not in (0, 2):
        # Four flight lines that take turns, steps of every size, and jumps.
        lines = np.cumsum(rng.choice([0, 1e-5, 1e-5, 7e-5, 1e-3, 0.2, -3e-5], count))
        las.gps_time = lines + rng.integers(0, 4, count) * 1e5 + rng.choice([0, 1e8], count, p=[0.97, 0.03])
    kwargs = {"laz_backend": backend} if backend else {}
    las.write(DATA / name, **kwargs)
    back = laspy.read(DATA / name)
    use = ~((np.asarray(back.withheld) > 0) | (np.asarray(back.synthetic) > 0))
    if (np.asarray(back.classification) == 2).any():
        use &= np.asarray(back.classification) == 2
    xs, ys, zs = (np.asarray(axis)[use] * unit for axis in (back.x, back.y, back.z))
    return {
        "file": name, "shots": int(use.sum()), "first": [xs[0], ys[0], zs[0]], "last": [xs[-1], ys[-1], zs[-1]],
        "sum_z": float(np.sum(zs)), "low_z": float(zs.min()), "high_z": float(zs.max()),
    }


def clouds():
    rows = []
    for form in range(11):
        version = "1.2" if form < 4 else "1.3" if form < 6 else "1.4"
        crs = "EPSG:26915" if form < 6 else "EPSG:26915+5703"
        rows.append(cloud(f"f{form}.las", version, form, crs, count=40))
        if form not in (4, 5, 9, 10):
            rows.append(cloud(f"f{form}.laz", version, form, crs, count=600 if form in (1, 6) else 120))
    rows.append(cloud("plain.las", "1.2", 1, None, classes=False, count=60))
    foot = 1200 / 3937
    rows.append(cloud("feet.laz", "1.4", 6, "EPSG:3417+6360", count=60, unit=foot))
    return rows


def vectors():
    lines, levels = [], []
    for step in range(4):
        x = np.linspace(0, 100, 11)
        lines.append(LineString(np.c_[EAST + x, NORTH + 10 * step + 3 * np.sin(x / 20)]))
        levels.append(261.0 - 0.25 * step)
    lines.append(MultiLineString([[(EAST, NORTH + 60), (EAST + 9, NORTH + 61)], [(EAST, NORTH + 70), (EAST + 5, NORTH + 72)]]))
    levels.append(259.5)
    frame = geopandas.GeoDataFrame({"CONTOUR": levels, "TYPE": "index"}, geometry=lines, crs="EPSG:26915")
    frame.to_file(DATA / "contours.shp")
    frame.to_crs(4326).to_file(DATA / "contours.geojson", driver="GeoJSON")
    high = [LineString([(*p, z) for p in line.coords]) for line, z in zip(lines[:4], levels)]
    geopandas.GeoDataFrame({"ID": range(4)}, geometry=high, crs="EPSG:26915").to_file(DATA / "breaks_z.shp")
    outer = [(EAST, NORTH), (EAST, NORTH + 100), (EAST + 120, NORTH + 100), (EAST + 120, NORTH)]
    hole = [(EAST + 10, NORTH + 10), (EAST + 30, NORTH + 10), (EAST + 30, NORTH + 25)]
    field = geopandas.GeoDataFrame({"NAME": ["Home"]}, geometry=[Polygon(outer, [hole])], crs="EPSG:26915")
    field.to_file(DATA / "field.shp")
    field.to_crs(4326).rename(columns={"NAME": "Name"}).to_file(DATA / "field.kml", driver="KML")
    track = [Point(EAST + 10 * i, NORTH + 5 * (i % 3), 260 + 0.1 * i) for i in range(12)]
    gpx = geopandas.GeoDataFrame({"name": [f"P{i}" for i in range(12)], "ele": [p.z for p in track]}, geometry=track, crs="EPSG:26915").to_crs(4326)
    gpx.to_file(DATA / "walk.gpx", driver="GPX", layer="waypoints")
    for spare in DATA.glob("*.cpg"):
        spare.unlink()
    return {"contour_levels": levels, "contour_points": [[list(p) for p in line.coords] for line in lines[:4]],
            "field_area_m2": field.geometry[0].area, "gpx": [[p.x, p.y, p.z] for p in track]}


WKTS = ["EPSG:26915", "EPSG:2264", "EPSG:3417", "EPSG:31468", "EPSG:3035", "EPSG:27700", "EPSG:2154", "EPSG:21781",
        "EPSG:28992", "EPSG:3794", "EPSG:26715", "EPSG:5514", "EPSG:3031", "EPSG:3395", "EPSG:5070", "EPSG:6344",
        "EPSG:2256", "EPSG:32721", "EPSG:4326", "EPSG:4258", "EPSG:31370", "EPSG:3006", "EPSG:2193", "EPSG:3067",
        "EPSG:26915+5703", "EPSG:2264+6360"]


def without_code(text):
    """The text without any authority, so that only parameters remain."""
    import re
    text = re.sub(r',\s*(AUTHORITY|ID)\["[^"]*",\s*"?[0-9.]+"?(,[^\]]*)?\]', "", text)
    return text


def systems():
    rows = []
    for code in WKTS:
        crs = pyproj.CRS.from_user_input(code)
        flat = crs.sub_crs_list[0] if crs.is_compound else crs
        area = flat.area_of_use
        lon, lat = (area.west + area.east) / 2 + 0.1, (area.south + area.north) / 2 + 0.1
        if code == "EPSG:3031":
            lon, lat = 40.0, -75.0
        own = flat.geodetic_crs
        to = pyproj.Transformer.from_crs(own, flat, always_xy=True)
        x, y = to.transform(lon, lat)
        units = [axis.unit_conversion_factor for axis in flat.axis_info]
        for kind in ("WKT1_GDAL", "WKT1_ESRI", "WKT2_2019"):
            try:
                text = crs.to_wkt(kind)
            except pyproj.exceptions.CRSError:
                continue
            if not text:
                continue
            rows.append({"code": code, "kind": kind, "wkt": without_code(text), "lon": lon, "lat": lat, "x": x, "y": y,
                         "unit_m": units[0] if flat.is_projected else 1.0, "degrees": flat.is_geographic})
    return rows


OWN = {
    "tmerc_usft": "+proj=tmerc +lat_0=42 +lon_0=-93.5 +k=0.99995 +x_0=1500000 +y_0=150000 +datum=NAD83 +units=us-ft",
    "tmerc_ft": "+proj=tmerc +lat_0=42 +lon_0=-93.5 +k=0.99995 +x_0=609600 +y_0=0 +ellps=GRS80 +units=ft",
    "lcc_bessel": "+proj=lcc +lat_0=48 +lon_0=13 +lat_1=46 +lat_2=49 +x_0=400000 +y_0=400000 +ellps=bessel +units=m",
    "laea": "+proj=laea +lat_0=48.2 +lon_0=15.1 +x_0=1000 +y_0=2000 +ellps=GRS80 +units=m",
    "aea": "+proj=aea +lat_0=40 +lon_0=-94 +lat_1=38 +lat_2=45 +x_0=0 +y_0=0 +datum=NAD83 +units=m",
    "stere": "+proj=stere +lat_0=90 +lat_ts=70 +lon_0=-45 +x_0=0 +y_0=0 +datum=WGS84 +units=m",
    "tmerc_intl": "+proj=tmerc +lat_0=0 +lon_0=9 +k=0.9996 +x_0=1500000 +y_0=0 +ellps=intl +units=m",
}
PLACES = {"lcc_bessel": (13.7, 47.1), "laea": (15.6, 48.5), "stere": (-50.0, 80.0), "tmerc_intl": (9.5, 45.2)}


def own_keys():
    import rasterio
    rows = []
    for name, text in OWN.items():
        lon, lat = PLACES.get(name, (-93.4, 42.3))
        crs = pyproj.CRS.from_proj4(text)
        x, y = pyproj.Transformer.from_crs(crs.geodetic_crs, crs, always_xy=True).transform(lon, lat)
        profile = {"driver": "GTiff", "width": 4, "height": 4, "count": 1, "dtype": "float32",
                   "crs": rasterio.CRS.from_wkt(crs.to_wkt("WKT1_GDAL")),
                   "transform": rasterio.transform.from_origin(x - 6, y + 6, 3, 3)}
        with rasterio.open(DATA / f"own_{name}.tif", "w", **profile) as file:
            file.write((260 + np.arange(16, dtype="float32").reshape(4, 4) / 10), 1)
        rows.append({"file": f"own_{name}.tif", "lon": lon, "lat": lat, "x": x, "y": y,
                     "unit_m": crs.axis_info[0].unit_conversion_factor})
    return rows


values = {"own_keys": own_keys(), "clouds": clouds(), "vectors": vectors(), "systems": systems()}
pathlib.Path("tests/reference/reader_values.json").write_text(json.dumps(values, indent=1) + "\n")
