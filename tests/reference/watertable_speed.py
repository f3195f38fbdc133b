"""Seconds that scipy takes for the cases of crates/watertable/benches/drying.rs, and those of the bench, in one run.

    pip install -r tests/reference/watertable_requirements.txt
    cargo bench -p watertable --no-run
    python tests/reference/watertable_speed.py [RUNS]

Least of RUNS (default 5), scipy and the bench by turns, each in one thread and by its processor time, which a busy machine
lengthens less. scipy's systems are laid out before the
clock starts, and so are the bench's (its time with the laying out stands beside). Errors: what is left of the system; and the
most that any evening of the year is off a converged run of the same nodes.
"""

import os
import re
import subprocess
import sys
import time

os.environ["OPENBLAS_NUM_THREADS"] = "1"

import numpy
import scipy.sparse
import scipy.sparse.linalg
from scipy.linalg import solve_banded

LENGTH, DRAIN, K, S, START = 15.0, 2.0, 0.5, 0.05, 3.2


def rain(day):
    return 0.0 if day % 5 else 0.015


def system(side):
    y, x = numpy.mgrid[0:side, 0:side]
    k = K * (1 + 0.6 * numpy.sin(x / 90.0) * numpy.cos(y / 70.0))
    level = DRAIN + 0.6 * numpy.abs(numpy.sin(numpy.pi * x / 15.0))
    conveys = k * level
    drain = ((x % 15 == 0) & (y > 3) & (y < side - 3)).ravel()
    index = numpy.arange(side * side).reshape(side, side)
    one = numpy.concatenate([index[:-1].ravel(), index[:, :-1].ravel()])
    other = numpy.concatenate([index[1:].ravel(), index[:, 1:].ravel()])
    flat = conveys.ravel()
    face = 2 * flat[one] * flat[other] / (flat[one] + flat[other])
    own = numpy.full(side * side, S)
    right = 0.007 + S * level.ravel()
    numpy.add.at(own, one, face)
    numpy.add.at(own, other, face)
    for a, b in ((one, other), (other, one)):
        held = ~drain[a] & drain[b]
        numpy.add.at(right, a[held], face[held] * DRAIN)
    free = numpy.flatnonzero(~drain)
    matrix = scipy.sparse.coo_matrix(
        (
            numpy.concatenate([own, -face, -face]),
            (
                numpy.concatenate([index.ravel(), one, other]),
                numpy.concatenate([index.ravel(), other, one]),
            ),
        )
    ).tocsr()
    return matrix[free][:, free], right[free], level.ravel()[free]


def gradients(matrix, right, begin):
    inverse = scipy.sparse.diags(1.0 / matrix.diagonal())
    start = time.process_time()
    found, _ = scipy.sparse.linalg.cg(matrix, right, x0=begin, rtol=1e-8, M=inverse)
    took = time.process_time() - start
    return took, numpy.linalg.norm(matrix @ found - right) / numpy.linalg.norm(right)


def year(nodes, parts=1):
    """Implicit days, each iterated; in several parts a day for a converged run. Heads on every evening."""
    dx = LENGTH / (nodes - 1)
    heads = numpy.full(nodes, START)
    heads[0] = heads[-1] = DRAIN
    evenings = []
    for day in range(365):
        for _ in range(parts):
            before, guess = heads, heads
            for _ in range(30):
                t = K * 0.5 * (guess[1:] + guess[:-1]) / dx**2
                bands = numpy.zeros((3, nodes))
                bands[1, 1:-1] = S * parts + t[:-1] + t[1:]
                bands[0, 2:], bands[2, :-2] = -t[1:], -t[:-1]
                bands[1, 0] = bands[1, -1] = 1
                right = S * parts * before + rain(day)
                right[0] = right[-1] = DRAIN
                found = solve_banded((1, 1), bands, right, overwrite_ab=True, overwrite_b=True)
                off = numpy.abs(found - guess).max()
                guess = found
                if off < 1e-6:
                    break
            heads = guess
        evenings.append(heads)
    return evenings


def bench():
    told = subprocess.run(
        ["cargo", "bench", "-q", "-p", "watertable", "--bench", "drying"], check=True, capture_output=True, text=True
    )
    step = re.search(r"implicit step, \d+ cells: ([\d.]+) s \(([\d.]+) s.*?, ([\d.e-]+) left", told.stdout)
    years = re.findall(r"nodes: ([\d.]+) s, (\d+) steps, ([\d.]+) mm off", told.stdout)
    within = min((float(took), float(off)) for took, _, off in years if float(off) <= 1.0)
    return [float(figure) for figure in step.groups()], within


def main(runs):
    matrix, right, begin = system(1000)
    ours, theirs, our_year, their_year = [], [], [], []
    for _ in range(runs):
        theirs.append(gradients(matrix, right, begin))
        start = time.process_time()
        evenings = year(2000)
        their_year.append(time.process_time() - start)
        step, within = bench()
        ours.append(step)
        our_year.append(within)
    step, whole, left = min(ours)
    scipy_step, scipy_left = min(theirs)
    print(f"implicit step, 1 M cells: scipy {scipy_step:.3f} s ({scipy_left:.1e} left), here {step:.3f} s ({left:.1e} left, "
          f"{whole:.3f} s with the laying out): {scipy_step / step:.1f} times as fast")
    fine = year(2000, parts=64)
    scipy_off = max(numpy.abs(a - b).max() for a, b in zip(evenings, fine))
    took, off = min(our_year)
    print(f"year of days, 2,000 nodes: scipy {min(their_year):.4f} s ({1000 * scipy_off:.1f} mm off), here {took:.4f} s "
          f"({off:.2f} mm off): {min(their_year) / took:.1f} times as fast")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
