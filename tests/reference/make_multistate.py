#!/usr/bin/env python3
"""Makes multistate_golden.json: networks whose roots have several states and whose evidence is partly soft, with
posteriors from exact fractions and from pyAgrum.

    python3 -m venv venv && . venv/bin/activate
    pip install pyagrum==3.3.1
    python make_multistate.py             # writes multistate_golden.json beside this script (seconds)

Seeded; the networks come out the same with any Python 3.9 or later. README.md describes the fields.
"""
import itertools
import json
import os
import platform
import random
from fractions import Fraction as F

OUT = os.path.join(os.path.dirname(os.path.abspath(__file__)), "multistate_golden.json")
dec = lambda v: F(repr(v))                          # 0.1 means one tenth, not the nearest double


def random_case(k):
    r = random.Random(700 + k)
    p = lambda lo, hi: round(r.uniform(lo, hi), 4)
    roots, causes = [], []
    for i in range(4 + k % 3):
        n = r.choice([1, 2, 2, 3])
        states = [{"id": "R%d%s" % (i, "abc"[s]), "prior": p(0.01, 0.5 / n)} for s in range(n)]
        roots.append({"states": states})
        causes += [s["id"] for s in states]
    nodes = []
    for j in range(8):                              # three defects, five signs over defects and causes
        pool = causes if j < 3 else [n["id"] for n in nodes[:3]] + causes
        ps = sorted(r.sample(pool, r.randint(2, 4)))
        nodes.append({"id": "N%d" % j, "leak": p(0.001, 0.05), "parents": [[q, p(0.1, 0.95)] for q in ps]})
    ev = {}
    for n in r.sample([n["id"] for n in nodes], 4):
        ev[n] = r.choice([1, 1, 0, [p(0.05, 0.4), p(0.5, 1.0)]])
    if k % 3 == 0:
        c = r.choice(causes)
        ev[c] = r.choice([0, [p(0.1, 1.0), p(0.1, 1.0)]])
    if k % 5 == 4:
        ev[roots[0]["states"][-1]["id"]] = 1        # one state seen: the others of its root are excluded
    return {"name": "multistate-%02d" % k, "seed": 700 + k, "roots": roots, "nodes": nodes,
            "evidence": dict(sorted(ev.items()))}


def pair(v):
    return [dec(x) for x in v] if isinstance(v, list) else [F(1 - v), F(v)]


def exact(case):
    """enumeration with fractions"""
    nodes, ev = case["nodes"], {i: pair(v) for i, v in case["evidence"].items()}
    z, on = F(0), {}
    choices = [[None] + list(range(len(r["states"]))) for r in case["roots"]]
    for pick in itertools.product(*choices):
        w, x = F(1), {}
        for r, s in zip(case["roots"], pick):
            ps = [dec(t["prior"]) for t in r["states"]]
            w *= 1 - sum(ps) if s is None else ps[s]
            x.update({t["id"]: int(i == s) for i, t in enumerate(r["states"])})
        for i in x:
            if i in ev:
                w *= ev[i][x[i]]
        todo = [(w, x, 0)]
        while todo:
            w, x, j = todo.pop()
            if not w:
                continue
            if j == len(nodes):
                z += w
                for i, v in x.items():
                    if v:
                        on[i] = on.get(i, 0) + w
                continue
            n = nodes[j]
            off = 1 - dec(n["leak"])
            for p, s in n["parents"]:
                if x[p]:
                    off *= 1 - dec(s)
            for v, pv in ((0, off), (1, 1 - off)):
                l = ev[n["id"]][v] if n["id"] in ev else F(1)
                todo.append((w * pv * l, {**x, n["id"]: v}, j + 1))
    ids = [t["id"] for r in case["roots"] for t in r["states"]] + [n["id"] for n in nodes]
    return z, {i: on.get(i, F(0)) / z for i in ids}


def with_pyagrum(case):
    import pyagrum as gum
    bn = gum.BayesNet()
    for k, r in enumerate(case["roots"]):           # one variable a root; a yes/no copy of each deviating state
        ps = [s["prior"] for s in r["states"]]
        bn.add(gum.LabelizedVariable("root%d" % k, "", len(ps) + 1))
        bn.cpt("root%d" % k).fillWith([1 - sum(ps)] + ps)
        for i, s in enumerate(r["states"]):
            bn.add(gum.LabelizedVariable(s["id"], "", 2))
            bn.addArc("root%d" % k, s["id"])
            for v in range(len(ps) + 1):
                bn.cpt(s["id"])[{"root%d" % k: v}] = [0, 1] if v == i + 1 else [1, 0]
    for n in case["nodes"]:
        bn.addNoisyORNet(gum.LabelizedVariable(n["id"], "", 2), n["leak"])
        for p, s in n["parents"]:
            bn.addWeightedArc(p, n["id"], s)
    ie = gum.LazyPropagation(bn)
    ie.setEvidence(case["evidence"])                # lists are soft: likelihoods of (absent, present)
    ie.makeInference()
    ids = [t["id"] for r in case["roots"] for t in r["states"]] + [n["id"] for n in case["nodes"]]
    hard = {i: v for i, v in case["evidence"].items() if not isinstance(v, list)}
    return {i: float(hard[i]) if i in hard else float(ie.posterior(i)[1]) for i in ids}


def main():
    import pyagrum
    cases = []
    for k in range(15):
        case = random_case(k)
        z, post = exact(case)
        case["p_evidence"] = float(z)
        case["posterior"] = {i: float(v) for i, v in post.items()}
        case["pyagrum"] = with_pyagrum(case)
        case["max_diff"] = max(abs(case["pyagrum"][i] - float(v)) for i, v in post.items())
        print(case["name"], case["p_evidence"], case["max_diff"])
        assert case["max_diff"] < 1e-12
        cases.append(case)
    head = {"format": 1, "made_by": "make_multistate.py", "exact": "python fractions (posterior, p_evidence)",
            "libraries": {"pyagrum": pyagrum.__version__, "python": platform.python_version()}}
    with open(OUT, "w") as f:
        lines = ['"%s": %s' % (k, json.dumps(v)) for k, v in head.items()]
        f.write("{\n%s,\n\"cases\": [\n%s\n]\n}\n" % (",\n".join(lines), ",\n".join(json.dumps(c) for c in cases)))


if __name__ == "__main__":
    main()
