#!/bin/bash
# results.sh - real results keep to their schema, and the text says the same numbers. SPDX-License-Identifier:
# GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
python=/usr/bin/python3

# check NAME WANTED-STATUS OPTIONS...: runs the case $work/NAME.json
check() {
    name=$1; wanted=$2; shift 2
    status "$wanted" "$program" assess "$work/$name.json" "$@"
    cp "$work/out" "$work/screen"
    status "$wanted" "$program" assess "$work/$name.json" --whole --json "$work/result" "$@"
    $python tests/scripts/result_check.py "$work/result" "$work/screen" first || fail "$name: the first screen"
    $python tests/scripts/result_check.py "$work/result" "$work/out" || fail "$name"
    longest=$($python -c 'import sys; print(max(len(l.rstrip("\n")) for l in open(sys.argv[1], encoding="utf-8")))' "$work/out")
    [ "$longest" -le 80 ] || fail "$name: a line of $longest columns"
}
vary() { name=$1; shift; $python tests/scripts/vary.py "$@" >"$work/$name.json"; }

vary plain; check plain 0 --trials 50000
said "$work/out" "Above your line, but it hangs on"
said "$work/out" "Monte Carlo error"
said "$work/out" "were the gaps not corrected for blooming"
said "$work/out" "does not mean that the artery will be"

vary no_line /action_line -; check no_line 0 --trials 50000
said "$work/out" "About 28 of 100 roots"
said "$work/out" "nothing is called"

vary low_line /action_line 0.9; check low_line 0 --trials 2000
said "$work/out" "Below your line: "

vary near_line /action_line 0.284; check near_line 0 --trials 20000 --points plain
said "$work/out" "Open, at your line: "
said "$work/out" "--until-resolved"
check near_line 4 --trials 20000 --until-resolved --cap 100000 --points plain
said "$work/out" "Open, at your line: "
check near_line 4 --trials 5000 --until-resolved --cap 8000
said "$work/out" "Open, at your line: "
vary nearer /action_line 0.2824; check nearer 0 --trials 20000
said "$work/out" "Open, at your line: "

vary until /action_line 0.25; check until 0 --trials 2000 --until-resolved --points plain
said "$work/out" "Above your line, but it hangs on"
grep -q "\"rule\": \"confidence sequence\"" "$work/result" || fail "until: by which rule"

check until 0 --trials 5000 --until-resolved
grep -q "\"rule\": \"confidence sequence\"" "$work/result" || fail "until: by which rule, with sharp points"
check plain 0 --trials 100000
said "$work/out" "6,144 sharp points in 24 tasks"
said "$work/result" '"sharp": {"points": 6144, "tasks": 24}'
check plain 0 --trials 50000 --points plain
grep -q "sharp point" "$work/result" "$work/out" && fail "plain: points that were not asked for"
# one number for one thing: assess, sweep and compare, and each value of a sweep as assessed alone
vary bloom /scan/blooming_mm 0.4
for c in plain bloom; do status 0 "$program" assess "$work/$c.json" --trials 9000 --json "$work/sharp-$c"; done
for c in recheck weigh; do status 0 "$program" $c "$work/plain.json" --trials 9000 --json "$work/sharp-$c"; done
said "$work/out" "All on the same sharp points"
status 0 "$program" report "$work/plain.json" --trials 9000 -o "$work/sharp.html" --json "$work/sharp-report"
said "$work/sharp.html" "comes from the sharp points"
status 0 "$program" sweep "$work/plain.json" --vary blooming=0.2:0.6:3 --trials 9000 --json "$work/sharp-sweep"
said "$work/out" "sharp points of its own"
status 0 "$program" compare "$work/plain.json" "$work/bloom.json" --trials 9000 --json "$work/sharp-compare"
said "$work/out" "have sharp points of"
$python - "$work" <<'PY' || fail "assess, sweep and compare differ"
import json, sys
plain, bloom, sweep, compare, recheck, weigh, report = (json.load(open(f"{sys.argv[1]}/sharp-{n}"))
    for n in ("plain", "bloom", "sweep", "compare", "recheck", "weigh", "report"))
event = lambda r: r["patient"]["event"]
assert event(sweep) == event(plain) == event(compare)
for other in recheck, weigh, report:
    assert other["patient"] == plain["patient"] and other["decision"] == plain["decision"]
    assert all(other["coronaries"][s].items() >= side.items() for s, side in plain["coronaries"].items())
    assert plain["decision"]["rule"] == "student"
assert weigh["alternatives"] == plain["alternatives"] == report["alternatives"]
assert weigh["alternatives"][0]["event"] == event(plain)
for other in recheck, report: # what an act costs, in every screen
    way = other["policies"]["of_choice"]
    assert way["act_now"] == next(a["expected_cost"]["value"] for a in weigh["alternatives"] if a["name"] == way["act"])
assert sweep["sweep"]["points"][1]["event"] == event(bloom) == compare["compare"]["new"]["event"]
moved = event(bloom)["probability"] - event(plain)["probability"]
assert abs(sweep["sweep"]["points"][1]["difference"]["value"] - moved) < 1e-8
PY

vary none /coronaries/left/ostium_gap 15 /coronaries/right/ostium_gap 15 /coronaries/left/stj_gap 15 /coronaries/right/stj_gap 15
check none 0 --trials 3000 --points plain
said "$work/out" "Below your line: fewer than 3 of 3,000"
said "$work/out" "<3 of 3,000"
said "$work/out" "No trial crossed a limit"
check none 0 --trials 3000
said "$work/out" "Below your line: "

