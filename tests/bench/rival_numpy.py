#!/usr/bin/python3
"""The assessment of a case in vectorised numpy, written to be fast: how long a trial takes.

    rival_numpy.py CASE TRIALS [parts]    prints nanoseconds a trial and the event's probability; with parts, where they go

The model is that of tests/reference/reference.py, with what a careful author would do for speed: numpy's fastest
generator (SFC64), chunks that stay in the cache, cosines of differences through identities, each part computed once for
both landmarks, histograms instead of stored outputs. Outputs as slimmargin's: six continuous ones a side with mean, SD,
median and 95 % interval, the three probabilities by side and patient, and the event without the blooming correction.
Status 77 where numpy is not installed. SPDX-License-Identifier: GPL-3.0-or-later
"""
import math
import os
import sys
import time

from parts import Parts

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "reference"))
os.environ.setdefault("OMP_NUM_THREADS", "1")
try:
    import numpy as np
    import reference
except ImportError:
    sys.exit(77)

CHUNK, BINS = 8192, 4096     # the fastest of 2^11 to 2^17


def waves(tube):
    """Cosines and sines that all sides and landmarks share."""
    two_psi, three_post = 2 * tube["psi"], 3 * tube["post"]
    half = tube["ecc"] / 2
    tube["ecc_c"], tube["ecc_s"] = half * np.cos(two_psi), half * np.sin(two_psi)
    tube["post_c"], tube["post_s"] = np.cos(three_post), np.sin(three_post)
    tube["free"] = tube["nominal"] * (1 + tube["over"])
    tube["hold"] = tube["inner"] + tube["give"]
    return tube


def side_outputs(model, plan, tube, side, points):
    top = np.maximum(np.minimum(points["top"], tube["top"] + tube["overhang"]), tube["skirt"])
    oval = 1 + math.cos(2 * side.azimuth) * tube["ecc_c"] + math.sin(2 * side.azimuth) * tube["ecc_s"]
    third = math.cos(3 * side.azimuth) * tube["post_c"] + math.sin(3 * side.azimuth) * tube["post_s"]
    m = tube["mid"] + (1 - tube["mid"]) * (1 + third) / 2
    beyond = tube["mount"] * m + np.maximum(0, tube["thickness"] - model.reference_thickness)
    ring, shape, depth, height = (plan.valve["ring_height"], plan.implant["shape"], tube["depth"],
                                  plan.implant["frame_height"])
    span = np.maximum(tube["top"] - ring, 1e-9)

    def adjusted(x, y, h):
        z = np.minimum(h, top)
        share = np.clip((z - ring) / span, 0, 1)
        free = tube["free"] * np.interp((z + depth) / height, *np.transpose(shape)) if shape else tube["free"]
        waist = np.minimum(free, tube["hold"])
        dx = x - (tube["off"][0] + tube["cant"][0] * h)
        dy = y - (tube["off"][1] + tube["cant"][1] * h)
        return np.sqrt(dx * dx + dy * dy) - waist / 2 * oval - beyond - tube["flare"] * (free - waist) / 2 * share

    (x, y, h), (xs, ys, hs) = points["ostium"], points["stj"]
    ostium, stj, cover, reach = adjusted(x, y, h), adjusted(xs, ys, hs), top - h, top - hs
    crowded = (cover >= 0) & (ostium < model.ostium_limit)
    sealed = (reach >= 0) & (stj < model.stj_limit)
    half = side.circle / 2
    return (ostium, stj, np.sqrt(x * x + y * y) - half, np.sqrt(xs * xs + ys * ys) - half, cover, reach), crowded, sealed


def one_chunk(model, rng, n):
    """Outputs of each side, (crowded, sealed) of each side, and the event without the blooming correction."""
    plan = model.plans[0]
    scan = reference.draw_scan(model, rng, n)
    tube, _ = reference.draw_tube(plan, model.wrong, rng, n, scan.blooming)
    tube["nominal"] = plan.implant["nominal"]
    waves(tube)
    outputs, crossings, plain = [], [], np.zeros(n, bool)
    for side in model.sides:
        values, crowded, sealed = side_outputs(model, plan, tube, side, reference.ct_points(model, side, scan))
        outputs += values
        crossings.append((crowded, sealed))
        if model.corrected():
            _, c, s = side_outputs(model, plan, tube, side, reference.ct_points(model, side, scan, corrected=False))
            plain |= c | s
    return outputs, crossings, plain


class Spread:
    """Moments and a histogram over the pilot's mean plus and minus 8 SD."""

    def __init__(self, pilot):
        mean, sd = pilot.mean(), max(pilot.std(), 1e-9)
        self.low, self.scale = mean - 8 * sd, BINS / (16 * sd)
        self.sums, self.bins = np.zeros(3), np.zeros(BINS, np.int64)

    def add(self, y):
        place = (y - self.low) * self.scale
        self.sums += len(y), place.sum(), place @ place
        self.bins += np.bincount(np.clip(place, 0, BINS - 1).astype(np.int64), minlength=BINS)

    def summary(self):
        n, total, squares = self.sums
        below = np.cumsum(self.bins)
        edges = np.interp(np.array([0.025, 0.5, 0.975]) * n, below, np.arange(1, BINS + 1))
        return [total / n, math.sqrt(squares / n - (total / n) ** 2), *edges]


def assess(model, rng, trials):
    spreads = [Spread(y) for y in one_chunk(model, rng, CHUNK)[0]]
    hits, plain_hits, done = np.zeros((len(model.sides) + 1, 3), np.int64), 0, 0
    while done < trials:
        outputs, crossings, plain = one_chunk(model, rng, CHUNK)
        patient = [np.zeros(CHUNK, bool) for _ in range(3)]
        for k, (crowded, sealed) in enumerate(crossings):
            for i, flag in enumerate((crowded | sealed, crowded, sealed)):
                hits[k, i] += np.count_nonzero(flag)
                patient[i] |= flag
        hits[-1] += [np.count_nonzero(f) for f in patient]
        plain_hits += np.count_nonzero(plain)
        for spread, y in zip(spreads, outputs):
            spread.add(y)
        done += CHUNK
    return hits / done, plain_hits / done, [s.summary() for s in spreads], done


class Timed:
    """A generator whose draws can be timed (numpy's own takes no new attributes)."""

    def __init__(self, rng):
        for name in ("standard_normal", "random", "uniform", "triangular", "standard_t"):
            setattr(self, name, getattr(rng, name))


def timed_parts(rng):
    parts = Parts()
    for name in list(vars(rng)):
        parts.wrap(rng, name, "draws")
    parts.wrap(reference, "draw_scan", "plane and readings: from draws to the case's distributions")
    parts.wrap(reference, "draw_tube", "tube: the same")
    parts.wrap(reference, "ct_points", "landmarks in the plane's frame")
    parts.wrap(sys.modules[__name__], "waves", "cosines and sines")
    parts.wrap(sys.modules[__name__], "side_outputs", "clearances")
    parts.wrap(sys.modules[__name__], "assess", "counts")
    parts.wrap(Spread, "add", "moments and histograms")
    return parts


def main():
    model = reference.Model(sys.argv[1])
    rng = np.random.Generator(np.random.SFC64(1))
    parts = None
    if sys.argv[3:] == ["parts"]:
        rng = Timed(rng)
        parts = timed_parts(rng)
    start = time.perf_counter()
    hits, _, _, done = assess(model, rng, int(sys.argv[2]))
    print("%.1f %.5f" % ((time.perf_counter() - start) / done * 1e9, hits[-1][0]))
    if parts:
        parts.show(done)


if __name__ == "__main__":
    main()
