#!/usr/bin/python3
"""Independent reference of docs/model.md, sections 2 to 5, and of second looks, in numpy.

Written from the documents alone; shares nothing with the C program. Assumes a valid case.
Numbers in brackets are the formula numbers of docs/model.md.
"""
import argparse
import json
import math
import os
import sys
from collections import namedtuple

import numpy as np
from scipy import special, stats

BATCHES = 100                # the chunks of the run; also the batches of the standard errors
PILOT_CHUNKS, PILOT_CHUNK = 16, 1 << 16
MEMORY_LIMIT = 600e6         # bytes for the stored outputs; more coronaries get fewer trials
WANTED_EFFECTIVE = 50000     # fewer effective trials than this, and the run is made again with more trials,
MOST_ROUNDS = 16             # up to so many times as many
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
DOMAINS = {"ostium_gap": (-5, 30), "stj_gap": (-5, 30), "leaflet_height": (1, 60),         # of a true value, mm
           "inner_diameter": (12, 35), "leaflet_thickness": (0, 5)}
POINT_OF = {"ostium_gap": "ostium", "stj_gap": "stj", "leaflet_height": "top"}
PROJECTED = ("ostium_gap", "stj_gap")       # looks on these are projections, on the others direct measurements
LOOKED_AT = PROJECTED + ("leaflet_height",)  # of a side, in the order of the result
SPOILED = 0.05
VALVE_LOOKS = (("inner_diameter_mm", "inner"), ("leaflet_thickness_mm", "thickness"))
BOTH_RIGHT, LOOK_OFF, FIRST_OFF = 0, 1, 2   # the hypotheses of a look
BRANCHES = ("both_right", "look_off", "first_off")
LIMITS = {"planning": (4.0, 2.0), "after_implant": (3.0, 1.0)}
BALLOON_SHAPE = [[0, 1.02], [0.5, 0.99], [0.75, 1.008], [1, 1.048]]


# ---------------------------------------------------------------- distributions

def triangular(low, mode, high):
    return {"triangular": {"min": low, "mode": mode, "max": high}}


def uniform(low, high):
    return {"uniform": {"min": low, "max": high}}


def family(spec):
    """(family name, parameters) of a number or a distribution, which may have a look beside it."""
    if isinstance(spec, dict):
        return next((name, p) for name, p in spec.items() if name != "cross_check")
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
            own = self.case[key]
            return own["value"] if isinstance(own, dict) and own.get("measured") else own
        return unwrap(self.profile[key]) if key in self.profile else default


Quantity = namedtuple("Quantity", "given estimate s dof edges resolution readers includes_plane look")


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
    look = read_look(spec.get("cross_check"), name, circle)
    if "readings_mm" not in spec:
        return Quantity(spec, mean_of(spec), 0.0, None, 0, 0.0, 1, False, look)
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
                    includes, look)


# view_sd in radians; half: of the circle; outlier: the density (o/D) of a spoiled measurement over the domain
Look = namedtuple("Look", "projected reading s magnification_sd view_sd half low high outlier")


