#!/usr/bin/python3
"""Second looks by other ways than weights: analytic limits, quadrature, and a sampler that rejects.

1. Nothing spoiled, the view exact, the error normal: the product of two normals. Spoiled: three normals, mixed.
2. P against the look's reading by quadrature, which must not jump, and the reference on the same curve.
3. Readings simulated and kept where they fall beside the real ones, without any weight, against the reference.

Differences are in combined standard errors; more than 4.5 or a NaN fails. The seeds are fixed.
"""
import copy
import json
import math
import os
import sys
import tempfile

import numpy as np
from scipy import stats

sys.dont_write_bytecode = True
import reference  # noqa: E402

WORST = 4.5
TRIALS = 150000               # of the reference, on the analytic cases and on each point of a curve
REJECTION_CHUNK = 1 << 17
CIRCLE, LIMIT = 22.0, 4.0
GAP, GAP_SD = 4.8, 0.6        # of the simple case
HERE = os.path.dirname(os.path.abspath(__file__))
normal = stats.norm


class Table:
    def __init__(self):
        self.passed = self.failed = 0

    def verdict(self, name, good, text):
        self.passed, self.failed = self.passed + bool(good), self.failed + (not good)
        print(f"{name:66} {text}{'' if good else '  FAILED'}")

    def number(self, name, weighted, other, error):
        z = abs(weighted - other) / error if error > 0 else (0.0 if weighted == other else math.inf)
        self.verdict(name, z <= WORST, f"{weighted:12.6g} {other:12.6g} {z:6.2f}")    # false for a NaN

    def probability(self, name, given, exact, error=0.0):
        floor = 1 / given.get("effective_trials", math.inf)
        self.number(name, given["probability"], exact, math.hypot(max(given["standard_error"], floor), error))


# ---------------------------------------------------------------- cases

def constant(value):
    return {"constant": {"value": value}}


def gaussian(mean, sd):
    return {"normal": {"mean": mean, "sd": sd}}


def simple_case():
    """Everything exact but what a check makes uncertain: the adjusted clearance is the gap, the tube stands high."""
    return {
        "format": "slimmargin-case-1", "case": "simple",
        "scan": {"base_plane": {"tilt_sd_deg": 0, "level_sd_mm": 0}, "centreline_sd_mm": 0, "blooming_mm": 0},
        "surgical_valve": {"leaflet_mount": "internal", "inner_diameter_mm": CIRCLE, "ring_give_mm": 0,
                           "eccentricity": 0, "leaflet_thickness_mm": 0.5, "leaflet_overhang_mm": 0},
        "implant": {"expansion": "self", "nominal_diameter_mm": 40, "frame_height_mm": 45, "skirt_height_mm": 0,
                    "implant_depth_mm": 4, "flare": 0, "canting_sd_deg": 0, "offset_sd_mm": 0},
        "coronaries": {"left": {"azimuth_deg": 35, "circle_mm": CIRCLE, "ostium_height": constant(10),
                                "ostium_gap": constant(GAP), "stj_height": constant(40), "stj_gap": constant(3),
                                "leaflet_height": constant(20)}}}


def fluoroscopy(reading, **keys):
    return {"modality": "fluoroscopy", "readings_mm": {"A": [reading]}, **keys}


def bench(reading, sd, **keys):
    return {"modality": "bench", "readings_mm": {"A": [reading]}, "reader_sd_mm": sd, **keys}


def with_file(case, use):
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "case.json")
        with open(path, "w", encoding="utf-8") as f:
            json.dump(case, f)
        return use(path)


def assess(case, trials=TRIALS, seed=1):
    return with_file(case, lambda path: reference.assess(path, trials, seed))


# ---------------------------------------------------------------- 1. analytic limits

def product_of_normals(a, sd_a, b, sd_b):
    variance = 1 / (1 / sd_a ** 2 + 1 / sd_b ** 2)
    return variance * (a / sd_a ** 2 + b / sd_b ** 2), math.sqrt(variance)


