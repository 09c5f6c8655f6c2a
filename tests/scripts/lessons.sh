#!/bin/bash
# lessons.sh - the commands of every lesson run, and its page quotes what they give. SPDX-License-Identifier:
# GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
/usr/bin/python3 tests/scripts/lessons.py "$program" docs/lessons/[1-9]*.md || fail "a page and its commands differ"
for file in scenarios/lessons/*.json; do
    status 0 "$program" check "$file"
    grep -qF "$file" docs/lessons/*.md || fail "no lesson uses $file"
done
for page in docs/lessons/[1-9]*.md; do # each page is reached, and each question has its answer
    grep -qF "$(basename "$page")" docs/lessons/*.md || fail "nothing leads to $page"
    case $page in *-answer.md) ;; *) [ -e "${page%.md}-answer.md" ] || fail "$page has no answer" ;; esac
done
finish
