"""Reference values for crates/terrain from general-purpose libraries: numpy, scipy, contourpy and Python's heapq.

Run from the top of the project, with the terrain test data beside it:

    pip install -r tests/reference/terrain_requirements.txt
    python tests/reference/terrain_values.py ../shared/terrain > tests/reference/terrain_values.json

Inputs: dem/ia_slope_s_3m.asc (3 m grid of farmland, Iowa statewide lidar, clipped by the SOC_LEM study, MIT) and
points/mt_field_i_2016.csv (heights along a combine's track, OFPEDATA 1.1.0, MIT). Only derived figures are written.
"""

import heapq
import json
import sys
from pathlib import Path

import contourpy
import numpy
import scipy
import scipy.ndimage
import scipy.signal
from scipy.interpolate import LinearNDInterpolator

SEED = 20240501


def read_grid(path):
    """Header and rows of a plain ASCII grid."""
    lines = path.read_text().split("\n")
    header = {key.lower(): float(value) for key, value in (line.split() for line in lines[:6])}
    rows = numpy.array([[float(word) for word in line.split()] for line in lines[6:] if line.strip()])
    # Levels are held in single precision by the program.
    rows = rows.astype(numpy.float32).astype(float)
    rows[rows == header["nodata_value"]] = numpy.nan
    return header, rows


def neighbours(row, col, shape):
    for r in range(max(row - 1, 0), min(row + 2, shape[0])):
        for c in range(max(col - 1, 0), min(col + 2, shape[1])):
            if (r, c) != (row, col):
                yield r, c


def fill(ground):
    """Plain Priority-Flood (Barnes, Lehman and Mulla 2014): every cell goes through the queue.

    Outlets are the cells on the border and beside missing ground.
    """
    filled, shape = ground.copy(), ground.shape
    seen = numpy.isnan(ground)
    framed = numpy.pad(seen, 1, constant_values=True)
    outlet = scipy.ndimage.binary_dilation(framed, numpy.ones((3, 3)))[1:-1, 1:-1] & ~seen
    queue = [(filled[row, col], row, col) for row, col in zip(*(axis.tolist() for axis in outlet.nonzero()))]
    heapq.heapify(queue)
    seen |= outlet
    while queue:
        level, row, col = heapq.heappop(queue)
        for r, c in neighbours(row, col, shape):
            if not seen[r, c]:
                seen[r, c] = True
                filled[r, c] = max(filled[r, c], level)
                heapq.heappush(queue, (filled[r, c], r, c))
    return filled


def horn(ground, cell):
    """Horn (1981) slope ratio of the inner cells by convolution."""
    kernel = numpy.array([[-1, 0, 1], [-2, 0, 2], [-1, 0, 1]]) / (8 * cell)
    east = scipy.signal.correlate2d(ground, kernel, mode="valid")
    south = scipy.signal.correlate2d(ground, kernel.T, mode="valid")
    return numpy.hypot(east, south)


def contour_lengths(ground, cell, levels):
    """Lines at levels that no cell has exactly: what counts as above there is a matter of taste."""
    generator = contourpy.contour_generator(
        x=numpy.arange(ground.shape[1]) * cell, y=numpy.arange(ground.shape[0]) * cell, z=numpy.ma.masked_invalid(ground), name="serial")
    found = []
    for level in levels:
        lines = generator.lines(level)
        length = sum(numpy.hypot(*numpy.diff(line, axis=0).T).sum() for line in lines)
        closed = sum(bool((line[0] == line[-1]).all()) for line in lines)
        found.append({"level_m": level, "length_m": length, "lines": len(lines), "closed": closed})
    return found


def hollows(ground, filled, cell):
    """Ponds of the filled surface: count, deepest, total volume."""
    labels, count = scipy.ndimage.label(filled > ground, structure=numpy.ones((3, 3)))
    depth = filled - ground
    return {
        "count": count,
        "deepest_m": numpy.nanmax(depth),
        "volume_m3": numpy.nansum(depth) * cell * cell,
        "largest_cells": int(numpy.bincount(labels.ravel())[1:].max()),
    }


def triangulated(path, rng):
    """Linear interpolation in the Delaunay triangles at random places inside the middle of the field."""
    table = numpy.loadtxt(path, delimiter=",", skiprows=1)[:, 1:4]
    xy, index = numpy.unique(table[:, :2], axis=0, return_inverse=True)
    z = numpy.bincount(index.ravel(), table[:, 2]) / numpy.bincount(index.ravel())
    origin = xy.mean(axis=0)
    surface = LinearNDInterpolator(xy - origin, z)
    low, high = xy.min(axis=0), xy.max(axis=0)
    places = numpy.round(low + (high - low) * (0.1 + 0.8 * rng.random((300, 2))), 2)
    levels = surface(places - origin)
    return [[*place, level] for place, level in zip(places.tolist(), levels.tolist()) if level == level][:200]


def main(data):
    rng = numpy.random.default_rng(SEED)
    header, ground = read_grid(data / "dem/ia_slope_s_3m.asc")
    cell, filled = header["cellsize"], fill(ground)
    slope = horn(ground, cell)
    # Cells whose nine levels are all known.
    known = numpy.argwhere(~numpy.isnan(slope)) + 1
    inner = rng.choice(known, 200, replace=False).tolist()
    raised = rng.choice(numpy.argwhere(filled > ground), 50, replace=False).tolist()
    values = {
        "origin": __doc__.strip(),
        "versions": {m.__name__: m.__version__ for m in (numpy, scipy, contourpy)},
        "filled_sum": numpy.nansum(filled),
        "filled_max": numpy.nanmax(filled),
        "filled_cells": [[row, col, filled[row, col]] for row, col in inner + raised],
        "hollows": hollows(ground, filled, cell),
        "slope_cells": [[row, col, slope[row - 1, col - 1]] for row, col in inner],
        "contours": contour_lengths(ground, cell, [number * 0.437 for number in (815, 818, 822, 828, 835)]),
        "triangulated": triangulated(data / "points/mt_field_i_2016.csv", rng),
    }
    json.dump(values, sys.stdout, indent=None, separators=(",", ":"), default=float)
    print()


main(Path(sys.argv[1]))
