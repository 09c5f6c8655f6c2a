#!/bin/bash
# threads.sh - the same bytes for any number of threads, from any folder, and for any way of naming the file.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
for t in 1 2 3 7; do
    status 0 "$program" assess $demo --trials 300001 --threads $t --json "$work/json$t"
    mv "$work/out" "$work/text$t"
    cmp -s "$work/json1" "$work/json$t" || fail "the result differs with --threads $t"
    cmp -s "$work/text1" "$work/text$t" || fail "the text differs with --threads $t"
done
for t in 1 2 3; do
    status 0 "$program" assess $demo --trials 40000 --points plain --until-resolved --threads $t --json "$work/json$t"
    cmp -s "$work/json1" "$work/json$t" || fail "the result of --points plain --until-resolved differs with --threads $t"
done
for t in 1 2 3 5; do
    status 0 "$program" assess $demo --trials 40000 --points plain --threads $t --json "$work/json$t"
    cmp -s "$work/json1" "$work/json$t" || fail "the result of --points plain differs with --threads $t"
    status 0 "$program" assess $demo --trials 5000 --until-resolved --threads $t --json "$work/until$t"
    cmp -s "$work/until1" "$work/until$t" || fail "the result of --until-resolved differs with --threads $t"
done
status 0 "$program" assess $demo --trials 40000 --points sharp --json "$work/sharp"
status 0 "$program" assess $demo --trials 40000 --json "$work/default"
cmp -s "$work/sharp" "$work/default" || fail "--points sharp is not the default"
status 1 "$program" assess $demo --points pretty; said "$work/err" "expected plain or sharp"
for t in 1 2 5; do
    for c in weigh recheck; do
        status 0 "$program" $c $demo --trials 40000 --threads $t --json "$work/$c$t"
        cmp -s "$work/${c}1" "$work/$c$t" || fail "the result of $c differs with --threads $t"
    done
done
status 1 "$program" check $demo --points sharp; said "$work/err" "makes no use"
here=$PWD
(cd "$work" && "$here/$program" assess "$here/$demo" --trials 1000 --json - >a) || fail "from another folder"
"$program" assess $demo --trials 1000 --json - >"$work/b"
cmp -s "$work/a" "$work/b" || fail "the result differs from another folder"
status 0 "$program" assess $demo --trials 1000 --seed 0 --json "$work/seed0"
cmp -s "$work/seed0" "$work/b" && fail "seed 0 is seed 1"
said "$work/seed0" '"seed": 0'
finish
