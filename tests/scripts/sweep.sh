#!/bin/bash
# sweep.sh - sweep and compare from the command line: what they say, what they write, how they refuse; the same bytes for
# any number of threads. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
python=/usr/bin/python3
few="--trials 20000"

valid() { # valid WHAT: $work/json keeps to the schema; no line of $work/out is longer than 80
    $python - "$work/json" <<'PYTHON' || fail "$1: not by the schema"
import json, sys
from jsonschema import Draft202012Validator
Draft202012Validator(json.load(open("docs/schema/result.schema.json"))).validate(json.load(open(sys.argv[1])))
PYTHON
    $python -c 'import sys; sys.exit(max(len(l.rstrip("\n")) for l in open(sys.argv[1], encoding="utf-8")) > 80)' "$work/out" || fail "$1: too wide"
}

# What the text says is what the result says, and the case itself is what assess says.
status 0 "$program" sweep $demo --vary left.ostium_gap=4:8:5 $few --json "$work/json" --csv "$work/csv"; valid "one knob"
said "$work/out" "The call would change if the left ostium gap read above 6.1"
said "$work/out" "does not mean that the artery will be obstructed"
"$program" assess $demo $few --json "$work/alone" >/dev/null || fail "assess"
$python - "$work" <<'PYTHON' || fail "one knob: the numbers"
import csv, json, sys
work = sys.argv[1]
swept, alone = json.load(open(work + "/json")), json.load(open(work + "/alone"))
sweep = swept.pop("sweep")
del alone["alternatives"], alone["choice"]
assert swept == alone, "the case itself differs from assess"
rows = list(csv.reader(open(work + "/csv")))
assert len(rows) == 6 and rows[0][0] == "left.ostium_gap"
for row, point in zip(rows[1:], sweep["points"]):
    assert float(row[0]) == point["values"][0] and float(row[1]) == point["event"]["probability"]
    left = rows[0].index("left")
    assert float(row[left]) == point["coronaries"]["left"]["event"]["probability"]
even = sweep["break_even"][0]
assert 6.0 < even["value"] < 6.2 and even["beyond"] == "below" and 0 < even["standard_error"] < 0.05
text = open(work + "/out").read()
for point in sweep["points"]:
    assert f'{100 * point["event"]["probability"]:.0f}' in text
PYTHON
status 0 "$program" sweep $demo --vary blooming=0.2:0.8:5 $few --json "$work/json"; valid "no change"
said "$work/out" "The call would not change with blooming anywhere from 0.2 to 0.8 mm per edge."
$python -c 'import json, sys
sweep = json.load(open(sys.argv[1]))["sweep"]
assert sweep["break_even"] == [] and min(p["event"]["probability"] for p in sweep["points"]) > 0.2' "$work/json" || fail "no change: the numbers"
for vary in "--vary flare=0:1:3 --vary implant_depth=3:5:4" --all "--vary left.stj_height=17:19:3 --plain" "--vary canting=0:3:3" "--vary cuff_wave=0:1:3"; do
    # shellcheck disable=SC2086
    status 0 "$program" sweep $demo $vary $few --json "$work/json"; valid "$vary"
    mv "$work/json" "$work/json1"
    # shellcheck disable=SC2086
    status 0 "$program" sweep $demo $vary $few --threads 3 --json "$work/json"
    cmp -s "$work/json" "$work/json1" || fail "$vary: the result differs with --threads 3"
done
said "$work/out" "Here it does not matter"
status 0 "$program" sweep $demo --vary blooming=0.2:0.8:3 $few --csv -
[ "$(wc -l <"$work/out")" = 4 ] || fail "--csv - writes more than the table"
status 0 "$program" sweep $demo --vary left.ostium_gap=4:8:3 $few --quiet
said "$work/out" "The call would change"

# Pictures and the page: well-formed, with words for those who do not see them, and the numbers beside.
for vary in "--vary left.ostium_gap=4:8:9" "--vary flare=0:1:3 --vary implant_depth=3:5:4" --all; do
    # shellcheck disable=SC2086
    status 0 "$program" sweep $demo $vary --trials 4000 --figures "$work/figures" -o "$work/page.html" --quiet
    said "$work/page.html" "<svg"; said "$work/page.html" "does not mean that the artery will be obstructed"
