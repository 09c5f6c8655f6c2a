#!/bin/bash
# scenarios.sh - every scenario is accepted without a fault, and shows what its note claims. SPDX-License-Identifier:
# GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
for case in scenarios/*.json; do
    grep -q '"slimmargin-case-1"' "$case" || continue
    status 0 "$program" check "$case"
    status 0 "$program" assess "$case" --trials 2000 --quiet
done
/usr/bin/python3 tests/scripts/scenario_claims.py "$program" >"$work/claims" || fail "$(cat "$work/claims")"
[ "$(grep -c '^| [a-z]' "$work/claims")" -ge 10 ] || fail "fewer than nine scenarios"
grep '^| [a-z]' "$work/claims" | while read -r row; do
    grep -qF -- "$row" docs/scenarios.md || echo "not in docs/scenarios.md: $row"
done >"$work/stale"
silent "$work/stale"
finish
