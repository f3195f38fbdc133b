# /// script
# requires-python = ">=3.11"
# dependencies = ["numpy==2.3.5", "scipy==1.17.1"]
# ///
"""Small networks with prizes and the least that each can cost, by the exact solver HiGHS through scipy's `milp`.

    uv run steiner_values.py > steiner_values.json

Each network is made of a few channels that run down to a low side, links across, and an outlet, with costs and prizes at random (a
fixed seed). A place either drains, by one link, or is left wet at the cost of its prize. The program in whole numbers: x of a link is 1
where it is dug, y of a place where it drains; a flow of one from every place that drains to the outlet, over links that are dug,
keeps circles out. Origin of every value: scipy 1.17.1 (HiGHS), relative gap 0.
"""

import json

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

CASES = 50


def network(rng):
    """Channels of a few links each toward a low side; place 0 is the outlet."""
    channels = int(rng.integers(2, 6))
    prizes, links, rows = [0.0], [], []
    for _ in range(channels):
        row = []
        for _ in range(int(rng.integers(2, 6))):
            row.append(len(prizes))
            prizes.append(round(float(rng.uniform(0, 100)) * (rng.random() < 0.8), 1))
        rows.append(row)
        links += [[a, b, round(float(rng.uniform(5, 60)), 1)] for a, b in zip(row, row[1:])]
    ends = [row[-1] for row in rows]
    for a in ends:
        links.append([a, 0, round(float(rng.uniform(20, 250)), 1)])
        links += [[a, b, round(float(rng.uniform(10, 120)), 1)] for b in ends if a != b and rng.random() < 0.7]
    places = range(1, len(prizes))
    for a in places:
        for b in places:
            if a != b and rng.random() < 0.05:
                links.append([a, b, round(float(rng.uniform(10, 150)), 1)])
    return prizes, links


def least(prizes, links):
    """The least cost of links that are dug and places that are left wet."""
    n, m = len(prizes), len(links)
    # Unknowns: x by link, y by place, flow by link.
    cost = np.array([c for _, _, c in links] + [-p for p in prizes] + [0.0] * m)
    rows, low, high = [], [], []

    def row(entries, least, most):
        line = np.zeros(2 * m + n)
        for at, value in entries:
            line[at] += value
        rows.append(line)
        low.append(least)
        high.append(most)

    for place in range(1, n):
        out = [k for k, (a, _, _) in enumerate(links) if a == place]
        into = [k for k, (_, b, _) in enumerate(links) if b == place]
        row([(k, 1.0) for k in out] + [(m + place, -1.0)], 0.0, 0.0)
        row([(m + n + k, 1.0) for k in out] + [(m + n + k, -1.0) for k in into] + [(m + place, -1.0)], 0.0, 0.0)
    for k, (_, b, _) in enumerate(links):
        row([(k, 1.0), (m + b, -1.0)], -np.inf, 0.0)
        row([(m + n + k, 1.0), (k, -float(n))], -np.inf, 0.0)
    top = np.concatenate([np.ones(m + n), np.full(m, float(n))])
    bottom = np.zeros(2 * m + n)
    bottom[m] = 1.0  # The outlet drains.
    whole = np.concatenate([np.ones(m + n), np.zeros(m)])
    done = milp(cost, constraints=LinearConstraint(np.array(rows), low, high), integrality=whole,
                bounds=Bounds(bottom, top), options={"mip_rel_gap": 0.0})
    assert done.status == 0, done.message
    return float(done.fun) + sum(prizes)


def main():
    rng = np.random.default_rng(1867)
    cases = []
    for _ in range(CASES):
        prizes, links = network(rng)
        cases.append({"prizes": prizes, "links": links, "least": round(least(prizes, links), 6)})
    print(json.dumps({"origin": "scipy 1.17.1, scipy.optimize.milp (HiGHS)", "cases": cases}))


if __name__ == "__main__":
    main()