def read_look(spec, name, circle):
    if spec is None:
        return None
    reading, m, _ = mean_of_readers(spec["readings_mm"])
    projected = name in PROJECTED
    sd, magnification, view = LOOK_SD[spec["modality"]] if projected else (spec["reader_sd_mm"], 0.0, 0.0)
    s = spec.get("reader_sd_mm", sd) / math.sqrt(m)
    if not s > 0:
        raise ValueError("a look without a reader SD has no density")
    epsilon, (low, high) = spec.get("spoiled", SPOILED), DOMAINS[name]
    return Look(projected, reading, s, spec.get("magnification_sd", magnification),
                math.radians(spec.get("view_error_sd_deg", view)), circle / 2, low, high,
                epsilon / (1 - epsilon) / (high - low))


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
        self.mount = case["surgical_valve"]["leaflet_mount"]
        self.plans = [read_plan(case, profile, readers, alternative)
                      for alternative in [{"name": "as planned"}] + case.get("alternatives", [])]
        self.blooming = read_blooming(scan)
        self.sides = [read_side(name, spec, readers) for name, spec in case["coronaries"].items()]
        self.plane = read_plane(scan, self.mean_inner_diameter() / 2, placements_of(self.sides))
        self.centreline_sd = scan.get("centreline_sd_mm", 0.4)
        published = LIMITS[limits.get("published_set", "planning")]
        self.ostium_limit = limits.get("ostium_clearance_mm", published[0])
        self.stj_limit = limits.get("stj_clearance_mm", published[1])
        self.reach_margin = limits.get("reach_margin_mm", 0.0)
        self.population = Section(case.get("population"), profile.get("population")).get(
            "ostium_gap_mm", {"normal": {"mean": 6.30, "sd": 2.16}})
        self.wrong = 1 / (2 + max(len(self.looks(plan)) for plan in self.plans))   # of the lot in hear(), any will do
        self.reference_thickness = limits.get("reference_thickness_mm", 0.5)
        self.reference_blooming = limits.get("reference_blooming_mm", 0.0)
        self.drawn_circle = limits.get("basis", "tube") == "drawn_circle"

    def mean_inner_diameter(self):
        inner = self.plans[0].valve["inner"]
        return inner.estimate - inner.edges * mean_of(self.blooming)

    def corrected(self):
        return any(s.quantities[g].edges for s in self.sides for g in ("ostium_gap", "stj_gap"))

    def looks(self, plan):
        """(name in the result, look) of every look of the sides and of this plan's valve, in order."""
        sides = [(f"{s.name}.{q}", s.quantities[q].look) for s in self.sides for q in LOOKED_AT]
        valve = [(key, plan.valve[part].look) for key, part in VALVE_LOOKS]
        return [(of, look) for of, look in sides + valve if look]

    def all_looks(self):
        """Those of the alternatives' valves as well."""
        return [entry for plan in self.plans for entry in self.looks(plan)]

    def least_calibration(self):
        """The standard normal behind M at which 1 + M is 1/2 for the look that it moves most."""
        widest = max([look.magnification_sd for _, look in self.looks(self.plans[0])], default=0.0)
        return -0.5 / widest if widest > 0 else -math.inf

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


Scan = namedtuple("Scan", "frame blooming readings calibration")


def draw_scan(model, rng, n):
    """Everything that CT shows, except the surgical valve's own sizes; and the calibration of the looks."""
    readings = {s.name: {q: draw_reading(s.quantities[q], rng, n) for q in HEIGHTS_AND_GAPS}
                for s in model.sides}
    calibration = cut_normals(rng, n, lambda z: z >= model.least_calibration())       # one for all looks
    return Scan(draw_frame(model, rng, n), sample(model.blooming, rng, n), readings, calibration)


def cut_normals(rng, n, allowed):
    """Standard normals, those that are not allowed drawn again."""
    z = rng.standard_normal(n)
    again = ~allowed(z)
    while again.any():
        z[again] = rng.standard_normal(np.count_nonzero(again))
        again = ~allowed(z)
    return z


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


# ---------------------------------------------------------------- second looks

# What a look does to the trials: the hypothesis drawn, its weight, and the weights when believing one reading only.
Weighing = namedtuple("Weighing", "branch weight first_only look_only")


def projection(look, calibration, rng, n):
    """cos G of this look and 1 + M."""
    limit = math.pi / 3 / look.view_sd if look.view_sd > 0 else math.inf              # cos G >= 1/2
    return (np.cos(look.view_sd * cut_normals(rng, n, lambda z: np.abs(z) <= limit)),
            1 + look.magnification_sd * calibration)


def shown(look, x, cosine, scale):
    """What the look would read without reader error where x is true."""
    return ((x + look.half) * cosine - look.half) * scale if look.projected else x


