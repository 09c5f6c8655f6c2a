#!/bin/bash
# machines.sh - the same bytes on every machine: without multiply-add and AVX2 in the C library (GLIBC_TUNABLES, GSL included), and by
# a second build without AVX2 (base/lanes.h, sampling/philox.c) at another optimisation. With SM_LONG=1 (make nightly) also gcc -O0,
# clang -O3, and 64-bit ARM under qemu-user. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
few="--trials 20000"

# outputs PROGRAM FOLDER: what the commands write for cases that use every part of the model
outputs() {
    p=$1; to=$2; mkdir -p "$to"
    for case in scenarios/*.json; do
        name=$(basename "$case" .json)
        [ "$name" = site ] && continue
        "$p" assess "$case" --trials 30001 --json "$to/$name.json" >"$to/$name.txt" 2>&1
        "$p" assess "$case" --trials 6001 --points sharp --json "$to/$name.sharp.json" >"$to/$name.sharp.txt" 2>&1
    done
    for name in $whole; do
        case=scenarios/$name.json
        "$p" recheck "$case" $few --json "$to/$name.recheck.json" >"$to/$name.recheck.txt"
        "$p" report "$case" $few -o "$to/$name.html" --json "$to/$name.report.json" --figures "$to/$name.figures" >/dev/null
        "$p" sweep "$case" --all --trials 5000 --json "$to/$name.sweep.json" --csv "$to/$name.sweep.csv" >"$to/$name.sweep.txt"
    done
    "$p" weigh $demo $few --json "$to/weigh.json" >"$to/weigh.txt"
    "$p" learn scenarios/readers/study.csv --plane fixed --json "$to/learn.json" --profile "$to/profile.json" >"$to/learn.txt"
    "$p" selfcheck --json "$to/selfcheck.json" >"$to/selfcheck.txt"
    sed -i "s|$to|FOLDER|g" "$to"/*.txt
}
# same WHAT PROGRAM: as the program gives on this machine
same() {
    rm -rf "$work/there"; outputs "$2" "$work/there"
    diff -rq "$work/here" "$work/there" >"$work/differ" || { fail "$1: other bytes"; cat "$work/differ"; }
}
# built WHAT FOLDER MAKE_ARGUMENTS...: a build of its own, compared
built() {
    what=$1; folder=$2; shift 2
    make -s -j2 BUILD="$BUILD/$folder" "$@" "$BUILD/$folder/slimmargin" >"$work/make" 2>&1 || { cat "$work/make"; fail "$what: not built"; return; }
    same "$what" "$BUILD/$folder/slimmargin"
}

whole=demo; [ -z "${SM_LONG:-}" ] || whole="demo three-bridges two-witnesses soft-wall"
outputs "$program" "$work/here"
[ "$(find "$work/here" -type f -size +0 | wc -l)" -gt 30 ] || fail "no outputs to compare"
without=glibc.cpu.hwcaps=-AVX2,-FMA,-FMA4
bits() { /usr/bin/python3 -c 'import math, random, zlib
random.seed(1)
print(zlib.crc32("".join((math.exp(x) + math.sin(x)).hex() for x in (random.uniform(-5, 5) for _ in range(20000))).encode()))'; }
[ "$(bits)" != "$(GLIBC_TUNABLES=$without bits)" ] || echo "this C library gives the same last bits without multiply-add: little to compare"
export GLIBC_TUNABLES=$without; same "without multiply-add" "$program"; unset GLIBC_TUNABLES
if nm "$program" | grep -q '\.avx2$'; then
    built "without wide loops, -O1" plain CFLAGS=-DSM_PLAIN OPT=-O1
    nm "$BUILD/plain/slimmargin" | grep -q '\.avx2$' && fail "the plain build has wide loops"
fi
if [ -n "${SM_LONG:-}" ]; then
    built "gcc -O0" O0 OPT=-O0
    .ci/packages clang && built "clang -O3" clang CC=clang
    arm=$(tests/machines/aarch64 "$BUILD/aarch64") && same "64-bit ARM" "$arm"
fi
finish
