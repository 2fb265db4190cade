"""Answers the questions of `cargo run -p cabling --example export_instances` with HiGHS, a general-purpose solver.

Reads JSON lines on standard input and prints one JSON line each: name, optimum, bound, status. The model is the disaggregated
fixed-charge network design problem: a flow of each demand along each passage in each direction, no more than the passage is open.
"""

import json
import sys

import highspy
import numpy as np


def shrink(passages, keep):
    """Joins passages in a row and drops dead ends: exact, and small enough for a general-purpose solver."""
    edges = {i: tuple(p) for i, p in enumerate(passages)}
    at = {}
    for i, (a, b, _, _) in edges.items():
        at.setdefault(a, set()).add(i)
        at.setdefault(b, set()).add(i)
    waiting = list(at)
    fresh = len(passages)
    while waiting:
        v = waiting.pop()
        if v in keep or v not in at:
            continue
        mine = sorted(at[v])
        if len(mine) == 1:
            a, b, _, _ = edges.pop(mine[0])
            w = b if a == v else a
            at[w].discard(mine[0])
            at[v].clear()
            waiting.append(w)
        elif len(mine) == 2:
            (a, b, f, c), (d, e, g, h) = edges.pop(mine[0]), edges.pop(mine[1])
            x, y = (b if a == v else a), (e if d == v else d)
            at[v].clear()
            at[x].discard(mine[0])
            at[y].discard(mine[1])
            if x != y:
                edges[fresh] = (x, y, f + g, c + h)
                at[x].add(fresh)
                at[y].add(fresh)
                fresh += 1
            waiting += [x, y]
    return list(edges.values())


def solve(question, seconds):
    demands = [(a, b) for a, b in question["demands"] if a != b]
    keep = {v for d in demands for v in d}
    passages = shrink([p for p in question["passages"] if p[0] != p[1]], keep)
    places = sorted({v for p in passages for v in p[:2]} | keep)
    row_of = {v: i for i, v in enumerate(places)}
    n, k = len(passages), len(demands)
    h = highspy.Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("mip_rel_gap", 1e-9)
    h.setOptionValue("time_limit", float(seconds))
    lp = highspy.HighsLp()
    # Columns: open[n]; for each source and direction used[n]; for each demand flow forth[n] and back[n]. No two demands of one
    # source need a passage in opposite directions: that cuts fractions off and no optimum.
    sources = sorted({a for a, _ in demands})
    first_flow = n + 2 * n * len(sources)
    lp.num_col_ = first_flow + 2 * n * k
    cost = np.zeros(lp.num_col_)
    cost[:n] = [p[2] for p in passages]
    for d in range(k):
        base = first_flow + 2 * n * d
        cost[base : base + n] = cost[base + n : base + 2 * n] = [p[3] for p in passages]
    lp.col_cost_ = cost
    lp.col_lower_ = np.zeros(lp.num_col_)
    lp.col_upper_ = np.ones(lp.num_col_)
    lp.integrality_ = [highspy.HighsVarType.kInteger] * first_flow + [highspy.HighsVarType.kContinuous] * (2 * n * k)
    starts, index, value, lower, upper = [0], [], [], [], []

    def row(columns, values, low, high):
        index.extend(columns)
        value.extend(values)
        starts.append(len(index))
        lower.append(low)
        upper.append(high)

    for s in range(len(sources)):
        for i in range(n):
            used = n + 2 * n * s + i
            row([used, used + n, i], [1.0, 1.0, -1.0], -highspy.kHighsInf, 0.0)
    for d, (source, sink) in enumerate(demands):
        base = first_flow + 2 * n * d
        own = n + 2 * n * sources.index(source)
        columns = [[] for _ in places]
        values = [[] for _ in places]
        for i, (a, b, _, _) in enumerate(passages):
            for place, sign in ((a, 1.0), (b, -1.0)):
                columns[row_of[place]] += [base + i, base + n + i]
                values[row_of[place]] += [sign, -sign]
        for place in places:
            net = float(place == source) - float(place == sink)
            row(columns[row_of[place]], values[row_of[place]], net, net)
        for i in range(n):
            if passages[i][2] > 0:
                for direction in (0, n):
                    row([base + direction + i, own + direction + i], [1.0, -1.0], -highspy.kHighsInf, 0.0)
    lp.num_row_ = len(lower)
    lp.row_lower_ = np.array(lower)
    lp.row_upper_ = np.array(upper)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts)
    lp.a_matrix_.index_ = np.array(index)
    lp.a_matrix_.value_ = np.array(value)
    h.passModel(lp)
    h.run()
    info = h.getInfo()
    status = h.modelStatusToString(h.getModelStatus())
    return {"optimum": info.objective_function_value, "bound": info.mip_dual_bound, "status": status, "columns": int(lp.num_col_)}


def main():
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 600
    for line in sys.stdin:
        question = json.loads(line)
        print(json.dumps({"name": question["name"], **solve(question, seconds)}), flush=True)


main()
