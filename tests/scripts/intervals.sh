#!/bin/bash
# intervals.sh - the intervals of a reader study hold the truth, with cells missing too, and so do its degrees of freedom
# and what a case makes of them; those of Welch and Satterthwaite would be caught. A small make intervals; docs/coverage.md. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
intervals=$BUILD/intervals
status 0 "$intervals" --studies 150 --shapes 2
said "$work/out" "None holds too few."
status 1 "$intervals" --studies 150 --shapes 1 --break dof
said "$work/out" "Some hold TOO FEW."
# One reading wrong by 6 times the SD of a reading is called outlying in most studies; without one, in few.
"$intervals" --studies 60 --shapes 1 --typed 6 >"$work/typed"
"$intervals" --studies 60 --shapes 1 --typed 0 >"$work/right"
awk -F"|" '/%/ { n++; bad += $5 < 90 } END { exit n != 2 || bad }' "$work/typed" || { fail "not called outlying"; cat "$work/typed"; }
awk -F"|" '/%/ { n++; bad += $4 > 10 } END { exit n != 2 || bad }' "$work/right" || { fail "called outlying"; cat "$work/right"; }
status 2 "$intervals" --studies none
finish