# what is looked at, its mean and SD by the first reading, the look's reading and SD; the output that is at + slope * x
PRODUCTS = (("ostium_gap", 5.7, 0.6, 6.4, 0.8, "conventional_ostium_mm", 0.0, 1.0),
            ("stj_gap", 3.0, 0.5, 2.2, 0.7, "conventional_stj_mm", 0.0, 1.0),
            ("leaflet_height", 14.8, 1.0, 16.0, 1.2, "cover_mm", -10.0, 1.0),
            ("inner_diameter_mm", 22.0, 0.5, 22.6, 0.4, "ostium_clearance_mm", GAP + CIRCLE / 2, -0.5),
            ("leaflet_thickness_mm", 2.0, 0.3, 1.7, 0.3, "ostium_clearance_mm", GAP, -1.0))


def check_products(table):
    print("1. the product of two normals (nothing spoiled, exact view and scale, two readers)")
    for what, x, sd, y, reader_sd, output, at, slope in PRODUCTS:
        case = simple_case()
        case["limits"] = {"reference_thickness_mm": 0.0 if "thickness" in what else 0.5}
        exact = {"view_error_sd_deg": 0, "magnification_sd": 0} if what.endswith("gap") else {}
        look = fluoroscopy(y, reader_sd_mm=reader_sd, **exact) if exact else bench(y, reader_sd)
        look.update(readings_mm={"A": [y - 0.3], "B": [y + 0.4, y + 0.2]}, spoiled=1e-9)
        place = case["surgical_valve"] if what.endswith("_mm") else case["coronaries"]["left"]
        place[what] = {"cross_check": look, **gaussian(x, sd)}
        got = assess(case)["coronaries"]["left"][output]
        mean, spread = product_of_normals(x, sd, y, reader_sd / math.sqrt(2))
        for key, exact_value in (("mean", at + slope * mean), ("sd", abs(slope) * spread),
                                 ("low95", at + slope * mean - 1.959964 * abs(slope) * spread)):
            table.number(f"{what}: {key} of {output}", got[key], exact_value, got["standard_error"][key])


def mixture(x, sd_x, y, sd_y, epsilon, limit=LIMIT, domain=(-5, 30)):
    """(probabilities of the three hypotheses, of lying below the limit in each) where view and scale are exact."""
    low, high = domain
    mean, spread = product_of_normals(x, sd_x, y, sd_y)
    outlier = epsilon / (1 - epsilon) / (high - low)
    inside = normal.cdf(high, y, sd_y) - normal.cdf(low, y, sd_y)
    masses = np.array([normal.pdf(y, x, math.hypot(sd_x, sd_y)), outlier, outlier * inside])
    below = np.array([normal.cdf(limit, mean, spread), normal.cdf(limit, x, sd_x),
                      (normal.cdf(limit, y, sd_y) - normal.cdf(low, y, sd_y)) / inside])
    return masses / masses.sum(), below


def exact_look(reading, sd, epsilon):
    return fluoroscopy(reading, reader_sd_mm=sd, view_error_sd_deg=0, magnification_sd=0, spoiled=epsilon)


def check_mixture(table):
    print("1. spoiled readings, exact view: three normals, mixed")
    for y, sd, epsilon in ((6.4, 0.8, 0.05), (8.2, 1.0, 0.2), (16.0, 1.0, 0.05), (-4.5, 1.0, 0.2)):
        case = simple_case()
        case["coronaries"]["left"]["ostium_gap"] = {**gaussian(GAP, GAP_SD), "cross_check": exact_look(y, sd, epsilon)}
        got, at = assess(case), f"look {y:g}, spoiled {epsilon:g}: "
        three, below = mixture(GAP, GAP_SD, y, sd, epsilon)
        check_look(table, at, got, three, below)
        if abs(y - GAP) > 8:
            table.verdict(at + "far apart: 0, 1/2, 1/2", max(abs(three - (0, 0.5, 0.5))) < 0.1, "")


def check_without_correction(table):
    """bloom_edges 0 and all else kept: the look then judges the gap that was not corrected."""
    case = simple_case()
    case["scan"]["blooming_mm"] = 0.9
    case["coronaries"]["left"]["ostium_gap"] = {
        "readings_mm": {"A": [3.9]}, "between_reader_sd_mm": 0.6, "repeat_sd_mm": 0.0, "bloom_edges": -1,
        "cross_check": exact_look(5.6, 0.8, 0.1)}
    got = assess(case)["patient"]
    for key, x in (("event", 4.8), ("event_without_blooming_correction", 3.9)):
        table.probability("a gap that blooms: " + key, got[key], np.dot(*mixture(x, 0.6, 5.6, 0.8, 0.1)))


