#!/usr/bin/python3
"""Compare the C program with the independent reference on every scenario.

Differences are in combined standard errors; more than 5, a NaN, or a missing output fails.
"""
import argparse
import glob
import json
import math
import os
import subprocess
import sys

sys.dont_write_bytecode = True
import reference  # noqa: E402

WORST = 5.0
FLOOR = 1e-5                 # mm, and for chi2: the reference stores outputs as 32-bit floats
PILOT_TRIALS = 1 << 18       # of the C program, docs/model.md 3.1
EVENTS = ("event", "crowded", "sealed")
USAGE = 1                    # exit status of a command that does not exist


class Table:
    def __init__(self):
        self.passed = self.failed = 0
        print(f"{'scenario':24} {'output':48} {'C':>13} {'reference':>13} {'difference/SE':>13}")

    def row(self, scenario, output, c, ref, good, difference):
        self.passed, self.failed = self.passed + good, self.failed + (not good)
        verdict = "" if good else "  FAILED"
        print(f"{scenario:24} {output:48} {show(c)} {show(ref)} {show(difference)}{verdict}")

    def number(self, scenario, output, c, ref, error, floor=0.0):
        """One number against another with the combined standard error."""
        if not is_number(c):
            return self.row(scenario, output, c, ref, False, "missing")
        allowed = WORST * error + floor
        z = 0.0 if c == ref else abs(c - ref) * WORST / allowed if allowed > 0 else math.inf
        self.row(scenario, output, c, ref, bool(z <= WORST), z)              # false for a NaN

    def same(self, scenario, output, c, ref):
        self.row(scenario, output, c, ref, c == ref, "")


def show(x):
    return f"{x:13.6g}" if is_number(x) else f"{str(x):>13}"


def is_number(x):
    return isinstance(x, (int, float)) and not isinstance(x, bool)


def dig(tree, *keys):
    for key in keys:
        tree = tree.get(key) if isinstance(tree, dict) else None
    return tree


def binomial_error(p, n):
    """Own standard error of an estimate, with the floor 1/n; NaN stays NaN."""
    return max(math.sqrt(p * (1 - p) / n), 1 / n) if 0 <= p <= 1 else math.nan


def compare_probability(table, scenario, output, c, ref, n_c, n_ref):
    p, value = dig(c, "probability"), ref["probability"]
    error = math.hypot(binomial_error(p, n_c), binomial_error(value, n_ref)) if is_number(p) else math.nan
    table.number(scenario, output, p, value, error)
    if is_number(p) and 0 <= p <= 1:
        stated, own = dig(c, "standard_error"), math.sqrt(p * (1 - p) / n_c)
        table.number(scenario, output + ".standard_error", stated, own, 0.0, WORST * 0.01 * own + 1e-9)


def compare_continuous(table, scenario, output, c, ref, scale):
    """scale: standard error of the difference over that of the reference."""
    skipped = unstable_moments(ref["smallest_dof"])
    for key in ("mean", "sd", "median", "low95", "high95"):
        if key in skipped:
            print(f"{scenario:24} {output + '.' + key:48} not compared: that moment of a t error is not stable")
            continue
        table.number(scenario, f"{output}.{key}", dig(c, key), ref[key], ref["standard_error"][key] * scale, FLOOR)
    ends = dig(c, "shortest95")
    valid = isinstance(ends, list) and len(ends) == 2 and all(map(is_number, ends))
    table.number(scenario, output + ".shortest95 length", ends[1] - ends[0] if valid else None,
                 ref["shortest95"][1] - ref["shortest95"][0],
                 ref["standard_error"]["shortest95_length"] * scale, FLOOR)


def compare_check(table, scenario, output, c, ref, n_c, n_ref, pilot_ref):
    scale = math.sqrt(1 + pilot_ref / PILOT_TRIALS)
    table.number(scenario, output + ".chi2", dig(c, "chi2"), ref["chi2"], ref["chi2_standard_error"] * scale, FLOOR)
    table.same(scenario, output + ".conflict", dig(c, "conflict"), ref["conflict"])
    for key in ("event_ct_only", "event_other_only"):
        if dig(c, key) is None and not ref["conflict"]:
            print(f"{scenario:24} {output + '.' + key:48} not given by C: no conflict")
            continue
        compare_probability(table, scenario, f"{output}.{key}", dig(c, key), ref[key], n_c, n_ref)


def unstable_moments(dof):
    """Moments whose estimates do not settle when a t error has so few degrees of freedom."""
    if dof is None or dof > 4:
        return ()
    return ("sd",) if dof > 2 else ("mean", "sd")


