"""hostile.py - runs every command with hostile text in every place, and looks at every byte that comes out.

hostile.py PROGRAM FOLDER. What is hostile stands in docs/case-format.md; it is written out once more here.
SPDX-License-Identifier: GPL-3.0-or-later
"""
import csv
import io
import json
import os
import pty
import re
import subprocess
import sys
import termios
import xml.etree.ElementTree as tree

CONTROLS = [*range(1, 0x20), 0x7F]
BEYOND = [*range(0x80, 0xA0), 0x061C, 0x200E, 0x200F, *range(0x2028, 0x202F), *range(0x2066, 0x206A), 0xFFFE, 0xFFFF]
HOSTILE = {chr(c) for c in (0, *CONTROLS, *BEYOND)}
MARK = "FORGED"  # behind a line end in what comes in: nothing may begin with it
ANYTHING = "".join(map(chr, CONTROLS + BEYOND)) + "\n" + MARK + "\r" + MARK
ONE_LINE = "".join(map(chr, BEYOND))  # what a text of a case may hold
NAME = "\x1b]0;x\x07\x1b[2J\u202egnp\u2066\x9b1m\u2028\n" + MARK  # of a file: short enough
BYTES = NAME.encode() + b"\xff\xc3("
RUN = ["--trials", "100", "--threads", "1"]
FORMULAS = ["=1+1", "@SUM(A1)", "-1|x", "+A1", "=cmd, \"x\""]

faults, seen, runs = [], set(), 0


def fail(what, words):
    faults.append(what)
    print(f"FAILED: {what}: {words!r}"[:1500])


def look(what, data, terminal=False):
    """Every byte of an output. A terminal adds carriage returns."""
    if terminal:
        data = data.replace(b"\r\n", b"\n")
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        fail(what + " is not UTF-8", data[max(0, error.start - 60) : error.end + 20])
        return ""
    for at, c in enumerate(text):
        if c in HOSTILE and c != "\n":
            fail(what + f" holds {c!a}", text[max(0, at - 60) : at + 20])
            break
    for line in text.split("\n"):
        if line.strip().startswith(MARK):
            fail(what + " was made to begin a line", line)
    if "\\u202e" in text:
        seen.add(what.split(":")[0].split(" ")[0])
    return text