look='{"modality": "fluoroscopy", "readings_mm": {"A": [9.6]}, "reader_sd_mm": 0.6}'
vary opposed /coronaries/left/ostium_gap "{\"readings_mm\": {\"A\": [5.2]}, \"cross_check\": $look}"
check opposed 0 --trials 50000
said "$work/out" "Open, two looks are opposed: "
said "$work/out" "Two looks at the left gap beside the ostium are opposed: CT says 5.2 mm"
said "$work/out" "fluoroscopy is off in about "
said "$work/out" "that count alike"
check opposed 0 --trials 1000
said "$work/out" "so unevenly"
# The two numbers alone stand beneath every headline.
for command in assess weigh recheck "sweep --vary left.stj_gap=4:5"; do
    # shellcheck disable=SC2086
    status 0 "$program" ${command%% *} "$work/opposed.json" ${command#"${command%% *}"} --trials 20000 --quiet
    said "$work/out" "are opposed: CT says 5.2"
done
status 0 "$program" compare "$work/plain.json" "$work/opposed.json" --trials 20000 --quiet
said "$work/out" "Now, two looks at"
status 0 "$program" report "$work/opposed.json" --trials 20000 -o "$work/page.html"
said "$work/page.html" "are opposed: CT says 5.2"
for command in recheck weigh; do
    status 0 "$program" $command "$work/opposed.json" --trials 20000 --json "$work/result"
    $python tests/scripts/result_check.py "$work/result" || fail "$command of opposed looks"
done

# A sinus from which no coronary leaves moves nothing of the patient's, in any command, and is told beside it.
closed='{"azimuth_deg": 280, "circle_mm": 22.4, "ostium": false, "stj_height": 15.5, "stj_gap": 1.5, "leaflet_height": 14.8}'
vary closed /coronaries/third "$closed"
check closed 0 --trials 20000
said "$work/out" "third: sealed sinus "
said "$work/out" "No coronary leaves this sinus: third."
"$program" assess "$work/closed.json" --trials 20000 --json "$work/with" >"$work/out"
"$program" assess "$work/plain.json" --trials 20000 --json "$work/without" >"$work/out"
$python - "$work/with" "$work/without" <<'END' || fail "a sinus without a coronary moves the answer"
import json, sys
a, b = (json.load(open(path, encoding="utf-8")) for path in sys.argv[1:])
third = a["coronaries"].pop("third")
sys.exit(a["patient"] != b["patient"] or a["coronaries"] != b["coronaries"] or a["decision"] != b["decision"]
         or third["event"] is not None or not third["sealed"]["probability"] > 0.01)
END
for command in recheck weigh "sweep --vary third.stj_gap=1:4:3" "sweep --all"; do
    # shellcheck disable=SC2086
    status 0 "$program" ${command%% *} "$work/closed.json" ${command#"${command%% *}"} --trials 20000 --json "$work/result"
    $python tests/scripts/result_check.py "$work/result" || fail "$command of a sinus without a coronary"
done
status 0 "$program" compare "$work/closed.json" "$work/closed.json" --trials 2000 --json "$work/result"
$python tests/scripts/result_check.py "$work/result" || fail "compare of a sinus without a coronary"
status 0 "$program" report "$work/closed.json" --trials 20000 -o "$work/page.html" --json "$work/result"
said "$work/page.html" "No coronary leaves this sinus: third."
$python tests/scripts/result_check.py "$work/result" || fail "report of a sinus without a coronary"
status 1 "$program" sweep "$work/closed.json" --vary third.ostium_gap=1:4 --trials 2000
said "$work/err" "did you mean third.stj_gap?"

vary names /coronaries "{\"a_rather_long_name_of_a_coronary\": $($python -c 'import json; print(json.dumps(json.load(open("scenarios/demo.json"))["coronaries"]["left"]))')}" \
    /alternatives - /note '"Grüße: 大動脈弁."'
check names 0 --trials 20000
said "$work/out" "Grüße: 大動脈弁."
LC_ALL=C "$program" assess "$work/names.json" --trials 1000 >"$work/ascii" || fail "in a plain locale"
LC_ALL=C grep -qP '[^\x00-\x7f]' "$work/ascii" && fail "not plain ASCII in a plain locale"

# Sentences carry the same numbers: every number of 100 in them stands in the table as well.
"$program" assess scenarios/demo.json --whole --trials 50000 >"$work/table"
"$program" assess scenarios/demo.json --whole --trials 50000 --plain >"$work/sentences"
grep -qE '[─│●▒]' "$work/sentences" && fail "--plain draws"
tr '\n' ' ' <"$work/sentences" | grep -oE 'that is [0-9.]+ of 100, the run alone +\+-[0-9.]+[0-9]' | sed 's/that is //; s/ of 100, the run alone */ */; s/+/[+]/; s/[.]/[.]/g' >"$work/pairs"
[ "$(wc -l <"$work/pairs")" -ge 10 ] || fail "--plain tells fewer than ten frequencies"
while read -r pair; do
    grep -q -- "$pair" "$work/table" || echo "only in the sentences: $pair"
done <"$work/pairs" >"$work/only"
silent "$work/only"
status 0 "$program" assess scenarios/demo.json --trials 50000 --quiet
[ "$(wc -l <"$work/out")" -le 3 ] || fail "--quiet prints more than the headline and the caution"
finish
