#!/bin/bash
# readme.sh - README.md shows what the named commands print, no page links to nothing, DEVELOPERS.md names every
# script, and the pages give the defaults of a run that the program has.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
/usr/bin/python3 - "$BUILD" <<'PYTHON' || fail "README.md"
import re, subprocess, sys
blocks = re.findall(r"<!-- the output of: (.*?) -->\n```\n(.*?)```", open("README.md", encoding="utf-8").read(), re.S)
assert blocks, "README.md shows no output"
bad = 0
for command, shown in blocks:
    command = command.replace("build/", sys.argv[1] + "/", 1)
    real = subprocess.run(command.split(), capture_output=True, encoding="utf-8").stdout
    if shown not in real:
        bad = 1
        print("README.md shows what", command, "does not print:")
        print("\n".join(line for line in shown.splitlines() if line not in real.splitlines()))
sys.exit(bad)
PYTHON
for page in README.md DEVELOPERS.md docs/*.md docs/lessons/*.md tests/reference/*.md; do
    for link in $(grep -o ']([^)#]*)' "$page" | tr -d ']()'); do
        [ -e "$(dirname "$page")/$link" ] || fail "$page: a link leads nowhere: $link"
    done
done
for script in tests/scripts/*.sh; do
    script=$(basename "$script")
    [ "$script" = common.sh ] || said DEVELOPERS.md "\`$script\`"
done
# default OPTION: what its help gives as its default
default() { "$program" assess --help | sed -n "s/^  $1 .*default \([0-9,]*\).*/\1/p"; }
trials=$(default --trials) seed=$(default --seed) cap=$(default --cap)
[ -n "$trials" ] && [ -n "$seed" ] && [ -n "$cap" ] || fail "assess --help gives no defaults"
said docs/case-format.md "\`--trials N\` (default $trials) \`--seed S\` ($seed) "
said docs/case-format.md "\`--cap N\` ($cap)"
said include/slimmargin.h "/* $trials trials, seed $seed, cap $cap. */"
finish
