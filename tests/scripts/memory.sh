#!/bin/bash
# memory.sh - memory runs out, at one allocation of a command after the other: the same bytes, or nothing but the message.
# A sample of the allocations; SM_LONG=1: all of them, or 200 of each command that runs many trials.
# SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
case "$(ldd --version 2>&1)" in *GLIBC* | *"GNU libc"*) ;; *) echo "left out: it takes the place of malloc in glibc"; exit 0 ;; esac
if nm -D "$program" 2>/dev/null | grep -q __asan_; then echo "left out: the sanitizer has the place of malloc"; exit 0; fi
read -ra compiler <<<"${CC:-cc}"
if ! "${compiler[@]}" -O2 -Wall -Wextra -Werror -shared -fPIC -o "$work/failing.so" tests/memory/failing.c; then
    fail "the library does not compile"
    finish
fi
/usr/bin/python3 tests/memory/walk.py "$program" "$work/failing.so" "$work" ${SM_LONG:+all} || fail "a lack of memory"
finish
