/* test_case_memory.c - memory runs out at every allocation in turn: SM_NO_MEMORY, no crash, nothing left behind.
 *
 * The allocator is counted by taking the place of malloc in this program; glibc only, and not under a sanitizer, which
 * takes that place itself (there the test says that it was left out). SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

#if defined(__GLIBC__) && !defined(__SANITIZE_ADDRESS__)
#define CAN_COUNT 1

extern void *__libc_malloc(size_t n);
extern void *__libc_calloc(size_t n, size_t size);
extern void *__libc_realloc(void *p, size_t n);
extern void __libc_free(void *p);

static bool counting;
static long allowed; /* allocations left before one fails; below 0: all may succeed */
static long alive;

/* True where this allocation must fail. */
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

/* Reads once with the given number of allocations allowed. */
static sm_status read_allowing(long n, const char *text, const char *profile, const sm_override *o, size_t n_o)
{
    sm_diag d = {0};
    sm_casefile *f = NULL;
    alive = 0;
    allowed = n;
    counting = true;
    sm_status s = sm_casefile_read((sm_file_text){"case.json", text, strlen(text)},
                                   (sm_file_text){"site.json", profile, strlen(profile)}, o, n_o, &d, &f);
    sm_casefile_destroy(f);
    sm_diag_destroy(&d);
    counting = false;
    return s;
}

/* Lets the first, second, ... allocation fail until none is left to fail; returns how many there are. */
static long check_every_allocation(const char *text, const char *profile, sm_status in_the_end)
{
    sm_override o[] = {{"/coronaries/right/stj_gap/repeat_sd_mm", "0.4"}, {"/scan/kernel", "\"sharp\""}};
    long n = 0;
    for (bool failed = true; failed; n++) {
        sm_status s = read_allowing(n, text, profile, o, 2);
        failed = allowed < 0;
        assert_int_equal(alive, 0);
        if (!failed)
            assert_int_equal(s, in_the_end);
        else if (s != SM_NO_MEMORY)
            assert_int_equal(s,
                             in_the_end); /* qsort of the C library does without; a message may lose its file's name */
    }
    return n;
}

static void survives_every_failing_allocation(void **state)
{
    (void)state;
    char *text = example("slimmargin-case-1"), *profile = example("slimmargin-profile-1");
    assert_true(check_every_allocation(text, profile, SM_OK) > 500);
    char *bad = replaced(text, "\"kernel\": \"soft\"", "\"kernell\": 1, \"blooming_mm\": {\"norml\": 2}, \"name\": 3");
    assert_true(check_every_allocation(bad, profile, SM_REFUSED) > 500);
    assert_true(check_every_allocation("{\"a\": ", profile, SM_REFUSED) > 5);
    free(bad);
    free(text);
    free(profile);
}
#endif

int main(void)
{
    gsl_set_error_handler_off();
#ifdef CAN_COUNT
    const struct CMUnitTest tests[] = {cmocka_unit_test(survives_every_failing_allocation)};
    return cmocka_run_group_tests(tests, NULL, NULL);
#else
    puts("left out: allocations cannot be counted here");
    return 0;
#endif
}
