#!/usr/bin/env python3
"""two_builds.py - one command by two builds of the program, in turn: medians of wall and processor time, and of the
ratios of each pair, second over first.

    /usr/bin/python3 tests/bench/two_builds.py FIRST SECOND [--runs N] -- recheck scenarios/demo.json --threads 1
SPDX-License-Identifier: GPL-3.0-or-later"""
import argparse
import resource
import statistics
import subprocess
import time


def processor():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def run(program, command):
    wall, cpu = time.monotonic(), processor()
    subprocess.run([program, *command], stdout=subprocess.DEVNULL, check=True)
    return time.monotonic() - wall, processor() - cpu


def main():
    p = argparse.ArgumentParser(description=__doc__.split("\n\n", maxsplit=1)[0])
    p.add_argument("program", nargs=2, metavar="BUILD")
    p.add_argument("--runs", type=int, default=15, help="of each (default 15)")
    p.add_argument("command", nargs="+")
    args = p.parse_args()
    times = ([], [])
    for i in range(args.runs):
        for which in (0, 1) if i % 2 == 0 else (1, 0):
            times[which].append(run(args.program[which], args.command))
    for at, name in enumerate(("wall", "processor")):
        first, second = ([t[at] for t in of] for of in times)
        ratios = [b / a for a, b in zip(first, second)]
        print(f"{name}: {statistics.median(first):.3f} s and {statistics.median(second):.3f} s, "
              f"ratio of medians {statistics.median(second) / statistics.median(first):.3f}, "
              f"median of ratios {statistics.median(ratios):.3f}")


if __name__ == "__main__":
    main()