def look_at_cells(what, text):
    for row in csv.reader(io.StringIO(text)):
        for cell in row:
            if re.match(r"[=+\-@\t\r]", cell) and not re.fullmatch(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", cell, re.IGNORECASE):
                fail(what + " holds a formula", cell)


def strings_of(value):
    if isinstance(value, str):
        yield value
    for item in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        yield str(item[0])
        yield from strings_of(item[1])


def look_at_file(what, path):
    with open(path, "rb") as f:
        text = look(what, f.read())
    if path.endswith(b".csv"):
        look_at_cells(what, text)
    if path.endswith(b".svg"):
        tree.fromstring(text)
    if path.endswith(b".json"):
        return json.loads(text)
    return None


def run(words, status, stdin=b"", locale="C.UTF-8", **more):
    """Runs, looks, and returns standard output and error as text. Files are made in an empty folder, and looked at."""
    global runs
    runs += 1
    out = os.path.join(os.fsencode(FOLDER), b"out")
    subprocess.run(["rm", "-rf", out], check=True)
    os.mkdir(out)
    done = subprocess.run([PROGRAM, *words], input=stdin, capture_output=True, cwd=FOLDER, check=False, timeout=120,
                          env={**os.environ, "LC_ALL": locale}, **more)
    what = f"{words[0] if words else ''} {words[1:]!a}"
    if done.returncode not in (status if isinstance(status, tuple) else (status,)):
        fail(what + f" gave status {done.returncode}, wanted {status}", done.stderr)
    told = [look(what + ": standard " + name, data) for name, data in (("output", done.stdout), ("error", done.stderr))]
    found = {}
    for folder, _, files in os.walk(out):
        for name in files:
            path = os.path.join(folder, name)
            found[os.path.relpath(path, out)] = look_at_file(what + ": " + repr(name), path)
    return told[0], told[1], found


def shows(what, text, words):
    if words not in text:
        fail(what + f" does not show {words!r}", text[-600:])


def write(name, value):
    with open(os.path.join(os.fsencode(FOLDER), os.fsencode(name)), "w", encoding="utf-8") as f:
        f.write(value if isinstance(value, str) else json.dumps(value))


def demo():
    with open("scenarios/demo.json", encoding="utf-8") as f:
        case = json.load(f)
    case["note"] = ONE_LINE
    gap = case["coronaries"]["left"]["ostium_gap"] = {"readings_mm": {ANYTHING: [5.7], "B" + ANYTHING: [5.9]}, "bloom_edges": -1}
    gap["cross_check"] = {"modality": "echo", "readings_mm": {ANYTHING: [6.0]}}
    case["alternatives"] = [{"name": name, "rescue": {"left": 0.5}, "burden": 0.01}
                            for name in [ONE_LINE[:20], *(word + ONE_LINE[i] for i, word in enumerate(FORMULAS)), *FORMULAS]]
    case["looks"] = [{"name": ONE_LINE[:50], "again": ["left.ostium_gap"]}, {"name": FORMULAS[0], "rescan": {}},
                     {"name": "both", "bundle": [ONE_LINE[:50], FORMULAS[0]]}]
    return case


def profile():
    with open("scenarios/site.json", encoding="utf-8") as f:
        site = json.load(f)
    site["site"] = ONE_LINE
    for entry in site.get("readers", {}).values():
        if "source" in entry:
            entry["source"] = ONE_LINE
    return site


def accepted():
    """Cases that are taken, with what a text may hold; by every command that runs one."""
    case = demo()
    case["profile"] = "site\u202e.json"
    write("site\u202e.json", profile())
    write("case.json", case)
    newer = demo()
    newer["profile"] = case["profile"]
    newer["note"] = ONE_LINE[::-1]
    newer["coronaries"]["left"]["ostium_gap"]["readings_mm"]["C" + ANYTHING] = [6.1]
    newer["alternatives"][0]["name"] += "\u202e"
    write("newer.json", newer)
    files = ["--json", "out/r.json"]
    for words in (["check", "case.json"],
                  ["assess", "case.json", *RUN, *files, "--figures", "out/f"],
                  ["assess", "case.json", *RUN, "--plain"],
                  ["recheck", "case.json", *RUN, *files],
                  ["weigh", "case.json", *RUN, *files],
                  ["weigh", "case.json", *RUN, "--plain"],
                  ["weigh", "case.json", *RUN, "--quiet"],
                  ["report", "case.json", *RUN, *files, "-o", "out/r.html", "--figures", "out/f"],
                  ["sweep", "case.json", *RUN, *files, "--vary", "left.ostium_gap=4:6:3", "-o", "out/r.html", "--csv", "out/r.csv"],
                  ["sweep", "case.json", *RUN, "--all", *files, "--figures", "out/f", "--csv", "out/r.csv"],
                  ["compare", "case.json", "newer.json", *RUN, *files],
                  ["compare", "case.json", "newer.json", *RUN, "--plain"]):
        out, _, found = run(words, 0)
        if "out/r.json" in words and words[0] != "check":
            strings = set(strings_of(found[b"r.json"]))
            if words[0] in ("weigh", "report") and not strings & {ONE_LINE[:20]}:
                fail(f"{words[0]}: its result does not read back", strings)
        if words[0] == "weigh":
            shows("weigh", out, "\\u0085")
        if words[0] in ("check", "assess", "weigh"):
            run(words, 0, locale="C")


def pointers():
    """A pointer is a user's words too: in the table, in the heads of columns, on the page."""
    case = demo()
    write("case.json", case)
    place = f"/coronaries/left/ostium_gap/readings_mm/{ANYTHING.replace('~', '~0').replace('/', '~1')}/0=4:6:3"
    run(["sweep", "case.json", *RUN, "--vary", place, "--json", "out/r.json", "--csv", "out/r.csv", "-o", "out/r.html",
         "--figures", "out/f"], (0, 1, 2))


def refused():
    """Every place of a case or profile that can be refused."""
    def put(text, pointer, value, key=None):
        case = json.loads(json.dumps(text))
        place = case
        *folders, last = pointer.strip("/").split("/")
        for folder in folders:
            place = place[folder]
        place[key or last] = value
        return case

    plain = demo()
    plain.pop("profile", None)
    plain.pop("looks")
    bad = [put(plain, "/note", ANYTHING), put(plain, "/case", ANYTHING), put(plain, "/scan/kernel", ANYTHING),
           put(plain, "/note", 1, ANYTHING), put(plain, "/scan/x", {ANYTHING: ANYTHING}, ANYTHING),
           put(plain, "/coronaries/x", {}, ANYTHING), put(plain, "/coronaries/left/ostium_height", {ANYTHING: {"mean": 1}}),
           put(plain, "/implant/nominal_diameter_mm", {"normal": {ANYTHING: 1}}), put(plain, "/implant/nominal_diameter_mm", ANYTHING),
           put(plain, "/coronaries/left/ostium_gap", {"readings_mm": {ANYTHING: ANYTHING}}),
           put(plain, "/coronaries/left/ostium_gap", {"readings_mm": {ANYTHING: [ANYTHING, 500]}}),
           put(plain, "/alternatives", [{"name": ANYTHING, "burden": ANYTHING, "rescue": {ANYTHING: 2}, ANYTHING: 1}]),
           put(plain, "/looks", [{"name": ANYTHING, "again": [ANYTHING], "readers": ANYTHING, ANYTHING: 1}]),
           put(plain, "/looks", [{"name": "a", "project": ANYTHING}]),
           put(plain, "/looks", [{"name": "a", "bundle": [ANYTHING, ANYTHING]}]),
           put(plain, "/looks", [{"name": "a", "rescan": {"kernel": ANYTHING, ANYTHING: ANYTHING}}]),
           put(plain, "/patient_axes", {"edge_on_deg": [[0, 0], [60, 0]], "profile": {"side": ANYTHING, "view_deg": ANYTHING}}),
           put(plain, "/patient_axes", {"base_points_mm": [[1, 0, 0], [0, 1, 0], [0, 0, 1]], "ostia_mm": {ANYTHING: ANYTHING}}),
           put(plain, "/format", ANYTHING), put(plain, "/profile", ANYTHING), put(plain, "/profile", NAME)]
    shown = 0
    for case in bad:
        write("bad.json", case)
        for command in ("check", "assess"):
            _, err, _ = run([command, "bad.json"], 2)
        shown += "\\u" in err
    if shown < len(bad) - 2: # two are refused without their words
        fail("refused cases", f"{shown} of {len(bad)} show what was refused")
    text = json.dumps(plain)
    for hostile in (ANYTHING, ONE_LINE):
        for at in (0, 1, 40, len(text) // 2):
            write("bad.json", text[:at] + hostile + text[at:])
            run(["check", "bad.json"], 2)
    write("bad.json", '{"format": "slimmargin-case-1", ' + ", ".join([json.dumps(ANYTHING) + ": 1"] * 2) + "}")
    run(["check", "bad.json"], 2)
    with open(os.path.join(FOLDER, "bad.json"), "wb") as f:
        f.write(b'{"a": "\xff"}')
    run(["check", "bad.json"], 2)
    case = put(plain, "/profile", "bad-site.json")
    write("named.json", case)
    for key in ("site", "format", ANYTHING):
        site = profile()
        site[key] = ANYTHING
        write("bad-site.json", site)
        run(["check", "named.json"], 2)
    site = profile()
    site["readers"] = {ANYTHING: {ANYTHING: 1}, "ostium_gap": {"source": ANYTHING, ANYTHING: 2}}
    write("bad-site.json", site)
    run(["check", "named.json"], 2)
    run(["learn", "study.csv", "--plane", "fixed", "--profile", "bad-site.json"], (0, 2))


def command_line():
    """Names of commands, options, files, values, terms. A file name may hold bytes that are no UTF-8."""
    with open("scenarios/demo.json", encoding="utf-8") as f:
        case = json.load(f)
    case.pop("profile")
    write("plain.json", case)
    case.pop("alternatives")
    write(BYTES, case)
    write(BYTES + b".csv", open("scenarios/readers/study.csv", encoding="utf-8").read())
    _, err, _ = run([BYTES], 1)
    shows("a command", err, "\\xff")
    for words in ([b"--" + BYTES], [BYTES, BYTES], ["-o", BYTES, "--trials", BYTES], ["--seed", BYTES], [b"--trials=" + BYTES],
                  ["--threads", BYTES, "--cap", BYTES, b"--quiet=" + BYTES], [b"--trils=" + BYTES]):
        for command in ("assess", "check", "learn", "report", "sweep", "new", "defaults", "selfcheck"):
            run([command, *words], (1, 2) if command == "learn" else 1)
    _, err, _ = run(["explain", BYTES, BYTES], 1)
    shows("explain", err, "\\u000a" + MARK)
    for command in ("assess", "check", "recheck", "weigh"):
        run([command, b"none" + BYTES], 2)
    run(["weigh", BYTES, *RUN], 2)
    run(["check", BYTES], 0)
    for option in ("--json", "--csv", "-o", "--figures"):
        sweep = ["sweep", BYTES, *RUN, "--vary", "blooming=0.2:0.8:3", option]
        run([*sweep, b"out/" + BYTES], 0)
        run([*sweep, BYTES], (1, 3))
        run([*sweep, b"no/" + BYTES + b"/" + BYTES], 3 if option != "--figures" else 0)
        subprocess.run(["rm", "-rf", os.path.join(FOLDER, "no")], check=True)
        run([*sweep, b"plain.json/" + BYTES], 3)
    for vary in (BYTES, BYTES + b"=1:2", b"blooming=" + BYTES, b"blooming=1:" + BYTES, b"/" + BYTES + b"=1:2:3", b"left." + BYTES + b"=1:2:3",
                 b"/scan/" + BYTES + b"=1:2:3", b"/coronaries/left/" + BYTES + b"=1:2:3"):
        run(["sweep", BYTES, *RUN, "--vary", vary, "--json", "out/r.json"], (1, 2))
    run(["compare", BYTES, "plain.json", *RUN, "--json", "out/r.json"], 0)
    for plane in (BYTES, "fixed"):
        run(["learn", BYTES + b".csv", "--plane", plane, "--json", "out/r.json", "--profile", b"out/" + BYTES + b".json"], (0, 1))
    _, _, found = run(["learn", BYTES + b".csv", "--plane", "fixed", "--profile", b"out/" + BYTES + b".json"], 0)
    shows("a profile", json.dumps(*found.values()), "\\\\xff")
    run(["learn", b"none" + BYTES, "--plane", "fixed", "--profile", BYTES], 2)
    run(["new", "--template", b"out/" + BYTES], 0)
    run(["new", "--template", BYTES], 3)
    run(["new", "--from-csv", b"none" + BYTES, b"out/" + BYTES], 2)
    run(["new", "--from-csv", "table.csv", b"out/" + BYTES], 0)
    run(["new", BYTES], 1)
    run(["new", b"out/" + BYTES, "--from-points", "points.csv", "--circle", "22.4"], 0)
    run(["new", b"out/" + BYTES, "--from-points", b"none" + BYTES, "--onto", b"none" + BYTES], 2)
    run(["new", BYTES, "--from-points", "points.csv"], 3)
    for option in ("--axes", "--circle", "--reader"):
        run(["new", "out/n.json", "--from-points", "points.csv", option, BYTES], 1)


def tables():
    """Headers and cells of both kinds of table."""
    cell = '"' + ANYTHING.replace('"', '""') + '"'
    good = "case,quantity,reader,repeat,value_mm"
    rows = "".join(f"\n{case},ostium_gap,{reader},1,{5 + 0.37 * case + 0.1 * i}"
                   for case in range(1, 5) for i, reader in enumerate([ONE_LINE[:10], "=" + ONE_LINE[10:20], "=1+1"]))
    write("study.csv", good + rows)
    write("hostile.csv", good + rows)
    run(["learn", "hostile.csv", "--json", "out/r.json", "--plane", "fixed", "--profile", "out/p.json"], 0)
    run(["learn", "hostile.csv", "--plain"], 0)
    run(["learn", "hostile.csv", "--quiet"], 0)
    for text in (good + "," + cell + rows.replace("\n", ",\n") + ",", good.replace("reader", cell) + rows, good + rows + "\n" + ",".join([cell] * 5),
                 good + rows + f"\n1,{cell},A,1,5", good + rows + f"\n1,ostium_gap,{cell},1,5", good + rows + f"\n{cell},ostium_gap,A,1,5",
                 good + rows + f"\n1,ostium_gap,A,{cell},5", good + rows + f"\n1,ostium_gap,A,1,{cell}", ANYTHING, ONE_LINE + "\n" + ONE_LINE,
                 good + rows + '\n1,"ostium_gap' + ANYTHING):
        write("hostile.csv", text)
        run(["learn", "hostile.csv", "--json", "out/r.json"], (0, 2))
    with open("docs/new.md", encoding="utf-8") as f:
        table = f.read().split("```csv\n")[1].split("```")[0]
    write("table.csv", table)
    with open("docs/new.md", encoding="utf-8") as f:
        points = f.read().split("```points\n")[1].split("```")[0]
    write("points.csv", points)
    new_points = ["new", "out/n.json", "--from-points", "hostile.csv", "--circle", "22.4"]
    for old in ("# coordinate system: LPS", "label", "x", "base_1", "left.ostium", "21.83", "-66.47"):
        for hostile in (cell, ONE_LINE):
            write("hostile.csv", points.replace(old, hostile, 1))
            run(new_points, (0, 2))
    write("hostile.csv", points + cell + ",1,2,3\nleft." + ONE_LINE[:9] + ",1,2,3\nbase_1," + cell + ",2,3\n" + ANYTHING)
    run(new_points, 2)
    write("hostile.csv", points.replace(",z", ",z,axes").replace("9.00", "9.00," + cell))
    run(new_points, 2)
    write("onto.json", json.dumps({"format": "slimmargin-case-1", "case": ONE_LINE, "coronaries": {ONE_LINE[:20]: {"ostium_gap": 2}}}))
    write("hostile.csv", points)
    run([*new_points[:-2], "--onto", "onto.json"], 2)
    run([*new_points, "--onto", "onto.json"], 2)
    header, first, *_ = table.splitlines()
    cells = first.split(",")
    for i in range(len(cells)):
        write("hostile.csv", header + "\n" + ",".join(cells[:i] + [cell] + cells[i + 1:]))
        run(["new", "--from-csv", "hostile.csv", "out/cases"], 2)
        heads = header.split(",")
        write("hostile.csv", ",".join(heads[:i] + [cell] + heads[i + 1:]) + "\n" + first)
        run(["new", "--from-csv", "hostile.csv", "out/cases"], 2)
    write("hostile.csv", header + ",note\n" + first + "," + ONE_LINE)
    _, _, found = run(["new", "--from-csv", "hostile.csv", "out/cases"], 0)
    if not any(ONE_LINE in strings_of(value) for value in found.values()):
        fail("a note of a table", "does not read back")


def converse(name):
    """What is typed at each question comes back as escapes."""
    typed = "\u202ex\x9b1m\xad" + ONE_LINE[:30]
    answers = ["row-9", "", "", "external", "22", "balloon", "24", "19", "9", "4", "left right", "35", "22", "9", "5", "", "echo 5", "18", "3",
               "", "", "14", "160", "same", "9", "5", "same", "", "18", "3", "", "", "same", ONE_LINE[:20] + ": rescue left 0.9", "", "0.2", "leave"]
    master, slave = pty.openpty()
    mode = termios.tcgetattr(slave)
    mode[3] &= ~(termios.ECHO | termios.ISIG | termios.IEXTEN)
    termios.tcsetattr(slave, termios.TCSANOW, mode)
    os.write(master, "".join(f"{typed}\n{answer}\n" for answer in answers).encode())
    with subprocess.Popen([PROGRAM, "new", name], cwd=FOLDER, stdin=slave, stdout=slave, stderr=subprocess.PIPE,
                          env={**os.environ, "LC_ALL": "C.UTF-8", "NO_COLOR": "1", "TERM": "xterm"}) as child:
        os.close(slave)
        shown = b""
        try:
            while piece := os.read(master, 65536):
                shown += piece
        except OSError:
            pass
        look("new: standard error", child.stderr.read())
    os.close(master)
    if child.returncode != 130:
        fail("new: status", child.returncode)
    look_at_file("new: what is kept", os.path.join(os.fsencode(FOLDER), os.fsencode(name) + b".unfinished"))
    return look("new: a terminal", shown, terminal=True)


def dialogue():
    """A case from nothing, under a name that is hostile too, and one that someone else has begun."""
    text = converse(NAME + ".json")
    shows("new", text, '"\\u202ex\\u009b1m')
    shows("new", text, "\\u000a" + MARK)
    write("asked.json.unfinished", {"format": "slimmargin-case-1", "case": None, "note": ANYTHING,
                                    "coronaries": {ANYTHING[:20]: {"ostium_gap": None}}})
    shows("new", converse("asked.json"), "\\u202e")


PROGRAM, FOLDER = map(os.path.abspath, sys.argv[1:3])
tables()
accepted()
pointers()
refused()
command_line()
dialogue()
for command in ("check", "assess", "recheck", "weigh", "report", "compare", "sweep", "learn", "new"):
    if command not in seen:
        fail(command, "showed no hostile text at all: was any given?")
print(f"{runs} runs")
sys.exit(1 if faults else 0)
