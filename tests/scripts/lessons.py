"""Runs every command of a lesson and holds its page to it: each quoted line stands in the output, in that order, and each
number of the text stands in a case or in an output of that page. Usage: lessons.py PROGRAM PAGE...

SPDX-License-Identifier: GPL-3.0-or-later
"""
import os
import re
import shlex
import subprocess
import sys

NUMBER = re.compile(r"(?<![\w.-])[+-]?\d+(?:\.\d+)?")


def numbers(text):
    return {abs(float(x)) for x in NUMBER.findall(text)}


def run(program, command):
    words = shlex.split(command)
    assert words[0] == "slimmargin", command
    done = subprocess.run([program, *words[1:]], capture_output=True, text=True, env={**os.environ, "LC_ALL": "C"})
    assert done.returncode == 0, f"{command}: status {done.returncode}\n{done.stderr}"
    cases = [w for w in words if w.endswith(".json") and os.path.exists(w)]
    return done.stdout, "".join(open(c).read() for c in cases)


def quoted_in_order(page, command, quoted, output):
    """Lines between "..." stand together; "..." may pass over any."""
    at, lines, together = 0, [x.rstrip() for x in output.splitlines()], False
    for want in (x.rstrip() for x in quoted):
        if want == "...":
            together = False
            continue
        try:
            found = lines.index(want, at)
        except ValueError:
            return [f"{page}: `{command}` does not give, at this place: {want}"]
        if together and found != at:
            return [f"{page}: `{command}`: another line stands before: {want}"]
        at, together = found + 1, True
    return []


def check(program, page):
    text, faults, known = open(page).read(), [], set()
    blocks = re.findall(r"```console\n(.*?)```\n", text, re.S)
    for block in blocks:
        first, *quoted = block.splitlines()
        assert first.startswith("$ "), f"{page}: a block without its command"
        assert [q for q in quoted if q != "..."], f"{page}: nothing is quoted of {first}"
        output, case = run(program, first[2:])
        faults += quoted_in_order(page, first[2:], quoted, output)
        known |= numbers(output) | numbers(case)
    assert blocks, f"{page}: no command"
    prose = re.sub(r"```.*?```", "", text, flags=re.S)
    prose = re.sub(r"\]\([^)]*\)|`[^`]*\.json`|[Ll]esson \d", "", prose)
    faults += [f"{page}: {x:g} stands in no case and no output of this page" for x in sorted(numbers(prose) - known)]
    return faults


def main():
    program, *pages = sys.argv[1:]
    faults = [f for page in pages for f in check(program, page)]
    print("\n".join(faults))
    # The check itself must find what is planted.
    assert quoted_in_order("", "", ["a", "c"], "a\nb\nc\n") and not quoted_in_order("", "", ["a", "...", "c"], "a\nb\nc\n")
    assert numbers("about 21 of 100, 5.25 mm, file-4") == {21, 100, 5.25}
    return bool(faults)


sys.exit(main())
