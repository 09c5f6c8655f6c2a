#!/bin/bash
# example.sh - the example program, which knows the public header only, gives the program's own result.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
/usr/bin/python3 tests/scripts/vary.py /alternatives - >"$work/case.json" # the header weighs none
status 0 "$BUILD/tests/example" "$work/case.json"
mv "$work/out" "$work/mine"
"$program" assess "$work/case.json" --trials 100000 --json "$work/theirs" >/dev/null || fail "the program"
diff -B "$work/mine" "$work/theirs" || fail "the example's result differs"
status 1 "$BUILD/tests/example" tests/run
said "$work/err" "case:1:1"
[ "$(wc -l <tests/example/example.c)" -le 70 ] || fail "the example is no longer short"
finish
