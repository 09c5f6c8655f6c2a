#!/usr/bin/python3
"""Independent reference of docs/model.md, sections 2 to 5, in numpy.

Written from the documents alone; shares nothing with the C program. Assumes a valid case.
Numbers in brackets are the formula numbers of docs/model.md.
"""
import argparse
import json
import math
import os
from collections import namedtuple

import numpy as np
from scipy import special, stats

BATCHES = 100                # the chunks of the run; also the batches of the standard errors
PILOT_CHUNKS, PILOT_CHUNK = 16, 1 << 16
MEMORY_LIMIT = 600e6         # bytes for the stored outputs; more coronaries get fewer trials
HEIGHTS_AND_GAPS = ("ostium_height", "ostium_gap", "stj_height", "stj_gap", "leaflet_height")
OUTPUTS = ("ostium_clearance_mm", "stj_clearance_mm", "conventional_ostium_mm",
           "conventional_stj_mm", "cover_mm", "reach_mm")
TOTAL_SD = {"ostium_height": 0.8, "stj_height": 1.0, "leaflet_height": 1.0, "ostium_gap": 0.6,
            "stj_gap": 0.6, "inner_diameter": 0.5, "leaflet_thickness": 0.3}
BLOOM_EDGES = {"inner_diameter": -2, "leaflet_thickness": 2}
BLOOMING = {("energy_integrating", "soft"): (0.3, 0.6, 0.8),
            ("energy_integrating", "sharp"): (0.2, 0.4, 0.7),
            ("photon_counting", "soft"): (0.05, 0.2, 0.5),
            ("photon_counting", "sharp"): (0.05, 0.2, 0.5),
            ("photon_counting_high_resolution", "soft"): (0, 0.05, 0.2),
            ("photon_counting_high_resolution", "sharp"): (0, 0.05, 0.2)}
LOOK_SD = {"fluoroscopy": (1.3, 0.04, 9.5), "echo": (1.6, 0.02, 9.5)}
LIMITS = {"planning": (4.0, 2.0), "after_implant": (3.0, 1.0)}
BALLOON_SHAPE = [[0, 1.02], [0.5, 0.99], [0.75, 1.008], [1, 1.048]]


# ---------------------------------------------------------------- distributions

def triangular(low, mode, high):
    return {"triangular": {"min": low, "mode": mode, "max": high}}


def uniform(low, high):
    return {"uniform": {"min": low, "max": high}}


def family(spec):
    """(family name, parameters) of a number or a distribution."""
    if isinstance(spec, dict):
        return next(iter(spec.items()))
    return "constant", {"value": spec}


def sample(spec, rng, n):
    name, p = family(spec)
    low, high = p.get("min"), p.get("max")
    if name == "constant":
        return np.full(n, float(p["value"]))
    if name == "normal":
        return p["mean"] + p["sd"] * rng.standard_normal(n)
    if name == "uniform":
        return rng.uniform(low, high, n)
    if name == "triangular":
        return rng.triangular(low, p["mode"], high, n)
    if name == "lognormal":
        return p["median"] * np.exp(math.log(p["gsd"]) * rng.standard_normal(n))
    if name == "half_normal":
        return np.abs(p["sd"] * rng.standard_normal(n))
    if name == "student_t":
        return p["location"] + p["scale"] * rng.standard_t(p["dof"], n)
    if name == "arcsine":
        return (low + high) / 2 + (high - low) / 2 * np.sin(2 * math.pi * rng.random(n))
    if name == "truncated_normal":
        a, b = special.ndtr([(low - p["mean"]) / p["sd"], (high - p["mean"]) / p["sd"]])
        return p["mean"] + p["sd"] * special.ndtri(rng.uniform(a, b, n))
    if name == "beta":
        return low + (high - low) * rng.beta(p["a"], p["b"], n)
    raise ValueError("unknown distribution " + name)


def density(spec, x):
    """Of the families that a population of the scenarios has."""
    name, p = family(spec)
    if name == "normal":
        return stats.norm.pdf(x, p["mean"], p["sd"])
    if name == "lognormal":
        return stats.lognorm.pdf(x, math.log(p["gsd"]), scale=p["median"])
    if name == "student_t":
        return stats.t.pdf(x, p["dof"], p["location"], p["scale"])
    raise ValueError("no density of " + name)


