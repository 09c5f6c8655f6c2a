# slimmargin: make, make demo, make test, make asan, make bench, make install. See DEVELOPERS.md.
# SPDX-License-Identifier: GPL-3.0-or-later
.DEFAULT_GOAL := all

CC      ?= gcc
BUILD   ?= build
PREFIX  ?= /usr/local
VERSION := 0.1.0

# The packages of Debian and Ubuntu that each goal needs; .ci/packages finds and installs what is missing.
PACKAGES_BUILD := gcc make pkg-config libgsl-dev libcjson-dev librandom123-dev nettle-dev
PACKAGES_PLOTS := gnuplot-nox fonts-liberation
PACKAGES_TEST  := $(PACKAGES_BUILD) libcmocka-dev binutils python3 python3-jsonschema $(PACKAGES_PLOTS)
PACKAGES_REFERENCE := python3-numpy python3-scipy python3-sklearn r-base-core r-cran-lme4

# -O3 with the two -fno flags lets gcc vectorise loops with sqrt, min, max and comparisons; contraction stays off so
# that every compiler gives the same answers. Never -ffast-math (docs/numerics.md).
WARN    := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes
OPT     ?= -O3 -g
FLOATS  := -fno-math-errno -fno-trapping-math -ffp-contract=off
CFLAGS_ALL = -std=c11 $(OPT) $(WARN) $(FLOATS) -fno-strict-aliasing \
             -D_POSIX_C_SOURCE=200809L -DSM_VERSION='"$(VERSION)"' -Isrc -Iinclude $(DEP_CFLAGS) $(CFLAGS)
DEP_CFLAGS = $(shell pkg-config --cflags gsl libcjson nettle 2>/dev/null)
DEP_LIBS   = $(shell pkg-config --libs gsl libcjson nettle 2>/dev/null) -lm
LDLIBS_ALL = $(DEP_LIBS) -pthread

