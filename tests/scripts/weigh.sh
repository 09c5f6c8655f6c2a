#!/bin/bash
# weigh.sh - the alternatives through the program: bad input, statuses, the same bytes, 80 columns, the schema.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
python=/usr/bin/python3
vary() { name=$1; shift; $python tests/scripts/vary.py "$@" >"$work/$name.json"; }
weigh() { name=$1; wanted=$2; shift 2; status "$wanted" "$program" weigh "$work/$name.json" --trials 20000 "$@"; }
# refused NAME ALTERNATIVES WORDS...: status 2, nothing on standard output, each of the words in the message
refused() {
    name=$1; vary "$name" /alternatives "$2"; shift 2
    weigh "$name" 2; silent "$work/out"
    for words in "$@"; do said "$work/err" "$words"; done
}

# Nothing to weigh: what to add.
vary none /alternatives -; weigh none 2; silent "$work/out"
said "$work/err" "none.json: nothing to weigh: the case has no alternatives"
[ "$(sed 1d "$work/err" | wc -L)" -le 80 ] || fail "what weigh says of no alternatives is wider than 80 columns"
said "$work/err" '"burden": 0.02'
vary empty /alternatives '[]'; weigh empty 2; said "$work/err" "nothing to weigh"

# Bad input.
refused unknown '[{"name": "a", "implnt": {"nominal_diameter_mm": 22}}]' '"implant"'
refused patch '[{"name": "a", "implant": {"nominal_diamter_mm": 22}}]' "/alternatives/0/implant" '"nominal_diameter_mm"'
refused outside '[{"name": "a", "rescue": {"left": 1.2}}]' "/alternatives/0/rescue/left" "1.2"
refused negative '[{"name": "a", "lacerate": {"left": -0.1}}]' "/alternatives/0/lacerate/left"
refused gain '[{"name": "a", "rescue": {"left": 0.9}, "burden": -0.01}]' "/alternatives/0/burden"
refused side '[{"name": "a", "rescue": {"lft": 0.9}}]' "the name of a coronary of this case" '"left"'
refused nothing '[{"name": "a", "burden": 0.01}]' "found nothing that this alternative does"
refused nameless '[{"rescue": {"left": 0.9}}]' '"name" is missing'
refused twice '[{"name": "a", "rescue": {"left": 0.9}}, {"name": "a", "rescue": {"left": 0.8}}]' "each name once"
refused planned '[{"name": "as planned", "rescue": {"left": 0.9}}]' "as planned"
refused two '[{"name": "a", "rescue": {"left": 2}}, {"name": "b", "lacerate": {"rigth": 0.8}}]' "/alternatives/0" "/alternatives/1" "2 faults"

# No effect: weighed all the same, and warned of. No burden: said.
vary idle /alternatives '[{"name": "the same", "implant": {"nominal_diameter_mm": 24.5}, "burden": 0}]'
weigh idle 0 --plain; said "$work/out" "has no effect"; said "$work/out" "It spares no event"
vary free /alternatives '[{"name": "wire", "rescue": {"left": 0.9}}]'
weigh free 0; said "$work/out" "No burden was stated for it"

# The user's values come back as theirs; a control character in a name does no harm; names of any length fit.
long=$(printf 'a very long name %.0s' $(seq 20))
vary long /alternatives "[{\"name\": \"$long\", \"rescue\": {\"left\": 0.35, \"right\": 0.8}, \"burden\": 0.0475}, {\"name\": \"zweite Möglichkeit\", \"implant\": {\"nominal_diameter_mm\": 22.5}, \"burden\": 1.5}]"
weigh long 0 --json "$work/result"
said "$work/out" "0.0475"; said "$work/out" "0.35"; said "$work/out" "These burdens, successes and rescues are yours"
said "$work/out" "does not mean that the artery will be"
said "$work/out" "For comparison only"
wide() { $python -c 'import sys; print(max(len(l.rstrip("\n")) for l in open(sys.argv[1], encoding="utf-8")))' "$work/out"; }
[ "$(wide)" -le 80 ] || fail "a line of $(wide) columns"
weigh long 0 --plain; [ "$(wide)" -le 80 ] || fail "--plain: a line of $(wide) columns"
grep -q '─' "$work/out" && fail "--plain draws"
weigh long 0 --no-context --json "$work/bare"
grep -q "For comparison only" "$work/out" && fail "--no-context shows the context"
grep -q '"context"' "$work/bare" && fail "--no-context writes the context"
weigh long 0 --quiet; [ "$(wc -l <"$work/out")" -le 9 ] || fail "--quiet says too much"

