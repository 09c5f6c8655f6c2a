#!/bin/bash
# schema_mutations.sh - docs/schema and the reader agree on 650 generated changes of valid cases and profiles.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
status 0 /usr/bin/python3 tests/scripts/schema_mutations.py "$program" "$work"
[ "$faults" = 0 ] || cat "$work/out"
finish
