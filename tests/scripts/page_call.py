#!/usr/bin/python3
"""The page's call against the program: the same words on the same files say, write and return the same.

Usage: page_call.py CALL PROGRAM FOLDER   (FOLDER: an empty one). SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import os
import pathlib
import re
import subprocess
import sys

TRIALS = ["--trials", "70000"]
REPORTS = ("demo", "look-first", "slack-tide", "three-bridges", "two-witnesses")


def example(language):
    """The example of docs/new.md in that language."""
    return re.search(rf"```{language}\n(.*?)```", pathlib.Path("docs/new.md").read_text(), re.S).group(1)



def read(*names):
    return {pathlib.PurePath(name).name: pathlib.Path(name).read_text() for name in names}


def orders():
    """(words, files) of every command; each scenario at least once."""
    site = "scenarios/site.json"
    for path in sorted(pathlib.Path("scenarios").glob("*.json")):
        if path.name != "site.json":
            files, name = read(str(path), site), path.name
            yield ["assess", name, *TRIALS, "--whole", "--json", "result.json"], files
        if path.stem in REPORTS:
            yield ["report", name, *TRIALS, "-o", "report.html", "--json", "result.json", "--figures", "drawn"], files
    demo = read("scenarios/demo.json", site)
    for words in (["assess", "demo.json", "--quiet"], ["assess", "demo.json", "--plain"],
                  ["assess", "demo.json", "--points", "sharp", "--json", "-"],
                  ["assess", "demo.json", "--until-resolved", "--cap", "200000"], ["recheck", "demo.json", "--json", "result.json"],
                  ["weigh", "demo.json", "--json", "result.json"],
                  ["sweep", "demo.json", "--all", "--csv", "all.csv", "-o", "all.html"],
                  ["sweep", "demo.json", "--vary", "blooming=0.2:0.8:5", "--csv", "blooming.csv", "--figures", "drawn"]):
        yield words + TRIALS, demo
    two = {**demo, **read("scenarios/harbour-fine.json")}
    yield ["compare", "demo.json", "harbour-fine.json", *TRIALS, "--json", "result.json"], two
    study = read("scenarios/readers/study.csv")
    yield ["learn", "study.csv", "--json", "study.json"], study
    yield ["learn", "study.csv", "--plane", "fixed", "--profile", "new-site.json"], study
    yield ["learn", "study.csv", "--plane", "replaced", "--profile", "site.json"], {**study, **read(site)}
    yield ["new", "case.json", "--template"], {}
    yield ["new", "case.json", "--from-points", "a.csv", "--axes", "lps", "--circle", "22.4"], {"a.csv": example("points")}
    yield ["new", "cases", "--from-csv", "table.csv"], {"table.csv": example("csv")}
    yield ["check", "demo.json"], demo
    yield ["check", "demo.json"], {"demo.json": demo["demo.json"]}
    yield ["check", "broken.json"], {"broken.json": '{"format": 1,'}
    for words in (["defaults"], ["explain"], ["explain", "crowded", "ostium"], ["explain", "nothing-of-the-kind"], ["--help"],
                  ["assess", "--help"], ["assess"], ["nothing"], [], ["report", "demo.json"], ["selfcheck", "--quiet"],
                  ["sweep", "demo.json", "--vary", "blooming"], ["assess", "demo.json", "--trials", "none"]):
        yield words, demo


def by_program(program, folder, words, files):
    for name, text in files.items():
        (folder / name).write_text(text)
    done = subprocess.run([program, *words], cwd=folder, capture_output=True, stdin=subprocess.DEVNULL,
                          env={**os.environ, "LC_ALL": "C.UTF-8"}, check=False)
    written = {}
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        name, text = str(path.relative_to(folder)), path.read_bytes().decode()
        if files.get(name) != text:
            written[name] = text
    return {"exit": done.returncode, "out": done.stdout.decode(), "err": done.stderr.decode(), "files": written}


def by_call(process, words, files):
    process.stdin.write(json.dumps({"do": "command", "words": words, "files": files}) + "\n")
    process.stdin.flush()
    answer = json.loads(process.stdout.readline())
    return {key: answer[key] for key in ("exit", "out", "err", "files")}


def main():
    call, program, root = sys.argv[1], os.path.abspath(sys.argv[2]), pathlib.Path(sys.argv[3])
    n = wrong = 0
    with subprocess.Popen([call], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as process:
        for words, files in orders():
            folder = root / str(n)
            folder.mkdir()
            expected, found = by_program(program, folder, words, files), by_call(process, words, files)
            for key in expected:
                if expected[key] != found[key]:
                    wrong += 1
                    print(f"{' '.join(words)}: {key} differs:\n  program {str(expected[key])[:300]}\n  call    {str(found[key])[:300]}")
            n += 1
    print(f"{n} orders, {wrong} differences")
    sys.exit(wrong > 0 or n < 50)


main()
