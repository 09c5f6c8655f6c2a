#!/bin/bash
# new_files.sh - `new` without questions: forms and tables of cases; nothing overwritten, nothing half; and `explain`.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"

# A form is refused by every command until it is filled in; its guide names every key that it holds.
status 0 "$program" new --template "$work/form.json"; said "$work/out" "in place of every null"
for command in check assess recheck; do
    status 2 "$program" $command "$work/form.json"; said "$work/err" "not filled in"; silent "$work/out"
done
grep -o '"[a-z_]*": null' "$work/form.json" | sed 's/": null//; s/"//' | while read -r key; do
    grep -q "[.]\{0,1\}$key: required" "$work/form-keys.txt" || echo "$key"
done >"$work/missing"; silent "$work/missing"
awk 'length > 80' "$work/form-keys.txt" >"$work/wide"; silent "$work/wide"
status 3 "$program" new --template "$work/form.json"; said "$work/err" "stands there already"
rm "$work/form.json"
status 0 "$program" new --template "$work/form.json" # the guide is ours and may be written again
echo "notes of my own" >"$work/other-keys.txt"
status 3 "$program" new --template "$work/other.json"; said "$work/err" "other-keys.txt"
[ ! -e "$work/other.json" ] || fail "a form was written without its guide"
status 0 "$program" new --template -; said "$work/out" '"leaflet_mount": null'
status 3 "$program" new --template "$work/no/such/form.json"

# A form filled in by hand passes.
sed 's/"case": null/"case": "filled"/; s/"leaflet_mount": null/"leaflet_mount": "external"/; s/"inner_diameter_mm": null/"inner_diameter_mm": 22.3/
     s/"expansion": null/"expansion": "balloon"/; s/"nominal_diameter_mm": null/"nominal_diameter_mm": 24.5/; s/"frame_height_mm": null/"frame_height_mm": 19/
     s/"skirt_height_mm": null/"skirt_height_mm": 9/; s/"implant_depth_mm": null/"implant_depth_mm": 4/; s/"azimuth_deg": null/"azimuth_deg": 35/
     s/"circle_mm": null/"circle_mm": 22.4/; s/"ostium_height": null/"ostium_height": 9.5/; s/"ostium_gap": null/"ostium_gap": 5.7/
     s/"stj_height": null/"stj_height": 18/; s/"stj_gap": null/"stj_gap": 2.7/; s/"leaflet_height": null/"leaflet_height": 14.8/' \
    "$work/form.json" >"$work/filled.json"
status 0 "$program" check "$work/filled.json"
status 0 "$program" assess "$work/filled.json" --trials 1000 --quiet

