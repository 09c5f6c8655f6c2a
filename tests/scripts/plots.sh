#!/bin/bash
# plots.sh - plots/draw on the figures of a report and of every kind of sweep: each is drawn twice, without a warning, and shows
# what the program shows. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
command -v gnuplot >/dev/null || .ci/packages gnuplot-nox fonts-liberation
few="--trials 4000 --quiet"
sed '/"action_line"/d' $demo >"$work/no-line.json"; cp scenarios/site.json "$work"
sweep() { # FOLDER CASE --vary ...
    local folder=$work/$1; shift
    # shellcheck disable=SC2086
    status 0 "$program" sweep "$@" $few --figures "$folder"
}
# drawn FOLDER NAME...: the folder has these figures, and each is drawn
drawn() {
    local folder=$work/$1; shift
    status 0 plots/draw "$folder"; silent "$work/err"
    grep -i warning "$work/out" && fail "$folder: gnuplot warns"
    for name in "$@"; do
        [ "$(head -c 4 "$folder/$name.pdf")" = %PDF ] || fail "$folder/$name.pdf is no picture"
        [ "$(head -c 4 "$folder/$name.png" | tail -c 3)" = PNG ] || fail "$folder/$name.png is no picture"
        [ "$(stat -c %s "$folder/$name.png")" -gt 3000 ] || fail "$folder/$name.png is empty"
    done
    [ "$(find "$folder" -type f | wc -l)" = $((4 * $#)) ] || fail "$folder: $(ls "$folder")"
}
# shown SCRIPT FOLDER NAME WHAT: what the script has found, as gnuplot prints it
shown() { gnuplot -e "csv='$work/$2/$3.csv'; out='$work/again.png'; load 'plots/$1.gnuplot'; print $4" 2>&1; }

status 0 "$program" report $demo --trials 2000 --figures "$work/report"
drawn report alternatives profile recheck room-left room-right ruler series unrolled
sweep one $demo --vary blooming=0.2:0.8:5; drawn one sweep
sweep unmet $demo --vary left.ostium_gap=3:5:3; drawn unmet sweep
status 0 "$program" report scenarios/three-bridges.json --trials 4000 --figures "$work/three" -o "$work/three.html"; drawn three $(cd "$work/three" && ls *.csv | sed "s/\.csv$//")
sweep two $demo --vary left.ostium_gap=5:7:7 --vary right.ostium_gap=5:8:5; drawn two contour
sweep two-unmet $demo --vary left.ostium_gap=7:9:3 --vary blooming=0.2:0.5:2; drawn two-unmet contour
sweep all $demo --all; drawn all assumptions
for vary in "--vary left.ostium_gap=5:7:3" "--vary left.ostium_gap=5:7:5 --vary blooming=0.2:0.8:4" --all; do
    # shellcheck disable=SC2086
    sweep no-line "$work/no-line.json" $vary
done
drawn no-line sweep contour assumptions

# A target is rounded upward and in the digits of the text, and never down.
status 0 "$program" recheck $demo --trials 2000
for side in left; do # the right gap alone cannot turn the demo's call
    musts=$(shown room report room-$side musts)
    /usr/bin/python3 - "$work" $side "$musts" <<'PYTHON' || fail "must read, $side: $musts"
import re, sys
work, side, musts = sys.argv[1:]
must = float(open(f"{work}/report/room-{side}.csv").read().split()[-1].rsplit(",", 1)[1])
number = re.fullmatch(r"turns at (\d+\.\d)", musts).group(1)
assert must - 1e-6 <= float(number) < must + 0.1, must
told = " ".join(open(work + "/out").read().split())
assert re.search(f"read; from {re.escape(number)} (\\(\\+-[0-9.]+\\) )?on the case falls below", told), told
PYTHON
done
[ "$(gnuplot -e "csv=''; out='$work/again.png'; load 'plots/common.gnuplot'; print at_least(5.945).' '.at_least(5.9).' '.at_least(6.01)" 2>&1)" = "6.0 5.9 6.1" ] ||
    fail "what must be read is not rounded upward"

# A probability begins at 0: here, and in the program's own pictures.
[ "$(shown sweep one sweep "sprintf('%g', GPVAL_Y_MIN)")" = 0 ] || fail "sweep.gnuplot does not begin at 0"
[ "$(shown assumptions all assumptions "sprintf('%g', GPVAL_X_MIN)")" = 0 ] || fail "assumptions.gnuplot does not begin at 0"
said "$work/one/sweep.svg" 'y="228" font-size="11" text-anchor="end">0</text>'
said "$work/all/assumptions.svg" 'font-size="11" text-anchor="middle">0</text>'

# The line of two knobs goes through every place that the result names, and through no other.
# shellcheck disable=SC2086
status 0 "$program" sweep $demo --vary left.ostium_gap=5:7:7 --vary right.ostium_gap=5:8:5 $few --json "$work/two.json"
level=$(gnuplot -e "print sprintf('%.15g', invnorm(0.2))" 2>&1)
awk -v what=line -v level="$level" -f plots/contour.awk "$work/two/contour.csv" >"$work/strokes"
/usr/bin/python3 - "$work" <<'PYTHON' || fail "the line of two knobs"
import json, sys
work = sys.argv[1]
sweep = json.load(open(work + "/two.json"))["sweep"]
named = [(m["value"], row["second"]) for row in sweep["contour"] for m in row["meets"]]
named += [(column["first"], m["value"]) for column in sweep["contour_up"] for m in column["meets"]]
ends = [tuple(map(float, line.split(","))) for line in open(work + "/strokes") if line.strip()]
inside = [(x, y) for x, y in ends if 5 <= x <= 7 and 5 <= y <= 8]
near = lambda p, q: abs(p[0] - q[0]) + abs(p[1] - q[1]) < 1e-4
assert len(named) >= 6, named
for p in named:
    assert sum(near(p, q) for q in inside) == 2, p  # a stroke on either side of it
for q in inside:
    assert any(near(p, q) for p in named), q
PYTHON

# What cannot be drawn is said, and leaves no picture; what is no figure is left alone.
mkdir "$work/other"; echo "a,b" >"$work/other/mine.csv"; echo "nothing" >"$work/other/sweep.csv"
plots/draw "$work/other" >"$work/out" 2>&1 && fail "a broken table was drawn"
said "$work/out" "mine.csv: no figure of slimmargin"
ls "$work/other"/*.p?? 2>/dev/null && fail "a broken picture was left"
finish
