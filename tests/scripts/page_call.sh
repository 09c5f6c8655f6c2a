#!/bin/bash
# page_call.sh - what a page in a browser is answered is what the program says and writes, to the byte; and no request is left
# without an answer. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"

mkdir "$work/orders"
/usr/bin/python3 tests/scripts/page_call.py "$BUILD/page-call" "$BUILD/slimmargin" "$work/orders" >"$work/found" 2>&1 ||
    { cat "$work/found"; fail "the page's call and the program differ"; }

# Requests that mean nothing: an answer each, and the next is answered as if nothing had been.
answers() { printf '%s\n' "$@" | "$BUILD/page-call"; }
answers '{' '[]' '""' '{"do": 3}' '{"do": "nothing"}' '{"do": "command"}' '{"do": "command", "words": [null, 7, {}], "files": [1]}' \
    '{"do": "read"}' '{"do": "read", "case": "[[[["}' '{"do": "live", "case": "{}", "trials": -1e308}' \
    '{"do": "live", "knobs": [1, 2]}' '{"do": "keys", "x": {}}' >"$work/answers"
[ "$(wc -l <"$work/answers")" = 12 ] || fail "$(wc -l <"$work/answers") answers to 12 requests"
/usr/bin/python3 - "$work/answers" <<'PY' || fail "an answer is not what it should be"
import json, sys
wanted = "refused usage usage usage usage usage usage refused refused refused refused ok".split()
found = [json.loads(line)["status"] for line in open(sys.argv[1])]
print("\n".join(f"request {i}: {w} wanted, {f} found" for i, (w, f) in enumerate(zip(wanted, found)) if w != f))
sys.exit(found != wanted)
PY
finish
