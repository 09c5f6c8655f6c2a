"""The table of docs/checks.md from what `slimmargin selfcheck --json -` writes: selfcheck_table.py <RESULT

One row a source, in the order of the result: what is compared with it, how it was seen, how many checks.
SPDX-License-Identifier: GPL-3.0-or-later
"""
import json
import sys

rows = {}
for check in json.load(sys.stdin)["checks"]:
    examples = rows.setdefault((check["source"], check["seen"]), {})
    examples[check["example"]] = examples.get(check["example"], 0) + 1

print("| held against | how that was seen | what is compared | checks |\n|---|---|---|---|")
for (source, seen), examples in rows.items():
    print(f"| {source} | {seen} | {'; '.join(examples)} | {sum(examples.values())} |")
print(f"\n{sum(sum(e.values()) for e in rows.values())} checks in {sum(len(e) for e in rows.values())} groups.")
