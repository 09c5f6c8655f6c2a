# common.sh - what the test scripts share. Sourced, not run. SPDX-License-Identifier: GPL-3.0-or-later
set -u
cd "$(dirname "$0")/../.." || exit 1
BUILD=${BUILD:-build}
program=$BUILD/slimmargin
demo=scenarios/demo.json
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
faults=0
export LC_ALL=C.UTF-8

fail() { echo "FAILED: $*"; faults=$((faults + 1)); }
# status WANTED COMMAND...: runs it, its output to $work/out and $work/err
status() {
    wanted=$1; shift
    "$@" >"$work/out" 2>"$work/err"
    got=$?
    [ "$got" = "$wanted" ] || { fail "$* gave status $got, wanted $wanted"; cat "$work/err"; }
}
# said FILE WORDS: the words stand in the file
said() { grep -qF -- "$2" "$1" || { fail "not in $(basename "$1"): $2"; cat "$1"; }; }
silent() { [ ! -s "$1" ] || { fail "$(basename "$1") should be empty"; cat "$1"; }; }
finish() { [ "$faults" = 0 ] || { echo "$faults faults"; exit 1; }; exit 0; }
