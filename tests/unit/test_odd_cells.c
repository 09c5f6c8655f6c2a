/* test_odd_cells.c - reader offsets, ISO 5725-2, Cochran and Grubbs against R.
 * Values computed in R 4.2.2 (Debian r-base-core) by lm, rstandard, rstudent, hatvalues and qf.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>
#include <stdbool.h>

#include "readers/additive_fit.h"
#include "readers/iso5725.h"
#include "readers/odd_cells.h"

/* The matrix of Shrout and Fleiss (test_agreement.c) as 24 cells, some left out. */
static sm_crossed *matrix_without(const bool *out)
{
    static const double y[] = {9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};
    size_t row[24], col[24], n = 0;
    double kept[24];
    for (size_t i = 0; i < 24; i++)
        if (!out || !out[i]) {
            row[n] = i / 4;
            col[n] = i % 4;
            kept[n++] = y[i];
        }
    sm_readings_list list = {.n = n, .ids = 6, .case_id = row, .reader_id = col, .y = kept};
    sm_crossed *d;
    assert_int_equal(sm_crossed_create(&list, &d), SM_OK);
    return d;
}

/* lm(y ~ case + reader): offsets with intervals, residuals in their own SDs, the outlier test of the 8th cell. */
static void test_additive(void **state)
{
    (void)state;
    double weight[24];
    for (int i = 0; i < 24; i++)
        weight[i] = 1.0;
    sm_crossed *d = matrix_without(NULL);
    sm_additive_fit *f;
    assert_int_equal(sm_additive_fit_create(d, weight, &f), SM_OK);
    assert_int_equal(f->dof, 15);
    assert_near(f->offset[0].value, 2.375, 1e-12, 0.0);
    assert_near(f->offset[0].low, 1.61412757501554, 1e-9, 0.0);
    assert_near(f->offset[1].high, -2.030794241682209, 1e-9, 0.0);
    assert_near(f->offset[2].value, -0.958333333333333, 1e-12, 0.0);
    assert_near(f->leverage[0], 0.375, 1e-12, 0.0);
    assert_near(sm_grubbs_cell(f, 0).statistic, 0.7829936264578211, 1e-10, 0.0);
    sm_odd_cell odd = sm_grubbs_cell(f, 7);
    assert_near(odd.statistic, 2.9753757805397187, 1e-10, 0.0);
    assert_near(odd.p, 0.0122066302499243, 1e-9, 0.0); /* 24 times the two-sided p of rstudent -4.49024 with 14 dof */
    sm_odd_cell found[48];
    assert_int_equal(sm_odd_cells(d, f, found, 48), 1);
    assert_int_equal(found[0].cell, 7);
    sm_additive_fit_destroy(f);
    sm_crossed_destroy(d);
}

/* Rows 3, 10, 11 and 24 left out, weights 1, 2, 1.5, 0.5 in turn. */
static void test_additive_uneven(void **state)
{
    (void)state;
    bool out[24] = {[2] = true, [9] = true, [10] = true, [23] = true};
    double weight[20];
    for (int i = 0; i < 20; i++)
        weight[i] = (const double[]){1.0, 2.0, 1.5, 0.5}[i % 4];
    sm_crossed *d = matrix_without(out);
    sm_additive_fit *f;
    assert_int_equal(sm_additive_fit_create(d, weight, &f), SM_OK);
    static const double offset[] = {2.37888013234382, -2.93780300071227, -0.49831123773637, 1.05723410610482};
    static const double leverage[] = {0.351715513308234, 0.585929935239496, 0.517292991226314, 0.196583743898957,
                                      0.365901116322733};
    static const double standard[] = {0.637177785964348, 1.833769690960354, 1.358228161521857, 0.498412417822790,
                                      1.111739832176683};
    for (int j = 0; j < 4; j++)
        assert_near(f->offset[j].value, offset[j], 1e-10, 0.0);
    assert_near((f->offset[2].high - f->offset[2].value) / (f->offset[0].high - f->offset[0].value),
                0.588272834359 / 0.434167639357, 1e-9, 0.0);
    for (size_t k = 0; k < 5; k++) {
        assert_near(f->leverage[k], leverage[k], 1e-10, 0.0);
        assert_near(sm_grubbs_cell(f, k).statistic, standard[k], 1e-9, 0.0);
    }
    sm_additive_fit_destroy(f);
    sm_crossed_destroy(d);
}

