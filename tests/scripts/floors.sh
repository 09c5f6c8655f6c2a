#!/bin/bash
# floors.sh - each floor includes only lower ones, the two on top not each other, and no modules include each other in a
# circle; a type has its name for itself; nothing below these two opens files, prints, exits, reads clock or environment,
# starts threads or keeps writable globals; what tells computes nothing. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"

# Lowest first. So reader statistics stand on base alone, and reading a case needs no engine.
order="base readers sampling measurement geometry format casefile engine decision whatif study selfcheck newcase \
report/blocks report/json report/text report/figures report/page report/guide api outside command cli web"
# The floors that compute.
computing="readers sampling measurement geometry engine decision whatif study selfcheck newcase"
# What report may use of them all the same:
# - names and words;
tells="sm_quantity_name sm_vc_name sm_guard_words sm_seen_words"
# - the tables of sources, second looks, gaps and outputs;
tells="$tells sm_source_table sm_source_named sm_source_name sm_looked_table sm_looked_quantity sm_gaps sm_gap_limit sm_outputs sm_outputs_by_gap"
# - the mean and SD of a value that the case states;
tells="$tells sm_dist_mean sm_dist_sd sm_quantity_estimate sm_readings_mean"
# - what stored results say when read in another way: a call by its line, the share to rank by, the ends of a curve, where it
#   meets the line;
tells="$tells sm_hold_of sm_recheck_can_change sm_share_rank sm_curve_range sm_curve_height sm_sweep_meetings"
# - which look comes first, what it is ranked by, and the harm of the ways to go on;
tells="$tells sm_look_worths_first sm_look_worths_best_of_choice sm_look_worth_net sm_policies_at_line sm_policies_of_choice"
# - whether a reading is of a kind, and whether differences are; words of their own depend on it;
tells="$tells sm_quantity_uses_reader_sds sm_differences_of_scan_alone"
# - whether a side has what is told of it: a sinus without a coronary has nothing beside an ostium;
tells="$tells sm_coronary_lacks sm_gap_is_there"
# - what is in doubt, in words; whether a limit is one number;
tells="$tells sm_lever_words sm_lever_is_wall sm_dist_is_constant"
# - facts of published series, and what follows from them alone, in closed form.
tells="$tells sm_published_limits sm_published_obstructed sm_published_unobstructed sm_published_auc sm_published_sensitivity sm_published_specificity"

