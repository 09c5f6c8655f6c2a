#!/bin/bash
# new_terminal.sh - `new` on a pseudo-terminal: questions, wrong answers, going back, leaving, going on; the case that
# comes out passes check and assess. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
here=$(realpath "$program")
mkdir "$work/desk"
/usr/bin/python3 tests/scripts/new_terminal.py "$here" "$work/desk" || fail "the dialogue"
status 0 "$program" check "$work/desk/first.json"; said "$work/out" "case-13: no fault found"
status 0 "$program" assess "$work/desk/first.json" --trials 2000; said "$work/out" "your line"

# Without a terminal: no question is put into the void.
status 1 "$program" new "$work/none.json" </dev/null; said "$work/err" "no terminal"; silent "$work/out"
[ ! -e "$work/none.json" ] || fail "a case was written without a terminal"
finish