done 2>/dev/null
$python - "$work" <<'PYTHON' || fail "the pictures"
import sys, xml.etree.ElementTree as tree
from pathlib import Path
folder = Path(sys.argv[1]) / "figures"
assert sorted(p.name for p in folder.iterdir()) == ["assumptions.csv", "assumptions.svg", "contour.csv", "contour.svg", "sweep.csv", "sweep.svg"]
for picture in folder.glob("*.svg"):
    root = tree.parse(picture).getroot()
    ns = "{http://www.w3.org/2000/svg}"
    assert root.find(ns + "title").text and root.find(ns + "desc").text, picture
    assert "nan" not in picture.read_text() and "inf" not in picture.read_text().replace("info", ""), picture
    assert picture.with_suffix(".csv").read_text().count("\n") > 3
PYTHON

# Refused
status 1 "$program" sweep $demo; said "$work/err" "expected --vary"
status 1 "$program" sweep $demo --all --vary blooming=0:1; said "$work/err" "not both"
status 1 "$program" sweep $demo --vary a=0:1 --vary b=0:1 --vary c=0:1; said "$work/err" "takes one or two"
status 1 "$program" sweep $demo --vary bloming=0:1; said "$work/err" "did you mean blooming?"
status 1 "$program" sweep $demo --vary blooming=1:1; said "$work/err" "FROM and TO are the same"
status 2 "$program" sweep $demo --vary blooming=1:4; said "$work/err" "0 to 3 mm per edge"
status 2 "$program" sweep "$work/none.json" --all; said "$work/err" "there is no such file"
status 3 "$program" sweep $demo --vary blooming=0:1 $few --csv "$work/no/such"; said "$work/err" "cannot be written"
silent "$work/out"
status 3 "$program" sweep $demo --vary blooming=0:1:2 $few --csv /dev/full

# Every named knob stands in the help.
"$program" sweep --help >"$work/help"
"$program" sweep $demo --vary nothing=0:1 2>&1 | sed 's/.*There are //; s/, the readings.*//; s/, /\n/g' | while read -r knob; do
    said "$work/help" "$knob"
done

# What docs/sweep.md shows is what its commands print.
$python - "$BUILD" <<'PYTHON' || fail "docs/sweep.md"
import re, subprocess, sys
blocks = re.findall(r"<!-- the output of: (.*?) -->\n```\n(.*?)\n```", open("docs/sweep.md", encoding="utf-8").read(), re.S)
assert len(blocks) == 6, len(blocks)
for command, shown in blocks:
    words = command.replace("build/", sys.argv[1] + "/", 1).split()
    real = subprocess.run(words, capture_output=True, encoding="utf-8").stdout
    assert shown in real, command
PYTHON

# compare
sed 's/"A": \[5.7\]/"A": [6.9]/; s/"nominal_diameter_mm": 24.5/"nominal_diameter_mm": 24/; s/harbour-07/harbour-08/' $demo >"$work/new.json"
cp scenarios/site.json "$work/"
status 0 "$program" compare $demo "$work/new.json" $few --json "$work/json"; valid compare
said "$work/out" "The answer moved from about 28 of 100"
said "$work/out" "left ostium gap, readings: A: 5.7"
$python - "$work" <<'PYTHON' || fail "compare: the numbers"
import json, sys
work = sys.argv[1]
result = json.load(open(work + "/json"))
part = result.pop("compare")
alone = json.load(open(work + "/alone"))
del alone["alternatives"], alone["choice"]
assert result == alone, "the old case differs from assess"
assert [d["path"] for d in part["differences"]] == ["/case", "/implant/nominal_diameter_mm", "/coronaries/left/ostium_gap/readings_mm"]
parts = sum(d["difference"]["value"] for d in part["differences"])
assert abs(parts + part["left"]["value"] - part["moved"]["value"]) < 1e-8 # as written: nine decimals
moved = part["new"]["event"]["probability"] - result["patient"]["event"]["probability"]
assert abs(moved - part["moved"]["value"]) < 1e-8
PYTHON
status 0 "$program" compare $demo $demo $few; said "$work/out" "The answer has not moved"; said "$work/out" "Nothing: both files say the same."
sed 's/"right"/"other"/' $demo >"$work/other.json"
status 2 "$program" compare $demo "$work/other.json"; said "$work/err" "expected the same in both"
status 1 "$program" compare $demo; said "$work/err" "found 1"
finish