# A table: the example of docs/new.md.
sed -n '/^```csv$/,/^```$/p' docs/new.md | grep -v '```' >"$work/table.csv"
status 0 "$program" new --from-csv "$work/table.csv" "$work/cases"; said "$work/out" "2 cases written"
for file in "$work"/cases/*.json; do
    status 0 "$program" check "$file"
    status 0 "$program" assess "$file" --trials 1000 --quiet
done
# A row is added to a finished table: what stands there as the table has it is left, byte for byte; another is a fault, and nothing is written.
cp -p "$work/cases/row-1.json" "$work/row-1.json"
sed -n '1p;2p;3p' "$work/table.csv" >"$work/more.csv"; sed -n '3s/row-2/row-3/p' "$work/table.csv" >>"$work/more.csv"
status 0 "$program" new --from-csv "$work/more.csv" "$work/cases"; said "$work/out" "1 case written"; said "$work/out" "2 stood there as the table has them"
[ -e "$work/cases/row-3.json" ] || fail "the added row was not written"
cmp "$work/cases/row-1.json" "$work/row-1.json" || fail "a finished case changed"
[ ! "$work/cases/row-1.json" -nt "$work/row-1.json" ] || fail "a finished case was written again"
sed '2s/,5.9,/,6.1,/; 4s/row-3/row-4/' "$work/more.csv" >"$work/other.csv"
status 2 "$program" new --from-csv "$work/other.csv" "$work/cases"
said "$work/err" "row-1.json stands there already and says something else: it would be overwritten"
[ ! -e "$work/cases/row-4.json" ] || fail "a row was written beside a fault"
sed '2s/external/sideways/; 3s/balloon/steam/' "$work/table.csv" >"$work/bad.csv"
status 2 "$program" new --from-csv "$work/bad.csv" "$work/bad"
said "$work/err" "bad.csv:2:"; said "$work/err" "bad.csv:3:"; said "$work/err" "2 faults found; nothing was written"
[ ! -e "$work/bad" ] || fail "a folder was made for a bad table"
status 2 "$program" new --from-csv "$work/none.csv" "$work/bad"; said "$work/err" "no such file"
status 0 "$program" new --from-csv - "$work/piped" <"$work/table.csv"
status 3 "$program" new --from-csv "$work/table.csv" "$work/no/such/folder"; said "$work/err" "cannot be made"
: >"$work/file"
status 3 "$program" new --from-csv "$work/table.csv" "$work/file"; said "$work/err" "is no folder"
sed '1s/$/,profile/; 2s/$/,site.json/; 3s/$/,/' "$work/table.csv" >"$work/site.csv"
status 2 "$program" new --from-csv "$work/site.csv" "$work/sites"; said "$work/err" "site.json: there is no such file"
mkdir "$work/sites"; cp scenarios/site.json "$work/sites/"
status 0 "$program" new --from-csv "$work/site.csv" "$work/sites"
# A profile beside a folder that is not made yet.
cp scenarios/site.json "$work/beside.json"
sed '1s/$/,profile/; 2s|$|,../beside.json|; 3s/$/,/' "$work/table.csv" >"$work/up.csv"
status 0 "$program" new --from-csv "$work/up.csv" "$work/later/"; said "$work/out" "later/row-1.json"
status 0 "$program" assess "$work/later/row-1.json" --trials 1000 --quiet
(cd "$work" && "$OLDPWD/$program" new --from-csv up.csv later2 >/dev/null) || fail "a folder below the one where the program runs"
find "$work" -name '.slimmargin*' >"$work/left"; silent "$work/left"

status 1 "$program" new --template --from-csv x y; said "$work/err" "exclude each other"
status 1 "$program" new; said "$work/err" "found none"
status 1 "$program" new x y; said "$work/err" "takes 1 file"

# A second look and alternatives in a table.
sed '1s/$/,left.ostium_gap.cross_check,alternatives/; 2s/$/,echo 6.1;"wire: rescue left 0.9; burden 0.02|smaller: nominal_diameter_mm 23"/; 3s/$/,,/; 2s/6.1;/"6.1;B:6.3",/' "$work/table.csv" |
    sed '2s/echo "6.1;B:6.3"/"echo 6.1;B:6.3"/' >"$work/looks.csv"
status 0 "$program" new --from-csv "$work/looks.csv" "$work/looks"
said "$work/looks/row-1.json" '"cross_check": {"modality": "echo", "readings_mm": {"A": [6.1], "B": [6.3]}}'
status 0 "$program" weigh "$work/looks/row-1.json" --trials 1000; said "$work/out" "wire"
sed '2s/rescue left/rescue lefd/' "$work/looks.csv" >"$work/bad-looks.csv"
status 2 "$program" new --from-csv "$work/bad-looks.csv" "$work/bad-looks"; said "$work/err" "bad-looks.csv:2:"

# Points: the example of docs/new.md, as a form that is then filled in, onto a case, by two readers.
points() { sed -n '/^```points$/,/^```$/p' docs/new.md | grep -v '```'; }
points >"$work/points.csv"; sed '/^#/d; s/1219.35/1219.65/' "$work/points.csv" >"$work/again.csv"
status 0 "$program" new "$work/picked.json" --from-points "$work/points.csv" --circle 22.4
said "$work/out" "Left: ostium height: 9.11 by A"; said "$work/out" "12 blanks are left"; silent "$work/err"
for command in check assess; do status 2 "$program" $command "$work/picked.json"; said "$work/err" "not filled in"; done
sed 's/"case": null/"case": "filled"/; s/"leaflet_mount": null/"leaflet_mount": "external"/; s/"inner_diameter_mm": null/"inner_diameter_mm": 22.3/
     s/"expansion": null/"expansion": "balloon"/; s/"nominal_diameter_mm": null/"nominal_diameter_mm": 24.5/; s/"frame_height_mm": null/"frame_height_mm": 19/
     s/"skirt_height_mm": null/"skirt_height_mm": 9/; s/"implant_depth_mm": null/"implant_depth_mm": 4/; s/"bloom_edges": null/"bloom_edges": -1/' \
    "$work/picked.json" >"$work/picked-filled.json"
status 0 "$program" assess "$work/picked-filled.json" --trials 1000 --quiet
status 0 "$program" new "$work/two.json" --from-points "$work/points.csv" "$work/again.csv" --axes lps --reader JB,MK --onto "$work/filled.json"
said "$work/out" "Left: ostium height: 9.11 by JB; 9.37 by MK"; said "$work/out" "Now: slimmargin check"
said "$work/out" "The new valve is expanded by a balloon, 24.5 mm wide"; said "$work/out" "From the circle to the wall, mm"
status 0 "$program" check "$work/two.json"; status 0 "$program" assess "$work/two.json" --trials 1000 --quiet
status 0 "$program" new - --from-points - --circle 22.4 <"$work/points.csv"; cmp -s "$work/out" "$work/picked.json" || fail "a form on standard output is another"
status 3 "$program" new "$work/two.json" --from-points "$work/points.csv"; said "$work/err" "stands there already"
status 1 "$program" new "$work/new.json" --from-points "$work/new.json"; said "$work/err" "written over what is read"
status 2 "$program" new "$work/wrong.json" --from-points "$work/points.csv" "$work/again.csv" --circle 22.4; said "$work/err" "again.csv:1:1: nothing says which way the axes run"
said "$work/err" "1 fault found; nothing was written"
status 2 "$program" new "$work/wrong.json" --from-points "$work/again.csv" --axes ras --circle 22.4; said "$work/err" "most likely lps and not ras"
sed 's/,\([^,]*\),\([^,]*\)$/,-\1,\2/; s/--//; s/-y/y/' "$work/again.csv" >"$work/mirror.csv"
status 2 "$program" new "$work/wrong.json" --from-points "$work/mirror.csv" --axes lps --circle 22.4; said "$work/err" "mirror image"
status 2 "$program" new "$work/wrong.json" --from-points "$work/none.csv" --onto "$work/nowhere.json"; said "$work/err" "2 faults found"
status 2 "$program" new "$work/wrong.json" --from-points "$work/points.csv" --onto "$work/table.csv"; said "$work/err" "table.csv:1:1"
for words in "--circle 5" "--circle x" "--axes lpi" "--reader A,B" "--reader A,,B" "--reader a.b" "--template" "--from-csv x"; do
    # shellcheck disable=SC2086
    status 1 "$program" new "$work/wrong.json" --from-points "$work/points.csv" $words; silent "$work/out"
done
status 1 "$program" new "$work/wrong.json" --axes lps; said "$work/err" "only with --from-points"
[ ! -e "$work/wrong.json" ] || fail "a case was written beside a fault"

# explain
status 0 "$program" explain; said "$work/out" "Words of the reports"
status 0 "$program" explain crowded ostium; said "$work/out" "not that the artery will be obstructed"
status 0 "$program" explain Left.Ostium_Gap; said "$work/out" "from -5 to 30 (mm)"
status 1 "$program" explain blomming; said "$work/err" "near it: blooming"; silent "$work/out"
finish