def check_alternatives(table):
    """A patch of the inner diameter takes its look away, or brings its own; another patch leaves it."""
    case = simple_case()
    case["coronaries"]["left"]["ostium_gap"] = constant(4.2)         # the event: an inner diameter above 22.4
    own = {**gaussian(22.2, 0.6), "cross_check": bench(23.0, 0.6, spoiled=0.1)}
    case["surgical_valve"]["inner_diameter_mm"] = {**gaussian(22.0, 0.5), "cross_check": bench(22.9, 0.4)}
    case["alternatives"] = [{"name": "same", "implant": {"nominal_diameter_mm": 39}},
                            {"name": "no look", "surgical_valve": {"inner_diameter_mm": gaussian(22.2, 0.6)}},
                            {"name": "own look", "surgical_valve": {"inner_diameter_mm": own}}]
    planned = 1 - np.dot(*mixture(22.0, 0.5, 22.9, 0.4, 0.05, 22.4, (12, 35)))
    its_own = 1 - np.dot(*mixture(22.2, 0.6, 23.0, 0.6, 0.1, 22.4, (12, 35)))
    for part, value in zip(assess(case)["alternatives"], [planned, planned, normal.sf(22.4, 22.2, 0.6), its_own]):
        for key in ("event", "unrescued"):
            table.probability(f"alternative, {part['name']}: {key}", part[key], value)


def check_look(table, at, got, three, below):
    """The event, the three hypotheses and the event believing one reading against exact ones."""
    look = got["looks"][0]
    table.probability(at + "event", got["patient"]["event"], three @ below)
    for label, value in zip(reference.BRANCHES, three):
        table.probability(at + label, {"probability": look[label], "standard_error": look["standard_error"][label],
                                       "effective_trials": got["effective_trials"]}, value)
    table.probability(at + "event_first_only", look["event_first_only"], below[1])
    table.probability(at + "event_look_only", look["event_look_only"], below[2])


# ---------------------------------------------------------------- 2. the curve by quadrature

def nodes(low, high, n):
    x, w = np.polynomial.legendre.leggauss(n)
    return (high + low) / 2 + (high - low) / 2 * x, (high - low) / 2 * w


def quadrature(view_deg, magnification, s, epsilon, refine=1):
    """y -> (the three probabilities, the event's in each, its in the population); CT has the gap's own error only."""
    half, view = CIRCLE / 2, math.radians(view_deg)
    parts = [nodes(-5, LIMIT, 120 * refine), nodes(LIMIT, 30, 260 * refine)]
    x, wx = np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])
    g, wg = nodes(0, math.pi / 3, 48 * refine)
    m, wm = nodes(-6 * magnification, 6 * magnification, 16 * refine)
    wg, wm = wg * normal.pdf(g, 0, view), wm * normal.pdf(m, 0, magnification)
    seen = ((x[:, None] + half) * np.cos(g) - half)[:, :, None] * (1 + m)
    joint = (wg[:, None] * wm) / (wg.sum() * wm.sum())
    outlier, prior = epsilon / (1 - epsilon) / 35, normal.pdf(x, GAP, GAP_SD)

    def at(y):
        like = np.einsum("xgm,gm->x", np.exp(-0.5 * ((y - seen) / s) ** 2), joint) / (s * math.sqrt(2 * math.pi))
        densities = np.array([prior * like, outlier * prior, outlier * like])
        masses = densities @ wx
        common = wx * normal.pdf(x, 6.30, 2.16) * densities.sum(0)
        below = (densities[:, x < LIMIT] @ wx[x < LIMIT]) / masses
        return masses / masses.sum(), below, common[x < LIMIT].sum() / common.sum()
    return at


