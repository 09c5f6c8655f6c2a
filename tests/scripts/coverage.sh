#!/bin/bash
# coverage.sh - probabilities are calibrated on simulated roots, and a broken analysis is not. A small make coverage; docs/coverage.md.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
coverage="$BUILD/coverage tests/coverage/root.json --trials 2048"
status 0 $coverage --roots 700
said "$work/out" "Calibrated."
status 1 $coverage --roots 250 --break blooming
said "$work/out" "NOT calibrated."
status 1 $coverage --roots 400 --break readers
looks="$BUILD/coverage tests/coverage/looks.json --trials 2048"
status 0 $looks --roots 700
status 1 $looks --roots 1500 --break looks
status 2 "$BUILD/coverage" none.json
finish
