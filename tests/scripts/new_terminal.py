"""Drives `slimmargin new` on a pseudo-terminal, as a person would: wrong answers, going back, leaving, going on.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import os
import pty
import re
import select
import signal
import subprocess
import sys
import time

program, work = sys.argv[1:]


class Terminal:
    """A run of the program on a terminal of its own."""

    def __init__(self, *arguments):
        self.seen = self.all = ""
        self.pid, self.fd = pty.fork()
        if self.pid == 0:
            signal.signal(signal.SIGINT, signal.SIG_DFL)
            os.environ.update(TERM="dumb", LC_ALL="C")
            os.execv(program, [program, *arguments])

    def wait(self, words):
        """Reads until the words stand there, wherever lines were broken between them."""
        pattern = re.compile(r"\s+".join(re.escape(w) for w in words.split()) + (" " if words.endswith("> ") else ""))
        end = time.time() + 5
        while not pattern.search(self.seen):
            assert time.time() < end, f"waited for {words!r}, saw:\n{self.seen}"
            if select.select([self.fd], [], [], 0.1)[0]:
                try:
                    piece = os.read(self.fd, 4096).decode()
                except OSError:
                    piece = ""
                assert piece, f"ended before {words!r}:\n{self.seen}"
                self.seen += piece.replace("\r", "")
                self.all += piece.replace("\r", "")
        self.seen = self.seen[pattern.search(self.seen).end():]

    def answer(self, question, typed, reply=None):
        self.wait(question)
        self.wait("> ")
        os.write(self.fd, (typed + "\n").encode())
        if reply:
            self.wait(reply)

    def press(self, key):
        self.wait("> ")
        os.write(self.fd, key)

    def status(self):
        end = time.time() + 5
        while time.time() < end:
            if select.select([self.fd], [], [], 0.05)[0]:
                try:
                    piece = os.read(self.fd, 4096).decode()
                    self.seen += piece.replace("\r", "")
                    self.all += piece.replace("\r", "")
                except OSError:
                    break
        os.close(self.fd)
        return os.waitstatus_to_exitcode(os.waitpid(self.pid, 0)[1])


os.chdir(work)
kept = "first.json.unfinished"

# Nothing is answered: nothing is kept.
t = Terminal("new", "first.json")
t.wait("Nothing here may identify the patient")
t.press(b"\x04")
assert t.status() == 130, t.all
assert "nothing is kept" in t.all and os.listdir() == [], (t.all, os.listdir())

# A few answers, then Ctrl-C.
t = Terminal("new", "first.json")
t.wait("The case and its scan")
t.answer("A name for this case", "John Smith", "Not taken")
t.answer("A name for this case", "", "must be answered")
t.answer("A name for this case", "04.03.1950", "Careful: this text seems to contain a date")
t.answer("Detector of the CT machine", "back")
t.answer("Enter keeps 04.03.1950", "case-12")
t.answer("Enter takes the default: energy_integrating", "")
t.answer("Reconstruction kernel", "?", "sharp one blooms less")
t.answer("Reconstruction kernel", "sharp")
t.answer("Where the old leaflets are mounted", "outside", "Not taken")
t.answer("Where the old leaflets are mounted", "ext", "Noted: external")
t.answer("Inner diameter of the ring", "22,3", "write a decimal point")
t.answer("Inner diameter of the ring", "223", "expected a number from 12 to 35 (mm)")
t.answer("Inner diameter of the ring", "22.3 mm", "is too much")
t.answer("Inner diameter of the ring", "22.3 +- 0.3", "Noted: 22.3, SD 0.3 mm")
t.wait("How the new valve expands")
t.press(b"\x03")
assert t.status() == 130, t.all
assert "go on with: slimmargin new first.json" in " ".join(t.all.split()), t.all
assert os.listdir() == [kept], os.listdir()
draft = json.load(open(kept))
assert draft["case"] == "case-12" and draft["scan"] == {"kernel": "sharp"}, draft
assert draft["surgical_valve"] == {"leaflet_mount": "external", "inner_diameter_mm": {"normal": {"mean": 22.3, "sd": 0.3}}}
assert draft["implant"]["expansion"] is None

# A form half filled in is refused by every command, whatever its name.
for command in ("check", "assess", "recheck"):
    run = subprocess.run([program, command, kept], capture_output=True, text=True)
    assert run.returncode == 2 and run.stdout == "" and "not filled in" in run.stderr, run

# Going on where it was left; a rule over several answers; a distribution has no edge; then leave, and again.
t = Terminal("new", "first.json")
t.wait("Going on where you left")
t.answer("How the new valve expands", "balloon")
t.answer("Nominal diameter", "24.5")
t.answer("Height of the new valve's frame", "19")
t.answer("Height of the skirt", "25", "skirt")
t.answer("Height of the skirt", "9")
t.answer("Depth of the frame's bottom", "4 +- 1")
t.answer("The ostia that were measured", "l/r", "Not taken")
t.answer("The ostia that were measured", "")
t.answer("Left: direction of the ostium", "35")
t.answer("Left: diameter of the circle", "22.4")
t.answer("Left: ostium height", "A: 9.1; 9.4; B: 9.9", "Noted: 9.1, 9.4 by A; 9.9 by B")
t.answer("Left: ostium gap", "5.7 +- 0.5", "errors of readers are added by the program")
t.answer("Left: ostium gap", "5.7")
t.answer("Left: does this ostium gap start or end on a bright edge?", "leave")
assert t.status() == 130 and "kept in" in t.all, t.all

t = Terminal("new", "first.json")
t.answer("Left: does this ostium gap start or end on a bright edge?", "maybe", "neither yes nor no")
t.answer("Left: does this ostium gap start or end on a bright edge?", "yes")
t.answer("Left: this ostium gap as read on angiography or echo", "echo", "no number")
t.answer("Left: this ostium gap as read on angiography or echo", "?", "a gap by another modality")
t.answer("Left: this ostium gap as read on angiography or echo", "leave")
assert t.status() == 130, t.all

# A second look is asked for again where it was left.
t = Terminal("new", "first.json")
t.answer("Left: this ostium gap as read on angiography or echo", "echo 6.1; B: 6.3", "Noted: 6.1 by A; 6.3 by B (echo)")
t.answer("Left: STJ height", "2", "Not taken")
t.answer("Left: STJ height", "18.0")
t.answer("Left: STJ gap", "2.7")
t.answer("Left: does this STJ gap", "same", "the other side has no answer yet")
t.answer("Left: does this STJ gap", "")
t.answer("Left: this STJ gap as read on angiography or echo", "")
t.answer("Left: leaflet height", "14.8")
t.wait("Coronary: right")
t.answer("Right: direction", "160")
t.answer("Right: diameter of the circle that the reader drew a number from 10 to 45 (mm) Type same for 22.4 mm, as on the other side", "same",
         "Noted: 22.4 mm")
t.answer("Right: ostium height", "same", "is not a number")
t.answer("Right: ostium height", "12.2")
t.answer("Right: ostium gap", '{"normal": {"mean": 7.2, "sd": 0.5}}')
t.answer("Right: this ostium gap as read on angiography or echo", "7.4 sd 1.1",
         "Noted: 7.4 by A (fluoroscopy, SD 1.1 mm)")  # no edge, but a look may stand beside it
t.answer("Right: STJ height", "18.6")
t.answer("Right: STJ gap", "3.2")
t.answer("Right: does this STJ gap", "no")
t.answer("Right: this STJ gap as read on angiography or echo", "3.5")
t.answer("Type same for 14.8 by A, as on the other side", "same", "Noted: 14.8 by A")
t.wait("The decision")
t.answer("An alternative to what is planned", "smaller", "a name, a colon, and what is done")
t.answer("An alternative to what is planned", "smaller: diameter 22", "nothing that an alternative does")
t.answer("An alternative to what is planned", "smaller: nominal_diameter_mm 22.5; burden 0.02", "Noted: smaller")
t.answer("An alternative to what is planned", "wire: rescue lefd 0.9", "Not taken")
t.answer("Enter keeps smaller; each answer adds one, none removes all", "wire: rescue left 0.9", "Noted: smaller; wire")
t.answer("An alternative to what is planned", "")
t.answer("Action line", "20", "expected a number above 0 and below 1")
t.answer("Action line", "0.2")
t.wait("All answers:")
t.wait("What was understood")
t.wait("The old leaflets are mounted outside the old valve's posts. The ring's inner diameter is 22.3 mm. The new valve is expanded by a balloon, 24.5 mm wide; "
       "its frame reaches from 4.0 mm below the base plane to 15.0 mm above it, its skirt to 5.0 mm.")
t.wait("Coronary left: the old leaflet ends 5.2 mm above the lower edge of the ostium and 3.2 mm below the sinotubular junction; "
       "from a circle of 22.4 mm the gap to the ostium is 5.7 mm, at the junction 2.7 mm.")
t.wait("2 alternatives are to weigh. Your line: 20 of 100.")
t.wait("The old leaflet beside each landmark")
t.wait("From the circle to the wall")
t.answer("As read", "1")
t.answer("1 of ", "case-13")
t.wait("All answers: 1. A name for this case; nothing that identifies the patient: case-13 2. Detector")
t.press(b"\n")
t.wait("first.json is written")
assert t.status() == 0, t.all
assert os.listdir() == ["first.json"], os.listdir()
case = json.load(open("first.json"))
assert case["case"] == "case-13"
assert case["coronaries"]["left"]["ostium_gap"] == {
    "readings_mm": {"A": [5.7]}, "bloom_edges": -1, "cross_check": {"modality": "echo", "readings_mm": {"A": [6.1], "B": [6.3]}}}, case
assert case["coronaries"]["left"]["stj_gap"] == {"readings_mm": {"A": [2.7]}}, case
assert case["coronaries"]["right"]["stj_gap"] == {
    "readings_mm": {"A": [3.2]}, "bloom_edges": 0, "cross_check": {"modality": "fluoroscopy", "readings_mm": {"A": [3.5]}}}, case
assert case["coronaries"]["right"]["ostium_gap"] == {
    "normal": {"mean": 7.2, "sd": 0.5},
    "cross_check": {"modality": "fluoroscopy", "readings_mm": {"A": [7.4]}, "reader_sd_mm": 1.1}}, case
assert case["alternatives"] == [{"name": "smaller", "implant": {"nominal_diameter_mm": 22.5}, "burden": 0.02},
                                {"name": "wire", "rescue": {"left": 0.9}}], case
assert "null" not in open("first.json").read()

# A finished case is not touched.
before = open("first.json").read()
t = Terminal("new", "first.json")
assert t.status() == 3 and "stands there already" in t.all, t.all
assert open("first.json").read() == before

# A form begun by hand is gone on with; of a side given up nothing stays, of one that is kept everything.
subprocess.run([program, "new", "--template", "form.json"], check=True, stdout=subprocess.DEVNULL)
form = json.load(open("form.json"))
form["case"] = "by-hand"
form["coronaries"]["right"]["ostium_gap"] = 7.2
json.dump(form, open("form.json", "w"))
t = Terminal("new", "form.json")
t.answer("Where the old leaflets are mounted", "internal")
t.answer("Inner diameter", "read 22.1; B: 22.4", "22.1 by A; 22.4 by B")
t.answer("How the new valve expands", "self")
for question, typed in (("Nominal", "26"), ("Height of the new valve's frame", "45"), ("Height of the skirt", "13"),
                        ("Depth", "3 to 5")):
    t.answer(question, typed)
t.answer("The ostia that were measured", "right")
t.answer("Right: direction", "leave")
assert t.status() == 130
draft = json.load(open("form.json.unfinished"))
assert list(draft["coronaries"]) == ["right"] and draft["coronaries"]["right"]["ostium_gap"] == 7.2, draft
assert json.load(open("form.json")) == form, "the form itself was changed before the end"