def mean_of(spec):
    name, p = family(spec)
    if name == "constant":
        return float(p["value"])
    if name == "normal":
        return p["mean"]
    if name in ("uniform", "arcsine"):
        return (p["min"] + p["max"]) / 2
    if name == "triangular":
        return (p["min"] + p["mode"] + p["max"]) / 3
    if name == "lognormal":
        return p["median"] * math.exp(math.log(p["gsd"]) ** 2 / 2)
    if name == "half_normal":
        return p["sd"] * math.sqrt(2 / math.pi)
    if name == "student_t":
        return p["location"]
    if name == "truncated_normal":
        a, b = (p["min"] - p["mean"]) / p["sd"], (p["max"] - p["mean"]) / p["sd"]
        return stats.truncnorm.mean(a, b, p["mean"], p["sd"])
    if name == "beta":
        return p["min"] + (p["max"] - p["min"]) * p["a"] / (p["a"] + p["b"])
    raise ValueError("unknown distribution " + name)


# ---------------------------------------------------------------- the case: precedence, defaults

def unwrap(entry):
    """A profile's {"value":, "source":} as its value."""
    return entry["value"] if isinstance(entry, dict) and "value" in entry else entry


class Section:
    """One section of the case over the same section of the profile over a default."""

    def __init__(self, case, profile):
        self.case, self.profile = case or {}, profile or {}

    def get(self, key, default=None):
        if key in self.case:
            return self.case[key]
        return unwrap(self.profile[key]) if key in self.profile else default


Quantity = namedtuple("Quantity", "given estimate s dof edges resolution readers includes_plane cross circle")


def mean_of_readers(readings):
    """(mean over readers of each reader's mean, number of readers m, sum of 1/n_i)."""
    groups = list(readings.values())
    return (sum(sum(g) / len(g) for g in groups) / len(groups), len(groups),
            sum(1 / len(g) for g in groups))


def reader_sds(spec, profile, name):
    """The first place that states either SD: (between, repeat, dof, sd_includes_plane)."""
    both = ("between_reader_sd_mm", "repeat_sd_mm")
    half = TOTAL_SD[name] / math.sqrt(2)
    place = next((p for p in (spec, profile) if any(k in p for k in both)),
                 {both[0]: half, both[1]: half})
    includes = spec.get("sd_includes_plane", place.get("sd_includes_plane", False))
    return place.get(both[0], 0.0), place.get(both[1], 0.0), place.get("dof"), includes


def excess(readings, sb, sr):
    """By how much readers lie further apart than their SDs allow."""
    x = np.array([np.mean(g) for g in readings.values()])
    v = np.array([sb ** 2 + sr ** 2 / len(g) for g in readings.values()])
    if len(x) < 2 or not v.all():
        return 1.0
    q = np.sum((x - np.average(x, weights=1 / v)) ** 2 / v)
    return 1 + max(0.0, q - stats.chi2.isf(2 * stats.norm.sf(3), len(x) - 1)) / (len(x) - 1)


def quantity(spec, name, readers, circle=0.0):
    """A read quantity, or a known distribution."""
    if "readings_mm" not in spec:
        return Quantity(spec, mean_of(spec), 0.0, None, 0, 0.0, 1, False, None, circle)
    estimate, m, inverse_counts = mean_of_readers(spec["readings_mm"])
    sb, sr, dof, includes = reader_sds(spec, readers.get(name, {}), name)
    s = math.sqrt(sb ** 2 / m + sr ** 2 / m ** 2 * inverse_counts)                        # (3.2)
    s *= math.sqrt(excess(spec["readings_mm"], sb, sr))                                   # (3.9)
    if spec.get("sd_from_readings"):
        everything = [x for g in spec["readings_mm"].values() for x in g]
        n, includes, of_readers = len(everything), False, dof
        estimate, dof = np.mean(everything), n - 1
        s = np.std(everything, ddof=1) / math.sqrt(n)                                     # (3.3)
        if m == 1 and sb > 0:                                                             # (3.10)
            between = sb ** 4 / of_readers if of_readers else 0.0
            dof = (s ** 2 + sb ** 2) ** 2 / (s ** 4 / (n - 1) + between)
            s = math.hypot(s, sb)
    edges = spec.get("bloom_edges", BLOOM_EDGES.get(name, 0))
    return Quantity(None, float(estimate), float(s), dof, edges, spec.get("resolution_mm", 0.0), m,
                    includes, read_cross(spec.get("cross_check")), circle)


Cross = namedtuple("Cross", "reading s magnification_sd view_sd")


