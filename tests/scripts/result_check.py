"""Checks a result file against docs/schema/result.schema.json, and every number of the text against the result.

    result_check.py RESULT TEXT [first]

first: the text is the first screen, and no more.

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


def rare(p, n, contrary=False):
    """Less than half a trial of n: counted ones are then 0, sharp points may know a smaller number."""
    return (1 - p["probability"] if contrary else p["probability"]) * n < 0.5


def check_words(words, p, where):
    """"about 25 of 100", "25 of 100" and their other forms."""
    n = [float(x.replace(",", "")) for x in re.findall(NUMBER, words)]
    if "fewer than 3" in words or "<3" in words:
        ok = rare(p, n[-1], "all but" in words)
    elif len(n) == 3:
        ok = n[0] / n[2] <= p["ci95"][0] and p["ci95"][1] <= n[1] / n[2]
    else:
        ok = abs(n[0] - p["probability"] * n[1]) <= 0.5 + 1e-9
    if not ok:
        faults.append(f"{where}: {words!r} is not {p['probability']}")


def own_error(p):
    """By how much of 100 the run may be off, to the further end."""
    return 100 * max(p["ci95"][1] - p["probability"], p["probability"] - p["ci95"][0])


def near_digit(where, shown, true, what):
    """One digit that counts."""
    if f"{float(f'{true:.1g}'):g}" != f"{float(shown):g}":
        faults.append(f"{where}: {what} {shown} is not {true}")


def check_frequencies(result, text):
    rows = [m for line in lines_of(text, "Of 100 roots read like this, truly so")
            if (m := re.search(rf"(<?{NUMBER})\s+\+-({NUMBER})  (\S.*)$", line))]
    groups = [result["patient"]] + list(result["coronaries"].values())
    wanted = [g[key] for g in groups for key in ("event", "crowded", "sealed") if g[key]]
    if result["patient"]["event_without_blooming_correction"]:
        wanted.append(result["patient"]["event_without_blooming_correction"])
    if len(rows) != len(wanted):
        faults.append(f"frequencies: {len(rows)} rows, wanted {len(wanted)}")
    for m, p in zip(rows, wanted):
        if m.group(1).startswith("<"):
            if not rare(p, 300 / float(m.group(1)[1:]) / 1.5):  # the number is rounded to one digit
                faults.append(f"{m.group(0)}: is not 0")
        else:
            near(m.group(0), m.group(1), 100 * p["probability"], "of 100")
        near_digit(m.group(0), m.group(2), own_error(p), "the run alone")
        check_words(m.group(3), p, "in round numbers")


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


FORMS = {"above": r"Above your line", "below": r"Below your line", "open": r"Open, [^:]*",
         "above_hangs_on": r"Above your line, but it hangs on [^:]*", "below_hangs_on": r"Below your line, but it hangs on [^:]*"}


def check_call(result, text):
    after = text.partition("\nRead as: ")[2].split("\n\n")[1:]
    block = next((" ".join(part.split()) for part in after if "roots read like this truly" in " ".join(part.split())), "")
    call = result["decision"]["call"]
    headline = re.search(rf"(?:^|[.:] ){FORMS[call] + ': ' if call else ''}([Aa]bout|[Bb]etween|[Ff]ewer|[Aa]ll but)(.*?) roots read like this truly",
                         block)
    if not headline:
        faults.append(f"no headline of the call {call}: {block[:200]!r}")
        return
    check_words(headline.group(1) + headline.group(2), result["patient"]["event"], "headline")
    known = re.search(rf"knows its own number to \+-({NUMBER}) of 100", " ".join(text.split()))
    p = result["patient"]["event"]
    if re.search(r"^The call (──|--)", text, re.M):
        if not known:
            faults.append("how well the run knows its own number is not told")
        else:
            near_digit(known.group(0), known.group(1), own_error(p), "the call")


def check_range(words, low, high, where):
    """"4 to 31", "below 0.1 to 3"."""
    ends = re.split(r" to ", words)
    for said, true in zip(ends * (2 if len(ends) == 1 else 1), (low, high)):
        if said.startswith("below"):
            ok = 100 * true < 0.05 + 1e-9
        elif said.startswith("above"):
            ok = 100 * true > 99.95 - 1e-9
        else:
            decimals = len(said.partition(".")[2])
            ok = abs(float(said) - 100 * true) <= 0.5 * 10 ** -decimals * (1 + 1e-9) and float(said) > 0
        if not ok:
            faults.append(f"{where}: {words!r} is not {100 * low} to {100 * high}")


def check_settings(result, text):
    """The two ranges, each under its own name, and what would turn the call."""
    flat, s = " ".join(text.split()), result["decision"]["settings"]
    number = rf"(?:below |above )?{NUMBER}"
    drawn = re.search(rf"settings: ({number}(?: to {number})?)", flat)
    if s and s["n"] and not drawn:
        faults.append("the settings are not on the ruler")
    if drawn:
        check_range(drawn.group(1), s["low90"], s["high90"], "settings on the ruler")
    told = re.search(rf"drawn anew, ({number}(?: to {number})?) of 100 in 90 of 100 settings", flat)
    if told:
        check_range(told.group(1), s["low90"], s["high90"], "settings")
    for outer in re.findall(rf"Least and most of all: ({number}(?: to {number})?)\\.", flat):
        check_range(outer, s["least"], s["most"], "outer range under the ruler")
    outer = re.search(rf"alone or together: ({number}(?: to {number})?)\.", flat)
    if outer:
        check_range(outer.group(1), s["least"], s["most"], "outer range")
    stays = re.search(rf"[Tt]he call stays in ({NUMBER}) of 100", flat)
    if stays:
        near(stays.group(0), stays.group(1), 100 * s["same_call"], "the call stays")
    turns = result["decision"]["could_turn"]
    rows = re.findall(r"\(taken: [^)]*\)", flat)
    if len(rows) != min(3, len(turns)):
        faults.append(f"{len(rows)} of {len(turns)} that turn the call are told")


def check_head(result, text):
    sharp = rf"{result['sharp']['points']:,} sharp points, " if "sharp" in result else ""
    m = re.search(rf"case (\S+) +({NUMBER}) trials, {sharp}seed (\d+)", text)
    if not m or m.group(1) != result["case"] or int(m.group(2).replace(",", "")) != result["trials"] \
            or int(m.group(3)) != result["seed"]:
        faults.append(f"the head is not that of the result: {m and m.group(0)}")
    flat = " ".join(text.split())
    for warning in result["warnings"] if "first" not in sys.argv[3:] else []:
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
        check_settings(result, text)
        if "first" in sys.argv[3:]:
            lines = text.count("\n")
            if lines > 40 and not any(not u["confirmed"] for u in result["unusual"]) and "opposed" not in text:
                faults.append(f"the first screen has {lines} lines")
            return tell()
        check_spreads(result, text, "Room beside the ostium", "ostium_clearance_mm", "conventional_ostium_mm")
        check_spreads(result, text, "Room at the sinotubular junction", "stj_clearance_mm", "conventional_stj_mm")
        check_spreads(result, text, "Tube above the lower edge", "cover_mm")
        check_spreads(result, text, "Tube above the sinotubular junction", "reach_mm")
        check_frequencies(result, text)
    return tell()


def tell():
    for fault in faults:
        print(fault)
    return bool(faults)


sys.exit(main())
