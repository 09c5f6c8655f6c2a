/* failing.c - preloaded into a program: its k-th allocation fails, that one alone.
 *
 * SM_FAIL_AT=k says which (from 1; 0 or none: no one). SM_FAIL_COUNT=FILE receives how many were asked for.
 * SM_FAIL_TRACE=1 writes to standard error who asked for the one that failed. glibc only: what the C library allocates
 * for itself comes through here too.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _GNU_SOURCE
#include <errno.h>
#include <execinfo.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

extern void *__libc_malloc(size_t n);
extern void *__libc_calloc(size_t n, size_t size);
extern void *__libc_realloc(void *p, size_t n);
extern void *__libc_memalign(size_t align, size_t n);

static atomic_long asked;
static long fail_at;
static _Atomic int ready;

static void trace(void)
{
    void *frame[24];
    if (getenv("SM_FAIL_TRACE"))
        backtrace_symbols_fd(frame, backtrace(frame, 24), STDERR_FILENO);
}

static int fails(void)
{
    if (!ready || atomic_fetch_add(&asked, 1) + 1 != fail_at)
        return 0;
    trace();
    errno = ENOMEM;
    return 1;
}

void *malloc(size_t n)
{
    return fails() ? NULL : __libc_malloc(n);
}

void *calloc(size_t n, size_t size)
{
    return fails() ? NULL : __libc_calloc(n, size);
}

void *realloc(void *p, size_t n)
{
    return fails() ? NULL : __libc_realloc(p, n);
}

void *memalign(size_t align, size_t n)
{
    return fails() ? NULL : __libc_memalign(align, n);
}

void *aligned_alloc(size_t align, size_t n)
{
    return fails() ? NULL : __libc_memalign(align, n);
}

int posix_memalign(void **out, size_t align, size_t n)
{
    void *p = fails() ? NULL : __libc_memalign(align, n);
    if (p)
        *out = p;
    return p ? 0 : ENOMEM;
}

__attribute__((constructor)) static void begin(void)
{
    const char *at = getenv("SM_FAIL_AT");
    void *unused[2];
    if (getenv("SM_FAIL_TRACE"))
        backtrace(unused, 2); /* loads what it needs now */
    fail_at = at ? atol(at) : 0;
    ready = 1;
}

__attribute__((destructor)) static void end(void)
{
    const char *path = getenv("SM_FAIL_COUNT");
    char words[32];
    ready = 0;
    const int n = snprintf(words, sizeof words, "%ld\n", atomic_load(&asked)),
              fd = path ? open(path, O_WRONLY | O_CREAT | O_TRUNC, 0666) : -1;
    if (fd >= 0 && write(fd, words, (size_t)n) == n)
        close(fd);
}
