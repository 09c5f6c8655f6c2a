#!/bin/bash
# hostile.sh - what comes in from outside never reaches a terminal, a page, a picture or a table as it is: every command, with
# hostile text in every place, and a look at every byte that comes out. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
/usr/bin/python3 tests/scripts/hostile.py "$program" "$work" || fail "hostile text"
finish
