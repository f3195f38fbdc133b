"""The water table in time by scipy: what crates/watertable/tests/scipy.rs holds the solver against.

    pip install -r tests/reference/watertable_requirements.txt
    python tests/reference/watertable_values.py > tests/reference/watertable_values.json

Finite differences written apart from the program, as the equation stands, integrated by scipy's Radau (1-D) and BDF (2-D)
with tolerances far below a tenth of a millimetre.
"""

import json

import numpy
import scipy
from scipy.integrate import solve_ivp
from scipy.sparse import coo_matrix, diags


def days_of(state, rate, days, **options):
    """The state at the end of each day; rate(day) is the right side of that day."""
    found = []
    for day in range(days):
        done = solve_ivp(rate(day), (day, day + 1), state, **options)
        assert done.success, done.message
        state = done.y[:, -1]
        found.append(state)
    return found


def between_drains():
    """15 m between drains held 2 m over the base, K 0.5 m/d, S 0.05, table 1.2 m over the drains, 15 mm every fifth day."""
    nodes, length, drain, k, s = 201, 15.0, 2.0, 0.5, 0.05
    dx = length / (nodes - 1)
    start = numpy.full(nodes, 3.2)
    start[0] = start[-1] = drain

    def rate(day):
        rain = 0.015 if day % 5 == 0 else 0.0

        def of(_, h):
            flow = k * (h[1:] ** 2 - h[:-1] ** 2) / (2.0 * dx)
            change = numpy.zeros(nodes)
            change[1:-1] = ((flow[1:] - flow[:-1]) / dx + rain) / s
            return change

        return of

    near = diags([numpy.ones(nodes - 1), numpy.ones(nodes), numpy.ones(nodes - 1)], [-1, 0, 1])
    found = days_of(start, rate, 15, method="Radau", rtol=1e-8, atol=1e-8, jac_sparsity=near)
    return {"places": [10, 40, 100], "heads_m": [[float(h[p]) for p in (10, 40, 100)] for h in found]}


def takes(k, below, depth, cover, spacing, height):
    """What a metre of drain takes, m2/d: Hooghoudt's steady flow at the arch that belongs to the height over the drain."""
    height = numpy.maximum(height, 0.0)
    arch = height * (height + 2.0 * below) / (2.0 * (below - depth))
    return 4.0 * k / spacing * arch * (numpy.minimum(arch, cover) + 2.0 * depth)


def equivalent_depth(below, spacing, radius):
    x = 2.0 * numpy.pi * below / spacing
    if x > 0.5:
        f = sum(4.0 * numpy.exp(-2 * n * x) / (n * (1 - numpy.exp(-2 * n * x))) for n in range(1, 80, 2))
    else:
        f = numpy.pi**2 / (4.0 * x) + numpy.log(x / (2.0 * numpy.pi))
    return numpy.pi * spacing / 8.0 / (numpy.log(spacing / (numpy.pi * radius)) + f)


def field():
    """Two drains that end within uneven, sloping land; rain on the first day, evaporation after."""
    cols, rows, cell, spacing = 30, 16, 1.0, 12.0
    x, y = numpy.meshgrid(numpy.arange(cols), numpy.arange(rows))
    k = (0.8 * (1.0 + 0.5 * numpy.sin(x / 6.0) * numpy.cos(y / 5.0))).ravel()
    s = (0.07 + 0.02 * numpy.sin(y / 4.0)).ravel()
    surface = (0.01 * y + 0.004 * x).ravel()
    base = surface - 2.0
    drains = numpy.flatnonzero(((x % 12 == 8) & (y >= 4)).ravel())
    level = surface[drains] - 1.0
    depth = equivalent_depth(1.0, spacing, 0.05)
    index = numpy.arange(cols * rows).reshape(rows, cols)
    one = numpy.concatenate([index[:, :-1].ravel(), index[:-1].ravel()])
    other = numpy.concatenate([index[:, 1:].ravel(), index[1:].ravel()])
    between = 2.0 * k[one] * k[other] / (k[one] + k[other])

    def rate(day):
        rain, air = [(0.02, 0.0), (0.0, 0.004), (0.0, 0.004), (0.0, 0.004)][day]

        def of(_, h):
            wet = numpy.maximum(h - base, 1e-3)
            upper = numpy.where(h[one] > h[other], wet[one], wet[other])
            flow = between * numpy.minimum((wet[one] + wet[other]) / 2.0, 2.0 * upper) * (h[other] - h[one])
            gain = cell * cell * (rain - air * numpy.clip(1.0 - (surface - h) / 1.5, 0.0, 1.0))
            numpy.add.at(gain, one, flow)
            numpy.add.at(gain, other, -flow)
            gain[drains] -= cell * takes(k[drains], 1.0, depth, 1.0, spacing, h[drains] - level)
            return gain / (s * cell * cell)

        return of

    cells = cols * rows
    pattern = coo_matrix((numpy.ones(2 * one.size), (numpy.r_[one, other], numpy.r_[other, one])), (cells, cells))
    pattern = pattern + diags([numpy.ones(cells)], [0])
    found = days_of(surface - 0.6, rate, 4, method="BDF", rtol=1e-7, atol=1e-7, jac_sparsity=pattern)
    return {"heads_m": [[float(v) for v in h] for h in found]}


if __name__ == "__main__":
    values = {"scipy": scipy.__version__, "between_drains": between_drains(), "field": field()}
    print(json.dumps(values, indent=1))
