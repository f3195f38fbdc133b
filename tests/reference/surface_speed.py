"""Seconds that scipy takes for the work of crates/terrain/benches/surface.rs: a million survey points, a million cells.

    pip install -r tests/reference/terrain_requirements.txt
    python tests/reference/surface_speed.py [RUNS]

Least of RUNS (default 3); making the points is not counted. Compare with `cargo bench -p terrain --bench surface`.
"""

import sys
import time

import numpy
from scipy.interpolate import LinearNDInterpolator

COUNT = 1_000_000


def mixed(counter):
    """splitmix64 as numbers from 0 to 1."""
    z = counter * numpy.uint64(0x9E3779B97F4A7C15)
    z = (z ^ (z >> numpy.uint64(30))) * numpy.uint64(0xBF58476D1CE4E5B9)
    z = (z ^ (z >> numpy.uint64(27))) * numpy.uint64(0x94D049BB133111EB)
    return ((z ^ (z >> numpy.uint64(31))) >> numpy.uint64(11)) / 2.0**53


def survey():
    counter = numpy.arange(COUNT, dtype=numpy.uint64) * numpy.uint64(2)
    x, y = (1000.0 * mixed(counter + numpy.uint64(k)) for k in (1, 2))
    z = 100.0 + 3.0 * numpy.sin(x / 97.0 + y / 210.0) + 2.0 * numpy.cos(x / 161.0 - y / 115.0)
    return numpy.column_stack([x, y]), z


def main(runs):
    points, levels = survey()
    centres = numpy.arange(1000) + 0.5
    cells = numpy.stack(numpy.meshgrid(centres, centres[::-1]), axis=-1)
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        grid = LinearNDInterpolator(points, levels)(cells)
        times.append(time.perf_counter() - start)
        print(f"{times[-1]:.3f} s", flush=True)
    print(f"least {min(times):.3f} s; mean level {numpy.nanmean(grid):.6f} m, {numpy.isnan(grid).sum()} cells missing")


main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