objects_of() {
    for floor in "$@"; do
        for file in src/$floor/*.c; do
            object=$BUILD/${file#src/}
            echo "${object%.c}.o"
        done
    done
}
compile() { ${CC:-cc} -O1 -c -o "$work/$1.o" "$work/$1.c"; }

# 1. By includes and types

# shellcheck disable=SC2086
sources_in() { /usr/bin/python3 tests/scripts/floors.py "$1" $order; }

# The check itself must find what is planted.
mkdir -p "$work/src/base" "$work/src/readers" "$work/src/casefile" "$work/src/engine"
cat >"$work/src/engine/plan.h" <<'C'
typedef struct {
    int n;
} sm_same;
typedef int (*sm_pointer)(int);
typedef int sm_function(int);
C
printf '%s\n' '#include "engine/plan.h"' >"$work/src/casefile/needs.c"
mkdir -p "$work/src/cli" "$work/src/web"
printf '%s\n' '#include "cli/signals.h"' '#include "engine/plan.h"' >"$work/src/web/page.c"
printf '%s\n' '#include "casefile/b.h"' 'typedef int sm_same;' >"$work/src/casefile/a.h"
printf '%s\n' '/* typedef int sm_pointer; */' 'typedef int sm_function;' >"$work/src/casefile/b.h"
printf '%s\n' '#include "casefile/c.h"' >"$work/src/casefile/b.c"
printf '%s\n' '#include "casefile/a.h"' >"$work/src/casefile/c.h"
printf '%s\n' '#include "casefile/a.h"' '#include "b.h"' 'typedef void *sm_pointer[2];' 'typedef int own;' >"$work/src/readers/fit.c"
printf '%s\n' '#include "readers/fit.h"' '#include "slimmargin.h"' 'typedef int own;' >"$work/src/base/sum.c"
sources_in "$work/src" | sort >"$work/found"
sort >"$work/planted" <<'FAULTS'
base/sum.c includes readers/fit.h
base/sum.c includes the public header
casefile/needs.c includes engine/plan.h
readers/fit.c includes casefile/a.h
readers/fit.c includes b.h without its floor
web/page.c includes cli/signals.h
a circle of includes: casefile/a casefile/b casefile/c
several types are called sm_same: casefile/a.h engine/plan.h
several types are called sm_function: casefile/b.h engine/plan.h
several types are called sm_pointer: engine/plan.h readers/fit.c
FAULTS
diff "$work/planted" "$work/found" || fail "planted in the sources (<), found (>)"

sources_in src >"$work/found" 2>&1
silent "$work/found"
grep -rl '#include <cjson' src | grep -vE '^src/(format|study)/' >"$work/json"
silent "$work/json"
grep -nE '#include "' include/slimmargin.h && fail "the public header includes one of ours"

# 2. By symbols: the outside

forbidden='fopen|fdopen|freopen|open|open64|openat|creat|read|pread|write|pwrite|fread|fwrite|printf|fprintf|vprintf|vfprintf|dprintf|puts|fputs|putc|fputc|putchar|perror|scanf|fscanf|getline|fgets|getc|fgetc|remove|rename|unlink|mkstemp|tmpfile|mmap|socket|exit|_exit|_Exit|quick_exit|abort|__assert_fail|raise|kill|atexit|longjmp|_longjmp|signal|sigaction|time|clock|clock_gettime|gettimeofday|localtime|gmtime|ctime|strftime|getenv|secure_getenv|setenv|putenv|environ|system|popen|fork|execve|posix_spawn|pthread_[a-z_]*|thrd_[a-z_]*|rand|srand|random|srandom|drand48|getrandom|strtok|setlocale|localeconv|strerror|stdin|stdout|stderr|isatty|sleep|usleep|nanosleep|gsl_set_error_handler|gsl_set_error_handler_off|gsl_rng_env_setup'

# What objects refer to, or keep, that they must not: one line each, "OBJECT NAME".
bad_in() {
    nm -A --undefined-only --format=posix "$@" |
        sed 's/^\([^:]*\): \([^ @]*\).*/\1 \2/; s/ __\([a-z]*\)_chk$/ \1/; s/ __isoc99_/ /' | grep -E " ($forbidden)\$"
    # A sanitizer keeps records of its own in every object.
    nm "$@" | grep -qE '__(asan|ubsan|msan|tsan)_' && return
    # Section, size and name of every symbol; .data.rel.ro is written once by the loader and then read only.
    objdump -t "$@" |
        sed -n 's/^\(.*\): *file format.*/FILE \1/p
                s/^[0-9a-f]* .\{7\} \([^[:space:]]*\)[[:space:]]*\([0-9a-f]*\) *\(.*\)$/\1 \2 \3/p' |
        awk '$1 == "FILE" {file = $2; next}
             ($1 ~ /^\.(data|bss|tdata|tbss)/ && $1 !~ /^\.data\.rel\.ro/ || $1 == "*COM*") && $2 !~ /^0*$/ {
                 print file " variable " $3}'
}

# What is planted is found.
printf '%s\n' '#include <stdio.h>' 'static int kept; int sm_bad(void) { printf("%d\n", kept); return ++kept; }' >"$work/bad.c"
compile bad
bad_in "$work/bad.o" >"$work/found"
said "$work/found" "bad.o printf"
said "$work/found" "variable kept"

# shellcheck disable=SC2046,SC2086
bad_in $(objects_of ${order%cli web}) >"$work/found" 2>&1
silent "$work/found"

# 3. By symbols: telling

# symbols --defined-only|--undefined-only OBJECT...: the names that the objects define or refer to.
symbols() { nm -P "$@" | sed -n 's/^\([a-z][^ ]*\) [A-Zuvw].*/\1/p' | sort -u; }
# computes_in DEFINING TELLING: what the objects of TELLING refer to that those of DEFINING define, or the library of statistics.
computes_in() {
    # shellcheck disable=SC2086
    { symbols --defined-only $1; symbols --undefined-only $2 | grep '^gsl_'; } | sort -u >"$work/defined"
    # shellcheck disable=SC2086
    symbols --undefined-only $2 | comm -12 - "$work/defined"
}

# What is planted is found.
printf '%s\n' 'double sm_compute(double x) { return 2 * x; }' 'const double sm_computed = 2;' >"$work/compute.c"
printf '%s\n' 'double sm_compute(double x), gsl_stats_mean(double x), sm_text_puts(double x);' 'extern const double sm_computed;' \
    'double sm_tell(double x) { return sm_compute(gsl_stats_mean(sm_text_puts(x))) + sm_computed; }' >"$work/tell.c"
compile compute
compile tell
[ "$(computes_in "$work/compute.o" "$work/tell.o" | tr '\n' ' ')" = "gsl_stats_mean sm_compute sm_computed " ] ||
    fail "what was planted is not found: $(computes_in "$work/compute.o" "$work/tell.o")"

# shellcheck disable=SC2046,SC2086
{
    computes_in "$(objects_of $computing)" "$(objects_of $(echo "$order" | tr ' ' '\n' | grep '^report/'))" >"$work/used"
    printf '%s\n' $tells | sort >"$work/tells"
}
comm -23 "$work/used" "$work/tells" | sed 's/^/report computes by /' >"$work/found"
silent "$work/found"
comm -13 "$work/used" "$work/tells" | sed 's/^/report may use, and does not: /' >"$work/found"
silent "$work/found"
finish
