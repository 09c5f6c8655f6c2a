#!/bin/sh
# Unbalanced REML against lme4 on data sets made by deleting rows. Needs r-base-core and r-cran-lme4; a part of make reference.
# The criterion must agree to the nine digits that learn writes (6e-9) and be no worse than lme4's; the SDs to 0.0001 of the largest. SPDX-License-Identifier: GPL-3.0-or-later
set -eu
cd "$(dirname "$0")/../.."
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
Rscript --vanilla tests/reference/reml.R "$folder"
for csv in "$folder"/*.csv; do
    "${BUILD:-build}/slimmargin" learn "$csv" --quiet --json "${csv%.csv}.json" >/dev/null
done
python3 - "$folder" <<'PY'
import glob, json, math, sys
failed = 0
for path in sorted(glob.glob(sys.argv[1] + "/*.lme4")):
    name = path.split("/")[-1][:-5]
    want = {key: float(v) if v != "NA" else None for key, v in (line.split() for line in open(path))}
    got = json.load(open(path[:-5] + ".json"))["quantities"]["x"]
    sds = {"case": got["case_sd_mm"], "reader": got["reader_sd_mm"], "reader_case": got["reader_case_sd_mm"]}
    # Without repeats the last component holds reader within case too, and stands between the readers together.
    if want["reader_case"] is None and got["between_reader_holds_repeat"]:
        sds["repeat"] = math.sqrt(got["one_reading_sd_mm"] ** 2 - got["reader_sd_mm"] ** 2)
    else:
        sds["repeat"] = got["repeat_sd_mm"]
    scale = max(v for v in sds.values() if v is not None)
    off = got["reml_criterion"] - want["criterion"]
    ok = got["converged"] and off <= 6e-9 * abs(want["criterion"]) and off >= -1e-6
    print(f"{name}: {got['readings']} readings, criterion {got['reml_criterion']:.9f}, lme4 {want['criterion']:.9f}")
    for key, sd in sds.items():
        if want[key] is None:
            ok = ok and sd is None
            continue
        lme4 = math.sqrt(want[key])
        ok = ok and sd is not None and abs(sd - lme4) <= 1e-4 * scale
        print(f"    SD {key:12s} {sd:.7f}  lme4 {lme4:.7f}")
    if not ok:
        print(f"    {name} DIFFERS")
        failed = 1
sys.exit(failed)
PY
