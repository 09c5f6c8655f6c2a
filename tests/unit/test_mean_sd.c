/* test_mean_sd.c - mean and SD against the NIST Statistical Reference Datasets.
 * Certified values: NIST StRD, seen in GSL's statistics/test_nist.c, recomputed in exact arithmetic.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include "readers/mean_sd.h"
#include "strd.h"

#define COUNT(a) (sizeof(a) / sizeof((a)[0]))

static void check_set(const double *x, size_t n, double mean, double sd, double sd_rtol)
{
    sm_mean_sd m = sm_mean_sd_of(x, n);
    assert_near(m.mean, mean, 1e-15, 0.0);
    assert_near(m.sd, sd, sd_rtol, 0.0);
}

/* NumAcc2, 3 and 4: middle, then 500 times low and high. */
static void check_alternating(double middle, double low, double high, double sd_rtol)
{
    double x[1001] = {middle};
    for (size_t i = 1; i < 1001; i++)
        x[i] = i % 2 ? low : high;
    check_set(x, 1001, middle, 0.1, sd_rtol);
}

static void test_strd(void **state)
{
    (void)state;
    static double digit[5000];
    for (size_t i = 0; i < 5000; i++)
        digit[i] = strd_pidigits[i / 100][i % 100] - '0';
    check_set((const double[]){10000001, 10000003, 10000002}, 3, 10000002.0, 1.0, 1e-15);
    check_alternating(1.2, 1.1, 1.3, 1e-14);
    check_alternating(1000000.2, 1000000.1, 1000000.3, 1e-9);
    check_alternating(10000000.2, 10000000.1, 10000000.3, 1e-7); /* decimal to binary costs 5.6e-9 already */
    check_set(strd_lew, COUNT(strd_lew), -177.435, 277.332168044316, 4e-15);
    check_set(strd_lottery, COUNT(strd_lottery), 518.958715596330, 291.699727470969, 4e-15);
    check_set(strd_mavro, COUNT(strd_mavro), 2.001856, 0.000429123454003053, 1e-12);
    check_set(strd_michelson, COUNT(strd_michelson), 299.8524, 0.0790105478190518, 1e-12);
    check_set(digit, 5000, 4.5348, 2.86733906028871, 4e-15);
}

static void test_few(void **state)
{
    (void)state;
    assert_true(isnan(sm_mean_sd_of(NULL, 0).mean));
    sm_mean_sd one = sm_mean_sd_of((const double[]){2.385}, 1);
    assert_near(one.mean, 2.385, 0.0, 0.0);
    assert_true(isnan(one.sd));
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_strd), cmocka_unit_test(test_few)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