def read_cross(spec):
    if spec is None:
        return None
    reading, m, _ = mean_of_readers(spec["readings_mm"])
    sd, magnification, view = LOOK_SD[spec["modality"]]
    return Cross(reading, spec.get("reader_sd_mm", sd) / math.sqrt(m),
                 spec.get("magnification_sd", magnification),
                 math.radians(spec.get("view_error_sd_deg", view)))


def in_coronary(spec):
    """Inside coronaries a bare number is one reading by one reader."""
    return spec if isinstance(spec, dict) else {"readings_mm": {"reader": [spec]}}


def maybe_read(spec, name, readers):
    """Outside coronaries a reading is written in full."""
    if isinstance(spec, dict) and "readings_mm" in spec:
        return quantity(spec, name, readers)
    return quantity({"constant": {"value": spec}} if not isinstance(spec, dict) else spec, name, readers)


Side = namedtuple("Side", "name azimuth circle quantities")


def read_side(name, spec, readers):
    quantities = {q: quantity(in_coronary(spec[q]), q, readers, spec["circle_mm"])
                  for q in HEIGHTS_AND_GAPS}
    return Side(name, math.radians(spec["azimuth_deg"]), spec["circle_mm"], quantities)


def read_blooming(scan):
    key = scan.get("detector", "energy_integrating"), scan.get("kernel", "soft")
    return scan.get("blooming_mm", triangular(*BLOOMING[key]))


def placements_of(sides):
    """How often the plane was placed, unless stated: by the fewest readers of a quantity whose SDs include it."""
    return min([q.readers for s in sides for q in s.quantities.values() if q.includes_plane], default=1)


def read_plane(scan, default_radius, placements):
    """The base plane: ("tilt", sd of a and b, sd of c) or ("points", matrix, azimuths, sd, wave, m)."""
    case, profile = scan.case.get("base_plane", {}), unwrap(scan.profile.get("base_plane", {}))
    if case and ("tilt_sd_deg" in case) != ("tilt_sd_deg" in profile):
        profile = {}                                    # the case's form excludes the profile's
    plane = Section(case, profile)
    if plane.get("tilt_sd_deg") is not None:
        return "tilt", math.tan(math.radians(plane.get("tilt_sd_deg"))), plane.get("level_sd_mm")
    radius = plane.get("radius_mm", default_radius)
    phi = np.radians(plane.get("azimuths_deg", [0, 120, 240]))
    system = np.column_stack([np.ones(3), radius * np.cos(phi), radius * np.sin(phi)])
    return ("points", np.linalg.inv(system), phi, plane.get("point_sd_mm", 0.7),      # (2.2), any azimuths
            plane.get("cuff_wave_mm", 0.5), plane.get("placements", placements))


def read_valve(v, readers):
    mount = v.get("leaflet_mount")
    external = mount == "external"
    return {
        "inner": maybe_read(v.get("inner_diameter_mm"), "inner_diameter", readers),
        "thickness": maybe_read(v.get("leaflet_thickness_mm", {"lognormal": {"median": 0.7, "gsd": 1.35}}),
                                "leaflet_thickness", readers),
        "ring_height": v.get("ring_height_mm", 2.0),
        "give": v.get("ring_give_mm", uniform(0, 1.5 if mount == "stentless" else 0.3)),
        "ecc": v.get("eccentricity", {"lognormal": {"median": 0.0566, "gsd": 1.85}}),
        "mount": v.get("mount_offset_mm", triangular(0.3, 0.8, 1.5)) if external else 0,
        "mid": v.get("mid_fraction", uniform(0.2, 0.8)),
        "overhang": v.get("leaflet_overhang_mm", uniform(0, 3)),
        "post": v.get("post_azimuth_deg", "unknown"),
        "block": math.radians(v.get("post_block_deg", 15)),
        "posts": mount != "stentless",
    }


def read_implant(v):
    balloon = v.get("expansion") == "balloon"
    return {
        "nominal": v.get("nominal_diameter_mm"),
        "frame_height": v.get("frame_height_mm"),
        "skirt": v.get("skirt_height_mm"),
        "depth": v.get("implant_depth_mm"),
        "over": v.get("overexpansion", {"normal": {"mean": 0.004, "sd": 0.028}} if balloon else 0),
        "flare": v.get("flare", triangular(0, 0.5, 1) if balloon else triangular(0, 0.2, 0.5)),
        "canting": math.tan(math.radians(v.get("canting_sd_deg", 2.0))),
        "offset": v.get("offset_sd_mm", 0.3),
        "shape": v.get("shape", BALLOON_SHAPE if balloon else None),
    }


Plan = namedtuple("Plan", "name valve implant lacerate rescue burden")


