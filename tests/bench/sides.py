#!/usr/bin/python3
"""A case with many coronaries, to see how cost and memory grow: the first side of a case, N times.

    sides.py CASE N > OTHER.json       SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import sys

with open(sys.argv[1]) as f:
    case = json.load(f)
first = next(iter(case["coronaries"].values()))
case["coronaries"] = {"side_%d" % (i + 1): first for i in range(int(sys.argv[2]))}
case.pop("alternatives", None)     # they name sides
json.dump(case, sys.stdout, indent=2)
