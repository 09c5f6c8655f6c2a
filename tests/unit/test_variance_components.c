/* test_variance_components.c - REML and analysis of variance against published sets, lme4 and a dense calculation.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include "readers/ci95.h"
#include "readers/mixed_model.h"
#include "readers/variance_components.h"
#include "lme4_data.h"

enum { MOST = 200 };

/* Rows of (case, reader, value) in the making. */
typedef struct {
    size_t n, case_id[MOST], reader_id[MOST];
    double y[MOST];
} rows;

static void add(rows *r, size_t case_id, size_t reader_id, double y)
{
    r->case_id[r->n] = case_id;
    r->reader_id[r->n] = reader_id;
    r->y[r->n++] = y;
}

static sm_crossed *cells(const rows *r)
{
    sm_readings_list list = {.n = r->n, .ids = MOST, .case_id = r->case_id, .reader_id = r->reader_id, .y = r->y};
    sm_crossed *d;
    assert_int_equal(sm_crossed_create(&list, &d), SM_OK);
    return d;
}

static rows one_way(const double *y, size_t n, size_t each, bool as_readers)
{
    rows r = {0};
    for (size_t i = 0; i < n; i++)
        add(&r, as_readers ? 0 : i / each, as_readers ? i / each : 0, y[i]);
    return r;
}

/* A design that misses cells and repeats, with four components; values by a fixed recipe. */
static rows uneven(void)
{
    static const double noise[] = {0.31,  -0.52, 0.11, 0.74,  -0.23, -0.88, 0.45, 0.02,
                                   -0.37, 0.61,  0.19, -0.14, 0.93,  -0.66, 0.27};
    rows r = {0};
    for (size_t i = 0; i < 6; i++)
        for (size_t j = 0; j < 4; j++)
            for (size_t t = 0; t < 1 + (i + 2 * j) % 3; t++)
                if ((i * 5 + j * 3) % 7 != 0)
                    add(&r, i, j,
                        8.0 + 1.3 * (double)i - 0.4 * (double)(j * j) + noise[(4 * i + 3 * j) % 15] +
                            0.5 * noise[(7 * i + 5 * j + 2 * t) % 15]);
    return r;
}

/* 1. Published sets */

/* Exact: mean squares 11271.5 and 2451.25 (lme4's Dyestuff, seen; ANOVA = REML). */
static void test_dyestuff(void **state)
{
    (void)state;
    for (int as_readers = 0; as_readers < 2; as_readers++) {
        rows r = one_way(dyestuff, 30, 5, as_readers);
        sm_crossed *d = cells(&r);
        sm_vc level = as_readers ? SM_VC_READER : SM_VC_CASE;
        sm_reml f;
        assert_int_equal(sm_reml_fit(d, &f), SM_OK);
        sm_anova a = sm_anova_fit(d);
        assert_true(f.converged);
        assert_near(a.ms[level], 11271.5, 1e-12, 0.0);
        assert_near(a.ms[SM_VC_REPEAT], 2451.25, 1e-12, 0.0);
        assert_near(a.variance[level], 1764.05, 1e-12, 0.0);
        assert_near(f.variance[level], 1764.05, 1e-6, 0.0);
        assert_near(f.variance[SM_VC_REPEAT], 2451.25, 1e-6, 0.0);
        assert_near(f.deviance, 319.654276842, 1e-10, 0.0); /* REMLcrit of lme4 1.1-31 */
        assert_near(f.mean, 1527.5, 1e-12, 0.0);
        sm_crossed_destroy(d);
    }
}