def read_plan(case, profile, readers, alternative):
    def patched(section):
        merged = {**case[section], **alternative.get(section, {})}
        return Section(merged, profile.get(section))
    return Plan(alternative["name"], read_valve(patched("surgical_valve"), readers),
                read_implant(patched("implant")), alternative.get("lacerate", {}),
                alternative.get("rescue", {}), alternative.get("burden", 0.0))


class Model:
    """A resolved case."""

    def __init__(self, path):
        with open(path, encoding="utf-8") as f:
            case = json.load(f)
        profile = {}
        if "profile" in case:
            with open(os.path.join(os.path.dirname(path), case["profile"]), encoding="utf-8") as f:
                profile = json.load(f)
        readers = profile.get("readers", {})
        scan = Section(case.get("scan"), profile.get("scan"))
        limits = Section(case.get("limits"), profile.get("limits"))
        self.name = case["case"]
        self.plans = [read_plan(case, profile, readers, alternative)
                      for alternative in [{"name": "as planned"}] + case.get("alternatives", [])]
        self.blooming = read_blooming(scan)
        self.sides = [read_side(name, spec, readers) for name, spec in case["coronaries"].items()]
        self.plane = read_plane(scan, self.mean_inner_diameter() / 2, placements_of(self.sides))
        self.centreline_sd = scan.get("centreline_sd_mm", 0.4)
        published = LIMITS[limits.get("published_set", "planning")]
        self.ostium_limit = limits.get("ostium_clearance_mm", published[0])
        self.stj_limit = limits.get("stj_clearance_mm", published[1])
        self.population = Section(case.get("population"), profile.get("population")).get(
            "ostium_gap_mm", {"normal": {"mean": 6.30, "sd": 2.16}})
        self.reference_thickness = limits.get("reference_thickness_mm", 0.5)
        self.reference_blooming = limits.get("reference_blooming_mm", 0.0)
        self.drawn_circle = limits.get("basis", "tube") == "drawn_circle"

    def mean_inner_diameter(self):
        inner = self.plans[0].valve["inner"]
        return inner.estimate - inner.edges * mean_of(self.blooming)

    def corrected(self):
        return any(s.quantities[g].edges for s in self.sides for g in ("ostium_gap", "stj_gap"))

    def crosses(self):
        return [(s, g) for s in self.sides for g in ("ostium_gap", "stj_gap") if s.quantities[g].cross]

    def smallest_dof(self, side, point):
        """The fewest degrees of freedom of any t that moves this point or the tube: moments may not exist."""
        valve, implant = self.plans[0].valve, self.plans[0].implant
        quantities = [side.quantities[point + "_height"], side.quantities[point + "_gap"],
                      valve["inner"], valve["thickness"]]
        specs = [q.given for q in quantities if q.given is not None] + [self.blooming]
        specs += [v for part in (valve, implant) for v in part.values() if isinstance(v, dict)]
        stated = [p["dof"] for name, p in map(family, specs) if name == "student_t"]
        return min([q.dof for q in quantities if q.dof is not None] + stated, default=None)


# ---------------------------------------------------------------- section 2: frames

Frame = namedtuple("Frame", "a b c cx cy")


def draw_frame(model, rng, n, placements=None):
    kind, *rest = model.plane
    if kind == "tilt":                                                                    # (2.3)
        tilt, level = rest
        a, b, c = tilt * rng.standard_normal(n), tilt * rng.standard_normal(n), level * rng.standard_normal(n)
    else:
        inverse, phi, sd, wave, stated = rest
        m = placements or stated
        e = np.zeros((3, n))
        for _ in range(m):                                                                # (2.1)
            phase = 2 * math.pi * rng.random(n)
            e += sd * rng.standard_normal((3, n)) + wave * np.sin(phase + 3 * phi[:, None])
        c, a, b = inverse @ (e / m)                                                       # (2.2)
    return Frame(a, b, c, model.centreline_sd * rng.standard_normal(n),                   # (2.4)
                 model.centreline_sd * rng.standard_normal(n))


def to_valve_frame(f, r, azimuth, z):
    """(2.5), (2.6): a landmark (r', az, z') of the reader as (x, y, height)."""
    norm, unit = np.sqrt(1 + f.a ** 2 + f.b ** 2), np.sqrt(1 + f.a ** 2)
    ru, rv, zn = r * math.cos(azimuth) / unit, r * math.sin(azimuth) / (norm * unit), z / norm
    # u = (1, 0, a)/unit;  v = n x u = (-ab, 1 + a^2, b)/(norm unit);  n = (-a, -b, 1)/norm
    x = f.cx + ru - f.a * f.b * rv - f.a * zn
    y = f.cy + (1 + f.a ** 2) * rv - f.b * zn
    return x, y, f.c + f.a * f.cx + f.b * f.cy + f.a * ru + f.b * rv + zn