# The floors below the commands are the library; the commands and the command line, without its main, are an archive for
# the tests. The page (src/web) has the same commands with another outside.
SOURCES := $(filter-out src/outside/% src/command/% src/cli/% src/web/%,$(wildcard src/*/*.c src/*/*/*.c))
OBJ     := $(patsubst src/%.c,$(BUILD)/%.o,$(SOURCES))
MAIN    := $(BUILD)/cli/main.o
CLI_OBJ := $(filter-out $(MAIN),$(patsubst src/%.c,$(BUILD)/%.o,$(wildcard src/outside/*.c src/command/*.c src/cli/*.c)))
LIB     := $(BUILD)/libslimmargin.a
CLI_LIB := $(BUILD)/libcli.a
TESTS   := $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/test_*.c))

# One short line a file; V=1 shows the commands.
ifeq ($(V),1)
Q :=
else
Q := @
endif

.PHONY: sharp slips mutants format clang nightly test-report test-report-golden plots all demo nested test asan bench clean install packages-build packages-test unit floors intervals

all: packages-build
	@$(MAKE) --no-print-directory $(BUILD)/slimmargin

packages-build:
	@.ci/packages $(PACKAGES_BUILD)
packages-test:
	@.ci/packages $(PACKAGES_TEST)

$(BUILD)/slimmargin: $(MAIN) $(CLI_LIB) $(LIB)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $^ $(LDLIBS_ALL)

$(LIB): $(OBJ)
	@rm -f $@
	$(Q)ar rcs $@ $^

$(CLI_LIB): $(CLI_OBJ)
	@rm -f $@
	$(Q)ar rcs $@ $^

$(BUILD)/%.o: src/%.c
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -MMD -MP -c -o $@ $<

# The one file of columns that hold no NaN: see its head.
$(BUILD)/base/ends.o: CFLAGS_ALL += -ffinite-math-only -fno-signed-zeros

# Compiled and linked apart: a change of the library alone costs a link.
$(BUILD)/tests/%.o: tests/unit/%.c
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -MMD -MP -Itests/unit -c -o $@ $<

$(BUILD)/tests/test_%: $(BUILD)/tests/test_%.o $(CLI_LIB) $(LIB)
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(CLI_LIB) $(LIB) -lcmocka $(LDLIBS_ALL)

.SECONDARY: $(TESTS:=.o)

# What a user of the library would write and build: sees nothing of src/.
$(BUILD)/tests/example: tests/example/example.c $(LIB)
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) -std=c11 $(OPT) $(WARN) -Iinclude $(DEP_CFLAGS) $(CFLAGS) -o $@ $< $(LIB) $(LDLIBS_ALL)

# The page's call without a browser: the commands with the outside of a page.
WEB_OBJ := $(patsubst src/%.c,$(BUILD)/%.o,$(wildcard src/outside/*.c src/command/*.c) $(filter-out src/web/exports.c,$(wildcard src/web/*.c)))
$(BUILD)/page-call: tests/page/call.c $(WEB_OBJ) $(LIB)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(WEB_OBJ) $(LIB) $(LDLIBS_ALL)

$(BUILD)/nested: tests/nested/nested.c $(CLI_LIB) $(LIB)
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(CLI_LIB) $(LIB) $(LDLIBS_ALL)

$(BUILD)/bench: tests/bench/bench.c $(CLI_LIB) $(LIB)
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(CLI_LIB) $(LIB) $(LDLIBS_ALL)

# Compiled on all processors where the caller does not say how many; tests/run says how many tests run at a time.
test: packages-test
	@$(MAKE) --no-print-directory $(if $(filter -j%,$(MAKEFLAGS)),,-j$(shell nproc)) $(BUILD)/slimmargin $(TESTS) $(BUILD)/tests/example $(BUILD)/coverage $(BUILD)/intervals $(BUILD)/slips $(BUILD)/page-call
	@BUILD=$(BUILD) tests/run $(TESTS)

# The main job on an invented case, and where to look.
demo: all
	$(BUILD)/slimmargin assess scenarios/demo.json --json $(BUILD)/demo.json
	@echo
	@echo "The case is scenarios/demo.json, its site profile scenarios/site.json; both are invented."
	@echo "The same result for machines: $(BUILD)/demo.json (docs/case-format.md, \"The result\")."

# What a trial costs, beside bare draws of the same numbers and beside numpy and OpenTURNS where they are installed (Debian:
# python3-numpy, python3-scipy, python3-openturns). A few minutes; never fails on time. LARGEST=1000000000 for more trials.
bench: all
	@$(MAKE) --no-print-directory $(BUILD)/bench
	$(BUILD)/bench $(BUILD)/slimmargin scenarios/demo.json scenarios/site.json

# The worth of every re-check against brute force; a few minutes.
NESTED_CASES ?= scenarios/demo.json scenarios/two-witnesses.json scenarios/three-bridges.json scenarios/low-eaves.json scenarios/look-first.json
nested: all
	@$(MAKE) --no-print-directory $(BUILD)/nested
	$(BUILD)/nested $(NESTED_CASES)

# Held against programs that share nothing with this one: numpy for the probabilities, lme4 for the reader studies.
reference: all
	@.ci/packages $(PACKAGES_REFERENCE)
	OMP_NUM_THREADS=1 /usr/bin/python3 tests/reference/compare.py --program $(BUILD)/slimmargin --trials 2000000 --reference-trials 2000000
	OMP_NUM_THREADS=1 /usr/bin/python3 tests/reference/looks_check.py
	OMP_NUM_THREADS=1 /usr/bin/python3 tests/reference/looks_worth.py scenarios/look-first.json --program $(BUILD)/slimmargin
	BUILD=$(BUILD) tests/reference/reml.sh

# Are the probabilities calibrated? The tables of docs/coverage.md: about two minutes.
$(BUILD)/coverage: tests/coverage/coverage.c $(LIB)
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(LIB) $(LDLIBS_ALL)

coverage: all
	@$(MAKE) --no-print-directory $(BUILD)/coverage
	$(BUILD)/coverage tests/coverage/root.json --population flat
	$(BUILD)/coverage tests/coverage/looks.json --population flat
	$(BUILD)/coverage tests/coverage/root.json --population published --show
	$(BUILD)/coverage tests/coverage/root.json --population narrow --show

# Are the probabilities of sharp points right, and their intervals? The table of docs/speed.md: about ten minutes.
$(BUILD)/sharp: tests/coverage/sharp.c $(LIB)
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(LIB) $(LDLIBS_ALL)

SHARP_SEEDS ?= 2000
SHARP_CASES = profile scenarios/site.json scenarios/demo.json scenarios/harbour-fine.json profile none \
    $(addprefix scenarios/,$(addsuffix .json,ferry-breeze ferry-storm hourglass low-eaves seven-readings soft-wall meadow)) \
    limit 2 scenarios/meadow.json limit none scenarios/narrow-gate.json limit 4.6 scenarios/narrow-gate.json
SHARP_ROWS = profile scenarios/site.json scenarios/demo.json profile none \
    $(addprefix scenarios/,$(addsuffix .json,ferry-storm hourglass soft-wall narrow-gate three-bridges))
SHARP_SETTINGS = $(addprefix scenarios/,$(addsuffix .json,demo hourglass low-eaves)) \
    profile scenarios/site.json scenarios/harbour-fine.json
sharp: all
	@$(MAKE) --no-print-directory $(BUILD)/sharp
	$(BUILD)/sharp seeds $(SHARP_SEEDS) trials 4096 $(SHARP_CASES)
	$(BUILD)/sharp seeds 200 trials 32768 $(SHARP_CASES)
	$(BUILD)/sharp enough seeds 500 trials 131072 $(SHARP_CASES)
	$(BUILD)/sharp race $(SHARP_CASES)
	$(BUILD)/sharp rows seeds 200 trials 32768 $(SHARP_ROWS)
	$(BUILD)/sharp settings seeds 40 $(SHARP_SETTINGS)

# Do the intervals of a reader study hold the truth? The table of docs/coverage.md: about a quarter of an hour.
$(BUILD)/intervals: tests/coverage/intervals.c $(LIB)
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(LIB) $(LDLIBS_ALL)

intervals: all
	@$(MAKE) --no-print-directory $(BUILD)/intervals
	$(BUILD)/intervals

# Does a slip of typing pass? Every slip on 1,000 plausible cases: the table of docs/slips.md, about half a minute.
$(BUILD)/slips: tests/slips/slips.c $(LIB)
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(CC) $(CFLAGS_ALL) -o $@ $< $(LIB) $(LDLIBS_ALL)

slips: all
	@$(MAKE) --no-print-directory $(BUILD)/slips
	python3 tests/slips/slips.py --program $(BUILD)/slips --cases 1000

# Does a unit test notice if a line of the source is wrong? One change at a time; about ten minutes.
mutants: packages-test
	@$(MAKE) --no-print-directory $(BUILD)/slimmargin $(TESTS)
	@BUILD=$(BUILD) tests/mutants/run.py

# The same tests under the address and undefined-behaviour sanitizers, in a build folder of their own.
asan: packages-test
	@$(MAKE) --no-print-directory test BUILD=build-asan OPT="-O1 -g" \
	    CFLAGS="-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer"

# The same tests of a program that clang made.
clang: packages-test
	@.ci/packages clang
	@$(MAKE) --no-print-directory test BUILD=build-clang CC=clang

include src/web/page.mk

# What is too long for every change: one to two hours. The tests walk further with SM_LONG=1.
NIGHTLY := test clang asan test-report test-page reference nested coverage intervals slips mutants
nightly: packages-test
	@BUILD=$(BUILD) tests/nightly $(NIGHTLY)

# The report as a browser shows it and as it prints: about a minute. NODE_FLAGS=--golden writes the golden text anew (test-report-golden).
PACKAGES_REPORT := chromium poppler-utils fonts-liberation
test-report: packages-build
	@.ci/packages $(PACKAGES_REPORT)
	@command -v npm >/dev/null || .ci/packages nodejs npm
	@$(MAKE) --no-print-directory $(BUILD)/slimmargin
	@cd tests/report && PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD=1 npm install --no-package-lock --no-audit --no-fund --silent
	@node tests/report/run.mjs $(BUILD)/slimmargin $(BUILD)/report-looks $(NODE_FLAGS)

test-report-golden:
	@$(MAKE) --no-print-directory test-report NODE_FLAGS=--golden

# The demo's figures once more, by gnuplot, as PDF and PNG for slides and papers; and those of sweeps.
plots: all
	@.ci/packages $(PACKAGES_PLOTS)
	$(BUILD)/slimmargin report scenarios/demo.json --figures $(BUILD)/figures
	$(BUILD)/slimmargin sweep scenarios/demo.json --vary blooming=0.2:0.8 --quiet --figures $(BUILD)/figures
	$(BUILD)/slimmargin sweep scenarios/demo.json --vary left.ostium_gap=5:7 --vary blooming=0.2:0.8 --quiet --figures $(BUILD)/figures
	$(BUILD)/slimmargin sweep scenarios/demo.json --all --quiet --figures $(BUILD)/figures
	@plots/draw $(BUILD)/figures

# The C files as .clang-format has them.
format:
	@command -v clang-format >/dev/null || .ci/packages clang-format
	clang-format -i $$(git ls-files '*.c' '*.h')

clean:
	rm -rf build build-asan build-*

install: all
	install -D -m 755 $(BUILD)/slimmargin $(DESTDIR)$(PREFIX)/bin/slimmargin
	install -D -m 644 $(LIB) $(DESTDIR)$(PREFIX)/lib/libslimmargin.a
	install -D -m 644 include/slimmargin.h $(DESTDIR)$(PREFIX)/include/slimmargin.h

-include $(OBJ:.o=.d) $(WEB_OBJ:.o=.d) $(MAIN:.o=.d) $(CLI_OBJ:.o=.d) $(TESTS:=.d)
