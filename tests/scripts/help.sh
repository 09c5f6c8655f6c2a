#!/bin/bash
# help.sh - every help text fits 80 columns and says what the program can do; a terminal gets colour unless it refuses.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
narrow() { # narrow WHAT: no line of $work/out is longer than 80
    awk -v what="$1" 'length > 80 {print what ": " $0; bad = 1} END {exit bad}' "$work/out" || fail "$1 is too wide"
}
status 0 "$program" --help; narrow "--help"
said "$work/out" "does not mean that the artery will be obstructed"
commands=$(sed -n 's/^  \([a-z]*\) .*/\1/p' "$work/out")
[ -n "$commands" ] || fail "--help names no command"
for command in $commands; do
    status 0 "$program" "$command" --help; narrow "$command --help"
    said "$work/out" "Usage: slimmargin $command"
done
status 0 "$program" defaults; narrow defaults

# On a terminal: colour, but not with NO_COLOR; sentences where it is narrow. script(1) gives a terminal.
if command -v script >/dev/null; then
    export TERM=xterm
    escape=$(printf '\033[1m')
    script -qec "$program assess $demo --trials 1000" /dev/null >"$work/colour" </dev/null
    grep -qF "$escape" "$work/colour" || fail "no emphasis on a terminal"
    NO_COLOR=1 script -qec "$program assess $demo --trials 1000" /dev/null >"$work/colour" </dev/null
    grep -qF "$escape" "$work/colour" && fail "NO_COLOR is not respected"
    script -qec "stty cols 60; $program assess $demo --trials 1000" /dev/null >"$work/narrow" </dev/null
    grep -q '│' "$work/narrow" && fail "a narrow terminal gets tables"
fi
status 0 "$program" assess $demo --trials 1000
grep -qF "$(printf '\033')" "$work/out" "$work/err" && fail "codes in a pipe"
silent "$work/err"
finish