# ---------------------------------------------------------------- section 3: readings

def draw_reading(q, rng, n):
    """(3.1) without the blooming term."""
    if q.given is not None:
        return sample(q.given, rng, n)
    error = rng.standard_normal(n) if q.dof is None else rng.standard_t(q.dof, n)
    return q.estimate + q.s * error + q.resolution * (rng.random(n) - 0.5)


def draw_truth(q, rng, n, blooming):
    return draw_reading(q, rng, n) - q.edges * blooming


def take_off_plane(model, rng):
    """sd_includes_plane: the plane's variance in one placement, over m, comes off s^2."""
    marked = [(s, q) for s in model.sides for q in HEIGHTS_AND_GAPS if s.quantities[q].includes_plane]
    if not marked:
        return
    frame = draw_frame(model, rng, PILOT_CHUNKS * PILOT_CHUNK, placements=1)
    for side, name in marked:
        q = side.quantities[name]
        s2 = q.s ** 2 - np.var(plane_only(frame, side, name)) / q.readers
        side.quantities[name] = q._replace(s=math.sqrt(max(0.0, s2)))


def plane_only(frame, side, name):
    """A quantity when only the frame varies and the readings sit at their estimates."""
    half, at = side.circle / 2, {k: q.estimate for k, q in side.quantities.items()}
    part = name.split("_")[0]
    gap = 0.0 if part == "leaflet" else at[part + "_gap"]
    x, y, z = to_valve_frame(frame, gap + half, side.azimuth, at[part + "_height"])
    return np.hypot(x, y) - half if name.endswith("gap") else z


Scan = namedtuple("Scan", "frame blooming readings looks near coins")


def draw_scan(model, rng, n):
    """Everything that a re-measurement could change, except the surgical valve's own sizes."""
    readings = {s.name: {q: draw_reading(s.quantities[q], rng, n) for q in HEIGHTS_AND_GAPS}
                for s in model.sides}
    calibration = rng.standard_normal(n)                        # one for all looks
    drawn = {(s.name, g): draw_look(s.quantities[g], calibration, rng, n) for s, g in model.crosses()}
    looks, near = {key: d[0] for key, d in drawn.items()}, {key: d[1] for key, d in drawn.items()}
    coins = {key: rng.random(n) < 0.5 for key in looks}
    return Scan(draw_frame(model, rng, n), sample(model.blooming, rng, n), readings, looks, near, coins)


def draw_look(q, calibration, rng, n):
    """(3.5): the radial gap by the other modality, and whether neither divisor is below 1/2 (3.8)."""
    look, half = q.cross, q.circle / 2
    view = np.abs(look.view_sd * rng.standard_normal(n))
    error = look.s * rng.standard_normal(n)
    factor = 1 + look.magnification_sd * calibration
    return ((look.reading - error) / factor + half) / np.cos(view) - half, (factor >= 0.5) & (view <= np.pi / 3)


def ct_points(model, side, scan, corrected=True):
    """Ostium point, STJ point and leaflet top in the valve frame, by CT alone."""
    def truth(name):
        edges, displaced = side.quantities[name].edges, scan.blooming
        if name.endswith("gap"):
            edges, displaced = edges if corrected else 0, displaced - model.reference_blooming
        return scan.readings[side.name][name] - edges * displaced
    half = side.circle / 2
    place = lambda gap, z: to_valve_frame(scan.frame, gap + half, side.azimuth, z)
    return {"ostium": place(truth("ostium_gap"), truth("ostium_height")),
            "stj": place(truth("stj_gap"), truth("stj_height")),
            "top": place(0.0, truth("leaflet_height"))[2]}


def ct_gap(side, point):
    return np.hypot(point[0], point[1]) - side.circle / 2                                 # (3.6)


def move_to(side, point, gap):
    """The landmark keeps its azimuth and height and moves to the radius gap + circle/2."""
    x, y, z = point
    scale = (gap + side.circle / 2) / np.hypot(x, y)
    return x * scale, y * scale, z


Check = namedtuple("Check", "chi2 chi2_se weight conflict")


