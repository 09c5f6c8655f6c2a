#!/usr/bin/env python3
"""The worth of re-reading one quantity for the choice among alternatives, by brute force, beside what `slimmargin weigh` says.

    weigh_choice.py CASE SIDE QUANTITY    e.g. scenarios/demo.json left ostium_gap    (CASE must state its readers' SDs, or take the defaults below)

The quantity is weighed as if known exactly at 24 readings, the midpoints of equal probability of its reader error; the least cost is taken at each.
Python's standard library only. SPDX-License-Identifier: GPL-3.0-or-later
"""
import copy
import json
import os
import subprocess
import sys
import tempfile
from statistics import NormalDist, fmean

TOTAL_SD = {"ostium_height": 0.8, "stj_height": 1.0, "leaflet_height": 1.0, "ostium_gap": 0.6, "stj_gap": 0.6}  # docs/facts.md
PROGRAM = os.environ.get("SLIMMARGIN", "build/slimmargin")
NODES, TRIALS = 24, 100000


def weigh(case, folder, trials):
    path = os.path.join(folder, "case.json")
    with open(path, "w") as f:
        json.dump(case, f)
    out = subprocess.run([PROGRAM, "weigh", path, "--trials", str(trials), "--no-context", "--json", "-"], check=True, capture_output=True)
    return json.loads(out.stdout)


def main(path, side, quantity):
    with open(path) as f:
        case = json.load(f)
    case.pop("profile", None)  # its SDs would be out of sight here
    read = case["coronaries"][side][quantity]
    if isinstance(read, (int, float)):
        read = {"readings_mm": {"A": [read]}}
    rows = read["readings_mm"].values()
    between = read.get("between_reader_sd_mm", TOTAL_SD[quantity] / 2 ** 0.5)
    repeat = read.get("repeat_sd_mm", TOTAL_SD[quantity] / 2 ** 0.5)
    sd = (between ** 2 / len(rows) + repeat ** 2 / len(rows) ** 2 * sum(1 / len(r) for r in rows)) ** 0.5  # model.md (3.2)
    estimate = fmean(fmean(r) for r in rows)
    costs = []
    with tempfile.TemporaryDirectory() as folder:
        for i in range(NODES):
            known = copy.deepcopy(case)
            reading = estimate + sd * NormalDist().inv_cdf((i + 0.5) / NODES)
            known["coronaries"][side][quantity] = {**read, "readings_mm": {"A": [reading]}, "between_reader_sd_mm": 0, "repeat_sd_mm": 0}
            costs.append([a["expected_cost"]["value"] for a in weigh(known, folder, TRIALS)["alternatives"]])
        said = {i["source"]: i["value"] for i in weigh(case, folder, 1000000)["choice"]["recheck"]}
    brute = min(map(fmean, zip(*costs))) - fmean(map(min, costs))
    print(f"{side}.{quantity}: brute force {brute:.4f}, weigh {said[f'{side}.{quantity}']['value']:.4f}")


if __name__ == "__main__":
    main(*sys.argv[1:4])
