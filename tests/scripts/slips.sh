#!/bin/bash
# slips.sh - slips of typing are asked about as often as docs/slips.md promises, and plausible cases seldom; a program
# that asks about nothing, or about everything, would be caught. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"

# The table of the page, as make slips prints it.
status 0 python3 tests/slips/slips.py --program "$BUILD/slips" --cases 1000
while read -r line; do said docs/slips.md "$line"; done <"$work/out"

printf '#!/bin/sh\nsed "s/.*//"\n' >"$work/blind"
printf '#!/bin/sh\nsed "s/.*/left.ostium_gap=?;/"\n' >"$work/anxious"
chmod +x "$work/blind" "$work/anxious"
status 1 python3 tests/slips/slips.py --program "$work/blind" --cases 40
said "$work/out" "NOT KEPT: 0.0 of 100 slips of units and decimals are caught"
said "$work/out" "NOT KEPT: STJ height and gap exchanged"
status 1 python3 tests/slips/slips.py --program "$work/anxious" --cases 40
said "$work/out" "NOT KEPT: 100.0 of 100 cases without a slip are asked about"

# On every output first, and gone once it is confirmed.
sed 's/"ostium_height": 12.2/"ostium_height": 1.2/; s/"profile": "site.json",//' $demo >"$work/slip.json"
sed 's/"action_line"/"confirmed": ["right.ostium_height"], "action_line"/' "$work/slip.json" >"$work/meant.json"
words="Right, ostium height: 1.2 mm; usual are 2.5 to 25. In centimetres?"
# first COMMAND...: the words stand within the first three lines for the slip, nowhere once it is confirmed
first() {
    status 0 "$program" "$1" "$work/slip.json" "${@:2}"
    head -3 "$work/out" | grep -qF "$words" || { fail "$*: not first"; head -5 "$work/out"; }
    status 0 "$program" "$1" "$work/meant.json" "${@:2}"
    grep -qF "$words" "$work/out" && fail "$*: asked about though confirmed"
}
first check
for plain in "" --plain; do
    for quiet in "" --quiet; do
        # shellcheck disable=SC2086
        for command in assess recheck weigh; do first $command --trials 2000 --seed 3 $plain $quiet; done
        # shellcheck disable=SC2086
        first sweep --vary blooming=0.2:0.8 --trials 2000 $plain $quiet
    done
done
status 0 "$program" check "$work/meant.json"
tr '\n' ' ' <"$work/out" >"$work/flat"
said "$work/flat" "Unusual, and confirmed by the case: right, ostium height 1.2 mm"
status 0 "$program" compare "$work/meant.json" "$work/slip.json" --trials 2000 --json "$work/result"
said "$work/out" "$words"
# Of either case, which says which it is: the one confirms, the other asks.
tr '\n' ' ' <"$work/out" >"$work/flat"
said "$work/flat" "Before, case harbour-07. Unusual, and confirmed by the case: right, ostium height 1.2 mm"
said "$work/flat" "Now, case harbour-07:   ! Right, ostium height: 1.2 mm"
python3 - "$work/result" <<'END' || fail "compare: unusual values of both cases in the result"
import json, sys
result = json.load(open(sys.argv[1], encoding="utf-8"))
told = [(u["at"], u["confirmed"]) for r in (result, result["compare"]["new"]) for u in r["unusual"]]
sys.exit(told != [("/coronaries/right/ostium_height", True), ("/coronaries/right/ostium_height", False)])
END
# What was understood is read back by every command, and with --quiet by none.
for command in recheck weigh "sweep --vary blooming=0.2:0.8" "sweep --all"; do
    # shellcheck disable=SC2086
    status 0 "$program" ${command%% *} "$work/meant.json" ${command#"${command%% *}"} --trials 2000
    tr '\n' ' ' <"$work/out" >"$work/flat"
    said "$work/flat" "Read as: leaflets outside the posts; balloon-expanded 24.5 in a ring of 22.3"
    said "$work/flat" "Unusual, and confirmed by the case: right, ostium height 1.2 mm"
    python3 -c 'import sys; sys.exit(any(len(line.rstrip("\n")) > 80 for line in open(sys.argv[1], encoding="utf-8")))' "$work/out" ||
        fail "$command: over 80 columns"
    # shellcheck disable=SC2086
    status 0 "$program" ${command%% *} "$work/meant.json" ${command#"${command%% *}"} --trials 2000 --quiet
    grep -q "Read as" "$work/out" && fail "$command --quiet reads back"
done
status 0 "$program" report "$work/slip.json" --trials 2000 -o "$work/page.html"
python3 - "$work/page.html" "$words" <<'END' || fail "not first on the page"
import sys
page = open(sys.argv[1], encoding="utf-8").read()
sys.exit(not 0 <= page.find(sys.argv[2]) < page.find("<h1"))
END
finish