/* Critical values of Cochran's test, pairs of repeats: 5 % at p = 3, 5, 10 are 0.9669, 0.8413, 0.6020 (R; ISO 5725-2
 * table 4 prints 0.967, 0.841, 0.602 from memory). A cell exactly there has p = 0.05. */
static void test_cochran(void **state)
{
    (void)state;
    static const double critical[][2] = {{3, 0.966944444444444}, {5, 0.841255287053072}, {10, 0.602009561080649}};
    for (size_t c = 0; c < 3; c++) {
        size_t p = (size_t)critical[c][0], row[20], col[20];
        double y[20];
        for (size_t k = 0; k < p; k++) {
            double ss = k == 0 ? critical[c][1] : (1.0 - critical[c][1]) / (double)(p - 1);
            row[2 * k] = row[2 * k + 1] = k;
            col[2 * k] = col[2 * k + 1] = 0;
            y[2 * k] = 5.0 + sqrt(0.5 * ss);
            y[2 * k + 1] = 5.0 - sqrt(0.5 * ss);
        }
        sm_readings_list list = {.n = 2 * p, .ids = p, .case_id = row, .reader_id = col, .y = y};
        sm_crossed *d;
        assert_int_equal(sm_crossed_create(&list, &d), SM_OK);
        assert_near(sm_cochran_cell(d, 0).statistic, critical[c][1], 1e-12, 0.0);
        assert_near(sm_cochran_cell(d, 0).p, 0.05, 1e-9, 0.0);
        sm_crossed_destroy(d);
    }
}

/* One level by the formulas of ISO 5725-2 (from memory), worked in R; NIST handbook 2.4.4: pooled SD of five runs of 60
 * dof each. */
static void test_iso(void **state)
{
    (void)state;
    static const double y[] = {10.1, 10.4, 9.7, 9.9, 10.0, 10.8};
    static const size_t row[6] = {0}, col[] = {0, 0, 1, 1, 1, 2};
    sm_readings_list list = {.n = 6, .ids = 3, .case_id = row, .reader_id = col, .y = y};
    sm_crossed *d;
    assert_int_equal(sm_crossed_create(&list, &d), SM_OK);
    sm_iso5725 one = sm_iso5725_fit(d);
    assert_int_equal(one.levels, 1);
    assert_near(one.s_r, 0.174801474695026, 1e-10, 0.0);
    assert_near(one.s_l, 0.411942920435550, 1e-10, 0.0);
    assert_near(one.s_big_r, 0.447495838251626, 1e-10, 0.0);
    assert_near(one.big_r_limit, 2.8 * 0.447495838251626, 1e-10, 0.0);
    sm_crossed_destroy(d);
}

static void test_pooled(void **state)
{
    (void)state;
    static const double ss[] = {0.48115, 0.69209, 0.48483, 1.21752, 0.30076};
    sm_crossed_cell cell[5];
    size_t start[6];
    for (size_t k = 0; k < 5; k++) {
        cell[k] = (sm_crossed_cell){.row = k, .n = 61, .ss = ss[k]};
        start[k] = k;
    }
    start[5] = 5;
    sm_crossed d = {.n_cases = 5, .n_readers = 1, .n_cells = 5, .cell = cell, .row_start = start};
    sm_iso5725 all = sm_iso5725_fit(&d);
    assert_near(all.s_r, 0.1028971978886, 1e-12, 0.0); /* sqrt(3.17635/300); NIST prints .10290 */
    assert_true(isnan(all.s_big_r));
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_additive), cmocka_unit_test(test_additive_uneven),
                                       cmocka_unit_test(test_cochran), cmocka_unit_test(test_iso),
                                       cmocka_unit_test(test_pooled)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
