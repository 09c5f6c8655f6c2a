#!/bin/sh
# The chain of docs/learn.md: reader study -> site profile -> the demo case with and without it. Asserts which way the patient event
# probability moves and by how much. With --show it only prints the two probabilities.
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
cd "$(dirname "$0")/../.."

# Patient event probability of the example of docs/case-format.md with built-in reader errors and with the site's, by
# tests/reference/reference.py (1,000,000 trials), and how far each may be off.
WITHOUT_PROFILE=0.2514
WITH_PROFILE=0.2308
WITHIN=0.006

bin="${BUILD:-build}/slimmargin"
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT

"$bin" learn scenarios/readers/study.csv --profile "$folder/site.json" --plane fixed --quiet >/dev/null
python3 - "$folder" <<'PY'
import json, re, sys
folder = sys.argv[1]
blocks = re.findall(r"```json\n(.*?)```", open("docs/case-format.md").read(), re.S)
case = next(c for c in map(json.loads, (b for b in blocks if '"slimmargin-case-1"' in b)))
case.pop("profile")
json.dump(case, open(folder + "/without.json", "w"))
case["profile"] = "site.json"
json.dump(case, open(folder + "/with.json", "w"))
PY
for name in without with; do
    "$bin" assess "$folder/$name.json" --trials 200000 --quiet --json "$folder/$name-result.json" >/dev/null
done
python3 - "$folder" "${1:-}" "$WITHOUT_PROFILE" "$WITH_PROFILE" "$WITHIN" <<'PY'
import json, sys
folder, mode, want_without, want_with, within = sys.argv[1:]
event = {n: json.load(open(f"{folder}/{n}-result.json"))["patient"]["event"] for n in ("without", "with")}
for name, e in event.items():
    print(f"{name} profile: {e['probability']:.4f} (standard error {e['standard_error']:.4f})")
learned = json.load(open(folder + "/with-result.json"))["assumptions"]
assert any(a["origin"] == "profile" and "ostium_gap" in a["path"] for a in learned), "the profile was not used"
if mode != "--show":
    assert abs(event["without"]["probability"] - float(want_without)) < float(within), "without the profile"
    assert abs(event["with"]["probability"] - float(want_with)) < float(within), "with the profile"
    moved = event["with"]["probability"] - event["without"]["probability"]
    assert moved * (float(want_with) - float(want_without)) > 0, "the answer moves the other way"
PY
