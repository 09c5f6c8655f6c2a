#!/usr/bin/python3
"""What looks not yet made are worth, again: model.md 6.1 in numpy, the rule by boosted trees.

Written from docs/model.md and docs/case-format.md; the trials are reference.py's, the rule HistGradientBoostingClassifier's
of scikit-learn, learned on one half of the trials and paid on the other. Takes a case without second looks that lists its
looks. With --program it compares: exit status 1 if a worth or a call change differs by more than 10 % and 4 combined
standard errors.
"""
import argparse
import json
import math
import subprocess
import sys

import numpy as np
from sklearn.ensemble import HistGradientBoostingClassifier

import reference as ref

PROJECTION = (1.3, 0.04, 9.5)       # reader SD mm, scale, view: fluoroscopy (docs/case-format.md)
KINDS = ("again", "rescan", "project", "direct", "bundle")


def reader_sd(model, spec, profile, name):
    """sqrt(s_b^2 + s_r^2) of one further reader."""
    between, repeat, _, includes = ref.reader_sds(spec, profile.get(name, {}), name)
    if includes:
        raise ValueError("SDs that include the plane are not covered here")
    return math.hypot(between, repeat)


class Truth:
    """Trials: everything that is true in them, and whether the patient has an event."""

    def __init__(self, model, raw, profile, n, rng):
        self.model, self.raw, self.profile, self.n, self.rng = model, raw, profile, n, rng
        self.scan = ref.draw_scan(model, rng, n)
        plan = model.plans[0]
        self.tube, weighings = ref.draw_tube(plan, model.wrong, rng, n, self.scan.blooming)
        self.tube.update(ref.draw_limits(model, rng, n))
        self.points, more = ref.run_points(model, self.scan, rng, n)
        if weighings or more:
            raise ValueError("cases with second looks are not covered here")
        results = ref.sides_of(model, plan, self.tube, self.points)
        self.event = ref.any_side(results, "event")
        self.tops = {s.name: ref.to_valve_frame(self.scan.frame, s.circle / 2, s.azimuth,
                                                self.scan.readings[s.name]["leaflet_height"]
                                                - s.quantities["leaflet_height"].edges * self.scan.blooming)
                     for s in model.sides}

    def point(self, side, name):
        part = name.split("_")[0]
        return self.tops[side.name] if part == "leaflet" else self.points[side.name][part]


def into_frame(f, p):
    """The inverse of (2.6): (z', r') of a point in a reader's frame."""
    norm, unit = np.sqrt(1 + f.a ** 2 + f.b ** 2), np.sqrt(1 + f.a ** 2)
    n = np.array([-f.a, -f.b, np.ones_like(f.a)]) / norm
    u = np.array([np.ones_like(f.a), np.zeros_like(f.a), f.a]) / unit
    v = np.cross(n, u, axis=0)
    d = np.array([p[0] - f.cx, p[1] - f.cy, p[2] - (f.c + f.a * f.cx + f.b * f.cy)])
    return (d * n).sum(0), np.hypot((d * u).sum(0), (d * v).sum(0))


def readings(t, names, frames, blooming, readers):
    """What readers in these frames read, averaged: a column a name."""
    out = []
    for name in names:
        if "." not in name:
            key = name.replace("_mm", "")
            q = t.model.plans[0].valve["inner" if key == "inner_diameter" else "thickness"]
            x = t.tube["inner" if key == "inner_diameter" else "thickness"] + q.edges * blooming
            sd = reader_sd(t.model, t.raw["surgical_valve"][name], t.profile, key)
        else:
            side = next(s for s in t.model.sides if s.name == name.split(".")[0])
            key = name.split(".")[1]
            q = side.quantities[key]
            seen = [into_frame(f, t.point(side, key)) for f in frames]
            gap = key.endswith("gap")
            x = np.mean([r - side.circle / 2 if gap else z for z, r in seen], axis=0)
            x = x + q.edges * (blooming - (t.model.reference_blooming if gap else 0))
            spec = ref.in_coronary(t.raw["coronaries"][side.name][key])
            sd = reader_sd(t.model, spec, t.profile, key)
        out.append(x + sd / math.sqrt(readers) * t.rng.standard_normal(t.n))
    return out


def everything(t):
    """All that was read."""
    names = [f"{s.name}.{q}" for s in t.model.sides for q in ref.HEIGHTS_AND_GAPS
             if "readings_mm" in ref.in_coronary(t.raw["coronaries"][s.name][q])]
    valve = t.raw["surgical_valve"]
    return names + [k for k in ("inner_diameter_mm", "leaflet_thickness_mm")
                    if isinstance(valve.get(k), dict) and "readings_mm" in valve[k]]


def rescan_model(t, over):
    """The scan of the case with what differs: its plane, centre and blooming."""
    base = dict(t.raw.get("scan", {}))
    if ("detector" in over or "kernel" in over) and "blooming_mm" not in over:
        base.pop("blooming_mm", None)
    plane = {**base.get("base_plane", {}), **over.get("base_plane", {})}
    scan = ref.Section({**base, **over, "base_plane": plane}, {})
    new = type("Scan", (), {})()
    new.blooming = ref.read_blooming(scan)
    new.plane = ref.read_plane(scan, t.model.mean_inner_diameter() / 2, 1)
    new.centreline_sd = scan.get("centreline_sd_mm", 0.4)
    return new


