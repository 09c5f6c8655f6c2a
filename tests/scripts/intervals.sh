#!/bin/bash
# intervals.sh - the intervals of a reader study hold the truth, with cells missing too, and those of Welch and
# Satterthwaite would be caught. A small make intervals; docs/coverage.md. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
intervals=$BUILD/intervals
status 0 "$intervals" --studies 150 --shapes 2
said "$work/out" "None holds too few."
status 1 "$intervals" --studies 150 --shapes 1 --break dof
said "$work/out" "Some hold TOO FEW."
status 2 "$intervals" --studies none
finish
