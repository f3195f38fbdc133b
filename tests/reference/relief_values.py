"""Reference values for contours, slope, aspect and curvature: contourpy, scipy and topotoolbox on four real grids.

Run from the top of the project, with the terrain test data beside it:

    pip install contourpy==1.3.3 numpy scipy rasterio topotoolbox
    python tests/reference/relief_values.py ../shared/terrain > tests/reference/relief_values.json

Only derived figures are written. Intervals are odd, so that no cell lies exactly at a level: what counts as above
there is a matter of taste.
"""

import importlib.metadata
import json
import sys
from pathlib import Path

import contourpy
import numpy
import rasterio
import topotoolbox
from scipy.ndimage import correlate

GRIDS = {"slo_hills_1m": 2.037, "ia_slope_s_3m": 0.437, "ia_patches_h_3m": 0.737, "at_hoal_10m": 3.037}
EAST = numpy.array([[-1, 0, 1], [-2, 0, 2], [-1, 0, 1]]) / 8
CELLS = 80


def read(path):
    """Levels in single precision, as the program holds them, and the cell in metres."""
    with rasterio.open(path) as source:
        levels = source.read(1, masked=True).astype(numpy.float32).filled(numpy.nan).astype(float)
        assert source.res[0] == source.res[1]
        return levels, source.res[0]


def contours(ground, cell, interval):
    """Length and number of the lines of every level; a square with a missing corner has none."""
    axes = [numpy.arange(count) * cell for count in ground.shape]
    generator = contourpy.contour_generator(
        x=axes[1], y=axes[0], z=numpy.ma.masked_invalid(ground), name="serial", corner_mask=False)
    low, high = numpy.nanmin(ground), numpy.nanmax(ground)
    for number in range(int(low / interval), int(high / interval) + 2):
        lines = generator.lines(number * interval)
        if lines:
            yield [number, sum(numpy.hypot(*numpy.diff(line, axis=0).T).sum() for line in lines), len(lines)]


def curvature(ground, cell, kind):
    """Curvature of the library, with the 1e-10 taken out again that it adds to what it divides by."""
    grid = topotoolbox.GridObject()
    grid.z, grid.cellsize = ground, cell
    east = correlate(ground, numpy.array([[-1, 0, 1]] * 3)) / (6 * cell)
    south = correlate(ground, numpy.array([[-1, 0, 1]] * 3).T) / (6 * cell)
    steep = east**2 + south**2
    divisor = steep * (1 + steep) ** 1.5 if kind == "profc" else steep**1.5
    return grid.curvature(kind).z * (divisor + 1e-10) / divisor


def cells(ground, cell, rng):
    """Row, column, slope ratio, aspect and curvatures of some cells whose nine levels are known."""
    known = numpy.argwhere(~numpy.isnan(correlate(ground, numpy.ones((3, 3)), mode="constant", cval=numpy.nan)))
    east, south = correlate(ground, EAST) / cell, correlate(ground, EAST.T) / cell
    values = [
        numpy.hypot(east, south),
        numpy.degrees(numpy.arctan2(-east, south)) % 360,
        curvature(ground, cell, "profc"),
        curvature(ground, cell, "planc"),
    ]
    for row, col in rng.choice(known, CELLS, replace=False).tolist():
        yield [row, col, *(float(value[row, col]) for value in values)]


def main(data):
    rng = numpy.random.default_rng(20240501)
    libraries = ("contourpy", "numpy", "rasterio", "scipy", "topotoolbox")
    values = {"origin": __doc__.strip(), "versions": {name: importlib.metadata.version(name) for name in libraries}}
    for name, interval in GRIDS.items():
        ground, cell = read(data / f"dem/{name}.tif")
        values[name] = {
            "interval_m": interval,
            "contours": list(contours(ground, cell, interval)),
            "cells": list(cells(ground, cell, rng)),
        }
    json.dump(values, sys.stdout, separators=(",", ":"), default=float)
    print()


main(Path(sys.argv[1]))
