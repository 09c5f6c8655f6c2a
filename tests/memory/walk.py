#!/usr/bin/python3
"""walk.py - every command again and again, each time with another allocation failing.

walk.py PROGRAM LIBRARY FOLDER [all | NAME...]: FOLDER becomes the place where the commands run. Without `all` a sample of
the allocations of each command fails: the first ones, and some spread over the others. With NAMEs, all of those commands.

Each run gives the same bytes with the same status as the undisturbed one, on both streams and in all files; or it ends
with the status of "out of memory" and says so, says nothing on standard output, and leaves every file as it was. A signal
is a fault, and so is everything else.
SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import os
import pty
import shutil
import subprocess
import sys
import termios

NO_MEMORY, OUT_OF_MEMORY = 70, b"slimmargin: out of memory\n"
SOURCE = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..")
RUN = ["--trials", "100", "--threads", "1"]
ALIKE = {"first": 10, "spread": 30}  # begins and computes as a command before it: a smaller sample shows what it has of its own
REPORTED = 5  # faults of a command that are shown


class Command:
    """first, spread: how many allocations of a sample; whole: how many of a full walk (None: all)."""

    def __init__(self, name, words, status=0, first=60, spread=40, whole=200, stdin="", typed=None):
        self.name, self.words, self.status, self.stdin, self.typed = name, words, status, stdin, typed
        self.first, self.spread, self.whole = first, spread, whole


ANSWERS = "row-9\n\n\n\n\n\n" + "\n".join(["21", "?", "wrong", "back", "left\tright", "leave"]) + "\n"
MORE_ANSWERS = "2.7\n\n6.1; B: 6.2\n12\nwire: rescue left 0.9; burden 0.1\nsmaller: nominal_diameter_mm 22\n\n\n\n"

COMMANDS = [
    Command("assess", ["assess", "case.json", *RUN], whole=None),
    Command("assess-files", ["assess", "case.json", *RUN, "--json", "old", "--figures", "new/figures"], whole=None),
    Command("assess-plain", ["assess", "case.json", *RUN, "--plain"], **ALIKE),
    Command("assess-until", ["assess", "case.json", *RUN, "--points", "plain", "--until-resolved", "--cap", "200", "--quiet"], 4, **ALIKE),
    Command("assess-counted", ["assess", "case.json", *RUN, "--points", "plain", "--quiet"], first=0, spread=60),
    Command("sweep-counted", ["sweep", "case.json", *RUN, "--vary", "flare=0.2:0.8:3", "--points", "plain", "--quiet"], first=0, spread=60),
    Command("assess-threads", ["assess", "case.json", "--trials", "20000", "--threads", "3", "--quiet"], first=0, spread=10),
    Command("assess-stdin", ["assess", "-", *RUN, "--json", "-"], stdin="standard.json", **ALIKE),
    Command("assess-warned", ["assess", "warned.json", *RUN], **ALIKE),
    Command("assess-none", ["assess", "nowhere.json", *RUN], 2, whole=None),
    Command("assess-profile", ["assess", "noprofile.json", *RUN], 2),
    Command("assess-conflict", ["assess", "case.json", *RUN, "--json", "case.json"], 1, whole=None),
    Command("assess-closed", ["assess", "case.json", *RUN, "--json", "no/such/place"], 3, whole=None),
    Command("check", ["check", "case.json"], whole=None),
    Command("check-faults", ["check", "faults.json"], 2, whole=None),
    Command("check-cut", ["check", "cut.json"], 2, whole=None),
    Command("learn", ["learn", "study.csv", "--plane", "fixed", "--profile", "old-site.json", "--replace", "--json", "new"], whole=None),
    Command("learn-kept", ["learn", "study.csv", "--plane", "fixed", "--profile", "old-site.json", "--json", "new"], 2),
    Command("learn-new", ["learn", "study.csv", "--plane", "replaced", "--profile", "new.json", "--quiet"]),
    Command("learn-faults", ["learn", "faults.csv"], 2, whole=None),
    Command("recheck", ["recheck", "small.json", *RUN, "--json", "old"], first=8, spread=6),
    Command("weigh", ["weigh", "small.json", *RUN, "--json", "new"], first=10, spread=10),
    Command("weigh-nothing", ["weigh", "standard.json", *RUN], 2, first=20, spread=10),
    Command("report", ["report", "small.json", *RUN, "-o", "old", "--json", "new", "--figures", "old-folder"], first=8, spread=6),
    Command("compare", ["compare", "case.json", "newer.json", *RUN, "--json", "new"], first=20, spread=20),
    Command("compare-apart", ["compare", "standard.json", "small.json", *RUN], 2, first=20, spread=20),
    Command("sweep", ["sweep", "case.json", *RUN, "--vary", "blooming=0.2:0.8:3", "--csv", "new", "-o", "old", "--figures",
                      "new-folder"], first=30, spread=30),
    Command("sweep-grid", ["sweep", "case.json", *RUN, "--vary", "/coronaries/left/ostium_gap/repeat_sd_mm=0.2:0.8:3", "--vary",
                           "left.ostium_gap=4:6:3"], first=10, spread=20),
    Command("sweep-all", ["sweep", "case.json", *RUN, "--all", "--json", "new"], first=10, spread=20),
    Command("sweep-unknown", ["sweep", "case.json", *RUN, "--vary", "left.ostium_gup=4:6:3"], 1, first=10, spread=20),
    Command("selfcheck", ["selfcheck", "--threads", "1", "--json", "new"], first=4, spread=4, whole=100),
    Command("defaults", ["defaults"], whole=None),
    Command("explain", ["explain", "crowded", "ostium"], whole=None),
    Command("explain-list", ["explain"], whole=None),
    Command("explain-unknown", ["explain", "crowded", "ostiums"], 1, whole=None),
    Command("new-form", ["new", "--template", "new.json"]),
    Command("new-form-again", ["new", "--template", "form.json"]),
    Command("new-table", ["new", "--from-csv", "table.csv", "cases"], whole=None),
    Command("new-table-faults", ["new", "--from-csv", "faults.csv", "cases"], 2),
    Command("new-points", ["new", "new.json", "--from-points", "points.csv", "again.csv", "--axes", "lps", "--circle", "22.4"], whole=2000),
    Command("new-points-onto", ["new", "new.json", "--from-points", "points.csv", "--onto", "standard.json"], whole=2000),
    Command("new-points-faults", ["new", "new.json", "--from-points", "points.csv", "faults.csv", "--axes", "ras", "--circle", "22.4"], 2, whole=None),
    Command("new-points-options", ["new", "new.json", "--from-points", "points.csv", "--axes", "x", "--circle", "y", "--reader", "z,"], 1, whole=None),
    Command("new-dialogue", ["new", "asked.json"], 130, first=10, spread=20, whole=1000, typed=ANSWERS),
    Command("new-dialogue-on", ["new", "blanks.json"], first=10, spread=20, whole=1000, typed=MORE_ANSWERS),
    Command("help", ["--help"], whole=None),
    Command("help-command", ["sweep", "--help"], whole=None),
    Command("no-command", ["asess", "case.json"], 1, whole=None),
    Command("no-option", ["assess", "case.json", "--trails", "5", "--seed", "x"], 1, whole=None),
    Command("no-argument", [], 1, whole=None),
]


def read(name):
    with open(os.path.join(SOURCE, name), encoding="utf-8") as f:
        return f.read()


def lay_out(box):
    """What the commands find: inputs, and files and a folder that they write anew."""
    os.makedirs(os.path.join(box, "old-folder"))

    def write(name, text):
        with open(os.path.join(box, name), "w", encoding="utf-8") as f:
            f.write(text)

    case = json.loads(read("scenarios/demo.json"))
    write("case.json", read("scenarios/demo.json"))
    write("site.json", read("scenarios/site.json"))
    write("old-site.json", read("scenarios/site.json"))
    write("noprofile.json", read("scenarios/demo.json").replace("site.json", "nowhere.json"))
    write("cut.json", read("scenarios/demo.json")[:900])
    write("faults.json", read("scenarios/demo.json").replace('"kernel"', '"kernal"').replace("circle_mm", "circle", 1))
    write("newer.json", read("scenarios/demo.json").replace("[5.7]", "[6.9]").replace('"soft"', '"sharp"'))
    small = json.loads(json.dumps(case))
    del small["coronaries"]["right"]
    for alternative in small["alternatives"]:
        for key in ("lacerate", "rescue"):
            if key in alternative:
                alternative[key] = {"left": 0.9}
    write("small.json", json.dumps(small))
    standard = json.loads(json.dumps(case))
    for key in ("alternatives", "profile"):
        standard.pop(key, None)
    write("standard.json", json.dumps(standard))
    blanks = json.loads(json.dumps(standard))
    del blanks["coronaries"]["right"]
    blanks["coronaries"]["left"]["stj_gap"] = blanks["action_line"] = None
    write("blanks.json", json.dumps(blanks))
    standard["note"] = "read on 2024-05-17"
    standard["coronaries"]["left"]["ostium_gap"] = {"readings_mm": {"A": [5.7, 9.9]}, "bloom_edges": -1}
    write("warned.json", json.dumps(standard))
    write("study.csv", read("scenarios/readers/study.csv"))
    write("faults.csv", "case,quantity,reader,repeat,value_mm,extra\n1,ostium_gap,A,1,x\n1,\"ostium gap\",A,0,5\n")
    table = read("docs/new.md").split("```csv\n")[1].split("```")[0]
    write("table.csv", table)
    points = read("docs/new.md").split("```points\n")[1].split("```")[0]
    write("points.csv", points)
    write("again.csv", points.replace("1219.35", "1219.65") + "mine,1,2,3\n")
    subprocess.run([PROGRAM, "new", "--template", "other.json"], cwd=box, stdout=subprocess.DEVNULL, check=True)
    os.remove(os.path.join(box, "other.json"))
    os.rename(os.path.join(box, "other-keys.txt"), os.path.join(box, "form-keys.txt"))
    write("old", "an old output\n")
    os.chmod(os.path.join(box, "old"), 0o640)
    with open(os.path.join(box, "old-folder", "ruler.svg"), "w", encoding="utf-8") as f:
        f.write("an old picture\n")


def state(box):
    """Every name below the box with what it is and holds."""
    found = {}
    for folder, folders, files in os.walk(box):
        for name in folders:
            found[os.path.join(folder, name)] = "folder"
        for name in files:
            path = os.path.join(folder, name)
            with open(path, "rb") as f:
                found[path] = (os.stat(path).st_mode, f.read())
    return found


def run(command, box, environment):
    """(status, standard output, standard error). A dialogue has a terminal of its own."""
    words = [PROGRAM, *command.words]
    if command.typed is None:
        stdin = open(os.path.join(box, command.stdin), "rb") if command.stdin else subprocess.DEVNULL
        done = subprocess.run(words, cwd=box, env=environment, stdin=stdin, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
                              timeout=120, check=False)
        if command.stdin:
            stdin.close()
        return done.returncode, done.stdout, done.stderr
    master, slave = pty.openpty()
    mode = termios.tcgetattr(slave)
    mode[3] &= ~termios.ECHO
    termios.tcsetattr(slave, termios.TCSANOW, mode)
    os.write(master, command.typed.encode())
    with subprocess.Popen(words, cwd=box, env=environment, stdin=slave, stdout=slave, stderr=subprocess.PIPE) as child:
        os.close(slave)
        shown = b""
        try:
            while piece := os.read(master, 65536):
                shown += piece
        except OSError:  # the program has ended
            pass
        said = child.stderr.read()
    os.close(master)
    return child.returncode, shown, said


def sample(n, command, whole):
    if whole and command.whole is None:
        return list(range(1, n + 1))
    first, spread = (0, command.whole) if whole else (command.first, command.spread)
    return sorted({k for k in range(1, min(n, first) + 1)} | {1 + (n - 1) * i // max(1, spread - 1) for i in range(spread)})


def wrong_of(command, got, wanted, before, after, wanted_after):
    """What is wrong with a run; None if nothing is."""
    if got == wanted and after == wanted_after:
        return None
    status, out, err = got
    if status != NO_MEMORY:
        what = [name for name, same in (("standard output", out == wanted[1]), ("standard error", err == wanted[2]),
                                        ("files", after == wanted_after)) if not same]
        return f"status {status} (undisturbed: {wanted[0]}), other {', '.join(what) or 'status'}"
    if OUT_OF_MEMORY not in err:
        return "status of no memory without the message"
    if command.typed is not None:  # what was answered before is kept, as by any end
        kept = [path for path in after if after[path] != before.get(path)]
        for path in kept:
            if not path.endswith(".unfinished"):
                return f"left {path}"
            json.loads(after[path][1])
        return None
    if out:
        return "no memory, and something on standard output"
    if after != before:
        return f"no memory, and files changed: {sorted(p for p in {*after, *before} if after.get(p) != before.get(p))}"
    return None


def walk(command, box, whole, clean):
    """The number of runs and the list of faults."""
    environment = {**os.environ, "LC_ALL": "C.UTF-8", "LD_PRELOAD": LIBRARY, "SM_FAIL_COUNT": os.path.join(FOLDER, "count")}
    before = state(box)
    wanted = run(command, box, environment)
    wanted_after = state(box)
    with open(os.path.join(FOLDER, "count"), encoding="ascii") as f:
        n = int(f.read())
    if wanted[0] != command.status:
        return 1, [f"undisturbed: status {wanted[0]}, expected {command.status}: {wanted[2].decode()}"]
    clean()
    faults, survived = [], 0
    ks = sample(n, command, whole)
    for k in ks:
        got = run(command, box, {**environment, "SM_FAIL_AT": str(k)})
        after = state(box)
        wrong = wrong_of(command, got, wanted, before, after, wanted_after)
        survived += got[0] == wanted[0]
        if wrong:
            faults.append(f"allocation {k}: {wrong}\n{got[2].decode(errors='replace')[:400]}")
        if after != before:
            clean()
    print(f"{command.name}: {n} allocations, {len(ks)} failed in turn, {survived} of them without effect", flush=True)
    if survived == len(ks) and n > 0:
        faults.append("not one failure had an effect: was the library loaded?")
    return len(ks), faults


def main():
    chosen = set(sys.argv[4:])
    box, kept = os.path.join(FOLDER, "box"), os.path.join(FOLDER, "kept")
    lay_out(kept)

    def clean():
        shutil.rmtree(box, ignore_errors=True)
        shutil.copytree(kept, box)

    clean()
    bad = 0
    for command in COMMANDS:
        if chosen - {"all"} and command.name not in chosen:
            continue
        clean()
        _, faults = walk(command, box, bool(chosen), clean)
        bad += len(faults)
        for fault in faults[:REPORTED]:
            print(f"FAILED: {command.name} ({' '.join(command.words)}): {fault}")
        if len(faults) > REPORTED:
            print(f"... and {len(faults) - REPORTED} more of {command.name}")
    return 1 if bad else 0


PROGRAM, LIBRARY, FOLDER = (os.path.abspath(path) for path in sys.argv[1:4])
sys.exit(main())
