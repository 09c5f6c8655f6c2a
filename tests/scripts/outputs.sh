#!/bin/bash
# outputs.sh - an output is never an input or another output, by any name; what cannot be written leaves all as it was; what
# can is put in place together. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
program=$(realpath "$program"); form=$(realpath docs/new.md)
mkdir "$work/in"; cp $demo scenarios/site.json scenarios/readers/study.csv "$work/in"; cd "$work/in" || exit 1
cp demo.json other.json; ln -s . linked; mkdir figs
sed -n '/^```csv$/,/^```$/p' "$form" | grep -v '```' >table.csv
long="--trials 1e12" few="--trials 1000 --quiet"
sweep="sweep demo.json --vary blooming=0.2:0.8:3"

state() { find . -printf '%p %y %l %i %m\n' | sort; find . -type f -exec cksum {} + | sort; }
# refused STATUS WORDS ARGUMENTS...: at once, although the run would take hours.
refused() {
    local wanted=$1 words=$2; shift 2
    status "$wanted" timeout 20 "$program" "$@"; said "$work/err" "$words"; silent "$work/out"
}
# untouched WHAT: nothing is other than at `before`
untouched() { [ "$(state)" = "$before" ] || { fail "$1: something was touched"; diff <(echo "$before") <(state); }; }
same="is the same file as" read="written over what is read" one="standard output takes one document"

# 1. An input, by every name that leads to it.
# names FILE: what else it is called
names() { ln -sf "$1" soft; ln -f "$1" hard; echo "$1 ./$1 $PWD/$1 linked/$1 figs/../$1 soft hard"; }
for file in demo.json site.json; do
    all=$(names $file); before=$(state)
    for name in $all; do
        for option in --json --csv -o; do refused 1 "$read" $sweep $long $option "$name"; done
    done
    for command in "assess demo.json" "recheck demo.json" "weigh demo.json" "report demo.json -o page" \
        "compare other.json demo.json" "compare demo.json other.json"; do
        # shellcheck disable=SC2086
        refused 1 "$read" $command $long --json $file
    done
    for name in ruler.svg room-left.csv; do
        ln -s ../$file figs/$name
        refused 1 "$read" assess demo.json $long --figures figs
        ln -f $file figs/$name; refused 1 "$read" report demo.json $long --figures figs; rm figs/$name
    done
    refused 1 "$read" assess - $long --json demo.json <demo.json
    untouched "$file as an output"
done
all=$(names study.csv); before=$(state)
for name in $all; do
    refused 1 "$read" learn study.csv --json "$name"
    refused 1 "$read" learn study.csv --plane fixed --profile "$name"
done
refused 1 "$read" learn - --json study.csv <study.csv
"$program" assess demo.json $few >>demo.json 2>"$work/err"; [ $? = 1 ] || fail "the text into the case"
said "$work/err" "the text on standard output"; untouched "the study, or a case that the text goes into"
rm soft hard

# 2. Another output: as yet to be made, there, through links, as standard output.
echo old >kept; ln -s kept soft; ln kept hard; ln -s new dangling; ln -s /dev/stdout screen; mkfifo pipe; before=$(state)
for pair in "--json --csv" "--csv -o" "-o --json"; do
    read -r a b <<<"$pair"
    for names in "new new" "new ./new" "new $PWD/new" "linked/new new" "new dangling" "kept kept" "soft kept" "hard kept" "hard soft"; do
        read -r x y <<<"$names"
        refused 1 "$same" $sweep $long $a "$x" $b "$y"
    done
    for names in "- -" "- /dev/stdout" "/dev/fd/1 /dev/stdout" "/proc/self/fd/1 -"; do
        read -r x y <<<"$names"
        refused 1 "$one" $sweep $long $a "$x" $b "$y"
    done
done
refused 1 "$one" $sweep $long --json - --csv screen
refused 1 "$same" $sweep $long --json pipe --csv pipe
for names in "p p" "linked/p p" "kept hard" "soft kept" "dangling new"; do
    read -r x y <<<"$names"; refused 1 "$same" learn study.csv --plane fixed --profile "$x" --json "$y"
done
refused 1 "$one" learn study.csv --plane fixed --profile - --json -
for option in --json --csv -o; do
    refused 1 "has a name that is written into the folder" $sweep $long $option figs/sweep.csv --figures linked/figs
    refused 1 "$same" $sweep $long $option nofigs --figures ./nofigs
    for name in ruler.svg assumptions.csv; do
        echo "an old picture" >figs/$name; refused 1 "$same" $sweep $long $option figs/$name --figures figs
        ln -sf ../kept figs/$name; refused 1 "$same" $sweep $long $option kept --figures figs
        ln -f kept figs/$name; refused 1 "$same" $sweep $long $option kept --figures figs; rm figs/$name
    done
