#!/usr/bin/env python3
"""run.py - changes one line of the source at a time and asks whether a unit test notices.

Reads mutants.txt beside it: blocks of

    FILE TEST...            the tests to ask first; "compiler" if the change must not compile
    # why the line matters
    - the line as it is (spaces and a comment at its end do not count); it stands in FILE exactly once
    + the line in its place; nothing after + deletes it

A change is caught by a test that fails, crashes or does not end. Tests that compare whole texts are not asked: they fail
at any change of a number and cannot say which number is right. Each test must first pass on the source as it is. Each
job works in a copy of the tree with the objects of the build: a change costs one compilation, an archive and a link.
SPDX-License-Identifier: GPL-3.0-or-later"""
import argparse
import concurrent.futures
import dataclasses
import os
import pathlib
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import threading
import time

HERE = pathlib.Path(__file__).resolve().parent
TREE = HERE.parent.parent
GOLDEN = {"test_html", "test_svg", "test_report", "test_selfcheck_text", "test_words", "test_explain", "test_blocks"}
COMPILER = "compiler"
MEMORY = 4 << 30  # a change can make a test ask for all there is


class Fault(Exception):
    pass


# The list


@dataclasses.dataclass
class Mutant:
    at: int  # line of the list
    file: str
    tests: list
    why: str = ""
    old: str = None
    new: str = None

    def __str__(self):
        return f"{self.file}: {self.old}  ->  {self.new or 'deleted'}"


def bare(line):
    """Without what clang-format may move and what only people read."""
    return re.sub(r"\s+", " ", re.sub(r"/\*[^*]*\*/\s*$", "", line.strip())).strip()


def read_list(path):
    mutants = []
    for at, line in enumerate(path.read_text().splitlines(), 1):
        mark, rest = line[:1], line[1:].strip()
        if mark.strip() == "" or (mark in "#-+" and not mutants):
            continue  # between blocks, or the head of the list
        if mark == "#":
            mutants[-1].why += rest
        elif mark == "-":
            mutants[-1].old = rest
        elif mark == "+":
            mutants[-1].new = rest
        else:
            file, *tests = line.split()
            mutants.append(Mutant(at, file, tests))
    return mutants


def faults_of(m):
    source = TREE / m.file
    if not re.fullmatch(r"src/\S+\.c", m.file) or not source.is_file():
        return [f"no such source: {m.file}"]
    if not m.tests or not m.why or not m.old or m.new is None:
        return ["a block has tests, a reason, an old line and a new one"]
    found = ["the two lines are the same"] if bare(m.old) == bare(m.new) else []
    found += [f"{t} compares whole texts" for t in m.tests if t in GOLDEN]
    found += [f"no such test: {t}" for t in m.tests if t != COMPILER and not (TREE / f"tests/unit/{t}.c").is_file()]
    times = [bare(line) for line in source.read_text().splitlines()].count(bare(m.old))
    if times != 1:
        found.append(f"stands in {m.file} {times} times, not once: {m.old}")
    return found


def check_list(mutants):
    faults = [f"mutants.txt:{m.at}: {fault}" for m in mutants for fault in faults_of(m)]
    seen = set()
    for m in mutants:
        key = (m.file, bare(m.old or ""), bare(m.new or ""))
        faults += [f"mutants.txt:{m.at}: stands there twice"] if key in seen else []
        seen.add(key)
    if faults:
        raise Fault("\n".join(faults))


# Building and asking


