#!/bin/sh
# slimmargin selfcheck as a site would run it: status 0, a table of 80 columns, the same JSON for any number of threads, and a
# status other than 0 where it cannot be filed. SPDX-License-Identifier: GPL-3.0-or-later
set -eu
program=${BUILD:-build}/slimmargin
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
LC_ALL=C "$program" selfcheck --json "$folder/one.json" --threads 1 >"$folder/table.txt"
LC_ALL=C "$program" selfcheck --json "$folder/three.json" --threads 3 --quiet >"$folder/quiet.txt"
cmp "$folder/one.json" "$folder/three.json"
python3 -c 'import json, sys; t = json.load(open(sys.argv[1])); assert t["pass"] and len(t["checks"]) > 150' "$folder/one.json"
if awk 'length > 80 {exit 1}' "$folder/table.txt"; then :; else echo "wider than 80 columns"; exit 1; fi
grep -q '^All [0-9]* checks pass' "$folder/table.txt"
grep -q '^All [0-9]* checks pass' "$folder/quiet.txt"
if "$program" selfcheck >/dev/full 2>/dev/null; then echo "a full device went unnoticed"; exit 1; fi
