"""Reference values for filling and D8 over whole real grids, from a general-purpose library (topotoolbox) and numpy.

    pip install numpy==2.4.6 rasterio==1.4.4 topotoolbox==0.0.12
    python tests/reference/water_values.py ../shared/terrain > tests/reference/water_values.json

Of every grid: a checksum (FNV-1a, 64 bits) over the single-precision bits of every filled cell, and accumulation at cells
where D8 leaves no choice: every cell that could drain through them has one steepest way down, by a clear margin. The
share of such cells is told; the others hang on flats, filled hollows or ties, where methods differ.
"""

import importlib.metadata
import json
import sys

import numpy
import rasterio
import topotoolbox

GRIDS = ["ia_slope_s_3m", "ia_patches_h_3m", "slo_hills_1m", "at_hoal_10m"]
STEPS = [(0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1), (-1, 0), (-1, 1)]
SAMPLES = 300


def ground_of(path):
    with rasterio.open(path) as file:
        z = file.read(1, masked=True).astype(numpy.float32).filled(numpy.nan)
        return z, file.res[0]


def fill(z):
    """The library's filled surface; missing ground is far below everything, so that water leaves beside it."""
    framed = numpy.full((z.shape[0] + 2, z.shape[1] + 2), -1e6)
    framed[1:-1, 1:-1] = numpy.where(numpy.isnan(z), -1e6, z)
    grid = topotoolbox.GridObject()
    grid.z, grid.cellsize = framed.astype(numpy.float32), 1.0
    filled = numpy.asarray(grid.fillsinks().z)[1:-1, 1:-1]
    return numpy.where(numpy.isnan(z), numpy.nan, filled).astype(numpy.float32)


def checksum(values):
    total = 0xCBF29CE484222325
    bits = numpy.where(numpy.isnan(values), numpy.uint32(0x7FC00000), values.view(numpy.uint32))
    for word in bits.ravel().tolist():
        total = ((total ^ word) * 0x100000001B3) & 0xFFFFFFFFFFFFFFFF
    return format(total, "016x")


def falls(filled):
    """Slope to each neighbour; NaN where there is none."""
    framed = numpy.pad(filled.astype(float), 1, constant_values=numpy.nan)
    rows, cols = filled.shape
    away = [numpy.hypot(*step) for step in STEPS]
    there = [framed[1 + r : 1 + r + rows, 1 + c : 1 + c + cols] for r, c in STEPS]
    return numpy.stack([(filled - t) / d for t, d in zip(there, away)])


def sure_directions(filled, cell):
    """Direction number where one way is steepest by a clear margin, -1 where water leaves, -2 where it is open."""
    slopes = falls(filled) / cell
    slopes = numpy.where(numpy.isnan(slopes), -numpy.inf, slopes)
    ordered = numpy.sort(slopes, axis=0)
    way = slopes.argmax(axis=0)
    sure = (ordered[-1] > 0) & (ordered[-1] - ordered[-2] > 1e-4 * ordered[-1])
    beside = numpy.isnan(falls(filled)).any(axis=0)
    leaves = (ordered[-1] <= 0) & beside
    return numpy.where(numpy.isnan(filled), -3, numpy.where(sure, way, numpy.where(leaves, -1, -2)))


def sure_accumulation(filled, ways):
    """Cells uphill where no open cell could add any; 0 elsewhere."""
    rows, cols = filled.shape
    area = numpy.zeros(filled.shape, dtype=int)
    order = numpy.argsort(-numpy.where(numpy.isnan(filled), -numpy.inf, filled), axis=None, kind="stable")
    levels, ways_of, area_of = filled.tolist(), ways.tolist(), area.tolist()
    for index in order.tolist():
        row, col = divmod(index, cols)
        if ways_of[row][col] == -3:
            continue
        total, here = 1, levels[row][col]
        for k, (down, right) in enumerate(STEPS):
            r, c = row + down, col + right
            if not (0 <= r < rows and 0 <= c < cols) or ways_of[r][c] == -3:
                continue
            if ways_of[r][c] == -2 and levels[r][c] >= here:
                total = 0
            elif ways_of[r][c] == (k + 4) % 8:
                total = 0 if area_of[r][c] == 0 or total == 0 else total + area_of[r][c]
            if total == 0:
                break
        area_of[row][col] = total
    return numpy.array(area_of)


def values_of(path):
    z, cell = ground_of(path)
    filled = fill(z)
    area = sure_accumulation(filled, sure_directions(filled, cell))
    known = ~numpy.isnan(filled)
    sure = numpy.argwhere(area > 0)
    largest = sure[numpy.argsort(-area[tuple(sure.T)], kind="stable")[: SAMPLES // 3]]
    others = numpy.random.default_rng(7).choice(sure, SAMPLES - len(largest), replace=False)
    cells = numpy.concatenate([largest, others]).tolist()
    return {
        "filled": checksum(filled),
        "raised": int((filled > z).sum()),
        "sure_share": float((area > 0).sum() / known.sum()),
        "cells": [[row, col, int(area[row, col])] for row, col in cells],
    }


def main(folder):
    versions = {name: importlib.metadata.version(name) for name in ["numpy", "rasterio", "topotoolbox"]}
    print(json.dumps({"versions": versions, **{name: values_of(f"{folder}/dem/{name}.tif") for name in GRIDS}}))


if __name__ == "__main__":
    main(sys.argv[1])
