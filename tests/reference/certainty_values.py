"""Writes certainty_values.json: what shots tell of the error of a ground, and quantities of normal numbers.

Origin: scikit-learn 1.7.2 (GaussianProcessRegressor, kernel fixed) for shots of one batch, numpy 2.3.3 (a plain solve of the whole
system) for batches with a shift of their own, scipy 1.16.2 (norm, multivariate_normal) for chances. The error of the ground is
shift + field + what differs from place to place; the field's covariance is sill × exp(−3 distance / range). Lengths are metres.
Run: pip install scikit-learn==1.7.2 scipy==1.16.2 numpy==2.3.3 && python certainty_values.py
"""

import json
from pathlib import Path

import numpy as np
import scipy
import sklearn
from scipy.stats import multivariate_normal, norm
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern

assert (sklearn.__version__, scipy.__version__, np.__version__) == ("1.7.2", "1.16.2", "2.3.3")


def by_sklearn(field, shots, places):
    sill, reach, nugget, shift = field
    kernel = ConstantKernel(sill, "fixed") * Matern(reach / 3, "fixed", nu=0.5) + ConstantKernel(shift, "fixed")
    at, off, error = shots[:, :2], shots[:, 2], shots[:, 3]
    model = GaussianProcessRegressor(kernel, alpha=error + nugget, optimizer=None).fit(at, off)
    mean, spread = model.predict(places, return_std=True)
    return np.column_stack([mean, spread**2])


def by_numpy(field, shots, places):
    sill, reach, nugget, shift = field
    apart = lambda a, b: np.hypot(a[:, None, 0] - b[None, :, 0], a[:, None, 1] - b[None, :, 1])
    between = lambda a, b: shift + sill * np.exp(-3 * apart(a, b) / reach)
    at, off, error, batch, batch_shift = shots[:, :2], *shots[:, 2:].T
    matrix = between(at, at) + np.diag(error + nugget)
    matrix += (batch[:, None] == batch[None, :]) * batch_shift[:, None]
    to = between(at, places)
    weights = np.linalg.solve(matrix, to)
    return np.column_stack([weights.T @ off, shift + sill - np.sum(weights * to, axis=0)])


def cases():
    rng = np.random.default_rng(19)
    for field, count in [((0.01, 40.0, 0.002, 0.0), 20), ((0.02, 120.0, 0.0, 0.002), 24), ((0.5, 300.0, 0.0, 0.0), 15)]:
        at = rng.uniform(0, 200, (count, 2))
        off = rng.normal(0.05, np.sqrt(field[0]), count)
        shots = np.column_stack([at, off, np.full(count, 0.015**2), np.zeros(count), np.zeros(count)])
        places = rng.uniform(-20, 220, (12, 2))
        yield field, shots, places, by_sklearn(field, shots, places)
    at = rng.uniform(0, 150, (22, 2))
    batch = np.arange(22) % 3
    shots = np.column_stack([at, rng.normal(0.1, 0.1, 22), np.full(22, 0.02**2), batch, np.array([0.0, 0.05**2, 100.0])[batch]])
    places = rng.uniform(0, 150, (12, 2))
    field = (0.015, 60.0, 0.003, 0.0021)
    yield field, shots, places, by_numpy(field, shots, places)


def settled():
    """By how much p (1 - p) falls once a share of the variance is known: P(both of two normal numbers below) less p squared."""
    rows = []
    for chance in [0.02, 0.3, 0.5, 0.85]:
        for share in [0.1, 0.5, 0.9]:
            z = norm.ppf(chance)
            both = multivariate_normal.cdf([z, z], cov=[[1, share], [share, 1]], abseps=1e-12, releps=1e-12, maxpts=10**7)
            rows.append([chance, share, float(both - chance**2)])
    return rows


kriging = [
    {"field": list(field), "shots": shots.tolist(), "places": places.tolist(), "likely": likely.tolist()}
    for field, shots, places, likely in cases()
]
quantiles = [[p, float(norm.ppf(p))] for p in [1e-10, 0.001, 0.02, 0.05, 0.5, 0.8413447460685429, 0.99]]
values = {"kriging": kriging, "settled": settled(), "quantiles": quantiles}
Path(__file__).with_name("certainty_values.json").write_text(json.dumps(values, indent=1) + "\n")
