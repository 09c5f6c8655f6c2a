#!/bin/bash
# floors.sh - each floor includes only lower ones; nothing below the command line opens files, prints, exits, reads clock
# or environment, starts threads or keeps writable globals. SPDX-License-Identifier: GPL-3.0-or-later
. "$(dirname "$0")/common.sh"
order="base sampling measurement geometry readers format casefile engine decision whatif study selfcheck newcase \
report/blocks report/json report/text report/figures report/page report/guide api cli"

# By includes.
allowed=""
for floor in $order; do
    allowed="$allowed $floor"
    while IFS=: read -r file header; do
        case $header in
        slimmargin.h) [ "$file" = src/api/api.c ] || fail "$file includes the public header" ;;
        */*) case "$allowed " in *" ${header%/*} "*) ;; *) fail "$file ($floor) includes $header" ;; esac ;;
        *) fail "$file includes $header without its floor" ;;
        esac
    done <<<"$(grep -H '^#include "' src/$floor/*.[ch] | sed 's/#include "\([^"]*\)".*/\1/')"
done
grep -rl '#include <cjson' src | grep -vE '^src/(format|study)/' >"$work/json"
silent "$work/json"
grep -nE '#include "' include/slimmargin.h && fail "the public header includes one of ours"

# By symbols.
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

# The check itself must find what is planted.
printf '%s\n' '#include <stdio.h>' 'static int kept; int sm_bad(void) { printf("%d\n", kept); return ++kept; }' >"$work/bad.c"
${CC:-cc} -O1 -c -o "$work/bad.o" "$work/bad.c"
bad_in "$work/bad.o" >"$work/found"
said "$work/found" "bad.o printf"
said "$work/found" "variable kept"

objects=""
for floor in ${order%cli}; do
    for file in src/$floor/*.c; do
        object=$BUILD/${file#src/}
        objects="$objects ${object%.c}.o"
    done
done
# shellcheck disable=SC2086
bad_in $objects >"$work/found" 2>&1
silent "$work/found"
finish
