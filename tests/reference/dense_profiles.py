"""Least cover and deepest trench of the plans on real ground, looked up every 2 cm on the raster itself.

The test `extremes_are_written_for_the_judge` (tests/tests/real_grades.rs) writes lines and pipe as JSON; this script reads the
rasters with rasterio, puts linear interpolation between cell centres (scipy) under each line and compares.

    pip install numpy==2.4.6 scipy==1.17.1 rasterio==1.4.4
    python tests/reference/dense_profiles.py target/tmp/dense_profiles.json demo-fields <folder of the real rasters>
"""

import json
import os
import sys

import numpy as np
import rasterio
from scipy.interpolate import RegularGridInterpolator

STEP_M = 0.02


def surface(path):
    with rasterio.open(path) as raster:
        band = raster.read(1, masked=True).astype(float).filled(np.nan)
        t = raster.transform
    x = t.c + t.a * (np.arange(band.shape[1]) + 0.5)
    y = t.f + t.e * (np.arange(band.shape[0]) + 0.5)
    look = RegularGridInterpolator((y[::-1], x), band[::-1], method="linear", bounds_error=False)
    return lambda points: look(points[:, ::-1])


def along(points, station):
    points = np.array(points)
    away = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    return np.stack([np.interp(station, away, points[:, k]) for k in (0, 1)], axis=1), away[-1]


def main(cases, *folders):
    worst = 0.0
    for case in json.load(open(cases)):
        places = [os.path.join(folder, case["ground"]) for folder in folders]
        ground = surface(next(place for place in places if os.path.exists(place)))
        for line in case["lines"]:
            if not line["deepest_trench_m"]:
                continue
            _, length = along(line["points"], np.array([0.0]))
            station = np.append(np.arange(0.0, length, STEP_M), length)
            level = ground(along(line["points"], station)[0])
            invert = np.interp(station, *np.array(line["inverts"], dtype=float).T)
            # A place with no ground on either side is no stretch of ground.
            known = ~np.isnan(level)
            level[~(np.append(known[1:], False) | np.append(False, known[:-1]))] = np.nan
            depth = level - invert
            counted = station >= line["cover_from_m"] - 1e-9
            cover = np.nanmin(depth[counted]) - line["top_m"]
            trench = np.nanmax(depth) + line["below_m"]
            own_cover, own_trench = line["least_cover_m"][1], line["deepest_trench_m"][1]
            off = max(abs(cover - own_cover), abs(trench - own_trench))
            worst = max(worst, off)
            print(
                f"{case['ground']:20} {line['name']:4} {length:6.0f} m  cover {own_cover:.4f} dense {cover:.4f}"
                f"  trench {own_trench:.4f} dense {trench:.4f}  off {off * 1000:.2f} mm"
            )
    print(f"worst {worst * 1000:.2f} mm")
    assert worst <= 0.01


main(*sys.argv[1:])
