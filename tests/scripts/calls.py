"""On generated cases, every command makes the same call and says the same of what it hangs on.

    calls.py PROGRAM FOLDER [N]

The cases are drawn about the usual values of docs/slips.md; each has an alternative, so that all commands run. Prints each
fault; status 1 if there is one, or if the cases do not show every form of the call that a case without looks can have.
SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import random
import subprocess
import sys
from collections import Counter

program, folder, n = sys.argv[1], sys.argv[2], int(sys.argv[3]) if len(sys.argv) > 3 else 12
COMMANDS = {"recheck": ["recheck"], "weigh": ["weigh"], "sweep": ["sweep", "--all"], "report": ["report", "-o", f"{folder}/page.html"]}
faults = []


def case(rng, i):
    ring = rng.uniform(19, 24)
    side = {}
    for name, azimuth, height in (("left", 35, 10.5), ("right", 160, 13)):
        side[name] = {"azimuth_deg": azimuth, "circle_mm": round(ring + 0.3, 1),
                      "ostium_height": round(rng.gauss(height, 2), 1), "stj_height": round(rng.uniform(19, 23), 1),
                      "ostium_gap": {"readings_mm": {"A": [round(rng.uniform(3.5, 8), 1)]}, "bloom_edges": rng.choice([0, -1])},
                      "stj_gap": round(rng.uniform(2, 6), 1), "leaflet_height": round(rng.uniform(12, 16), 1)}
    return {"format": "slimmargin-case-1", "case": f"made-{i}", "action_line": rng.choice([0.1, 0.2, 0.3]), "coronaries": side,
            "surgical_valve": {"leaflet_mount": rng.choice(["internal", "external", "stentless"]),
                               "inner_diameter_mm": {"normal": {"mean": round(ring, 1), "sd": 0.3}}},
            "implant": {"expansion": rng.choice(["balloon", "self"]), "nominal_diameter_mm": round(ring * rng.uniform(1.02, 1.2), 1),
                        "frame_height_mm": 20, "skirt_height_mm": 9, "implant_depth_mm": {"normal": {"mean": 4, "sd": 1}}},
            "limits": {"published_set": rng.choice(["planning", "after_implant"])},
            "alternatives": [{"name": "smaller", "implant": {"nominal_diameter_mm": round(ring, 1)}, "burden": 0.02}]}


def decision(command, path):
    run = subprocess.run([program, command[0], path, *command[1:], "--trials", "32768", "--json", f"{folder}/result"],
                         capture_output=True, encoding="utf-8")
    if run.returncode:
        faults.append(f"{command}: {run.stderr}")
        return {}, ""
    text = run.stdout or open(f"{folder}/page.html", encoding="utf-8").read()
    return json.load(open(f"{folder}/result", encoding="utf-8"))["decision"], " ".join(text.split())


WORDS = {"above": "bove your line: ", "below": "elow your line: ", "open": "pen, ",
         "above_hangs_on": "bove your line, but it hangs on ", "below_hangs_on": "elow your line, but it hangs on "}


def main():
    rng = random.Random(18)
    forms = Counter()
    for i in range(n):
        path = f"{folder}/made.json"
        json.dump(case(rng, i), open(path, "w", encoding="utf-8"))
        wanted, text = decision(["assess"], path)
        forms[wanted.get("call")] += 1
        if WORDS[wanted["call"]] not in text:
            faults.append(f"made-{i}: assess does not say {wanted['call']}")
        for name, command in COMMANDS.items():
            got, text = decision(command, path)
            if got != wanted:
                faults.append(f"made-{i}: {name} differs in {[k for k in wanted if got.get(k) != wanted[k]]}")
            if WORDS[wanted["call"]] not in text:
                faults.append(f"made-{i}: {name} does not say {wanted['call']}")
    print(dict(forms))
    if n >= 100 and len(forms) < 4:
        faults.append(f"only the forms {dict(forms)}")
    for fault in faults:
        print(fault)
    return bool(faults)


sys.exit(main())
