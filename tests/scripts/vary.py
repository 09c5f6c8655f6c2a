"""Writes a variation of the demo case to standard output: vary.py POINTER JSON [POINTER JSON ...]; JSON "-" removes.

SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import sys

case = json.load(open("scenarios/demo.json"))
case.pop("profile")
for pointer, value in zip(sys.argv[1::2], sys.argv[2::2]):
    *folders, key = pointer.strip("/").split("/")
    place = case
    for folder in folders:
        place = place.setdefault(folder, {})
    if value == "-":
        place.pop(key, None)
    else:
        place[key] = json.loads(value)
json.dump(case, sys.stdout, indent=1)
