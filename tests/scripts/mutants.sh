#!/bin/bash
# mutants.sh - a sample of the changes of tests/mutants: a unit test notices each (make mutants tries all). Which ones are
# tried goes with the commit, so that in time all are. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
case ${MAKEFLAGS:-} in
*sanitize*) echo "sanitizers would catch what the tests have to"; finish ;;
esac
n=8
seed=$(git rev-parse --short HEAD 2>/dev/null || echo 1)
echo "a sample of $n, seed $seed"
status 0 tests/mutants/run.py --sample $n --seed "$seed"
cat "$work/out"
said "$work/out" "$n passed, 0 failed"
finish