def pilot(model, rng, corrected):
    """chi^2 and the weight (3.7) of every cross-checked gap."""
    sums = {(s.name, g): [] for s, g in model.crosses()}
    for _ in range(PILOT_CHUNKS if sums else 0):
        scan = draw_scan(model, rng, PILOT_CHUNK)
        for side, gap in model.crosses():
            ct = ct_gap(side, ct_points(model, side, scan, corrected)[gap[:-4]])
            other = scan.looks[side.name, gap][scan.near[side.name, gap]]
            sums[side.name, gap].append([ct.mean(), np.mean(ct ** 2), other.mean(), np.mean(other ** 2)])
    return {key: check_of(np.array(rows)) for key, rows in sums.items()}


def check_of(rows):
    def chi2(m):
        v_ct, v_f = m[1] - m[0] ** 2, m[3] - m[2] ** 2
        return (m[0] - m[2]) ** 2 / (v_ct + v_f), v_f / (v_ct + v_f)
    value, weight = chi2(rows.mean(0))
    spread = np.std([chi2(row)[0] for row in rows], ddof=1) / math.sqrt(len(rows))
    return Check(value, spread, weight, bool(value > 3.84))


def believed(side, gap, points, scan, check):
    """The run's point of a cross-checked gap: pooled, or by a fair coin."""
    point, other = points[gap[:-4]], scan.looks[side.name, gap]
    ct = ct_gap(side, point)
    if check.conflict:
        return move_to(side, point, np.where(scan.coins[side.name, gap], ct, other))
    return move_to(side, point, check.weight * ct + (1 - check.weight) * other)           # (3.7)


def run_points(model, scan, checks, corrected=True):
    points = {s.name: ct_points(model, s, scan, corrected) for s in model.sides}
    for side, gap in model.crosses():
        points[side.name][gap[:-4]] = believed(side, gap, points[side.name], scan, checks[side.name, gap])
    return points


# ---------------------------------------------------------------- section 4: the tube

def draw_tube(plan, rng, n, blooming):
    v, i = plan.valve, plan.implant
    tube = {k: sample(v[k], rng, n) for k in ("give", "ecc", "mount", "mid", "overhang")}
    tube.update({k: sample(i[k], rng, n) for k in ("over", "depth", "flare")})
    tube.update({k: draw_truth(v[k], rng, n, blooming) for k in ("inner", "thickness")})
    tube["psi"] = math.pi * rng.random(n)
    unknown = v["post"] == "unknown"
    tube["post"] = np.radians(120 * rng.random(n) if unknown else sample(v["post"], rng, n))
    tube["cant"] = i["canting"] * rng.standard_normal((2, n))
    tube["off"] = i["offset"] * rng.standard_normal((2, n))
    tube["top"] = i["frame_height"] - tube["depth"]
    tube["skirt"] = i["skirt"] - tube["depth"]
    return tube


def frame_radius(plan, tube, z, azimuth):
    """(4.1) to (4.4): R_frame, and W for (4.7)."""
    i, ring = plan.implant, plan.valve["ring_height"]
    free = i["nominal"] * (1 + tube["over"])                                              # (4.1)
    if i["shape"]:
        fraction, diameter = np.transpose(i["shape"])
        free = free * np.interp((z + tube["depth"]) / i["frame_height"], fraction, diameter)
    waist = np.minimum(free, tube["inner"] + tube["give"])                                # (4.2)
    span = tube["top"] - ring
    share = np.where(span > 0, np.clip((z - ring) / np.where(span > 0, span, 1), 0, 1), z >= ring)  # (4.3)
    oval = 1 + tube["ecc"] / 2 * np.cos(2 * (azimuth - tube["psi"]))
    return waist / 2 * oval + tube["flare"] * (free - waist) / 2 * share, waist           # (4.4)


def stand_off(model, tube, azimuth):
    m = tube["mid"] + (1 - tube["mid"]) * np.cos(1.5 * (azimuth - tube["post"])) ** 2     # (4.5)
    return tube["mount"] * m + np.maximum(0, tube["thickness"] - model.reference_thickness)   # (4.6)


def split_leaflet(plan, tube, side, rng, n):
    """Where the leaflet facing this side is lacerated to any use; None where it is not tried."""
    if side.name not in plan.lacerate:
        return None
    success = rng.random(n) < plan.lacerate[side.name]
    third = 2 * math.pi / 3
    away = np.abs((side.azimuth - tube["post"] + third / 2) % third - third / 2)
    return success & (away > plan.valve["block"]) if plan.valve["posts"] else success


# ---------------------------------------------------------------- section 5: per side