def check_curve(table):
    print("2. P against the look's reading, by quadrature: no jump; and the reference on the curve")
    readings = np.arange(-2, 14.001, 0.1)
    for view in (8, 20):
        at = quadrature(view, 0.04, 1.3, 0.05)
        p = np.array([np.dot(*at(y)[:2]) for y in readings])
        finer = np.dot(*quadrature(view, 0.04, 1.3, 0.05, 2)(7.5)[:2])
        table.verdict(f"view {view}: quadrature settled", abs(finer - np.dot(*at(7.5)[:2])) < 1e-7, "")
        print("   P of 100, look from -2 mm in steps of 1 mm: " + " ".join(f"{100 * v:.1f}" for v in p[::10]))
        check_no_jump(table, view, p)
        for k, y in enumerate((-2, 1.5, 5, 6, 7.5, 9.5, 14)):
            case = simple_case()
            case["coronaries"]["left"]["ostium_gap"] = {**gaussian(GAP, GAP_SD), "cross_check": fluoroscopy(
                y, reader_sd_mm=1.3, magnification_sd=0.04, view_error_sd_deg=view)}
            got, exact, name = assess(case, TRIALS, 10 + k), at(y), f"view {view}, look {y:g}: "
            check_look(table, name, got, *exact[:2])
            table.probability(name + "in the population", got["patient"]["event_in_population"], exact[2])


def check_no_jump(table, view, p):
    """The largest step of a smooth curve halves with its width; that of a curve with a jump does not."""
    steps = [np.max(np.abs(p[width:] - p[:-width])) for width in (1, 2, 4)]
    table.verdict(f"view {view}: largest step over 0.1, 0.2, 0.4 mm of 100",
                  all(a <= 0.56 * b for a, b in zip(steps, steps[1:])), " ".join(f"{100 * s:.3f}" for s in steps))


# ---------------------------------------------------------------- 3. readings simulated, and kept or not

def simulated(look, x, calibration, rng, n):
    """(hypothesis, true x, the reading that the look gives): the generative model, word by word."""
    odds = look.outlier * (look.high - look.low)
    branch = rng.choice(3, size=n, p=np.array([1, odds, odds]) / (1 + 2 * odds))
    anywhere = rng.uniform(look.low, look.high, (2, n))
    x = np.where(branch == reference.FIRST_OFF, anywhere[0], x)     # the first reading tells nothing of x
    if look.projected:
        view = look.view_sd * reference.cut_normals(rng, n, lambda z: np.abs(look.view_sd * z) <= math.pi / 3)
        y = ((x + look.half) * np.cos(view) - look.half) * (1 + look.magnification_sd * calibration)
    else:
        y = x
    y = y + look.s * rng.standard_normal(n)
    return branch, x, np.where(branch == reference.LOOK_OFF, anywhere[1], y)


def take(tree, kept):
    if isinstance(tree, dict):
        return {key: take(part, kept) for key, part in tree.items()}
    if isinstance(tree, tuple):
        return tuple(take(part, kept) for part in tree)
    return tree[..., kept] if isinstance(tree, np.ndarray) else tree


def rejection_chunk(model, rng, n, width):
    """Of the trials whose readings fall beside the real ones: event, two outputs of the first side, hypotheses."""
    plan, scan = model.plans[0], reference.draw_scan(model, rng, n)
    bare = {**plan.valve, **{part: plan.valve[part]._replace(look=None) for _, part in reference.VALVE_LOOKS}}
    tube, _ = reference.draw_tube(plan._replace(valve=bare), model.wrong, rng, n, scan.blooming)
    tube.update(reference.draw_limits(model, rng, n))
    points = {s.name: reference.ct_points(model, s, scan) for s in model.sides}
    kept, branches = np.ones(n, bool), []

    def compare(look, x):
        branch, x, y = simulated(look, x, scan.calibration, rng, n)
        np.logical_and(kept, np.abs(y - look.reading) < width * look.s, out=kept)
        branches.append(branch)
        return branch, x
    for side in model.sides:
        part = points[side.name]
        for name, key in reference.POINT_OF.items():
            look = side.quantities[name].look
            if look and key == "top":
                _, part[key] = compare(look, part[key])
            elif look:
                branch, gap = compare(look, reference.ct_gap(side, part[key]))
                part[key] = reference.moved(side, part[key], gap, branch == reference.FIRST_OFF)
    for _, part in reference.VALVE_LOOKS:
        if plan.valve[part].look:
            _, tube[part] = compare(plan.valve[part].look, tube[part])
    results = reference.sides_of(model, plan, take(tube, kept), take(points, kept))
    first = results[model.sides[0].name]
    return (reference.any_side(results, "event"), first["conventional_ostium_mm"], first["ostium_clearance_mm"],
            [branch[kept] for branch in branches])


