#!/bin/bash
# compare.sh OLD NEW [FOLDER] - runs every command on every scenario with two builds of the program, in text, --plain, HTML, JSON and
# CSV, and names each output that is not the same bytes. Status 1 if any differs. With FOLDER both trees of outputs are kept there.
# Stays until the end of the move into rooms. SPDX-License-Identifier: GPL-3.0-or-later
set -u
cd "$(dirname "$0")/../.." || exit 1
old=$(realpath "$1"); new=$(realpath "$2"); keep=${3:-$(mktemp -d)}
mkdir -p "$keep"
export LC_ALL=C.UTF-8

# one PROGRAM OUT: everything into OUT
one() {
    p=$1; out=$2
    rm -rf "$out"; mkdir -p "$out"
    for path in scenarios/*.json scenarios/lessons/*.json; do
        case $path in scenarios/site.json) continue ;; esac
        s=$(basename "$path" .json)
        run() { name=$s.$1; shift; "$p" "$@" >"$out/$name.txt" 2>"$out/$name.err"; echo "$?" >"$out/$name.status"; }
        n="--trials 40000"
        run assess assess "$path" $n --json "$out/$s.assess.json"
        run assess-plain assess "$path" $n --plain
        run assess-quiet assess "$path" $n --quiet
        LC_ALL=C run assess-ascii assess "$path" $n
        run recheck recheck "$path" $n --json "$out/$s.recheck.json"
        run recheck-plain recheck "$path" $n --plain
        run recheck-quiet recheck "$path" $n --quiet
        run weigh weigh "$path" $n --json "$out/$s.weigh.json"
        run weigh-plain weigh "$path" $n --plain
        run weigh-quiet weigh "$path" $n --quiet
        run report report "$path" $n -o "$out/$s.report.html" --json "$out/$s.report.json" --figures "$out/$s.figures"
        run sweep sweep "$path" $n --vary blooming=0.2:0.8 --json "$out/$s.sweep.json" --csv "$out/$s.sweep.csv" -o "$out/$s.sweep.html" --figures "$out/$s.sweep.figures"
        run sweep-plain sweep "$path" $n --vary tilt=0:6 --plain
        run sweep2 sweep "$path" --trials 20000 --vary blooming=0.2:0.8:4 --vary ring_height=0:3:3 --json "$out/$s.sweep2.json" --csv "$out/$s.sweep2.csv" -o "$out/$s.sweep2.html" --figures "$out/$s.sweep2.figures"
        run sweepall sweep "$path" --trials 20000 --all --json "$out/$s.sweepall.json" --csv "$out/$s.sweepall.csv" -o "$out/$s.sweepall.html" --figures "$out/$s.sweepall.figures"
        run sweepall-plain sweep "$path" --trials 20000 --all --plain
        run check check "$path"
        run compare compare scenarios/demo.json "$path" $n --json "$out/$s.compare.json"
        run compare-plain compare scenarios/demo.json "$path" $n --plain
        run compare-quiet compare scenarios/demo.json "$path" $n --quiet
    done
    s=other
    run ferry compare scenarios/ferry-still.json scenarios/ferry-storm.json --trials 40000 --json "$out/ferry.json"
    run resolved assess scenarios/demo.json --until-resolved --trials 40000
    run defaults defaults
    run selfcheck selfcheck --json "$out/selfcheck.json"
    run selfcheck-plain selfcheck --plain
    run learn learn scenarios/readers/study.csv --json "$out/learn.json" --profile "$out/learn.profile" --plane fixed
    run learn-plain learn scenarios/readers/study.csv --plain
    run learn-quiet learn scenarios/readers/study.csv --quiet
    run explain explain
    for word in flare ostium_gap blooming assess --json cover sealed; do run "explain$word" explain -- "$word"; run "explain2$word" explain "$word"; done
    run form new "$out/form.json" --template
    run help --help
    for c in assess recheck weigh report sweep compare check defaults learn selfcheck new explain; do run "help-$c" "$c" --help; done
    printf '{"format": "slimmargin-case-1", "case": "x", "scann": {}, "coronaries": {"left": {"ostium_height": -3}}}' >"$out/bad.json"
    run bad check "$out/bad.json"
    # The folder's own name appears in what was written.
    grep -rlF "$out" "$out" | while read -r f; do sed -i "s|$out|OUT|g" "$f"; done
}
one "$old" "$keep/one" & one "$new" "$keep/two" & wait
diff -rq "$keep/one" "$keep/two"; status=$?
echo "$(find "$keep/two" -type f | wc -l) files compared"
exit $status
