#!/usr/bin/python3
"""Compare the C program with the independent reference on every scenario.

Differences are in combined standard errors; more than 5, a NaN, or a missing output fails. A case with second looks is
weighted: there the error of the program is the spread of REPEATS shorter runs of it, by other seeds.
"""
import argparse
import glob
import json
import math
import os
import statistics
import subprocess
import sys

sys.dont_write_bytecode = True
import reference  # noqa: E402

WORST = 5.0
FLOOR = 1e-5                 # mm: the reference stores outputs as 32-bit floats
REPEATS = 32                 # the spread of so many is known to 13 %
FEWEST = 20000               # trials of a repeat
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
    """Down a result; a part of a list goes by its name."""
    for key in keys:
        if isinstance(tree, list):
            tree = next((part for part in tree if key in (dig(part, "name"), dig(part, "of"))), None)
        else:
            tree = tree.get(key) if isinstance(tree, dict) else None
    return tree


class Given:
    """What the program gave, and its own error of each number."""

    def __init__(self, result, repeats=()):
        self.result, self.repeats = result, repeats
        self.trials = result["trials"]
        self.effective = dig(result, "effective_trials") or self.trials

    def at(self, *keys):
        return dig(self.result, *keys)

    def spread(self, *keys, of=lambda x: x):
        """Between the repeats, brought to the trials of the run."""
        values = [of(dig(r, *keys)) for r in self.repeats]
        if not all(map(is_number, values)):
            return math.nan
        return statistics.stdev(values) * math.sqrt(self.repeats[0]["trials"] / self.trials)

    def probability_error(self, *keys):
        p = self.at(*keys, "probability")
        if not self.repeats or not is_number(p):
            return binomial_error(p, self.trials) if is_number(p) else math.nan
        return max(self.spread(*keys, "probability"), 1 / self.effective)

    def unsure(self, p):
        """By how much the spread of the repeats may itself be wrong, relative, one standard error."""
        hits = p * (1 - p) * self.effective * self.repeats[0]["trials"] / self.trials
        return math.sqrt(1 / (2 * (REPEATS - 1)) + 1 / (4 * REPEATS * hits))


def binomial_error(p, n):
    """Own standard error of an estimate, with the floor 1/n; NaN stays NaN."""
    return max(math.sqrt(p * (1 - p) / n), 1 / n) if 0 <= p <= 1 else math.nan


def reference_error(ref):
    """Standard error of a probability of the reference, weighted or not."""
    return max(ref["standard_error"], 1 / ref["effective_trials"])


def compare_probability(table, scenario, output, given, ref, *keys):
    p = given.at(*keys, "probability")
    table.number(scenario, output, p, ref["probability"],
                 math.hypot(given.probability_error(*keys), reference_error(ref)))
    if is_number(p) and 0 <= p <= 1:
        compare_stated_error(table, scenario, output + ".standard_error", given, p, *keys)


def compare_stated_error(table, scenario, output, given, p, *keys):
    stated = given.at(*keys, "standard_error")
    if not given.repeats:
        own = math.sqrt(p * (1 - p) / given.trials)
        table.number(scenario, output, stated, own, 0.0, WORST * 0.01 * own + 1e-9)
    elif 0 < p < 1:
        own = given.spread(*keys, "probability")
        table.number(scenario, output, stated, own, own * given.unsure(p), 1e-9)


def unstable_moments(dof):
    """Moments whose estimates do not settle when a t error has so few degrees of freedom."""
    if dof is None or dof > 4:
        return ()
    return ("sd",) if dof > 2 else ("mean", "sd")


def compare_continuous(table, scenario, output, given, ref, scale, *keys):
    """scale: standard error of the difference over that of the reference, where nothing is weighted."""
    def error(key, name, of=lambda x: x):
        own = ref["standard_error"][key]
        return math.hypot(own, given.spread(*keys, name, of=of)) if given.repeats else own * scale
    skipped = unstable_moments(ref["smallest_dof"])
    for key in ("mean", "sd", "median", "low95", "high95"):
        if key in skipped:
            print(f"{scenario:24} {output + '.' + key:48} not compared: that moment of a t error is not stable")
            continue
        table.number(scenario, f"{output}.{key}", given.at(*keys, key), ref[key], error(key, key), FLOOR)
    table.number(scenario, output + ".shortest95 length", length(given.at(*keys, "shortest95")),
                 length(ref["shortest95"]), error("shortest95_length", "shortest95", length), FLOOR)


def length(ends):
    valid = isinstance(ends, list) and len(ends) == 2 and all(map(is_number, ends))
    return ends[1] - ends[0] if valid else None


def compare_effective(table, scenario, given):
    """Stated at all, not more than the trials, and the same share of them as in the repeats."""
    n = given.at("effective_trials")
    table.row(scenario, "effective_trials", n, given.trials, is_number(n) and 0 < n <= given.trials, "at most")
    shares = [dig(r, "effective_trials") for r in given.repeats]
    if is_number(n) and all(map(is_number, shares)):
        shorter = given.repeats[0]["trials"]
        shares = [share / shorter for share in shares]
        table.number(scenario, "effective_trials, share", n / given.trials, statistics.fmean(shares),
                     statistics.stdev(shares) * math.sqrt(1 / len(shares) + shorter / given.trials))


