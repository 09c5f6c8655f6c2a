# page.mk - the engine as WebAssembly and the one file that holds it: make page, make test-page. See docs/page.md.
# SPDX-License-Identifier: GPL-3.0-or-later
PACKAGES_PAGE := clang lld wasi-libc libclang-rt-dev-wasm32 binaryen dpkg-dev
PACKAGES_TEST_PAGE := chromium firefox-esr fonts-liberation poppler-utils

# 1. Sources that Debian's packages bring, outside the repository: GSL, cJSON and nettle's SHA-256 as they are installed here.
PAGE_SOURCES := $(BUILD)/page-sources
PAGE_INCLUDE := $(PAGE_SOURCES)/include
# What the engine reaches of GSL. Where it calls something new, the linker names a function that it misses: its file belongs here.
GSL_NEEDED   := blas/blas block/init cblas/daxpy cblas/dcopy cblas/ddot cblas/dgemv cblas/dger cblas/dnrm2 cblas/dscal cblas/dsymv cblas/dsyr2 \
    cblas/dsyrk cblas/dtrmm cblas/dtrmv cblas/dtrsm cblas/dtrsv cblas/xerbla cdf/beta cdf/betainv cdf/chisq cdf/chisqinv cdf/fdist \
    cdf/fdistinv cdf/gamma cdf/gammainv cdf/gauss cdf/gaussinv cdf/tdist cdf/tdistinv eigen/sort eigen/symmv err/error err/stream \
    linalg/cholesky linalg/householder linalg/invtri linalg/symmtd linalg/trimult matrix/copy matrix/getset matrix/init \
    matrix/matrix matrix/rowcol matrix/submatrix matrix/swap matrix/view multimin/convergence multimin/fminimizer \
    multimin/simplex2 qrng/inline qrng/qrng qrng/sobol randist/beta randist/chisq randist/flat randist/gamma randist/gauss \
    randist/gausszig randist/lognormal randist/shuffle randist/tdist rng/inline rng/mt rng/rng sort/sortvec sort/sortvecind \
    specfunc/beta specfunc/erfc specfunc/exp specfunc/gamma specfunc/gamma_inc specfunc/log specfunc/psi specfunc/zeta \
    statistics/quantiles statistics/select sys/infnan sys/pow_int vector/copy vector/init vector/minmax vector/oper \
    vector/subvector vector/swap vector/vector vector/view
GSL_FILES    := $(patsubst %,$(PAGE_SOURCES)/gsl/%.c,$(GSL_NEEDED))
NETTLE_FILES := $(addprefix $(PAGE_SOURCES)/nettle/,sha256.c sha256-compress.c write-be32.c)
FOREIGN_OBJ  := $(patsubst $(PAGE_SOURCES)/%.c,$(BUILD)/page-foreign/%.o,$(GSL_FILES) $(NETTLE_FILES) $(PAGE_SOURCES)/cjson/cJSON.c)

# 2. The engine twice: with vectors of 128 bits, and for browsers that have none.
PAGE_CC      := clang --target=wasm32-wasi
PAGE_CFLAGS   = -std=c11 -O3 $(WARN) $(FLOATS) -fno-strict-aliasing -ffunction-sections -fdata-sections \
                -D_POSIX_C_SOURCE=200809L -DSM_VERSION='"$(VERSION)"' -Isrc -Iinclude -isystem $(PAGE_INCLUDE)
