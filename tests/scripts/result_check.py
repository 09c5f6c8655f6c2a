"""Checks a result file against docs/schema/result.schema.json, and every number of the text against the result.

    result_check.py RESULT TEXT

Prints each fault; status 1 if there is one. SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import re
import sys
from pathlib import Path

from jsonschema import Draft202012Validator

SCHEMA = Path(__file__).resolve().parents[2] / "docs/schema/result.schema.json"
NUMBER = r"-?\d[\d,]*(?:\.\d+)?"
faults = []


def near(words, shown, true, where):
    """shown is true, rounded to the digits that are shown."""
    decimals = len(shown.partition(".")[2])
    if abs(float(shown.replace(",", "")) - true) > 0.5 * 10 ** -decimals * (1 + 1e-9):
        faults.append(f"{where}: the text says {shown}, the result {true} ({words.strip()})")


def lines_of(text, title):
    """The lines under a title up to the next title; the tables of the text start with a rule in their title line."""
    section = re.search(rf"^{re.escape(title)}[^\n]*\n(.*?)(?=^\S[^\n]*(?:──|--)\n|\Z)", text, re.S | re.M)
    if not section:
        faults.append(f"no section {title!r}")
        return []
    return section.group(1).splitlines()


def check_spreads(result, text, title, output, beside=None):
    row = re.compile(rf"({NUMBER})\s+({NUMBER})\s+({NUMBER}) to ({NUMBER})$")
    rows = [(line, m) for line in lines_of(text, title) if (m := row.search(line))]
    sides = [side for side in result["coronaries"].values() if side[output]]  # null: no coronary leaves that sinus
    wanted = [side[name] for side in sides for name in [output] + ([beside] if beside else [])]
    if len(rows) != len(wanted):
        faults.append(f"{title}: {len(rows)} rows, wanted {len(wanted)}")
    for (line, m), c in zip(rows, wanted):
        for shown, key in zip(m.groups(), ("median", "mean", "low95", "high95")):
            near(line, shown, c[key], f"{title} {key}")
    if beside:
        means = [side[beside]["mean"] - side[output]["mean"] for side in sides]
        said = re.findall(rf"({NUMBER}) mm (more|less) \(", " ".join(lines_of(text, title)))
        for (shown, more), mean in zip(said, means):
            near(f"{shown} mm {more}", ("" if more == "more" else "-") + shown, mean, title)
        if len(said) != len(means):
            faults.append(f"{title}: what the tube takes is not said for every side")


def check_words(words, p, where):
    """"about 25 of 100", "25 of 100" and their other forms."""
    n = [float(x.replace(",", "")) for x in re.findall(NUMBER, words)]
    if "fewer than 3" in words or "<3" in words:
        ok = p["probability"] == (1 if "all but" in words else 0)
    elif len(n) == 3:
        ok = n[0] / n[2] <= p["ci95"][0] and p["ci95"][1] <= n[1] / n[2]
    else:
        ok = abs(n[0] - p["probability"] * n[1]) <= 0.5 + 1e-9
    if not ok:
        faults.append(f"{where}: {words!r} is not {p['probability']}")


def check_frequencies(result, text):
    rows = [m for line in lines_of(text, "Of 100 roots read like this, truly so")
            if (m := re.search(rf"(<?{NUMBER})\s+({NUMBER}) to ({NUMBER})  (\S.*)$", line))]
    groups = [result["patient"]] + list(result["coronaries"].values())
    wanted = [g[key] for g in groups for key in ("event", "crowded", "sealed") if g[key]]
    if result["patient"]["event_without_blooming_correction"]:
        wanted.append(result["patient"]["event_without_blooming_correction"])
    if len(rows) != len(wanted):
        faults.append(f"frequencies: {len(rows)} rows, wanted {len(wanted)}")
    for m, p in zip(rows, wanted):
        if m.group(1).startswith("<"):
            if p["probability"] != 0:
                faults.append(f"{m.group(0)}: is not 0")
        else:
            near(m.group(0), m.group(1), 100 * p["probability"], "of 100")
        near(m.group(0), m.group(2), 100 * p["ci95"][0], "low end")
        near(m.group(0), m.group(3), 100 * p["ci95"][1], "high end")
        check_words(m.group(4), p, "in round numbers")


def check_unusual(result, text):
    """What is unusual stands before all else, with its numbers."""
    before = " ".join(text.partition("Read as: ")[0].split())
    for u in result["unusual"]:
        said = re.search(re.escape(f"{u['what'][0].upper()}{u['what'][1:]}: ") + rf"({NUMBER}) \S+; usual are ({NUMBER}) to ({NUMBER})\. ",
                         before)
        if bool(said) == u["confirmed"]:
            faults.append(f"{u['name']}: {'told' if said else 'not told'} at the top")
        for shown, true in zip(said.groups() if said else (), (u["value"], *u["usual"])):
            near(said.group(0), shown, true, u["name"])


def check_call(result, text):
    headline = re.search(r"^((?:Above|Below) your line|Unresolved[^:]*)?:? ?((?:[Aa]bout|[Bb]etween|[Ff]ewer|[Aa]ll but).*?) "
                         r"roots read like this truly", " ".join(text.partition("\nRead as: ")[2].split("\n\n")[1].splitlines()))
    call = result["decision"]["call"]
    if not headline:
        faults.append("no headline")
        return
    if not (headline.group(1) or "none").lower().startswith(call or "none"):
        faults.append(f"the headline {headline.group(0)!r} is not the call {call}")
    check_words(headline.group(2), result["patient"]["event"], "headline")
    said = " ".join(lines_of(text, "The call"))
    interval = re.search(rf"({NUMBER}) to ({NUMBER}) of 100,", said)
    if call and interval:
        near(said, interval.group(1), 100 * result["decision"]["interval"][0], "the call, low end")
        near(said, interval.group(2), 100 * result["decision"]["interval"][1], "the call, high end")
    elif call:
        faults.append("the call shows no interval")


def check_head(result, text):
    m = re.search(rf"case (\S+) +({NUMBER}) trials, seed (\d+)", text)
    if not m or m.group(1) != result["case"] or int(m.group(2).replace(",", "")) != result["trials"] \
            or int(m.group(3)) != result["seed"]:
        faults.append(f"the head is not that of the result: {m and m.group(0)}")
    flat = " ".join(text.split())
    for warning in result["warnings"]:
        if " ".join(warning.split()) not in flat:
            faults.append(f"a warning is missing in the text: {warning}")


def main():
    result = json.loads(Path(sys.argv[1]).read_text())
    for error in Draft202012Validator(json.loads(SCHEMA.read_text())).iter_errors(result):
        faults.append(f"schema: /{'/'.join(map(str, error.absolute_path))}: {error.message}")
    if len(sys.argv) > 2:
        text = Path(sys.argv[2]).read_text()
        check_head(result, text)
        check_unusual(result, text)
        check_call(result, text)
        check_spreads(result, text, "Room beside the ostium", "ostium_clearance_mm", "conventional_ostium_mm")
        check_spreads(result, text, "Room at the sinotubular junction", "stj_clearance_mm", "conventional_stj_mm")
        check_spreads(result, text, "Tube above the lower edge", "cover_mm")
        check_spreads(result, text, "Tube above the sinotubular junction", "reach_mm")
        check_frequencies(result, text)
    for fault in faults:
        print(fault)
    return bool(faults)


sys.exit(main())