def alone(look, calibration, rng, n):
    """(x by the look alone, J)."""
    y = look.reading - look.s * rng.standard_normal(n)
    if not look.projected:
        return y, np.ones(n)
    cosine, scale = projection(look, calibration, rng, n)
    return (y / scale + look.half) / cosine - look.half, 1 / (cosine * scale)


def likelihood(look, x, calibration, rng, n):
    cosine, scale = projection(look, calibration, rng, n) if look.projected else (1.0, 1.0)
    return stats.norm.pdf(look.reading, shown(look, x, cosine, scale), look.s)


def hear(look, wrong, x, calibration, rng, n):
    """(x as believed, Weighing): one of the three hypotheses by lot, `wrong` the chance of each of the latter two."""
    lot = rng.random(n)
    branch = np.where(lot < wrong, LOOK_OFF, np.where(lot < 2 * wrong, FIRST_OFF, BOTH_RIGHT))
    other, jacobian = alone(look, calibration, rng, n)
    jacobian = np.where((other >= look.low) & (other <= look.high), jacobian, 0.0)
    weight = np.choose(branch, [likelihood(look, x, calibration, rng, n) / (1 - 2 * wrong),
                                look.outlier / wrong, look.outlier * jacobian / wrong])
    return (np.where(branch == FIRST_OFF, other, x),
            Weighing(branch, weight, (branch != FIRST_OFF) * 1.0, (branch == FIRST_OFF) * jacobian))


def hear_side(side, wrong, points, calibration, rng, n):
    """The side's looks; the points move to where they are believed to be."""
    points, weighings = dict(points), {}
    for name in LOOKED_AT:
        look, key = side.quantities[name].look, POINT_OF[name]
        if look is None:
            continue
        x = points[key] if key == "top" else ct_gap(side, points[key])
        x, weighing = hear(look, wrong, x, calibration, rng, n)
        points[key] = x if key == "top" else moved(side, points[key], x, weighing.branch == FIRST_OFF)
        weighings[f"{side.name}.{name}"] = weighing
    return points, weighings


def moved(side, point, gap, where):
    """Where the look alone is believed the landmark keeps azimuth and height and moves to the radius gap + circle/2."""
    x, y, z = point
    scale = np.where(where, (gap + side.circle / 2) / np.hypot(x, y), 1.0)
    return x * scale, y * scale, z


def run_points(model, scan, rng, n, corrected=True):
    """(points of every side, weighings of their looks)."""
    points, weighings = {}, {}
    for s in model.sides:
        points[s.name], more = hear_side(s, model.wrong, ct_points(model, s, scan, corrected), scan.calibration, rng, n)
        weighings.update(more)
    return points, weighings


def product(weighings, n, but=None):
    """The weights of several looks multiply."""
    total = np.ones(n)
    for name, weighing in weighings.items():
        total = total * (1.0 if name == but else weighing.weight)
    return total


# ---------------------------------------------------------------- section 4: the tube

def draw_limits(model, rng, n):
    """One draw a trial for all sides, where a limit is a distribution."""
    return {"ostium_limit": sample(model.ostium_limit, rng, n), "stj_limit": sample(model.stj_limit, rng, n)}


def draw_tube(plan, wrong, rng, n, blooming):
    """(tube, weighings of the looks at the valve)."""
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
    weighings = {}
    for key, part in VALVE_LOOKS:
        if v[part].look:
            tube[part], weighings[key] = hear(v[part].look, wrong, tube[part], None, rng, n)
    return tube, weighings


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
    crowded = (cover >= 0) & (ostium < tube["ostium_limit"])                              # (5.5)
    sealed = (reach >= -model.reach_margin) & (stj < tube["stj_limit"])
    return {"ostium_clearance_mm": ostium, "stj_clearance_mm": stj,
            "conventional_ostium_mm": ct_gap(side, points["ostium"]),                     # (5.1)
            "conventional_stj_mm": ct_gap(side, points["stj"]), "cover_mm": cover, "reach_mm": reach,
            "crowded": crowded, "sealed": sealed, "event": crowded | sealed}