# The result keeps to its schema, and is the same for any number of threads; the context changes nothing else.
schema() { $python -c 'import json, sys
from jsonschema import Draft202012Validator
Draft202012Validator(json.load(open("docs/schema/result.schema.json"))).validate(json.load(open(sys.argv[1])))' "$1" || fail "$1: schema"; }
schema "$work/result"; schema "$work/bare"

# What only an alternative draws is named as not weighed.
vary cracked /surgical_valve/inner_diameter_mm 22 /alternatives '[{"name": "crack the ring", "surgical_valve": {"inner_diameter_mm": {"normal": {"mean": 23.5, "sd": 0.8}}}, "burden": 0.05}]'
weigh cracked 0 --json "$work/cracked"; schema "$work/cracked"
said "$work/out" "Not weighed:"; said "$work/cracked" '{"source": "inner_diameter", "alternative": "crack the ring"}'
status 0 "$program" weigh $demo --trials 200001 --threads 1 --json "$work/one"; mv "$work/out" "$work/text"
status 0 "$program" weigh $demo --trials 200001 --threads 3 --json "$work/three"
cmp -s "$work/one" "$work/three" || fail "the result differs with --threads 3"
cmp -s "$work/text" "$work/out" || fail "the text differs with --threads 3"
schema "$work/one"
$python - "$work/one" <<'END' || fail "the parts of the result do not fit together"
import json, sys
WRITTEN = 2e-9  # numbers have nine digits, and up to four of them are added
r = json.load(open(sys.argv[1]))
rows = {a["name"]: a for a in r["alternatives"]}
assert list(rows)[0] == "as planned" and rows["as planned"]["event"] == r["patient"]["event"]
costs = {n: a["expected_cost"]["value"] for n, a in rows.items()}
assert r["choice"]["cheapest"] == min(costs, key=costs.get)
assert abs(sum(a["probability_cheapest"] for a in rows.values()) - 1) < WRITTEN
for n, a in rows.items():
    assert abs(costs[n] - a.get("burden", 0) - a["unrescued"]["probability"]) < WRITTEN
    assert abs(a["difference"]["value"] - a["unrescued"]["probability"] + rows["as planned"]["unrescued"]["probability"]) < WRITTEN
worths = [i["value"]["value"] for i in r["choice"]["recheck"]]
assert worths == sorted(worths, reverse=True) and worths[0] <= r["choice"]["bound"]
END

# A report weighs and re-checks on one assessment: the same numbers as recheck alone, of the same sources.
status 0 "$program" recheck $demo --trials 70001 --json "$work/alone.json"
status 0 "$program" report $demo --trials 70001 -o "$work/page.html" --json "$work/both.json"
$python - "$work/alone.json" "$work/both.json" <<'END' || fail "a report re-checks otherwise than recheck"
import json, sys
alone, both = (json.load(open(f)) for f in sys.argv[1:])
for part in alone:
    assert json.dumps(alone[part]) == json.dumps(both[part]), part
END

# Usage and output.
status 1 "$program" weigh $demo --until-resolved; said "$work/err" "makes no use"
status 1 "$program" assess $demo --no-context; said "$work/err" "makes no use"
status 3 "$program" weigh $demo --trials 1000 --json /dev/full
status 0 "$program" weigh - --trials 1000 --json - <"$work/long.json"; $python -m json.tool <"$work/out" >/dev/null || fail "--json - is not JSON alone"
finish
