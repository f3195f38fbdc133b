"""Grade-line networks drawn by lot, with the optimum that HiGHS finds for each.

    python -m venv env && env/bin/pip install highspy==1.16.0 numpy==2.4.6
    env/bin/python tests/reference/grade_lines.py tests/reference/grade_lines_values.json

Each network: `down` (station downstream, -1 at an outlet), `least` and `most` rise from there, `low` and `high` level
(null: none), `slopes` as [station, level, price, below], `missing` as [station, rise, price] (each metre by which the rise
to a station falls short of one that is wished for costs the price: several a station make a price that falls in many kinks
with the grade), and `optimum`, the cost HiGHS finds with its tolerances at 1e-10;
null where it finds no solution. Fixed seed, so the file comes out the same.
"""

import json
import sys

import highspy
import numpy as np


def network(rng, n):
    down, least, most = [-1], [0.0], [0.0]
    ground = [100.0]
    ends = [0]
    for i in range(1, n):
        line_ends = ends and rng.random() < 0.95
        d = i - 1 if line_ends else int(rng.integers(0, i))
        down.append(d)
        joint = d != i - 1 or rng.random() < 0.02
        ground.append(ground[d] + float(rng.normal(0.05, 0.12)))
        rise = 0.075 if joint else float(rng.uniform(0.005, 0.01))
        least.append(rise)
        most.append(rise if joint else float(rng.uniform(0.1, 0.6)))
    low, high, slopes = [], [], []
    for i in range(n):
        top = ground[i] - 0.8
        high.append(top if rng.random() < 0.9 else None)
        low.append(ground[i] - 2.2 if rng.random() < 0.9 else None)
        length = float(rng.uniform(3, 10))
        slopes += [[i, ground[i] - 1.0, 2.0 * length, False], [i, ground[i] - 1.0, 4.0 * length, True]]
        slopes += [[i, ground[i] - 1.5, 6.0 * length, True]]
        if rng.random() < 0.03:
            low[i] = high[i] = ground[i] - float(rng.uniform(0.9, 1.8))
    low[0] = high[0] = ground[0] - float(rng.uniform(1.0, 1.6))
    return dict(down=down, least=least, most=most, low=low, high=high, slopes=slopes, missing=[])


def with_kinks(rng, net):
    """The same price of flat pipe on every step: at 0.03, 0.05, 0.1, 0.2, 0.4, 0.8 and 1.6 %."""
    for i, down in enumerate(net["down"]):
        if down != i - 1 or net["most"][i] <= net["least"][i]:
            continue
        length = float(rng.uniform(3, 10))
        for grade in (0.0003, 0.0005, 0.001, 0.002, 0.004, 0.008, 0.016):
            net["missing"].append([i, grade * length, float(rng.choice([0.5, 5.0, 40.0]))])
    return net


def optimum(net):
    inf, n, m = highspy.kHighsInf, len(net["down"]), len(net["slopes"])
    k = m + len(net["missing"])
    lower = [v if v is not None else -inf for v in net["low"]] + [0.0] * k
    upper = [v if v is not None else inf for v in net["high"]] + [inf] * k
    cost = [0.0] * n + [s[2] for s in net["slopes"]] + [w[2] for w in net["missing"]]
    starts, index, value, row_low, row_high = [0], [], [], [], []

    def row(terms, lo, hi):
        for j, v in terms:
            index.append(j)
            value.append(v)
        starts.append(len(index))
        row_low.append(lo)
        row_high.append(hi)

    for i in range(n):
        if net["down"][i] >= 0:
            row([(i, 1.0), (net["down"][i], -1.0)], net["least"][i], net["most"][i])
    for j, (i, level, _, below) in enumerate(net["slopes"]):
        row([(n + j, 1.0), (i, 1.0 if below else -1.0)], level if below else -level, inf)
    for j, (i, wanted, _) in enumerate(net["missing"]):
        row([(n + m + j, 1.0), (i, 1.0), (net["down"][i], -1.0)], wanted, inf)
    h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("primal_feasibility_tolerance", 1e-10)
    h.setOptionValue("dual_feasibility_tolerance", 1e-10)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = n + k, len(row_low)
    lp.col_cost_, lp.col_lower_, lp.col_upper_ = np.array(cost), np.array(lower), np.array(upper)
    lp.row_lower_, lp.row_upper_ = np.array(row_low), np.array(row_high)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = starts, index, np.array(value)
    h.passModel(lp)
    h.run()
    if h.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return h.getInfo().objective_function_value


def main():
    rng = np.random.default_rng(20_311)
    networks = []
    for n in [20] * 10 + [60] * 10 + [150] * 6 + [300] * 2:
        net = network(rng, n)
        net = json.loads(json.dumps(net), parse_float=lambda t: round(float(t), 6))
        net["optimum"] = optimum(net)
        networks.append(net)
    # Of their own, so that the networks above stay as they are.
    rng = np.random.default_rng(20_312)
    for n in [20] * 10 + [60] * 10 + [150] * 6 + [300] * 2:
        net = with_kinks(rng, network(rng, n))
        net = json.loads(json.dumps(net), parse_float=lambda t: round(float(t), 6))
        net["optimum"] = optimum(net)
        networks.append(net)
    with open(sys.argv[1], "w") as file:
        json.dump(dict(made_by="highspy 1.16.0", networks=networks), file)


if __name__ == "__main__":
    main()