# ---------------------------------------------------------------- section 7.2: from a limit to an artery

OBSTRUCTED, OPEN = (3.24, 2.22, 20), (6.30, 2.34, 90)        # mean, SD, patients (docs/facts.md)
CLASS_RATE = {"external": (6.1, 13, 213), "stentless": (3.7, 16, 434), "internal": (0.8, 8, 965)}
READING_ERROR = (0.6, 0.9, 1.2)                              # least, judged, most; mm
SPLIT_OBSTRUCTED = (97.7 - 90.6) / 97.7
SERIES_DRAWS, SERIES_REPEATS = 1000, 20                      # of the program; ours, to know the error of its ends
GAP_BINS = np.linspace(-15, 30, 4501)


def curve_of(obstructed, unobstructed, variance, rate):
    """(7.2)"""
    return (np.log(rate / (1 - rate)) + (unobstructed ** 2 - obstructed ** 2) / (2 * variance),
            (unobstructed - obstructed) / variance)


def share_at(curve, t):
    return special.expit(curve[0] - curve[1] * t)


def pooled():
    (_, so, no), (_, su, nu) = OBSTRUCTED, OPEN
    return ((no - 1) * so ** 2 + (nu - 1) * su ** 2) / (no + nu - 2)


def judged_curve(mount):
    return curve_of(OBSTRUCTED[0], OPEN[0], pooled() - READING_ERROR[1] ** 2, CLASS_RATE[mount][0] / 100)


def drawn_curves(mount, rng, n):
    dof, (_, events, patients) = OBSTRUCTED[2] + OPEN[2] - 2, CLASS_RATE[mount]
    variance = pooled() * dof / rng.chisquare(dof, n)
    means = [g[0] + np.sqrt(variance / g[2]) * rng.standard_normal(n) for g in (OBSTRUCTED, OPEN)]
    error = rng.uniform(READING_ERROR[0], READING_ERROR[2], n)
    return curve_of(*means, variance - error ** 2, rng.beta(events + 0.5, patients - events + 0.5, n))


def series_interval(mount, gaps, rng):
    """Ends of the interval, and how far another thousand draws would move them. gaps: weight by GAP_BINS, of 1 in all."""
    t, ends = (GAP_BINS[1:] + GAP_BINS[:-1]) / 2, []
    for _ in range(SERIES_REPEATS):
        a, b = drawn_curves(mount, rng, SERIES_DRAWS)
        means = np.array([gaps @ share_at((ai, bi), t) for ai, bi in zip(a, b)])
        ends.append(np.quantile(means, [0.025, 0.975]))
    return np.mean(ends, axis=0), np.std(ends, axis=0, ddof=1)


def obstructed(model, plan, tube, points, results, splits):
    """(7.3) of each trial, and the gap that counts (NaN: the tube reaches no ostium)."""
    curve, share, gap = judged_curve(model.mount), 0.0, np.nan
    for side in model.sides:
        x, y, h = points[side.name]["ostium"]
        t = np.hypot(x, y) - side.circle / 2
        t = t + (frame_radius(model.plans[0], tube, h, side.azimuth)[1]
                 - frame_radius(plan, tube, h, side.azimuth)[1]) / 2
        top = np.maximum(np.minimum(points[side.name]["top"], tube["top"] + tube["overhang"]), tube["skirt"])
        here = np.where(top >= h, share_at(curve, t), 0) * (1 - plan.rescue.get(side.name, 0.0))
        if splits.get(side.name) is not None:
            here = here * np.where(splits[side.name], SPLIT_OBSTRUCTED, 1)
        gap = np.where(here > share, t, gap)
        share = np.maximum(share, here)
    return share, gap


def any_side(results, key):
    return np.any([r[key] for r in results.values()], axis=0)


def sides_of(model, plan, tube, points):
    return {s.name: side_outputs(model, plan, tube, s, points[s.name]) for s in model.sides}


