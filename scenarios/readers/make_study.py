#!/usr/bin/env python3
"""Makes study.csv: an invented reader study of 12 scans, 3 readers, 2 repeats and 5 quantities. No scan and no reader exists.
SPDX-License-Identifier: GPL-3.0-or-later

    python3 scenarios/readers/make_study.py > scenarios/readers/study.csv
"""
import random

# quantity: mean and SD of the scans, then the SDs of reader, reader within scan and repeat, all in mm.
# The three error SDs give one-reading SDs of 0.70, 0.49, 0.81, 0.44 and 0.81 mm.
QUANTITIES = {
    "ostium_height": (12.5, 2.5, 0.35, 0.40, 0.45),
    "ostium_gap": (5.5, 1.5, 0.30, 0.25, 0.30),
    "stj_height": (19.0, 2.5, 0.50, 0.40, 0.50),
    "stj_gap": (3.2, 1.0, 0.20, 0.25, 0.30),
    "leaflet_height": (14.5, 1.2, 0.40, 0.50, 0.50),
}
draw = random.Random(20).gauss

print("case,quantity,reader,repeat,value_mm")
for quantity, (mean, scans, reader_sd, cell_sd, repeat_sd) in QUANTITIES.items():
    offset = {reader: draw(0, reader_sd) for reader in "ABC"}
    for scan in range(1, 13):
        truth = draw(mean, scans)
        for reader in "ABC":
            cell = truth + offset[reader] + draw(0, cell_sd)
            for repeat in (1, 2):
                print(f"{scan:02d},{quantity},{reader},{repeat},{cell + draw(0, repeat_sd):.1f}")
