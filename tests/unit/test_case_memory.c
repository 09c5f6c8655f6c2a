/* test_case_memory.c - memory runs out at every allocation in turn: SM_NO_MEMORY, no crash, nothing left behind.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"
#include "failing_malloc.h"

#ifdef CAN_COUNT

/* Reads once with n allocations allowed; *failed receives whether one more was asked for. */
static sm_status read_allowing(long n, const char *text, const char *profile, const sm_override *o, size_t n_o,
                               bool *failed)
{
    sm_diag d = {0};
    sm_casefile *f = NULL;
    count_allocations(n);
    sm_status s = sm_casefile_read((sm_file_text){"case.json", text, strlen(text)},
                                   (sm_file_text){"site.json", profile, strlen(profile)}, o, n_o, &d, &f);
    sm_casefile_destroy(f);
    sm_diag_destroy(&d);
    *failed = stop_counting();
    return s;
}

/* Lets the first, second, ... allocation fail until none is left to fail; returns how many there are. */
static long check_every_allocation(const char *text, const char *profile, sm_status in_the_end)
{
    sm_override o[] = {{"/coronaries/right/stj_gap/repeat_sd_mm", "0.4"}, {"/scan/kernel", "\"sharp\""}};
    long n = 0;
    for (bool failed = true; failed; n++) {
        sm_status s = read_allowing(n, text, profile, o, 2, &failed);
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
