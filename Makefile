# slimmargin: make, make demo, make test, make asan, make bench, make install. See DEVELOPERS.md.
# SPDX-License-Identifier: GPL-3.0-or-later
.DEFAULT_GOAL := all

CC      ?= gcc
BUILD   ?= build
PREFIX  ?= /usr/local
VERSION := 0.1.0

# The packages of Debian and Ubuntu that each goal needs; .ci/packages finds and installs what is missing.
PACKAGES_BUILD := gcc make pkg-config libgsl-dev libcjson-dev librandom123-dev nettle-dev
PACKAGES_TEST  := $(PACKAGES_BUILD) libcmocka-dev binutils python3

# -O3 with the two -fno flags lets gcc vectorise loops with sqrt, min, max and comparisons; contraction stays off so
# that every compiler gives the same answers. Never -ffast-math (docs/numerics.md).
WARN    := -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wstrict-prototypes -Wmissing-prototypes
OPT     ?= -O3 -g
CFLAGS_ALL = -std=c11 $(OPT) $(WARN) -fno-math-errno -fno-trapping-math -ffp-contract=off -fno-strict-aliasing \
             -D_POSIX_C_SOURCE=200809L -DSM_VERSION='"$(VERSION)"' -Isrc -Iinclude $(DEP_CFLAGS) $(CFLAGS)
DEP_CFLAGS = $(shell pkg-config --cflags gsl libcjson nettle 2>/dev/null)
DEP_LIBS   = $(shell pkg-config --libs gsl libcjson nettle 2>/dev/null) -lm
LDLIBS_ALL = $(DEP_LIBS) -pthread

FLOORS  := base sampling measurement geometry analysis casefile report cli
SRC     := $(foreach f,$(FLOORS),$(wildcard src/$(f)/*.c))
OBJ     := $(SRC:src/%.c=$(BUILD)/%.o)
MAIN    := $(BUILD)/cli/main.o
LIB     := $(BUILD)/libslimmargin.a
TESTS   := $(patsubst tests/unit/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/test_*.c))

.PHONY: all demo test asan bench clean install packages-build packages-test unit floors

all: packages-build
	@$(MAKE) --no-print-directory $(BUILD)/slimmargin

packages-build:
	@.ci/packages $(PACKAGES_BUILD)
packages-test:
	@.ci/packages $(PACKAGES_TEST)

$(BUILD)/slimmargin: $(MAIN) $(LIB)
	$(CC) $(CFLAGS_ALL) -o $@ $^ $(LDLIBS_ALL)

$(LIB): $(filter-out $(MAIN),$(OBJ))
	@rm -f $@
	ar rcs $@ $^

$(BUILD)/%.o: src/%.c
	@mkdir -p $(@D)
	$(CC) $(CFLAGS_ALL) -MMD -MP -c -o $@ $<

$(BUILD)/tests/%: tests/unit/%.c $(LIB)
	@mkdir -p $(@D)
	$(CC) $(CFLAGS_ALL) -MMD -MP -Itests/unit -o $@ $< $(LIB) -lcmocka $(LDLIBS_ALL)

test: packages-test
	@$(MAKE) --no-print-directory $(BUILD)/slimmargin $(TESTS)
	@BUILD=$(BUILD) tests/run $(TESTS)

# The same tests under the address and undefined-behaviour sanitizers, in a build folder of their own.
asan: packages-test
	@$(MAKE) --no-print-directory test BUILD=build-asan OPT="-O1 -g" \
	    CFLAGS="-fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer"

clean:
	rm -rf build build-asan build-*

install: all
	install -D -m 755 $(BUILD)/slimmargin $(DESTDIR)$(PREFIX)/bin/slimmargin
	install -D -m 644 $(LIB) $(DESTDIR)$(PREFIX)/lib/libslimmargin.a
	install -D -m 644 include/slimmargin.h $(DESTDIR)$(PREFIX)/include/slimmargin.h

-include $(OBJ:.o=.d) $(TESTS:=.d)
