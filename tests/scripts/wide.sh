#!/bin/bash
# wide.sh - the same bytes whether loops run wide (AVX2) or plain: the program is built a second time without
# (base/lanes.h, sampling/philox.c) and asked the same. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
nm "$program" | grep -q '\.avx2$' || { echo "this build has no wide loops: nothing to compare"; finish; }
make -s -j2 BUILD="$BUILD/plain" CFLAGS=-DSM_PLAIN "$BUILD/plain/slimmargin" >"$work/make" 2>&1 || { cat "$work/make"; fail "the plain build"; }
plain=$BUILD/plain/slimmargin
nm "$plain" | grep -q '\.avx2$' && fail "the plain build has wide loops"
for case in scenarios/*.json; do
    [ "$case" = scenarios/site.json ] && continue
    "$program" assess "$case" --trials 70001 --json "$work/wide" >/dev/null 2>&1
    "$plain" assess "$case" --trials 70001 --json "$work/plain" >/dev/null 2>&1
    [ -s "$work/wide" ] || fail "no result for $case"
    cmp -s "$work/wide" "$work/plain" || fail "another result without wide loops: $case"
done
status 0 "$program" recheck $demo --trials 40000 --json "$work/wide"
status 0 "$plain" recheck $demo --trials 40000 --json "$work/plain"
cmp -s "$work/wide" "$work/plain" || fail "recheck gives another result without wide loops"
finish