def alternative_events(model, plan, tube, points, rng, n):
    """Section 5.1: (patient event, unrescued patient event, the share obstructed of (7.3))."""
    event, unrescued, splits = np.zeros(n, bool), np.zeros(n, bool), {}
    for side in model.sides:
        split = splits[side.name] = split_leaflet(plan, tube, side, rng, n)
        here = side_outputs(model, plan, tube, side, points[side.name], split)["event"]
        event |= here
        unrescued |= here & (rng.random(n) >= plan.rescue.get(side.name, 0.0))
    return event, unrescued, obstructed(model, plan, tube, points, None, splits)[0]


# ---------------------------------------------------------------- the run

class Sums:
    """sum w, sum w 1, sum w^2, sum w^2 1 of every event."""

    def __init__(self):
        self.sums = {}

    def count(self, key, mask, w):
        w2 = w * w
        self.sums[key] = self.sums.get(key, 0) + np.array([w.sum(), w[mask].sum(), w2.sum(), w2[mask].sum()])

    def mean(self, key, x, w):
        """sum w, sum w x, sum w^2, sum w^2 x, sum w^2 x^2 of a share of each trial."""
        w2 = w * w
        self.sums[key] = self.sums.get(key, 0) + np.array([w.sum(), (w * x).sum(), w2.sum(), (w2 * x).sum(),
                                                           (w2 * x * x).sum()])

    def histogram(self, key, x, w):
        self.sums[key] = self.sums.get(key, 0) + np.histogram(x[~np.isnan(x)], GAP_BINS, weights=w[~np.isnan(x)])[0]

    def probabilities(self):
        return {key: s if key[-1] == "gaps" else probability(*map(float, s)) if len(s) == 4 else share_mean(*map(float, s))
                for key, s in self.sums.items()}


def share_mean(w, wx, w2, w2x, w2xx):
    m = wx / w
    return {"probability": m, "standard_error": math.sqrt(max(0.0, w2xx - 2 * m * w2x + m * m * w2)) / w,
            "effective_trials": w * w / w2, "weight": w}


def probability(w, w1, w2, w2_1):
    """sum w 1/sum w; its error by the delta method, sqrt(sum w^2 (1 - p)^2)/sum w; as from so many trials."""
    p = w1 / w
    spread = max(0.0, w2_1 * (1 - p) ** 2 + (w2 - w2_1) * p ** 2)
    return {"probability": p, "standard_error": math.sqrt(spread) / w, "effective_trials": w * w / w2}


def chunk(model, rng, n, sums, store):
    scan = draw_scan(model, rng, n)
    plan = model.plans[0]
    tube, of_valve = draw_tube(plan, model.wrong, rng, n, scan.blooming)
    limits = draw_limits(model, rng, n)
    tube.update(limits)
    points, of_sides = run_points(model, scan, rng, n)
    weighings = {**of_sides, **of_valve}
    w = product(weighings, n)
    results = sides_of(model, plan, tube, points)
    for name, result in results.items():
        for key in ("event", "crowded", "sealed"):
            sums.count((name, key), result[key], w)
    store(w, results)
    event = any_side(results, "event")
    for key in ("event", "crowded", "sealed"):
        sums.count(("patient", key), any_side(results, key), w)
    common = np.prod([density(model.population, r["conventional_ostium_mm"]) for r in results.values()], axis=0)
    sums.count(("patient", "population"), event, w * common)                              # (7.1)
    share, gap = obstructed(model, plan, tube, points, results, {})
    sums.mean((0, "obstruction"), share, w)
    sums.histogram((0, "gaps"), gap, w)
    for of, weighing in weighings.items():
        count_look(sums, of, weighing, event, w, product(weighings, n, but=of))
    if model.corrected():
        plain, of_plain = run_points(model, scan, rng, n, corrected=False)
        sums.count(("patient", "plain"), any_side(sides_of(model, plan, tube, plain), "event"),
                   product({**of_plain, **of_valve}, n))
    for k, other in enumerate(model.plans[1:], 1):
        other_tube, of_other = draw_tube(other, model.wrong, rng, n, scan.blooming)
        other_tube.update(limits)
        event, unrescued, share = alternative_events(model, other, other_tube, points, rng, n)
        sums.mean((k, "obstruction"), share, product({**of_sides, **of_other}, n))
        for key, mask in (("event", event), ("unrescued", unrescued)):
            sums.count((k, key), mask, product({**of_sides, **of_other}, n))