/* Exact: mean squares 1862.1 and 97/6 (nlme's Rail, seen). */
static void test_rail(void **state)
{
    (void)state;
    rows r = one_way(rail, 18, 3, false);
    sm_crossed *d = cells(&r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    assert_near(sqrt(f.variance[SM_VC_CASE]), 24.80546535, 1e-6, 0.0);
    assert_near(sqrt(f.variance[SM_VC_REPEAT]), 4.020779361, 1e-6, 0.0);
    assert_near(f.mean, 66.5, 1e-12, 0.0);
    sm_crossed_destroy(d);
}

/* lme4 1.1-31 with bobyqa to 1e-10: REMLcrit 330.860588991; variances to its own 1e-5. Exact values from the balanced
 * mean squares. */
static void test_penicillin(void **state)
{
    (void)state;
    rows r = {0};
    for (size_t i = 0; i < 144; i++)
        add(&r, i / 6, i % 6, penicillin[i]);
    sm_crossed *d = cells(&r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    sm_anova a = sm_anova_fit(d);
    assert_near(f.deviance, 330.860588991, 1e-10, 0.0);
    assert_near(f.variance[SM_VC_CASE], 0.7169051, 1e-5, 0.0);
    assert_near(f.variance[SM_VC_READER], 3.7311318, 1e-4, 0.0);
    assert_near(f.variance[SM_VC_REPEAT], 0.3024150, 1e-5, 0.0);
    for (int c = 0; c < SM_VCS; c++)
        if (c != SM_VC_READER_CASE)
            assert_near(f.variance[c], a.variance[c], 3e-6, 0.0);
    assert_true(f.repeat_holds_reader_case);
    assert_false(f.told[SM_VC_READER_CASE]);
    sm_crossed_destroy(d);
}

/* The same without every fifth row, and without every eleventh of the rest from the third: lme4 1.1-31, bobyqa to
 * 1e-10. */
static void test_penicillin_uneven(void **state)
{
    (void)state;
    rows r = {0};
    size_t left = 0;
    for (size_t i = 0; i < 144; i++)
        if (i % 5 != 0 && left++ % 11 != 2)
            add(&r, i / 6, i % 6, penicillin[i]);
    assert_int_equal(r.n, 104);
    sm_crossed *d = cells(&r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    assert_false(sm_anova_fit(d).balanced);
    assert_near(f.deviance, 256.814529894752, 1e-10, 0.0);
    assert_near(f.variance[SM_VC_CASE], 0.776962293411, 2e-5, 0.0);
    assert_near(f.variance[SM_VC_READER], 3.705917455037, 2e-5, 0.0);
    assert_near(f.variance[SM_VC_REPEAT], 0.300160675539, 2e-5, 0.0);
    assert_near(f.mean, 22.971687504774, 1e-6, 0.0);
    sm_crossed_destroy(d);
}

/* A component at its boundary: lme4 1.1-31 says 0, 13.8063096276 and REMLcrit 161.8282778123 (singular fit). */
static void test_boundary(void **state)
{
    (void)state;
    rows r = one_way(dyestuff2, 30, 5, false);
    sm_crossed *d = cells(&r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    assert_true(f.converged);
    assert_near(f.deviance, 161.8282778123, 1e-10, 0.0);
    assert_near(f.variance[SM_VC_CASE], 0.0, 0.0, 0.0);
    assert_near(f.variance[SM_VC_REPEAT], 13.8063096276, 1e-9, 0.0);
    assert_true(sm_anova_fit(d).variance[SM_VC_CASE] < 0.0);
    sm_ci95 sd = sm_ci95_sd(f.variance[SM_VC_CASE], f.covariance[SM_VC_CASE][SM_VC_CASE]);
    assert_true(sd.low == 0.0 && sd.high > 0.0);
    sm_crossed_destroy(d);
}

/* Shrout and Fleiss 1979, table 2 (seen): six targets, four judges, once each. Components from its mean squares, exact:
 * (11.2417 - 1.0194)/4, (32.4861 - 1.0194)/6; a single judge's SD about the target's value is the root of the last two.
 */
static void test_shrout_fleiss(void **state)
{
    (void)state;
    static const double y[] = {9, 2, 5, 8, 6, 1, 3, 2, 8, 4, 6, 8, 7, 1, 2, 6, 10, 5, 6, 9, 6, 2, 4, 7};
    rows r = {0};
    for (size_t i = 0; i < 24; i++)
        add(&r, i / 4, i % 4, y[i]);
    sm_crossed *d = cells(&r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    sm_anova a = sm_anova_fit(d);
    assert_near(a.variance[SM_VC_CASE], 2.5555555556, 1e-10, 0.0);
    assert_near(a.variance[SM_VC_READER], 5.2444444444, 1e-10, 0.0);
    assert_near(a.variance[SM_VC_REPEAT], 1.0194444444, 1e-10, 0.0);
    assert_near(f.variance[SM_VC_CASE], 2.5555555556, 1e-6, 0.0);
    assert_near(f.variance[SM_VC_READER], 5.2444444444, 1e-6, 0.0);
    assert_near(f.variance[SM_VC_REPEAT], 1.0194444444, 1e-6, 0.0);
    assert_near(sqrt(sm_reml_sum(&f, (int[SM_VCS]){0, 1, 0, 1}).variance), 2.5027762363, 1e-6, 0.0);
    sm_crossed_destroy(d);
}

/* Bland and Altman 1986: 17 people's peak flow, twice by either meter (data in test_agreement.c); the SD within a
 * person from the two readings, sqrt(sum d^2/(2 n)), computed in R. */
static void test_peak_flow(void **state)
{
    (void)state;
    static const double wright[17][2] = {{494, 490}, {395, 397}, {516, 512}, {434, 401}, {476, 470}, {557, 611},
                                         {413, 415}, {442, 431}, {650, 638}, {433, 429}, {417, 420}, {656, 633},
                                         {267, 275}, {478, 492}, {178, 165}, {423, 372}, {427, 421}};
    static const double mini[17][2] = {{512, 525}, {430, 415}, {520, 508}, {428, 444}, {500, 500}, {600, 625},
                                       {364, 460}, {380, 390}, {658, 642}, {445, 432}, {432, 420}, {626, 605},
                                       {260, 227}, {477, 467}, {259, 268}, {350, 370}, {451, 443}};
    const double(*const meter[])[2] = {wright, mini};
    const double want[] = {15.306669058, 19.910830632};
    for (int m = 0; m < 2; m++) {
        rows r = {0};
        for (size_t i = 0; i < 34; i++)
            add(&r, i / 2, 0, meter[m][i / 2][i % 2]);
        sm_crossed *d = cells(&r);
        sm_anova a = sm_anova_fit(d);
        assert_near(sqrt(a.ms[SM_VC_REPEAT]), want[m], 1e-9, 0.0);
        sm_crossed_destroy(d);
    }
}

/* 2. Against a dense calculation */

/* Z Z' of one component over the readings themselves. */
static void fill_derivative(const sm_crossed *d, int c, gsl_matrix *z)
{
    for (size_t k = 0; k < d->n_cells; k++)
        for (size_t l = 0; l < d->n_cells; l++)
            for (size_t a = 0; a < d->cell[k].n; a++)
                for (size_t b = 0; b < d->cell[l].n; b++) {
                    bool same = c == SM_VC_CASE     ? d->cell[k].row == d->cell[l].row
                                : c == SM_VC_READER ? d->cell[k].col == d->cell[l].col
                                                    : k == l && (c == SM_VC_READER_CASE || a == b);
                    gsl_matrix_set(z, d->cell[k].first + a, d->cell[l].first + b, same);
                }
}

typedef struct {
    double deviance;
    gsl_matrix *d[SM_VCS], *p;
} dense;

/* REML criterion and P = V^-1 - V^-1 1 1' V^-1 / 1'V^-1 1, straight from their definitions. */
static dense dense_fit(const sm_crossed *d, const double variance[SM_VCS])
{
    size_t n = d->n_readings;
    dense f = {.p = gsl_matrix_calloc(n, n)};
    for (int c = 0; c < SM_VCS; c++) {
        f.d[c] = gsl_matrix_calloc(n, n);
        fill_derivative(d, c, f.d[c]);
        for (size_t i = 0; i < n * n; i++)
            f.p->data[i] += variance[c] * f.d[c]->data[i];
    }
    gsl_linalg_cholesky_decomp1(f.p);
    for (size_t i = 0; i < n; i++)
        f.deviance += 2.0 * log(gsl_matrix_get(f.p, i, i));
    gsl_linalg_cholesky_invert(f.p);
    double sum = 0.0, square = 0.0, *row = calloc(n, sizeof *row);
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            row[i] += gsl_matrix_get(f.p, i, j);
    for (size_t i = 0; i < n; i++)
        sum += row[i];
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            *gsl_matrix_ptr(f.p, i, j) -= row[i] * row[j] / sum;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            square += d->y[i] * gsl_matrix_get(f.p, i, j) * d->y[j];
    f.deviance += log(sum) + square + ((double)n - 1.0) * log(2.0 * M_PI);
    free(row);
    return f;
}

static void dense_free(dense *f)
{
    for (int c = 0; c < SM_VCS; c++)
        gsl_matrix_free(f->d[c]);
    gsl_matrix_free(f->p);
}

/* tr(P A P B) */
static double dense_trace(const dense *f, int a, int b)
{
    size_t n = f->p->size1;
    gsl_matrix *pa = gsl_matrix_calloc(n, n), *pb = gsl_matrix_calloc(n, n);
    gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1.0, f->p, f->d[a], 0.0, pa);
    gsl_blas_dgemm(CblasNoTrans, CblasNoTrans, 1.0, f->p, f->d[b], 0.0, pb);
    double trace = 0.0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            trace += gsl_matrix_get(pa, i, j) * gsl_matrix_get(pb, j, i);
    gsl_matrix_free(pa);
    gsl_matrix_free(pb);
    return trace;
}

/* The reduced equations give the criterion and the information of the full ones; the fit lies at a minimum. */
static void test_dense(void **state)
{
    (void)state;
    rows r = uneven();
    sm_crossed *d = cells(&r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    assert_true(f.converged && f.told[0] && f.told[1] && f.told[2] && f.told[3]);
    dense at = dense_fit(d, f.variance);
    assert_near(f.deviance, at.deviance, 1e-11, 0.0);
    for (int a = 0; a < SM_VCS; a++)
        for (int b = 0; b < SM_VCS; b++) { /* information times covariance is the unit matrix */
            double sum = 0.0;
            for (int c = 0; c < SM_VCS; c++)
                sum += 0.5 * dense_trace(&at, a, c) * f.covariance[c][b];
            assert_near(sum, a == b, 0.0, 1e-8);
        }
    for (int c = 0; c < SM_VCS; c++)
        for (double move = 0.97; move < 1.04; move += 0.06) {
            double variance[SM_VCS];
            memcpy(variance, f.variance, sizeof variance);
            variance[c] *= move;
            dense beside = dense_fit(d, variance);
            assert_true(beside.deviance > at.deviance);
            dense_free(&beside);
        }
    dense_free(&at);
    sm_crossed_destroy(d);
}

/* 3. Properties */

/* Adding 1e6 to every reading changes no spread; order of the rows changes nothing. */
static void test_shift_and_order(void **state)
{
    (void)state;
    rows r = uneven(), moved = {0};
    for (size_t i = r.n; i-- > 0;)
        add(&moved, r.case_id[i], r.reader_id[i], r.y[i] + 1e6);
    sm_crossed *d = cells(&r), *m = cells(&moved);
    sm_reml a, b;
    assert_int_equal(sm_reml_fit(d, &a), SM_OK);
    assert_int_equal(sm_reml_fit(m, &b), SM_OK);
    for (int c = 0; c < SM_VCS; c++)
        assert_near(b.variance[c], a.variance[c], 1e-5, 0.0);
    sm_crossed_destroy(d);
    sm_crossed_destroy(m);
}

/* Balanced and inside the boundary: REML is ANOVA, and the dof of one reading are Welch-Satterthwaite's of the mean
 * squares (a closed form: sum of a MS over the expected mean squares). */
static void test_balanced_dof(void **state)
{
    (void)state;
    static const double reader[] = {0.5, -0.7, 0.3},
                        noise[] = {0.4, -0.6, 0.1, 0.8, -0.3, 0.2, -0.9, 0.5, 0.7, -0.2, -0.5};
    rows r = {0};
    size_t cases = 5, readers = 3, n = 2;
    for (size_t i = 0; i < cases; i++)
        for (size_t j = 0; j < readers; j++)
            for (size_t t = 0; t < n; t++)
                add(&r, i, j,
                    2.385 * (double)i + reader[j] + 0.6 * noise[(3 * i + 2 * j) % 11] +
                        0.3 * noise[(5 * i + 3 * j + 7 * t) % 11]);
    sm_crossed *d = cells(&r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    sm_anova a = sm_anova_fit(d);
    for (int c = 0; c < SM_VCS; c++) {
        assert_true(a.variance[c] > 0.0);
        assert_near(f.variance[c], a.variance[c], 1e-5, 0.0);
    }
    sm_vc_sum s = sm_reml_sum(&f, (int[SM_VCS]){0, 1, 1, 1});
    double part[3] = {a.ms[SM_VC_READER] / (double)(n * cases),
                      a.ms[SM_VC_READER_CASE] * (1.0 - 1.0 / (double)cases) / (double)n,
                      a.ms[SM_VC_REPEAT] * (1.0 - 1.0 / (double)n)};
    double sum = part[0] + part[1] + part[2];
    double dof = sum * sum / (part[0] * part[0] / 2.0 + part[1] * part[1] / 8.0 + part[2] * part[2] / 15.0);
    assert_near(s.variance, sum, 1e-5, 0.0);
    assert_near(sm_satterthwaite_dof(s.variance, s.var_of_variance), dof, 1e-4, 0.0);
    sm_crossed_destroy(d);
}

/* 4. Designs that tell less */

static void test_told(void **state)
{
    (void)state;
    rows once = {0}, alone = {0}, apart = {0}, nothing = {0};
    for (size_t i = 0; i < 4; i++) {
        for (size_t j = 0; j < 2; j++) {
            add(&once, i, j, (double)((3 * i + 5 * j) % 7));
            add(&alone, i, 0, (double)((3 * i + 5 * j) % 7));
            add(&apart, i, i % 2, (double)((3 * i + 5 * j) % 7));
        }
        add(&nothing, i, i, (double)i);
    }
    sm_reml f;
    sm_crossed *d = cells(&once);
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    assert_true(f.told[SM_VC_CASE] && f.told[SM_VC_READER] && !f.told[SM_VC_READER_CASE] && f.repeat_holds_reader_case);
    sm_crossed_destroy(d);
    d = cells(&alone);
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    assert_true(f.told[SM_VC_CASE] && !f.told[SM_VC_READER] && f.told[SM_VC_REPEAT] && !f.repeat_holds_reader_case);
    assert_true(isnan(f.variance[SM_VC_READER]));
    sm_crossed_destroy(d);
    d = cells(&apart); /* no case was read by two readers */
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    assert_true(!f.told[SM_VC_READER] && d->parts == 4 - 2);
    sm_crossed_destroy(d);
    d = cells(&nothing);
    assert_int_equal(sm_reml_fit(d, &f), SM_REFUSED);
    sm_crossed_destroy(d);
}

/* Repeats that all agree: repeat variance 0, the rest as from one reading a cell. No spread at all is refused. */
static void test_exact_repeats(void **state)
{
    (void)state;
    rows twice = {0}, once = {0}, flat = {0};
    for (size_t i = 0; i < 5; i++)
        for (size_t j = 0; j < 3; j++) {
            double y = (double)((i * i + 5 * j) % 7) + 2.0 * (double)i;
            add(&once, i, j, y);
            for (int t = 0; t < 2; t++) {
                add(&twice, i, j, y);
                add(&flat, i, j, 3.5);
            }
        }
    sm_crossed *a = cells(&twice), *b = cells(&once), *c = cells(&flat);
    sm_reml f, g;
    assert_int_equal(sm_reml_fit(a, &f), SM_OK);
    assert_int_equal(sm_reml_fit(b, &g), SM_OK);
    assert_near(f.variance[SM_VC_REPEAT], 0.0, 0.0, 0.0);
    assert_near(f.variance[SM_VC_READER_CASE], g.variance[SM_VC_REPEAT], 1e-6, 0.0);
    assert_near(f.covariance[SM_VC_READER_CASE][SM_VC_READER_CASE], g.covariance[SM_VC_REPEAT][SM_VC_REPEAT], 1e-6,
                0.0);
    assert_near(f.covariance[SM_VC_REPEAT][SM_VC_READER], 0.0, 0.0, 0.0);
    assert_int_equal(sm_reml_fit(c, &f), SM_REFUSED);
    sm_crossed_destroy(a);
    sm_crossed_destroy(b);
    sm_crossed_destroy(c);
}

/* Chi-square interval, n = 10: s sqrt(9/19.0227678) to s sqrt(9/2.700389500) (quantiles computed in R and scipy). */
static void test_interval(void **state)
{
    (void)state;
    sm_ci95 sd = sm_ci95_sd(4.0, 2.0 * 16.0 / 9.0);
    assert_near(sd.low, 2.0 * sqrt(9.0 / 19.0227678), 1e-8, 0.0);
    assert_near(sd.high, 2.0 * sqrt(9.0 / 2.700389500), 1e-8, 0.0);
    sm_ci95 t = sm_ci95_t(1.0, 2.0, 9.0);
    assert_near(t.high, 1.0 + 2.0 * 2.26215716279820, 1e-13, 0.0);
}

/* GUM H.1, the gauge block: four standard uncertainties in nm with 18, 25.6, 50 and 2 degrees of freedom (seen in
 * excerpt, recomputed). A variance u^2 known with nu degrees of freedom has itself the variance 2 u^4/nu. */
static void test_gauge_block(void **state)
{
    (void)state;
    static const double u[] = {25.0, 9.7, 50000623e-1 * 0.58e-6, 50000623 * 11.5e-6 * 0.029},
                        nu[] = {18.0, 25.6, 50.0, 2.0};
    double variance = 0.0, var_of_variance = 0.0;
    for (int i = 0; i < 4; i++) {
        variance += u[i] * u[i];
        var_of_variance += 2.0 * u[i] * u[i] * u[i] * u[i] / nu[i];
    }
    assert_near(sqrt(variance), 31.7106096, 0.0, 5e-8);
    assert_near(sm_satterthwaite_dof(variance, var_of_variance), 16.6560627, 0.0, 5e-8);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_dyestuff),
                                       cmocka_unit_test(test_rail),
                                       cmocka_unit_test(test_penicillin),
                                       cmocka_unit_test(test_penicillin_uneven),
                                       cmocka_unit_test(test_boundary),
                                       cmocka_unit_test(test_shrout_fleiss),
                                       cmocka_unit_test(test_peak_flow),
                                       cmocka_unit_test(test_dense),
                                       cmocka_unit_test(test_shift_and_order),
                                       cmocka_unit_test(test_balanced_dof),
                                       cmocka_unit_test(test_told),
                                       cmocka_unit_test(test_exact_repeats),
                                       cmocka_unit_test(test_interval),
                                       cmocka_unit_test(test_gauge_block)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