def make(tree, *words):
    p = subprocess.run(["make", "-s", *words], cwd=tree, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
    return p.returncode == 0, p.stderr


def bound():
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def passes(tree, program, seconds):
    p = subprocess.Popen([program], cwd=tree, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                         start_new_session=True, preexec_fn=bound)
    try:
        return p.wait(timeout=seconds) == 0
    except subprocess.TimeoutExpired:
        os.killpg(p.pid, signal.SIGKILL)
        p.wait()
        return False


class Tests:
    """The unit tests on the source as it is: that they pass, and how long they take."""

    def __init__(self, build):
        self.build, self.lock, self.seconds = build, threading.Lock(), {}
        self.names = sorted(p.stem for p in (TREE / "tests/unit").glob("test_*.c") if p.stem not in GOLDEN)

    def make(self, jobs):
        ok, said = make(TREE, f"-j{jobs}", f"BUILD={self.build}", *(f"{self.build}/tests/{t}" for t in self.names))
        if not ok:
            raise Fault(f"the tests do not build:\n{said}")

    def time_of(self, test):
        with self.lock:
            if test not in self.seconds:
                start = time.monotonic()
                if not passes(TREE, f"{self.build}/tests/{test}", 600):
                    raise Fault(f"{test} fails before anything is changed")
                self.seconds[test] = time.monotonic() - start
            return self.seconds[test]


class Workshop:
    """A copy of the tree in which one job changes, builds and asks."""

    def __init__(self, place, tests, named_alone):
        self.tree, self.tests, self.named_alone = place, tests, named_alone
        shutil.copytree(TREE, place, symlinks=True,
                        ignore=shutil.ignore_patterns("build*", ".git", "node_modules", "__pycache__"))
        own = TREE / tests.build
        rooms = [p.name for p in (TREE / "src").iterdir()] + ["tests"]
        for p in [*own.glob("*.a"), *(p for room in rooms for p in (own / room).rglob("*.[od]"))]:
            to = place / "build" / p.relative_to(own)
            to.parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(p, to)  # with its time: what is up to date stays so

    def asked(self, test):
        """Whether the test notices."""
        limit = 20 + 10 * self.tests.time_of(test)
        ok, said = make(self.tree, "BUILD=build", f"build/tests/{test}")
        if not ok:
            raise Fault(f"{test} does not link:\n{said}")
        return not passes(self.tree, f"build/tests/{test}", limit)

    def catcher(self, m):
        """Who catches the change that stands in the tree; None if nobody does."""
        ok, said = make(self.tree, "BUILD=build", "build" + m.file[len("src") : -len("c")] + "o")
        if not ok:
            if COMPILER in m.tests:
                return COMPILER
            raise Fault(f"mutants.txt:{m.at}: does not compile:\n{said}")
        first = [t for t in m.tests if t != COMPILER]
        for t in first:
            if self.asked(t):
                return t
        if self.named_alone:
            return None
        for t in sorted((t for t in self.tests.names if t not in first), key=self.tests.time_of):
            if self.asked(t):
                return t
        return None

    def try_out(self, m):
        source = self.tree / m.file
        kept = [source, self.tree / ("build" + m.file[len("src") : -len("c")] + "o")]
        for p in kept:
            shutil.copy2(p, f"{p}.kept")
        try:
            lines = source.read_text().splitlines()
            at = [bare(line) for line in lines].index(bare(m.old))
            lines[at] = m.new
            source.write_text("\n".join(lines) + "\n")
            return self.catcher(m)
        finally:
            for p in kept:
                os.replace(f"{p}.kept", p)


# The whole


def try_all(mutants, tests, options, root):
    jobs = options.jobs
    free = [Workshop(root / f"tree{i}", tests, options.named) for i in range(jobs)]

    def one(m):
        workshop, start = free.pop(), time.monotonic()
        try:
            return m, workshop.try_out(m), time.monotonic() - start
        finally:
            free.append(workshop)

    with concurrent.futures.ThreadPoolExecutor(jobs) as pool:
        futures = [pool.submit(one, m) for m in mutants]
        try:
            for f in concurrent.futures.as_completed(futures):
                yield f.result()
        finally:
            for f in futures:
                f.cancel()


def chosen(options):
    mutants = read_list(HERE / "mutants.txt")
    check_list(mutants)
    if options.only:
        mutants = [m for m in mutants if re.search(options.only, str(m))]
    if options.sample and options.sample < len(mutants):
        mutants = random.Random(options.seed).sample(mutants, options.sample)
    if not mutants:
        raise Fault("no change is asked for")
    return mutants


def run(options):
    mutants = chosen(options)
    tests = Tests(options.build)
    tests.make(options.jobs)
    (TREE / "build-mutants").mkdir(exist_ok=True)
    survived = 0
    with tempfile.TemporaryDirectory(dir=TREE / "build-mutants") as root:
        for m, by, seconds in try_all(mutants, tests, options, pathlib.Path(root)):
            survived += by is None
            note = "" if by is None or by in m.tests else ", which the list does not name"
            print(f"{by or 'SURVIVED'} ({seconds:.0f} s{note})  {m}", flush=True)
            if by is None:
                print(f"    mutants.txt:{m.at}: {m.why}", flush=True)
    print(f"{len(mutants) - survived} passed, {survived} failed")
    return 1 if survived else 0


def main():
    p = argparse.ArgumentParser(description="Changes one line of the source at a time: does a unit test notice?")
    p.add_argument("--sample", type=int, metavar="N", help="only N changes, drawn with --seed")
    p.add_argument("--seed", default="1", help="any text (default 1)")
    p.add_argument("--only", metavar="PATTERN", help="only changes whose file and lines match")
    p.add_argument("--named", action="store_true", help="ask only the tests that the list names")
    p.add_argument("--jobs", type=int, default=2, help="at a time (default 2)")
    p.add_argument("--build", default=os.environ.get("BUILD", "build"), help="whose objects to share (default $BUILD)")
    try:
        return run(p.parse_args())
    except Fault as f:
        print(f, "0 passed, 1 failed", sep="\n")
        return 1


if __name__ == "__main__":
    sys.exit(main())
