#!/bin/bash
# interrupted.sh - a signal, or a failure of the disc, at every step of writing: afterwards all is old or all is new, and nothing
# temporary is left. SM_LONG=1: every signal at every step, the report too, and more random moments. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
${CC:-cc} -shared -fPIC -O1 -Wall -Wextra -o "$work/calls.so" tests/scripts/interrupted.c -ldl || fail "the library does not compile"
export ASAN_OPTIONS="verify_asan_link_order=0:${ASAN_OPTIONS:-}"
/usr/bin/python3 tests/scripts/interrupted.py "$program" "$work" || fail "interrupted.py"
finish
