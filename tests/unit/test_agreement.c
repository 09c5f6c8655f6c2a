/* test_agreement.c - intraclass correlations and limits of agreement against the papers that introduced them.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>

#include "readers/agreement.h"
#include "readers/mean_sd.h"

/* Shrout and Fleiss 1979, table 2 (seen in the ICC help of Debian's r-cran-psych); values and intervals as psych gives
 * them, printed in the paper as .17 .29 .71 .44 .62 .91 (from memory). */
static void test_shrout_fleiss(void **state)
{
    (void)state;
    static const double y[] = {9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};
    static const double want[SM_ICCS][3] = {
        {0.165741768405, -0.1329323249, 0.7225600623}, {0.289763779528, 0.0187865134, 0.7610843696},
        {0.714840714841, 0.3424647650, 0.9458582600},  {0.442797133679, -0.8844421552, 0.9124154203},
        {0.620050547599, 0.0711368153, 0.9272320402},  {0.909315542377, 0.6756747138, 0.9858916782}};
    sm_icc r;
    assert_int_equal(sm_icc_fit(y, 6, 4, &r), SM_OK);
    assert_near(r.bms, 11.24166667, 1e-9, 0.0);
    assert_near(r.wms, 6.26388889, 1e-9, 0.0);
    assert_near(r.jms, 32.48611111, 1e-9, 0.0);
    assert_near(r.ems, 1.01944444, 5e-9, 0.0);
    for (int f = 0; f < SM_ICCS; f++) {
        assert_near(r.form[f].value, want[f][0], 0.0, 1e-10);
        assert_near(r.form[f].low, want[f][1], 0.0, 1e-7);
        assert_near(r.form[f].high, want[f][2], 0.0, 1e-7);
    }
}

static void test_icc_ends(void **state)
{
    (void)state;
    sm_icc r;
    assert_int_equal(sm_icc_fit((const double[]){1, 1, 2, 2, 5, 5}, 3, 2, &r), SM_OK); /* no disagreement at all */
    for (int f = 0; f < SM_ICCS; f++)
        assert_near(r.form[f].value, 1.0, 0.0, 1e-12);
    assert_int_equal(sm_icc_fit((const double[]){1, 2}, 1, 2, &r), SM_REFUSED);
    assert_int_equal(sm_icc_fit((const double[]){3, 3, 3, 3}, 2, 2, &r), SM_REFUSED);
}

/* Bland and Altman 1986, peak flow of 17 people, litres a minute; first and second readings by the Wright (W) and the
 * mini (M) meter. Data seen in R's packages blandr and MethComp. Expected values computed in R from them; the paper
 * prints them rounded (from memory). The paper's limits are the mean -+ 2 SD, not 1.96, and that is the factor here. */
static const double w1[] = {494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427};
static const double w2[] = {490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421};
static const double m1[] = {512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451};
static const double m2[] = {525, 415, 508, 444, 500, 625, 460, 390, 642, 432, 420, 605, 227, 467, 268, 370, 443};

static void test_bland_altman(void **state)
{
    (void)state;
    sm_agreement_readings in = {.n = 17, .a = w1, .b = m1, .inverse_a = 1.0, .inverse_b = 1.0, .factor = 2.0};
    sm_agreement p;
    assert_int_equal(sm_agreement_fit(&in, &p), SM_OK);
    assert_near(p.bias.value, -2.117647059, 0.0, 1e-9);
    assert_near(p.sd_single, 38.765129874, 0.0, 1e-8);
    assert_near(p.lower.value, -79.647906806, 0.0, 1e-8);
    assert_near(p.upper.value, 75.412612688, 0.0, 1e-8);
    assert_near((p.upper.high - p.upper.value) / 2.119905299, 16.284611795, 0.0, 1e-7);
    assert_near((p.bias.high - p.bias.value) / 2.119905299221, 9.401925004, 0.0, 1e-8);
    assert_near(p.bias.low, -22.0488, 0.0, 5e-5);
    assert_near(p.bias.high, 17.8135, 0.0, 5e-5);
    assert_near(p.lower.low, -114.1697, 0.0, 5e-5);
    assert_near(p.lower.high, -45.1261, 0.0, 5e-5);
    assert_near(p.upper.low, 40.8908, 0.0, 5e-5);
    assert_near(p.upper.high, 109.9344, 0.0, 5e-5);
    in.factor = 1.96;
    assert_int_equal(sm_agreement_fit(&in, &p), SM_OK);
    assert_near(p.lower.value, -78.097301611, 0.0, 1e-8);
    assert_near(p.upper.value, 73.862007493, 0.0, 1e-8);
}