done
"$program" assess demo.json $few --json kept >>kept 2>"$work/err"; [ $? = 1 ] || fail "text and result in one file"
said "$work/err" "$same"; untouched "an output named twice"
mkdir cases; ln -s row-2.json cases/row-1.json; refused 1 "$same" new --from-csv table.csv cases; rm cases/row-1.json; rmdir cases
ln -s form-keys.txt form.json; refused 1 "$same" new --template form.json; rm form.json
untouched "a link to another output"

# 3. Every fault in one run.
refused 1 "--json ./demo.json" $sweep $long --json ./demo.json --csv site.json -o soft --figures kept
said "$work/err" "--csv site.json"; said "$work/err" "--figures kept"
[ "$(wc -l <"$work/err")" = 4 ] || fail "three conflicts and a folder that is a file" "$(cat "$work/err")"

# 4. What is no conflict.
status 0 "$program" $sweep $few --json /dev/null --csv /dev/null -o /dev/null
status 0 "$program" $sweep $few --json figs/result.json --csv figs/numbers.csv -o figs/page.html --figures figs
status 0 "$program" compare demo.json demo.json $few --json result
status 0 "$program" learn study.csv --quiet --plane fixed --profile p; cp p q
status 0 "$program" learn study.csv --quiet --plane fixed --profile p --json j; cmp -s p q || fail "a profile that is its own input"
status 0 "$program" assess demo.json $few --json -; cp "$work/out" q
status 0 "$program" assess demo.json $few --json /dev/stdout; cmp -s "$work/out" q || fail "/dev/stdout is not -"
"$program" assess demo.json $few --json >(cat >streamed) >/dev/null; wait $!; cmp -s streamed q || fail "a pipe was not written"

# 5. What must not be replaced is not, and is said before the run.
chmod 444 kept; before=$(state); for option in --json --csv -o; do refused 3 "protected against writing" $sweep $long $option soft; done
refused 3 "protected against writing" learn study.csv --plane fixed --profile kept
ln -s ../kept figs/ruler.svg; refused 3 "protected against writing" assess demo.json $long --figures figs
rm figs/ruler.svg; untouched "what is protected"; chmod 644 kept; rm hard
ln -s no/where lost; ln -s circle circle
refused 3 "cannot be written there" assess demo.json $long --json lost
refused 3 "cannot be written there" assess demo.json $long --json circle
refused 3 "folder cannot be made" assess demo.json $long --figures kept/figs
status 0 "$program" assess demo.json $few --json dangling; [ -L dangling ] && [ -s new ] || fail "a link to what was not there yet"
name=$(printf 'n%.0s' {1..245}).json
status 0 "$program" assess demo.json $few --json "$name"; [ -s "$name" ] || fail "a name of 250 bytes"; rm "$name"
status 0 "$program" new --template "$name"; [ "$(find . -name 'nnn*' | wc -l)" = 2 ] || fail "a form with a name of 250 bytes"
status 0 "$program" new --template "${name%.json}nnnnn"; [ "$(find . -name 'nnn*' | wc -l)" = 4 ] || fail "the guide of a name of 250 bytes"

# 6. What fails on the way leaves the old: a full device, a limit on the size of a file, standard output that is full.
unwritten() { # COMMAND...: status 3, and all is as it was
    before=$(state)
    "$@" 2>"$work/err"; got=$?
    [ $got = 3 ] || fail "$* gave status $got, wanted 3"
    said "$work/err" "could not be written"
    [ "$(state)" = "$before" ] || fail "$*: something is new, or was left"
}
small() { (ulimit -f "$1"; shift; "$@"); } # KILOBYTES COMMAND...
full() { "$@" >/dev/full; }
cp q result; cp p kept
unwritten "$program" learn study.csv --quiet --plane fixed --profile newprofile --json /dev/full
unwritten "$program" learn study.csv --quiet --plane replaced --profile p --json /dev/full
unwritten full "$program" learn study.csv --quiet --plane replaced --profile p --json result
unwritten "$program" report demo.json --trials 2000 --figures more/figures --json /dev/full -o page
unwritten small 40 "$program" report demo.json --trials 2000 --figures more/figures --json result -o page
unwritten small 4 "$program" $sweep $few -o page --csv numbers --json result --figures more
sed "1s/\$/,note/; 2s/\$/,short/; 3s/\$/,$(printf 'long %.0s' {1..79})/" table.csv >long.csv
unwritten small 1 "$program" new --from-csv long.csv cases
unwritten small 2 "$program" new --template blank.json
unwritten full "$program" new --from-csv table.csv cases
sed -n '/^```points$/,/^```$/p' "$form" | grep -v '```' >points.csv
unwritten full "$program" new picked.json --from-points points.csv --circle 22.4
unwritten small 1 "$program" new picked.json --from-points points.csv --onto demo.json
unwritten full "$program" assess demo.json --trials 2000 --json result
finish
