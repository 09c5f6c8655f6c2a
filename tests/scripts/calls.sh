#!/bin/bash
# calls.sh - on generated cases, assess, recheck, weigh, report and sweep --all make the same call, hang it on the same and
# give the same ranges. SM_LONG=1: 200 cases. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
/usr/bin/python3 tests/scripts/calls.py "$program" "$work" ${SM_LONG:+200} || fail "the commands disagree"
finish