def side_outputs(model, plan, tube, side, points, split=None):
    top = np.maximum(np.minimum(points["top"], tube["top"] + tube["overhang"]), tube["skirt"])  # (4.9)
    beyond = stand_off(model, tube, side.azimuth)
    if split is not None:
        top = np.where(split, np.minimum(top, tube["skirt"]), top)
        beyond = np.where(split, 0, beyond)

    def adjusted(point):                                                                  # (5.2), (5.3)
        x, y, h = point
        centre = tube["off"] + tube["cant"] * h                                           # (4.8)
        radius, waist = frame_radius(plan, tube, np.minimum(h, top), side.azimuth)
        clearance = np.hypot(x - centre[0], y - centre[1]) - radius - beyond
        return clearance - (side.circle - waist) / 2 if model.drawn_circle else clearance  # (4.7)

    ostium, stj = adjusted(points["ostium"]), adjusted(points["stj"])
    cover, reach = top - points["ostium"][2], top - points["stj"][2]                      # (5.4)
    crowded = (cover >= 0) & (ostium < model.ostium_limit)                                # (5.5)
    sealed = (reach >= 0) & (stj < model.stj_limit)
    return {"ostium_clearance_mm": ostium, "stj_clearance_mm": stj,
            "conventional_ostium_mm": ct_gap(side, points["ostium"]),                     # (5.1)
            "conventional_stj_mm": ct_gap(side, points["stj"]), "cover_mm": cover, "reach_mm": reach,
            "crowded": crowded, "sealed": sealed, "event": crowded | sealed}


def any_side(results, key):
    return np.any([r[key] for r in results.values()], axis=0)


def sides_of(model, plan, tube, points):
    return {s.name: side_outputs(model, plan, tube, s, points[s.name]) for s in model.sides}


def believing_one(model, plan, tube, scan, points, results, side, gap, value):
    """The patient event when this gap is believed to be `value` alone."""
    moved = dict(points[side.name])
    moved[gap[:-4]] = move_to(side, moved[gap[:-4]], value)
    return any_side({**results, side.name: side_outputs(model, plan, tube, side, moved)}, "event")


def alternative_events(model, plan, tube, points, rng, n):
    """Section 5.1: (patient event, unrescued patient event)."""
    event, unrescued = np.zeros(n, bool), np.zeros(n, bool)
    for side in model.sides:
        split = split_leaflet(plan, tube, side, rng, n)
        here = side_outputs(model, plan, tube, side, points[side.name], split)["event"]
        event |= here
        unrescued |= here & (rng.random(n) >= plan.rescue.get(side.name, 0.0))
    return event, unrescued


# ---------------------------------------------------------------- the run

def chunk(model, rng, n, checks, plain_checks, count, store, weigh):
    scan = draw_scan(model, rng, n)
    plan = model.plans[0]
    tube = draw_tube(plan, rng, n, scan.blooming)
    points = run_points(model, scan, checks)
    results = sides_of(model, plan, tube, points)
    for name, result in results.items():
        for key in ("event", "crowded", "sealed"):
            count((name, key), result[key])
        for output in OUTPUTS:
            store(name, output, result[output])
    for key in ("event", "crowded", "sealed"):
        count(("patient", key), any_side(results, key))
    weight = np.prod([density(model.population, r["conventional_ostium_mm"]) for r in results.values()], axis=0)   # (7.1)
    weigh(weight, any_side(results, "event"))
    for side, gap in model.crosses():
        ct = ct_gap(side, ct_points(model, side, scan)[gap[:-4]])
        for label, value in (("event_ct_only", ct), ("event_other_only", scan.looks[side.name, gap])):
            count((side.name, gap, label),
                  believing_one(model, plan, tube, scan, points, results, side, gap, value))
    if model.corrected():
        plain = sides_of(model, plan, tube, run_points(model, scan, plain_checks, corrected=False))
        count(("patient", "plain"), any_side(plain, "event"))
    for k, other in enumerate(model.plans[1:], 1):
        other_tube = draw_tube(other, rng, n, scan.blooming)
        event, unrescued = alternative_events(model, other, other_tube, points, rng, n)
        count((k, "event"), event)
        count((k, "unrescued"), unrescued)


def probability(hits, n):
    p = hits / n
    return {"probability": p, "standard_error": math.sqrt(p * (1 - p) / n)}


def weighted(sums):
    """A ratio of sums with its error between the batches."""
    p = sums[:, 1].sum() / sums[:, 0].sum()
    rest = sums[:, 1] - p * sums[:, 0]
    return {"probability": float(p), "standard_error": float(np.sqrt(np.sum(rest ** 2)) / sums[:, 0].sum())}


