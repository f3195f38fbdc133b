"""Reference values for the surfaces of crates/terrain from scipy and shapely.

Run from the top of the project, with the terrain test data beside it:

    pip install -r tests/reference/terrain_requirements.txt
    python tests/reference/surface_values.py ../shared/terrain > tests/reference/surface_values.json

linear: levels by scipy.interpolate.LinearNDInterpolator at 10,000 places over points/mt_field_i_2016.csv (heights along
a combine's track, OFPEDATA 1.1.0, MIT), in hundredths of a millimetre above 700 m; null outside the convex hull and
where a neighbouring triangle's far corner lies on the circle, so that either diagonal is Delaunay.

natural: natural neighbour levels at 200 places over 2,000 made-up shots, by plain areas: the Voronoi cell that a place
gets among the shots, cut with the cells that the shots had before (scipy.spatial.Voronoi, shapely).
"""

import json
import sys
from pathlib import Path

import numpy
import scipy
import shapely
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay, Voronoi


def mixed(counter):
    """splitmix64 as numbers from 0 to 1."""
    counter = numpy.asarray(counter, dtype=numpy.uint64)
    z = counter * numpy.uint64(0x9E3779B97F4A7C15)
    z = (z ^ (z >> numpy.uint64(30))) * numpy.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> numpy.uint64(27))) * numpy.uint64(0x94D049BB133111EB)
    return ((z ^ (z >> numpy.uint64(31))) >> numpy.uint64(11)) / 2.0**53


def pairs(first, count):
    """Places in the unit square."""
    counter = 2 * numpy.arange(first, first + count)
    return numpy.column_stack([mixed(counter + 1), mixed(counter + 2)])


def track(path):
    table = numpy.loadtxt(path, delimiter=",", skiprows=1)[:, 1:4]
    xy, index = numpy.unique(table[:, :2], axis=0, return_inverse=True)
    return xy, numpy.bincount(index.ravel(), table[:, 2]) / numpy.bincount(index.ravel())


def doubtful(mesh, places):
    """Whether the triangle of a place may as well be cut the other way."""
    simplex = mesh.find_simplex(places)
    corners = mesh.points[mesh.simplices[simplex]]
    a, b, c = (corners[:, k] - corners[:, 0] for k in range(3))
    bb, cc = (b**2).sum(axis=1), (c**2).sum(axis=1)
    d = 2 * (b[:, 0] * c[:, 1] - b[:, 1] * c[:, 0])
    centre = numpy.column_stack([c[:, 1] * bb - b[:, 1] * cc, b[:, 0] * cc - c[:, 0] * bb]) / d[:, None]
    radius = numpy.hypot(*centre.T)
    centre += corners[:, 0]
    beside = mesh.neighbors[simplex]
    found = numpy.zeros(len(places), dtype=bool)
    for k in range(3):
        far = mesh.simplices[beside[:, k]]
        own = mesh.simplices[simplex]
        tip = far[numpy.arange(len(far)), numpy.argmin((far[:, :, None] == own[:, None, :]).any(axis=2), axis=1)]
        away = numpy.hypot(*(mesh.points[tip] - centre).T)
        found |= (beside[:, k] >= 0) & (abs(away - radius) < 1e-6 * radius)
    return found | (simplex < 0)


def linear(path):
    xy, z = track(path)
    low, high = xy.min(axis=0), xy.max(axis=0)
    places = pairs(0, 10_000) * (high - low)
    mesh = Delaunay(xy - low)
    levels = LinearNDInterpolator(mesh, z)(places)
    levels[doubtful(mesh, places)] = numpy.nan
    hundredths = numpy.round((levels - 700.0) * 1e5)
    return [None if level != level else int(level) for level in hundredths]


def cell(voronoi, number):
    """The Voronoi cell of a shot; nothing where it has no end."""
    region = voronoi.regions[voronoi.point_region[number]]
    return shapely.Polygon() if -1 in region else shapely.MultiPoint(voronoi.vertices[region]).convex_hull


def natural():
    shots = 100.0 * pairs(0, 2000)
    x, y = shots.T
    z = 100.0 + 3.0 * numpy.sin(x / 9.7 + y / 21.0) + 2.0 * numpy.cos(x / 16.1 - y / 11.5)
    voronoi = Voronoi(shots)
    values = []
    for place in 10.0 + 80.0 * pairs(2000, 200):
        taken = cell(Voronoi(numpy.vstack([shots, place])), len(shots))
        near = numpy.flatnonzero(numpy.hypot(*(shots - place).T) < 20.0)
        areas = shapely.area(shapely.intersection(taken, [cell(voronoi, k) for k in near]))
        assert abs(areas.sum() / taken.area - 1) < 1e-9
        values.append(float(areas @ z[near] / areas.sum()))
    return values


def main(data):
    values = {
        "origin": __doc__.strip(),
        "versions": {m.__name__: m.__version__ for m in (numpy, scipy, shapely)},
        "linear": linear(data / "points/mt_field_i_2016.csv"),
        "natural": natural(),
    }
    json.dump(values, sys.stdout, indent=None, separators=(",", ":"))
    print()


main(Path(sys.argv[1]))
