#!/bin/bash
# selfcheck.sh - slimmargin selfcheck as a site would run it: status 0, a table of 80 columns, the same JSON for any number
# of threads and by its schema, a status other than 0 where it cannot be filed; docs/checks.md lists what is run.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
python=/usr/bin/python3

LC_ALL=C status 0 "$program" selfcheck --json "$work/one.json" --threads 1
mv "$work/out" "$work/table"
LC_ALL=C status 0 "$program" selfcheck --json "$work/three.json" --threads 3 --quiet
cmp "$work/one.json" "$work/three.json" || fail "threads change the result"
awk 'length > 80 {exit 1}' "$work/table" || fail "wider than 80 columns"
grep -q '^All [0-9]* checks pass' "$work/table" || fail "the table does not say that all pass"
grep -q '^All [0-9]* checks pass' "$work/out" || fail "--quiet does not say that all pass"
"$program" selfcheck >/dev/full 2>/dev/null && fail "a full device went unnoticed"

# The result keeps to its schema; a consistent failure does; everything that contradicts itself does not.
$python - "$work/one.json" <<'PYTHON' || fail "docs/schema/selfcheck.schema.json"
import copy, json, sys
from jsonschema import Draft202012Validator
schema = json.load(open("docs/schema/selfcheck.schema.json", encoding="utf-8"))
Draft202012Validator.check_schema(schema)
valid = Draft202012Validator(schema).is_valid
real = json.load(open(sys.argv[1], encoding="utf-8"))
for error in Draft202012Validator(schema).iter_errors(real):
    sys.exit(f"/{'/'.join(map(str, error.absolute_path))}: {error.message}")
assert real["pass"] and len(real["checks"]) > 260

def changed(check=None, **top):
    """The real result with other keys at its top or in its fourth check; ... takes one away."""
    r = copy.deepcopy(real)
    for place, changes in ((r, top), (r["checks"][3], check or {})):
        for key, value in changes.items():
            place[key] = value
            if value is ...:
                del place[key]
    return r

fails = {"pass": False, "got": None, "tolerance": None}
wrong = [changed(**{k: ...}) for k in real] + [changed({k: ...}) for k in real["checks"][0]]
wrong += [changed(format="slimmargin-result-1"), changed(other=1), changed({"other": 1}), changed(checks=[]), changed(trials=0),
          changed(failures=1), changed(fails), changed(fails, failures=1), changed({"got": None}), changed({"tolerance": -1}),
          changed({"seen": "seen"}), changed({"expected": None}), changed(**{"pass": False}), changed(**{"pass": False, "failures": 1})]
for i, r in enumerate(wrong):
    if valid(r):
        sys.exit(f"the schema takes wrong result {i}")
for f in (fails, {"pass": False}):
    assert valid(changed(f, **{"pass": False, "failures": 1}))
PYTHON

# The list in docs/checks.md is what the command beside it prints.
$python tests/scripts/selfcheck_table.py <"$work/one.json" >"$work/list"
sed -n '/^| held against | how/,/ groups\.$/p' docs/checks.md >"$work/shown"
diff "$work/shown" "$work/list" || fail "docs/checks.md does not list what is run (tests/scripts/selfcheck_table.py)"
finish