def show(t, look, shown):
    """The columns of what a look shows."""
    m, kind = look.get("readers", 1), next(k for k in KINDS if k in look)
    if kind == "bundle":
        return [column for name in look["bundle"] for column in shown[name]]
    if kind == "again":
        names = everything(t) if look["again"] == "all" else look["again"]
        own = look.get("plane", False)
        frames = [ref.draw_frame(t.model, t.rng, t.n, placements=1) for _ in range(m)] if own else [t.scan.frame]
        return readings(t, names, frames, t.scan.blooming, m)
    if kind == "rescan":
        new = rescan_model(t, look["rescan"])
        frames = [ref.draw_frame(new, t.rng, t.n, placements=1) for _ in range(m)]
        return readings(t, everything(t), frames, ref.sample(new.blooming, t.rng, t.n), m)
    if kind == "project":
        side = next(s for s in t.model.sides if s.name == look["project"].split(".")[0])
        x = ref.ct_gap(side, t.points[side.name][look["project"].split(".")[1].split("_")[0]])
        sd, scale, view = (look.get(k, d) for k, d in zip(
            ("reader_sd_mm", "magnification_sd", "view_error_sd_deg"), PROJECTION))
        G = math.radians(view) * t.rng.standard_normal(t.n)
        M = scale * t.rng.standard_normal(t.n)
        half = side.circle / 2
        return [((x + half) * np.cos(G) - half) * (1 + M) + sd / math.sqrt(m) * t.rng.standard_normal(t.n)]
    of = look["direct"]
    x = t.tops[of.split(".")[0]][2] if "." in of else t.tube["inner" if of == "inner_diameter_mm" else "thickness"]
    return [x + look["sd_mm"] / math.sqrt(m) * t.rng.standard_normal(t.n)]


def smooth(x):
    """One number: a curve is enough, and trees make steps of it."""
    from sklearn.linear_model import LogisticRegression
    from sklearn.pipeline import make_pipeline
    from sklearn.preprocessing import SplineTransformer
    return make_pipeline(SplineTransformer(n_knots=8, knots="quantile", extrapolation="linear"),
                         LogisticRegression(C=1e3, max_iter=1000))


def learner(dims):
    if dims == 1:
        return smooth(dims)
    return HistGradientBoostingClassifier(learning_rate=0.08, max_iter=200, max_leaf_nodes=16, min_samples_leaf=300,
                                          l2_regularization=1.0)


def worth(x, event, q):
    """(V, its error, call change): the rule of one half paid on the other."""
    n, acts = len(event), np.empty(len(event), bool)
    for half in (0, 1):
        fit, pay = np.arange(n) % 2 == half, np.arange(n) % 2 != half
        acts[pay] = learner(x.shape[1]).fit(x[fit], event[fit]).predict_proba(x[pay])[:, 1] >= q
    now = event.mean() >= q
    saved = np.where(acts == now, 0.0, np.where(acts, event - q, q - event))
    return max(0.0, saved.mean()), saved.std() / math.sqrt(n), np.mean(acts != now)


def run(path, trials, seed):
    model = ref.Model(path)
    with open(path, encoding="utf-8") as f:
        raw = json.load(f)
    profile = {}
    if "profile" in raw:
        import os
        with open(os.path.join(os.path.dirname(path), raw["profile"]), encoding="utf-8") as f:
            profile = json.load(f).get("readers", {})
    t = Truth(model, raw, profile, trials, np.random.default_rng(seed))
    shown, out = {}, {}
    for look in raw["looks"]:
        shown[look["name"]] = show(t, look, shown)
        out[look["name"]] = worth(np.column_stack(shown[look["name"]]), t.event, raw["action_line"])
    return t.event.mean(), out


def differs(ours, theirs, error):
    return abs(ours - theirs) > 4 * error and abs(ours - theirs) > 0.1 * max(abs(ours), abs(theirs))


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("case")
    parser.add_argument("--trials", type=int, default=1000000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--program")
    args = parser.parse_args()
    P, out = run(args.case, args.trials, args.seed)
    result = {}
    if args.program:
        text = subprocess.run([args.program, "recheck", args.case, "--quiet", "--json", "-"], check=True,
                              capture_output=True).stdout
        result = {w["look"]: w for w in json.loads(text)["worth"]}
    print(f"P = {P:.4f}")
    bad = 0
    for name, (V, error, change) in out.items():
        line = f"{name:42s} {1000 * V:7.2f} +-{1000 * error:.2f}  change {change:.3f}"
        if name in result:
            w = result[name]
            theirs, e = w["value"]["value"], w["value"]["standard_error"]
            wrong = differs(V, theirs, math.hypot(error, e))
            # of a rule: how often either half's would change the act, ours taken to err by as much as the program's
            wrong |= differs(change, w["call_change"]["value"], math.sqrt(2) * w["call_change"]["standard_error"])
            bad += wrong
            line += (f"   program {1000 * theirs:7.2f} +-{1000 * e:.2f}  change {w['call_change']['value']:.3f}"
                     f"  {'DIFFERS' if wrong else 'agrees'}")
        print(line, flush=True)
    print(f"{bad} differ")
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