PAGE_C       := $(SOURCES) $(wildcard src/outside/*.c src/command/*.c src/web/*.c)
SIMD_OBJ     := $(patsubst src/%.c,$(BUILD)/page-simd/%.o,$(PAGE_C))
SCALAR_OBJ   := $(patsubst src/%.c,$(BUILD)/page-scalar/%.o,$(PAGE_C))
# Below its stack lies nothing, so that a stack that overflows stops the engine and overwrites nothing.
PAGE_LINK    := -mexec-model=reactor -Wl,--gc-sections -Wl,--strip-all -Wl,--stack-first -Wl,-z,stack-size=1048576

.PHONY: page page-sources page-engine test-page

page-sources:
	@.ci/packages $(PACKAGES_BUILD) $(PACKAGES_PAGE)
	@.ci/sources $(PAGE_SOURCES) libgsl-dev libcjson-dev nettle-dev
	@mkdir -p $(PAGE_INCLUDE)
	@for p in gsl/gsl cjson/libcjson nettle/nettle Random123/gsl; do \
	    ln -sfn "$$(pkg-config --variable=includedir "$${p#*/}")/$${p%/*}" $(PAGE_INCLUDE)/$${p%/*}; done

# Only a second make knows that the sources are there.
page-engine: page-sources
	@$(MAKE) --no-print-directory $(BUILD)/page/simd.wasm $(BUILD)/page/scalar.wasm

$(BUILD)/page-simd/%.o: src/%.c
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(PAGE_CC) -msimd128 $(PAGE_CFLAGS) -MMD -MP -c -o $@ $<

$(BUILD)/page-scalar/%.o: src/%.c
	@mkdir -p $(@D)
	@echo '  CC $@'
	$(Q)$(PAGE_CC) $(PAGE_CFLAGS) -MMD -MP -c -o $@ $<

$(BUILD)/page-simd/base/ends.o $(BUILD)/page-scalar/base/ends.o: PAGE_CFLAGS += -ffinite-math-only -fno-signed-zeros
# Random123 asks which processor it is on only to refuse those that it was not tried on; nothing else in it knows this one.
$(BUILD)/page-simd/sampling/philox.o $(BUILD)/page-scalar/sampling/philox.o: PAGE_CFLAGS += -D__riscv

# Compiled as its distribution does, without warnings: it is not ours.
$(BUILD)/page-foreign/%.o: $(PAGE_SOURCES)/%.c .ci/gsl/config.h
	@mkdir -p $(@D)
	$(Q)$(PAGE_CC) -O2 -w $(FLOATS) -ffunction-sections -fdata-sections -isystem $(PAGE_INCLUDE) -I.ci/gsl -I$(<D) -I$(PAGE_SOURCES)/gsl -c -o $@ $<

# What only functions that nothing reaches would call may be missing: the linker drops those first.
$(BUILD)/page/%.linked: $(FOREIGN_OBJ)
	@mkdir -p $(@D)
	$(Q)$(PAGE_CC) $(PAGE_LINK) -o $@ $(filter %.o,$^) -lm

$(BUILD)/page/simd.linked: $(SIMD_OBJ)
$(BUILD)/page/scalar.linked: $(SCALAR_OBJ)
.SECONDARY: $(FOREIGN_OBJ) $(BUILD)/page/simd.linked $(BUILD)/page/scalar.linked

# clang would call wasm-opt at a link with -O and forget to tell it of the vectors.
$(BUILD)/page/simd.wasm: PAGE_FEATURES := --enable-simd
$(BUILD)/page/%.wasm: $(BUILD)/page/%.linked
	@echo '  CC $@'
	$(Q)wasm-opt -O3 $(PAGE_FEATURES) -o $@ $<

# 3. The file
PAGE_FRONT := src/web/page
PAGE_PARTS := $(wildcard $(addprefix $(PAGE_FRONT)/,*.ts */*.ts *.css */*.css page.html assemble.mjs tsconfig.json) scenarios/*.json scenarios/*/*.json scenarios/*/*.csv)

page: page-engine
	@command -v npm >/dev/null || .ci/packages nodejs npm
	@$(MAKE) --no-print-directory $(BUILD)/slimmargin.html
	@echo 'The page: $(BUILD)/slimmargin.html. It needs no network and no other file.'

%/node_modules/.made: %/package.json
	@cd $* && npm install --no-package-lock --no-audit --no-fund --silent
	@touch $@

$(BUILD)/slimmargin.html: $(BUILD)/page/simd.wasm $(BUILD)/page/scalar.wasm $(PAGE_PARTS) $(PAGE_FRONT)/node_modules/.made LICENSE
	$(Q)$(PAGE_FRONT)/node_modules/.bin/tsc --noEmit --strict -p $(PAGE_FRONT)
	$(Q)node $(PAGE_FRONT)/assemble.mjs $(BUILD)/page $@

# The page in Debian's two browsers, from the file, with the network cut: some minutes. WORDS=: only tests named so; SM_LONG=1: what is the
# page's own doing in both browsers too (tests/page/run.mjs).
test-page: page
	@.ci/packages $(PACKAGES_TEST_PAGE)
	@$(MAKE) --no-print-directory $(BUILD)/slimmargin tests/page/node_modules/.made
	@node tests/page/run.mjs $(BUILD)/slimmargin $(BUILD)/slimmargin.html $(BUILD)/page-looks $(if $(WORDS),'$(WORDS)')

-include $(SIMD_OBJ:.o=.d) $(SCALAR_OBJ:.o=.d)