/* Means of two readings, the repeats put back: SD 33.204136879 of the means, 37.654778620 for single readings. */
static void test_bland_altman_repeats(void **state)
{
    (void)state;
    double a[17], b[17], ss_a = 0.0, ss_b = 0.0;
    for (int i = 0; i < 17; i++) {
        a[i] = 0.5 * (w1[i] + w2[i]);
        b[i] = 0.5 * (m1[i] + m2[i]);
        ss_a += 0.5 * (w1[i] - w2[i]) * (w1[i] - w2[i]);
        ss_b += 0.5 * (m1[i] - m2[i]) * (m1[i] - m2[i]);
    }
    assert_near(sqrt(ss_a / 17.0), 15.306669058, 0.0, 1e-8);
    assert_near(sqrt(ss_b / 17.0), 19.910830632, 0.0, 1e-8);
    sm_agreement_readings in = {.n = 17,
                                .a = a,
                                .b = b,
                                .within_a = ss_a / 17.0,
                                .within_b = ss_b / 17.0,
                                .dof_a = 17.0,
                                .dof_b = 17.0,
                                .inverse_a = 0.5,
                                .inverse_b = 0.5,
                                .factor = 2.0};
    sm_agreement p;
    assert_int_equal(sm_agreement_fit(&in, &p), SM_OK);
    assert_near(p.sd_of_means, 33.204136879, 0.0, 1e-8);
    assert_near(p.sd_single, 37.654778620, 0.0, 1e-8);
    assert_true(p.upper.high - p.upper.low < 4.0 * 16.3); /* no wider than twice the interval without repeats */
}

/* A difference that is 1 + 0.1 size with small errors: slope of R's lm by hand. */
static void test_trend(void **state)
{
    (void)state;
    static const double e[] = {0.02, -0.03, 0.01, 0.00, -0.02, 0.03};
    double a[6], b[6], x = 0.0, y = 0.0, xy = 0.0, xx = 0.0;
    for (int i = 0; i < 6; i++) {
        double size = 2.0 + i, difference = 1.0 + 0.1 * size + e[i];
        a[i] = size + 0.5 * difference;
        b[i] = size - 0.5 * difference;
        x += size / 6.0;
        y += difference / 6.0;
        xy += size * difference;
        xx += size * size;
    }
    sm_agreement_readings in = {.n = 6, .a = a, .b = b, .inverse_a = 1.0, .inverse_b = 1.0, .factor = SM_Z95};
    sm_agreement p;
    assert_int_equal(sm_agreement_fit(&in, &p), SM_OK);
    assert_near(p.bias_slope, (xy - 6.0 * x * y) / (xx - 6.0 * x * x), 1e-10, 0.0);
    assert_true(p.bias_slope_p < 1e-4);
    assert_true(p.spread_slope_p > 0.05);
    in.n = 2;
    assert_int_equal(sm_agreement_fit(&in, &p), SM_REFUSED);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_shrout_fleiss), cmocka_unit_test(test_icc_ends),
                                       cmocka_unit_test(test_bland_altman), cmocka_unit_test(test_bland_altman_repeats),
                                       cmocka_unit_test(test_trend)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