def count_look(sums, of, weighing, event, w, others):
    """The hypotheses of one look, and the event believing one of its two readings, the other looks kept."""
    for branch, label in enumerate(BRANCHES):
        sums.count((of, label), weighing.branch == branch, w)
    sums.count((of, "event_first_only"), event, others * weighing.first_only)
    sums.count((of, "event_look_only"), event, others * weighing.look_only)


def shortest_length(ordered, share):
    """The shortest interval with 95 % of the weight; share: the cumulated weight at each value."""
    if share is None:
        k = int(0.95 * len(ordered) + 0.5)
        i = np.argmin(ordered[k:] - ordered[:-k])
        return [float(ordered[i]), float(ordered[i + k])]
    starts = share <= max(share[0], share[-1] - 0.95)          # a batch of few weighty trials still has one
    ends = np.interp(share[starts] + 0.95, share, ordered)
    i = np.argmin(ends - ordered[starts])
    return [float(ordered[i]), float(ends[i])]


def figures(x, w):
    """Mean, sd, median, the ends that leave 2.5 % on either side; and the shortest interval."""
    if w is None:
        ordered, share = np.sort(x), None
        low, mid, high = np.quantile(ordered, [0.025, 0.5, 0.975])
        mean, sd = x.mean(dtype=np.float64), x.std(ddof=1, dtype=np.float64)
    else:
        order = np.argsort(x)
        ordered, w = x[order].astype(np.float64), w[order]
        share = (np.cumsum(w) - w / 2) / w.sum()
        low, mid, high = np.interp([0.025, 0.5, 0.975], share, ordered)
        mean = np.average(ordered, weights=w)
        sd = math.sqrt(np.average((ordered - mean) ** 2, weights=w))
    return [mean, sd, mid, low, high], shortest_length(ordered, share)


def summary(x, w):
    """x, w: the values and the weights (None: equal ones) of each batch."""
    rows = []
    for values, weights in zip(x, w):
        row, (low, high) = figures(values, weights)
        rows.append(row + [high - low])
    errors = np.std(rows, axis=0, ddof=1) / math.sqrt(len(x))
    whole, shortest = figures(np.concatenate(x), None if w[0] is None else np.concatenate(w))
    names = ("mean", "sd", "median", "low95", "high95")
    return {**dict(zip(names, map(float, whole))), "shortest95": shortest,
            "standard_error": dict(zip(names + ("shortest95_length",), map(float, errors)))}


class Store:
    """The outputs of a batch. Of more rounds than one only some trials are kept, and the light ones lost by lot."""

    def __init__(self, weighted, rounds, rng):
        self.weighted, self.rounds, self.rng = weighted, rounds, rng
        self.w, self.x, self.floor = [], {}, None

    def add(self, w, results):
        keep = slice(None)
        if self.rounds > 1:
            self.floor = self.floor or w.mean() * self.rounds
            keep = w > self.rng.random(len(w)) * self.floor         # a trial is kept with probability w/floor
            w = np.maximum(w, self.floor)                           # and then has the weight floor: right on average
        self.w.append(w[keep])
        for name, result in results.items():
            for output in OUTPUTS:
                self.x.setdefault((name, output), []).append(result[output][keep].astype(np.float32))

    def weights(self):
        return np.concatenate(self.w) if self.weighted else None


