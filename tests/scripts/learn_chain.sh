#!/bin/sh
# The chain of docs/learn.md: reader study -> site profile -> the demo case with and without it. Asserts which way the patient event
# probability moves and by how much. With --show it only prints the two probabilities. Then what the program does about slips in a
# study: readings typed wrong, a smaller study, files named twice; and that its JSON keeps to docs/schema/readers.schema.json.
# SPDX-License-Identifier: GPL-3.0-or-later
set -eu
cd "$(dirname "$0")/../.."

# Patient event probability of the example of docs/case-format.md with built-in reader errors and with the site's, by
# tests/reference/reference.py (1,000,000 trials), and how far each may be off.
WITHOUT_PROFILE=0.2848
WITH_PROFILE=0.2703
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
[ "${1:-}" != --show ] || exit 0

fail() { echo "FAILED: $*"; exit 1; }
# refused WORDS COMMAND...: status 2, the words on standard error, the profile as it was
refused() {
    words=$1; shift
    cp "$folder/site.json" "$folder/before.json"
    status=0
    "$@" >/dev/null 2>"$folder/err" || status=$?
    [ "$status" = 2 ] || fail "$* gave status $status, wanted 2"
    grep -qF -- "$words" "$folder/err" || { cat "$folder/err"; fail "not said: $words"; }
    cmp -s "$folder/site.json" "$folder/before.json" || fail "the profile was changed"
}
study=scenarios/readers/study.csv
awk -F, -v OFS=, 'NR > 1 && $2 == "ostium_gap" && !done { $5 += 3; done = 1 } { print }' "$study" >"$folder/typed.csv"
awk -F, 'NR == 1 || $1 < 9' "$study" >"$folder/small.csv"
awk -F, 'NR == 1 || $1 < 7' "$study" >"$folder/first.csv"
awk -F, 'NR == 1 || $1 >= 7' "$study" >"$folder/second.csv"

"$bin" learn "$folder/typed.csv" --json "$folder/typed.json" >"$folder/typed.txt"
head -4 "$folder/typed.txt" | grep -qF "Look first at this reading: typed wrong?" || fail "the reading does not stand first"
refused "Typed wrong? Correct it, or add --accept" "$bin" learn "$folder/typed.csv" --profile "$folder/site.json" --plane fixed
refused "the profile has a larger study: 12 cases, 3 readers, 72 readings" \
    "$bin" learn "$folder/small.csv" --profile "$folder/site.json" --plane fixed
refused "holds the same bytes as" "$bin" learn "$study" "$study" --profile "$folder/site.json" --plane fixed
printf 'case,quantity,repeat,reader,value_mm,reader B\n1,ostium_gap,1,A,5,6\n' >"$folder/both.csv"
refused 'the column "reader B" holds a reader' "$bin" learn "$folder/both.csv"
"$bin" learn "$folder/first.csv" "$folder/second.csv" --json "$folder/two.json" >"$folder/two.txt"
"$bin" learn "$study" --json "$folder/one.json" >"$folder/one.txt"
cmp "$folder/one.txt" "$folder/two.txt" || fail "two files are not the study that they make"

python3 - "$folder" <<'PY' || fail "docs/schema/readers.schema.json"
import copy, json, sys
from jsonschema import Draft202012Validator
schema = json.load(open("docs/schema/readers.schema.json", encoding="utf-8"))
Draft202012Validator.check_schema(schema)
valid = Draft202012Validator(schema).is_valid
one, two, typed = (json.load(open(f"{sys.argv[1]}/{n}.json", encoding="utf-8")) for n in ("one", "two", "typed"))
for result in (one, two, typed):
    for error in Draft202012Validator(schema).iter_errors(result):
        sys.exit(f"the schema refuses a result: {error.message}")
assert one["quantities"] == two["quantities"] and two["study"] == "first.csv, second.csv"
found = typed["quantities"]["ostium_gap"]["outlying"]
assert len(found) == 1 and found[0]["file"] == "typed.csv" and found[0]["line"] > 1, found
for key in ("dof", "outlying", "one_reading_sd_ci95_mm"):
    wrong = copy.deepcopy(typed)
    del wrong["quantities"]["ostium_gap"][key]
    assert not valid(wrong), key
wrong = copy.deepcopy(typed)
wrong["quantities"]["ostium_gap"]["dof"] = 2.9
assert not valid(wrong), "dof below 3"
PY