def compare_looks(table, scenario, given, ref):
    names = [look["of"] for look in ref["looks"]]
    table.same(scenario, "looks", " ".join(str(dig(look, "of")) for look in given.at("looks") or []), " ".join(names))
    if names:
        compare_effective(table, scenario, given)
    else:
        table.same(scenario, "effective_trials", given.effective, given.trials)
    for look in ref["looks"]:
        at = "looks", look["of"]
        for key in reference.BRANCHES:
            error = math.hypot(max(look["standard_error"][key], 1 / ref["effective_trials"]), given.spread(*at, key))
            table.number(scenario, f"{'.'.join(at)}.{key}", given.at(*at, key), look[key], error)
        for key in ("event_first_only", "event_look_only"):
            compare_probability(table, scenario, f"{'.'.join(at)}.{key}", given, look[key], *at, key)


def compare_assessment(table, scenario, given, ref):
    scale = math.sqrt(1 + ref["trials"] / given.trials)
    for key in EVENTS:
        compare_probability(table, scenario, "patient." + key, given, ref["patient"][key], "patient", key)
    key = "event_without_blooming_correction"
    if ref["patient"][key] is None:
        table.same(scenario, "patient." + key, given.at("patient", key), None)
    else:
        compare_probability(table, scenario, "patient." + key, given, ref["patient"][key], "patient", key)
    compare_population(table, scenario, given, ref["patient"]["event_in_population"])
    table.same(scenario, "coronaries", " ".join(given.at("coronaries") or {}), " ".join(ref["coronaries"]))
    for side, part in ref["coronaries"].items():
        for key in EVENTS:
            compare_probability(table, scenario, f"{side}.{key}", given, part[key], "coronaries", side, key)
        for key in reference.OUTPUTS:
            compare_continuous(table, scenario, f"{side}.{key}", given, part[key], scale, "coronaries", side, key)
    compare_obstruction(table, scenario, given, ref["patient"]["obstruction"])
    compare_looks(table, scenario, given, ref)


def compare_population(table, scenario, given, ref):
    keys = "patient", "event_in_population"
    error = given.probability_error(*keys) if given.repeats else given.at(*keys, "standard_error") or math.nan
    table.number(scenario, ".".join(keys), given.at(*keys, "probability"), ref["probability"],
                 math.hypot(reference_error(ref), error))


def compare_obstruction(table, scenario, given, ref):
    """model.md 7.2; the program's ends rest on 1,000 curves, and so do each of the reference's repeats."""
    at = "patient", "obstruction"
    if ref is None:
        return table.same(scenario, ".".join(at), given.at(*at), None)
    table.number(scenario, ".".join(at), given.at(*at, "probability"), ref["probability"],
                 math.hypot(reference_error(ref), given.at(*at, "standard_error") or math.nan), 2e-5)
    for key, error in zip(("low95", "high95"), ref["ends_error"]):
        table.number(scenario, ".".join(at) + "." + key, given.at(*at, key), ref[key], error)
    return None


def compare_alternatives(table, scenario, given, ref):
    for part in ref["alternatives"]:
        name = part["name"]
        for key in ("event", "unrescued"):
            compare_probability(table, scenario, f"[{name[:30]}].{key}", given, part[key], "alternatives", name, key)
        at = "alternatives", name
        told = given.at(*at, "obstruction")
        if told is not None:
            table.number(scenario, f"[{name[:30]}].obstruction", told["probability"], part["obstruction"]["probability"],
                         math.hypot(reference_error(part["obstruction"]), told["standard_error"]), 2e-5)
        error = math.hypot(reference_error(part["unrescued"]), given.probability_error(*at, "unrescued"))
        table.number(scenario, f"[{name[:30]}].expected_cost", given.at(*at, "expected_cost", "value"),
                     part["expected_cost"]["value"], error)


def run_program(program, command, path, trials, seed):
    """(exit status, result or None, what the program said)."""
    done = subprocess.run([program, command, path, "--trials", str(trials), "--seed", str(seed), "--json", "-"],
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        return done.returncode, json.loads(done.stdout) if done.returncode == 0 else None, done.stderr
    except ValueError as e:
        return done.returncode, None, f"not JSON: {e}"


def repeated(command, path, args, weighted):
    """Shorter runs by other seeds, of a case that is weighted."""
    trials = max(FEWEST, args.trials // REPEATS)
    seeds = range(args.seed + 1, args.seed + 1 + REPEATS) if weighted else ()
    return [run_program(args.program, command, path, trials, seed)[1] for seed in seeds]


def given_by(table, scenario, command, path, args, weighted):
    """What the program gave, or None, and then a failure."""
    status, c, said = run_program(args.program, command, path, args.trials, args.seed)
    if c is None and not (command == "weigh" and status == USAGE):
        table.row(scenario, command, f"status {status}", "status 0", False, "")
        print(said.strip())
    elif c is None:
        print(f"{scenario:24} alternatives skipped: the program has no weigh command")
    repeats = repeated(command, path, args, weighted) if c else []
    if None in repeats:
        table.row(scenario, command, "a repeat failed", "status 0", False, "")
        return None
    return Given(c, repeats) if c else None


def compare_scenario(table, path, args):
    scenario = os.path.splitext(os.path.basename(path))[0]
    weighted = bool(reference.Model(path).all_looks())
    given = given_by(table, scenario, "assess", path, args, weighted)
    if given is None:
        return
    ref = reference.assess(path, args.reference_trials or 2 * args.trials, args.seed)
    compare_assessment(table, scenario, given, ref)
    if len(ref["alternatives"]) == 1:
        return
    if given.at("alternatives") is None:
        given = given_by(table, scenario, "weigh", path, args, weighted)
    if given:
        compare_alternatives(table, scenario, given, ref)


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