def compare_assessment(table, scenario, c, ref):
    n_c, n_ref = c["trials"], ref["trials"]
    scale = math.sqrt(1 + n_ref / n_c)
    for key in EVENTS:
        compare_probability(table, scenario, "patient." + key, dig(c, "patient", key), ref["patient"][key], n_c, n_ref)
    key = "event_without_blooming_correction"
    if ref["patient"][key] is None:
        table.same(scenario, "patient." + key, dig(c, "patient", key), None)
    else:
        compare_probability(table, scenario, "patient." + key, dig(c, "patient", key), ref["patient"][key], n_c, n_ref)
    key = "event_in_population"
    theirs = dig(c, "patient", key)
    table.number(scenario, "patient." + key, dig(theirs, "probability"), ref["patient"][key]["probability"],
                 math.hypot(ref["patient"][key]["standard_error"], dig(theirs, "standard_error") or math.nan))
    table.same(scenario, "coronaries", " ".join(dig(c, "coronaries") or {}), " ".join(ref["coronaries"]))
    for side, part in ref["coronaries"].items():
        there = dig(c, "coronaries", side)
        for key in EVENTS:
            compare_probability(table, scenario, f"{side}.{key}", dig(there, key), part[key], n_c, n_ref)
        for key in reference.OUTPUTS:
            compare_continuous(table, scenario, f"{side}.{key}", dig(there, key), part[key], scale)
        for gap, check in part.get("cross_check", {}).items():
            compare_check(table, scenario, f"{side}.{gap}", dig(there, "cross_check", gap), check,
                          n_c, n_ref, ref["pilot_trials"])


def compare_alternatives(table, scenario, c, ref):
    n_c, n_ref = c["trials"], ref["trials"]
    theirs = {a["name"]: a for a in c.get("alternatives") or []}
    for part in ref["alternatives"]:
        name, there = part["name"], theirs.get(part["name"])
        for key in ("event", "unrescued"):
            compare_probability(table, scenario, f"[{name[:30]}].{key}", dig(there, key), part[key], n_c, n_ref)
        p, cost = dig(there, "unrescued", "probability"), dig(there, "expected_cost", "value")
        error = math.hypot(binomial_error(p, n_c), binomial_error(part["unrescued"]["probability"], n_ref)) \
            if is_number(p) else math.nan
        table.number(scenario, f"[{name[:30]}].expected_cost", cost, part["expected_cost"]["value"], error)


def run_program(program, command, path, trials, seed):
    """(exit status, result or None, what the program said)."""
    done = subprocess.run([program, command, path, "--trials", str(trials), "--seed", str(seed), "--json", "-"],
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        return done.returncode, json.loads(done.stdout) if done.returncode == 0 else None, done.stderr
    except ValueError as e:
        return done.returncode, None, f"not JSON: {e}"


def compare_scenario(table, path, args):
    scenario = os.path.splitext(os.path.basename(path))[0]
    status, c, said = run_program(args.program, "assess", path, args.trials, args.seed)
    if c is None:
        table.row(scenario, "assess", f"status {status}", "status 0", False, "")
        print(said.strip())
        return
    ref = reference.assess(path, args.reference_trials or 2 * args.trials, args.seed)
    compare_assessment(table, scenario, c, ref)
    if len(ref["alternatives"]) == 1:
        return
    if "alternatives" not in c:
        status, c, said = run_program(args.program, "weigh", path, args.trials, args.seed)
        if status == USAGE:
            print(f"{scenario:24} alternatives skipped: the program has no weigh command")
            return
        if c is None:
            table.row(scenario, "weigh", f"status {status}", "status 0", False, "")
            print(said.strip())
            return
    compare_alternatives(table, scenario, c, ref)


def is_case(path):
    try:
        with open(path, encoding="utf-8") as f:
            return json.load(f).get("format") == "slimmargin-case-1"
    except (ValueError, AttributeError):
        return False


def main():
    here = os.path.dirname(os.path.abspath(__file__))
    root = os.path.dirname(os.path.dirname(here))
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--program", default=os.path.join(root, "build", "slimmargin"))
    parser.add_argument("--scenarios", default=os.path.join(root, "scenarios"))
    parser.add_argument("--trials", type=int, default=1000000, help="of the C program")
    parser.add_argument("--reference-trials", type=int, default=0, help="default: twice --trials")
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    table = Table()
    for path in sorted(glob.glob(os.path.join(args.scenarios, "*.json"))):
        if is_case(path):
            compare_scenario(table, path, args)
        else:
            print(f"{os.path.basename(path):24} skipped: not a case")
    print(f"{table.passed} passed, {table.failed} failed")
    return 1 if table.failed or not table.passed else 0


if __name__ == "__main__":
    sys.exit(main())
