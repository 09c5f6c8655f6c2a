/* failing_malloc.h - an allocator that fails on demand, for one test program: it takes the place of malloc there.
 *
 * glibc only, and not under a sanitizer, which takes that place itself: CAN_COUNT is defined where it works, and a test
 * says that it was left out where not.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_FAILING_MALLOC_H
#define SM_TESTS_FAILING_MALLOC_H

#include <stdbool.h>
#include <stdlib.h> /* also says whether this is glibc */

#if defined(__GLIBC__) && !defined(__SANITIZE_ADDRESS__)
#define CAN_COUNT 1

extern void *__libc_malloc(size_t n);
extern void *__libc_calloc(size_t n, size_t size);
extern void *__libc_realloc(void *p, size_t n);
extern void __libc_free(void *p);

static bool counting;
static long allowed; /* allocations left before one fails; below 0: all may succeed */
static long alive;

/* True if this allocation must fail. */
static bool fails(void)
{
    if (!counting || allowed < 0)
        return false;
    return allowed-- == 0; /* below 0 from then on: it has failed */
}

void *malloc(size_t n)
{
    void *p = fails() ? NULL : __libc_malloc(n);
    alive += counting && p;
    return p;
}

void *calloc(size_t n, size_t size)
{
    void *p = fails() ? NULL : __libc_calloc(n, size);
    alive += counting && p;
    return p;
}

void *realloc(void *old, size_t n)
{
    void *p = fails() ? NULL : __libc_realloc(old, n);
    alive += counting && p && !old;
    return p;
}

void free(void *p)
{
    alive -= counting && p;
    __libc_free(p);
}

/* From here on the allocation after n others fails. */
static void count_allocations(long n)
{
    alive = 0;
    allowed = n;
    counting = true;
}

/* Ends that. Returns whether one has failed; `alive` holds how many were not given back. */
static bool stop_counting(void)
{
    counting = false;
    return allowed < 0;
}

/* Lets the first, the second, ... allocation of go(self) fail, that one alone, until none is left to fail; judge(self,
 * failed) follows each, with nothing failing. What go keeps is no longer counted when judge gives it back. After the
 * first FIRST_ALLOCATIONS only every stride-th. Returns how many there are. */
enum { FIRST_ALLOCATIONS = 400 };

static inline long fail_allocations(void (*go)(void *self), void (*judge)(void *self, bool failed), void *self,
                                    long stride)
{
    long n = 0, done = 0;
    for (bool failed = true; failed; n += done < FIRST_ALLOCATIONS ? 1 : stride) {
        count_allocations(n);
        go(self);
        failed = stop_counting();
        done = n;
        judge(self, failed);
    }
    return done;
}

#endif
#endif