def shortest_length(ordered):
    k = int(0.95 * len(ordered) + 0.5)
    i = np.argmin(ordered[k:] - ordered[:-k])
    return [float(ordered[i]), float(ordered[i + k])]


def summary(x):
    """x: batches by trials in a batch."""
    def figures(values):
        ordered = np.sort(values)
        low, mid, high = np.quantile(ordered, [0.025, 0.5, 0.975])
        return ordered, [values.mean(dtype=np.float64), values.std(ddof=1, dtype=np.float64), mid, low, high]
    rows = []
    for batch in x:
        ordered, row = figures(batch)
        low, high = shortest_length(ordered)
        rows.append(row + [high - low])
    errors = np.std(rows, axis=0, ddof=1) / math.sqrt(len(x))
    ordered, whole = figures(x.ravel())
    names = ("mean", "sd", "median", "low95", "high95")
    return {**dict(zip(names, map(float, whole))), "shortest95": shortest_length(ordered),
            "standard_error": dict(zip(names + ("shortest95_length",), map(float, errors)))}


def assess(path, trials=2000000, seed=1):
    """The result of a case file, as docs/case-format.md shapes it."""
    model = Model(path)
    size = math.ceil(trials / BATCHES)
    size = max(100, min(size, int(MEMORY_LIMIT / (4 * len(OUTPUTS) * len(model.sides) * BATCHES))))
    n = size * BATCHES
    take_off_plane(model, np.random.default_rng([seed, 1]))
    checks = pilot(model, np.random.default_rng([seed, 2]), corrected=True)
    plain_checks = pilot(model, np.random.default_rng([seed, 3]), corrected=False) if model.corrected() else {}
    sums, hits, stored = [], {}, {(s.name, o): np.empty((BATCHES, size), np.float32) for s in model.sides for o in OUTPUTS}
    rng = np.random.default_rng([seed, 0])
    for k in range(BATCHES):
        def count(key, mask):
            hits[key] = hits.get(key, 0) + int(np.count_nonzero(mask))

        def store(name, output, values):
            stored[name, output][k] = values
        def weigh(weight, event):
            sums.append((weight.sum(), weight[event].sum()))
        chunk(model, rng, size, checks, plain_checks, count, store, weigh)
    p = {k: probability(v, n) for k, v in hits.items()}
    p["patient", "population"] = weighted(np.array(sums))
    return result_of(model, n, seed, p, checks, stored)


def result_of(model, n, seed, p, checks, stored):
    patient = {key: p["patient", key] for key in ("event", "crowded", "sealed")}
    patient["event_without_blooming_correction"] = p.get(("patient", "plain"))
    patient["event_in_population"] = p["patient", "population"]
    coronaries = {}
    for side in model.sides:
        part = {key: p[side.name, key] for key in ("event", "crowded", "sealed")}
        for output in OUTPUTS:
            point = "ostium" if "ostium" in output or output == "cover_mm" else "stj"
            part[output] = {**summary(stored.pop((side.name, output))),
                            "smallest_dof": model.smallest_dof(side, point)}
        looks = {g: check_result(checks[side.name, g], p, (side.name, g)) for s, g in model.crosses() if s is side}
        coronaries[side.name] = {**part, "cross_check": looks} if looks else part
    return {"format": "slimmargin-result-1", "case": model.name, "trials": n, "seed": seed,
            "pilot_trials": PILOT_CHUNKS * PILOT_CHUNK,
            "patient": patient, "coronaries": coronaries,
            "alternatives": [alternative_result(plan, k, p) for k, plan in enumerate(model.plans)]}


def check_result(check, p, key):
    return {"chi2": float(check.chi2), "chi2_standard_error": float(check.chi2_se), "conflict": check.conflict,
            "event_ct_only": p[key + ("event_ct_only",)], "event_other_only": p[key + ("event_other_only",)]}


def alternative_result(plan, k, p):
    event = p[k, "event"] if k else p["patient", "event"]
    unrescued = p[k, "unrescued"] if k else event
    return {"name": plan.name, "event": event, "unrescued": unrescued,
            "expected_cost": {"value": plan.burden + unrescued["probability"],
                              "standard_error": unrescued["standard_error"]}}


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("case")
    parser.add_argument("--trials", type=int, default=2000000)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    print(json.dumps(assess(args.case, args.trials, args.seed), indent=1))


if __name__ == "__main__":
    main()