def run(model, size, rounds, seed):
    """BATCHES batches of `rounds` chunks: (probabilities, the stores of the batches)."""
    sums, stores, rng = Sums(), [], np.random.default_rng([seed, 0])
    weighted = bool(model.looks(model.plans[0]))
    for k in range(BATCHES):
        stores.append(Store(weighted, rounds, np.random.default_rng([seed, 4, k])))
        for _ in range(rounds):
            chunk(model, rng, size, sums, stores[-1].add)
    return sums.probabilities(), stores


def assess(path, trials=2000000, seed=1):
    """The result of a case file, as docs/case-format.md shapes it."""
    model = Model(path)
    size = math.ceil(trials / BATCHES)
    size = max(100, min(size, int(MEMORY_LIMIT / (4 * len(OUTPUTS) * len(model.sides) * BATCHES))))
    take_off_plane(model, np.random.default_rng([seed, 1]))
    rounds = 1
    p, stores = run(model, size, rounds, seed)
    least = min([WANTED_EFFECTIVE, size * BATCHES] + [v["effective_trials"] for key, v in p.items()
                                                      if key[-1] not in ("population", "gaps")])
    if least < min(WANTED_EFFECTIVE, size * BATCHES / 4):
        rounds = min(MOST_ROUNDS, math.ceil(WANTED_EFFECTIVE / least))
        print(f"reference: {model.name}: {size * BATCHES} trials count as {least:.0f} somewhere; "
              f"{rounds * size * BATCHES} are run", file=sys.stderr)
        p, stores = run(model, size, rounds, seed)
    return result_of(model, size * BATCHES * rounds, seed, p, stores)


def result_of(model, n, seed, p, stores):
    patient = {key: p["patient", key] for key in ("event", "crowded", "sealed")}
    patient["event_without_blooming_correction"] = p.get(("patient", "plain"))
    patient["event_in_population"] = p["patient", "population"]
    patient["obstruction"] = obstruction_result(model, p, seed)
    coronaries, weights = {}, [store.weights() for store in stores]
    for side in model.sides:
        part = {key: p[side.name, key] for key in ("event", "crowded", "sealed")}
        for output in OUTPUTS:
            point = "ostium" if "ostium" in output or output == "cover_mm" else "stj"
            x = [np.concatenate(store.x.pop((side.name, output))) for store in stores]
            part[output] = {**summary(x, weights), "smallest_dof": model.smallest_dof(side, point)}
        coronaries[side.name] = part
    return {"format": "slimmargin-result-1", "case": model.name, "trials": n, "seed": seed,
            "effective_trials": p["patient", "event"]["effective_trials"],
            "patient": patient, "coronaries": coronaries,
            "looks": [look_result(of, p) for of, _ in model.looks(model.plans[0])],
            "alternatives": [alternative_result(plan, k, p) for k, plan in enumerate(model.plans)]}


def obstruction_result(model, p, seed):
    """None where a sealed sinus alone makes more than a tenth of the event."""
    event, crowded = p["patient", "event"]["probability"], p["patient", "crowded"]["probability"]
    if event - crowded > 0.1 * event:
        return None
    whole = p[0, "obstruction"]
    gaps = p[0, "gaps"] / whole["weight"]
    ends, error = series_interval(model.mount, gaps, np.random.default_rng([seed, 5]))
    return {**whole, "low95": float(ends[0]), "high95": float(ends[1]), "ends_error": [float(e) for e in error]}


def look_result(of, p):
    return {"of": of, **{label: p[of, label]["probability"] for label in BRANCHES},
            "standard_error": {label: p[of, label]["standard_error"] for label in BRANCHES},
            **{key: p[of, key] for key in ("event_first_only", "event_look_only")}}


def alternative_result(plan, k, p):
    event = p[k, "event"] if k else p["patient", "event"]
    unrescued = p[k, "unrescued"] if k else event
    return {"name": plan.name, "event": event, "unrescued": unrescued, "obstruction": p[k, "obstruction"],
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