def check_rejection(table, name, case, chunks, width, seed, trials):
    """width: half of the window, in SDs of the look's reader error."""
    got = assess(case, trials, seed)
    model, rng = with_file(case, reference.Model), np.random.default_rng([seed, 77])
    rows = [rejection_chunk(model, rng, REJECTION_CHUNK, width) for _ in range(chunks)]
    event, conventional, clearance = (np.concatenate([r[k] for r in rows]) for k in range(3))
    n = len(event)
    print(f"3. {name}: {n} of {chunks * REJECTION_CHUNK} kept; "
          f"weighted: {got['trials']} count as {got['effective_trials']:.0f}")
    rate = lambda mask: (np.mean(mask), math.sqrt(max(np.mean(mask) * (1 - np.mean(mask)), 1 / n) / n))
    table.probability(f"{name}: event", got["patient"]["event"], *rate(event))
    for k, look in enumerate(got["looks"]):
        for label, value in enumerate(reference.BRANCHES):
            hypothesis = np.concatenate([r[3][k] for r in rows]) == label
            table.probability(f"{name}: {look['of']} {value}", {"probability": look[value],
                              "standard_error": look["standard_error"][value]}, *rate(hypothesis))
    left = got["coronaries"][model.sides[0].name]
    for output, x in (("conventional_ostium_mm", conventional), ("ostium_clearance_mm", clearance)):
        for key, value, error in (("mean", x.mean(), x.std() / math.sqrt(n)),
                                  ("sd", x.std(), np.std((x - x.mean()) ** 2) / (2 * x.std() * math.sqrt(n)))):
            table.number(f"{name}: {output}.{key}", left[output][key], value,
                         math.hypot(error, left[output]["standard_error"][key]))


def demo(left=None, valve=None):
    """The demo case without alternatives, with looks added to what its left side and valve say."""
    root = os.path.dirname(os.path.dirname(HERE))
    with open(os.path.join(root, "scenarios", "demo.json"), encoding="utf-8") as f:
        case = copy.deepcopy(json.load(f))
    del case["profile"], case["alternatives"]
    for place, changes in ((case["coronaries"]["left"], left), (case["surgical_valve"], valve)):
        for key, value in (changes or {}).items():
            place[key] = {**(place[key] if isinstance(place.get(key), dict) else {}), **value}
    return case


def check_rejections(table):
    gap = {"cross_check": fluoroscopy(8.0, reader_sd_mm=1.3, magnification_sd=0.04, view_error_sd_deg=9.5, spoiled=0.1)}
    check_rejection(table, "one projection", demo({"ostium_gap": gap}), 20, 0.1, 1, 300000)
    scale = {"magnification_sd": 0.2, "view_error_sd_deg": 6, "spoiled": 0.15}
    two = {"ostium_gap": {"cross_check": fluoroscopy(7.8, reader_sd_mm=0.6, **scale)},
           "stj_gap": {"cross_check": fluoroscopy(2.6, reader_sd_mm=0.5, **scale)}}
    check_rejection(table, "two projections, one scale", alone_left(demo(two)), 40, 0.25, 2, 500000)
    two = {"leaflet_height": {"readings_mm": {"A": [14.8]}, "cross_check": bench(12.2, 1.2, spoiled=0.2)}}
    valve = {"inner_diameter_mm": {"readings_mm": {"A": [21.0]}, "cross_check": bench(23.0, 0.5, spoiled=0.1)}}
    read = alone_left(demo(two, valve))
    del read["surgical_valve"]["inner_diameter_mm"]["normal"]
    check_rejection(table, "two direct, one of them blooms", read, 40, 0.25, 3, 500000)


def alone_left(case):
    del case["coronaries"]["right"]
    return case


def main():
    reference.WANTED_EFFECTIVE = 0
    table = Table()
    check_products(table)
    check_mixture(table)
    check_without_correction(table)
    check_alternatives(table)
    check_curve(table)
    check_rejections(table)
    print(f"{table.passed} passed, {table.failed} failed")
    return 1 if table.failed or not table.passed else 0


if __name__ == "__main__":
    sys.exit(main())
