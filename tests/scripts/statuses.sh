#!/bin/bash
# statuses.sh - the exit status and the message of every way to go wrong; nothing half-written.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
few="--trials 1000"

# 0 and 1: usage
status 0 "$program" --help; silent "$work/err"
status 0 "$program" --version; said "$work/out" "slimmargin "
status 0 "$program" check $demo; said "$work/out" "harbour-07: no fault found"
status 0 "$program" defaults; said "$work/out" "centreline_sd_mm"
status 1 "$program"; said "$work/err" "Usage"
status 1 "$program" asess $demo; said "$work/err" "did you mean assess?"
status 1 "$program" assess; said "$work/err" "takes 1 file: CASE, found 0"
status 1 "$program" assess $demo $demo; said "$work/err" "found 2"
status 1 "$program" assess $demo --trails 5; said "$work/err" "did you mean --trials?"
status 1 "$program" assess $demo --trials 0; said "$work/err" "whole number"
status 1 "$program" assess $demo --trials 1.5; said "$work/err" "--trials 1.5"
status 1 "$program" assess $demo --trials; said "$work/err" "is missing"
status 1 "$program" assess $demo --seed 18446744073709551616; said "$work/err" "18446744073709551615"
status 1 "$program" assess $demo --threads 0; said "$work/err" "from 1 to 256"
status 1 "$program" assess $demo --csv x; said "$work/err" "makes no use"
status 1 "$program" check $demo --trials 5; said "$work/err" "makes no use"
status 1 "$program" assess $demo --cap 5; said "$work/err" "only with --until-resolved"
status 1 "$program" assess $demo --quiet=yes; said "$work/err" "takes no value"
sed '/"action_line"/d' $demo >"$work/.no-line.json"; cp scenarios/site.json "$work/"
status 1 "$program" assess "$work/.no-line.json" --until-resolved; said "$work/err" "no action_line"
silent "$work/out"

# 2: input
refused() { # refused FILE WORDS
    status 2 "$program" assess "$1" $few --json "$work/result"
    said "$work/err" "$2"; silent "$work/out"; [ ! -e "$work/result" ] || fail "$1: a result was written"
    status 2 "$program" check "$1"; said "$work/err" "$2"; silent "$work/out"
}
refused "$work/none.json" "there is no such file"
refused "$work" "is a folder"
: >"$work/empty.json"; refused "$work/empty.json" "empty"
head -c 900 $demo >"$work/cut.json"; refused "$work/cut.json" "cut.json:"
printf '\377\376{}' >"$work/bytes.json"; refused "$work/bytes.json" "UTF-8"
/usr/bin/python3 -c 'print("[" * 20000 + "]" * 20000)' >"$work/deep.json"; refused "$work/deep.json" "deep.json:"
truncate -s 100M "$work/large.json"; refused "$work/large.json" "larger than 16 MB"
sed 's/"kernel"/"kernal"/; s/"circle_mm"/"circle"/' $demo >"$work/keys.json"; refused "$work/keys.json" "kernel"
said "$work/err" "faults found; nothing was computed"
sed 's/site.json/nowhere.json/' $demo >"$work/profile.json"; refused "$work/profile.json" "nowhere.json"
status 2 "$program" assess - $few <"$work/cut.json"; said "$work/err" "standard input"
if [ "$(id -u)" != 0 ]; then
    cp $demo "$work/closed.json"; chmod 0 "$work/closed.json"; refused "$work/closed.json" "cannot be opened"
fi
/usr/bin/python3 tests/scripts/vary.py >"$work/standard.json"
status 0 "$program" assess - $few --quiet <"$work/standard.json"; said "$work/out" "of 100 roots"

# 3: output
status 3 "$program" assess $demo $few --json "$work/no/such/folder.json"; said "$work/err" "cannot be written"
silent "$work/out"
status 3 "$program" assess $demo $few --json "$work"; said "$work/err" "is a folder"
status 3 "$program" assess $demo $few --json /dev/full; said "$work/err" "could not be written"
for command in "assess $demo $few" "assess $demo $few --json -" "check $demo" defaults --help "assess --help"; do
    # shellcheck disable=SC2086
    "$program" $command >/dev/full 2>"$work/err"
    [ $? = 3 ] || fail "$command > /dev/full should give 3"
    said "$work/err" "standard output"
done
echo old >"$work/kept.json"
status 2 "$program" assess "$work/cut.json" --json "$work/kept.json"
[ "$(cat "$work/kept.json")" = old ] || fail "an old result was lost to a refused run"
ln -s kept.json "$work/link.json"
status 0 "$program" assess $demo $few --json "$work/link.json"
[ -L "$work/link.json" ] || fail "a link was replaced"
said "$work/kept.json" '"slimmargin-result-1"'
ls -A "$work" | grep -q '^\.slimmargin' && fail "a temporary file was left"

# 130: interrupted, in every command that runs and in every part of it. The result says so and keeps to the schema; no file
# is left half-written. A shell in the background ignores SIGINT, so Python sends it.
sed 's/"A": \[5.7\]/"A": [6.9]/' $demo >"$work/newer.json"
/usr/bin/python3 -c 'import json
print(json.dumps([{"name": f"wire {i}", "rescue": {"left": 0.4 + i / 100}, "burden": 0.01} for i in range(40)]))' >"$work/alternatives"
/usr/bin/python3 tests/scripts/vary.py /alternatives "$(cat "$work/alternatives")" >"$work/many.json"
/usr/bin/python3 - "$program" $demo "$work" <<'PYTHON' || fail "the interrupt"
import json, os, signal, subprocess, sys, time
from jsonschema import Draft202012Validator
program, case, work = sys.argv[1:]
schema = Draft202012Validator(json.load(open("docs/schema/result.schema.json")))

def listens(pid): # whether it has begun to catch SIGINT
    caught = [line for line in open(f"/proc/{pid}/status") if line.startswith("SigCgt")]
    return int(caught[0].split()[1], 16) >> signal.SIGINT - 1 & 1

def interrupt(after, words, name="stopped.json"):
    path = work + "/" + name
    run = subprocess.Popen([program] + words + ["--json", path], stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                           encoding="utf-8", preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL))
    while run.poll() is None and not listens(run.pid):
        time.sleep(0.005)
    time.sleep(after)
    run.send_signal(signal.SIGINT)
    out, err = run.communicate(timeout=20)
    assert run.returncode in (0, 130), (words, run.returncode, err)
    result = json.load(open(path))
    schema.validate(result)
    assert result["complete"] is (run.returncode == 0) and result["trials"] > 0, (words, result["trials"])
    assert err == "", err
    assert not [f for f in os.listdir(work) if f.startswith(".slimmargin")], "a temporary file was left"
    return run.returncode == 130, out, result

endless, page = ["--trials", "1e12"], ["-o", work + "/stopped.html"]
for words, told, part in ((["assess", case], "Stopped before the end", None),
                          (["recheck", case], "Stopped early: what to measure again is not known", "recheck"),
                          (["weigh", case], "Interrupted: this rests on fewer trials", None),
                          (["sweep", case, "--vary", "blooming=0.2:0.8:3"], "Stopped before the end", None),
                          (["sweep", case, "--all"], "Stopped before the end", None),
                          (["compare", case, work + "/newer.json"], "Stopped early: what moved the answer is not known", "compare"),
                          (["report", case] + page, "", "recheck")):
    stopped, out, result = interrupt(0.5, words + endless, words[0] + "-stopped.json")
    assert stopped and told in out and part not in result, (words, out)
    assert result.get("choice", {}).get("bound") is None, "what a re-check could change is not known"
assert "Stopped before the end" in open(work + "/stopped.html").read()

# An assessment of one task cannot be stopped half-way: what is stopped here is what comes after it.
for words in (["recheck", case], ["report", case] + page, ["weigh", work + "/many.json"]):
    slow = words + ["--trials", "20000", "--threads", "1"]
    late = [interrupt(0.15 * i, slow)[0] for i in range(5)]
    assert any(late), words
PYTHON
/usr/bin/python3 tests/scripts/result_check.py "$work/assess-stopped.json" || fail "the interrupted result"
finish
