/* test_pivots.c - intervals of the readers' SDs: against the mean squares, against draws, and at the edges.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>

#include "readers/additive_fit.h"
#include "readers/pivots.h"
#include "readers/variance_components.h"
#include "sampling/rng.h"

enum { MOST = 200 };

static const sm_pivot_sum whole = {true, true, true}, between = {true, true, false}, reader = {.reader = true},
                          cell = {.cell = true}, repeat = {.repeat = true};

/* Readings by a fixed recipe. */
typedef struct {
    size_t cases, readers, repeats;
    bool gaps;      /* cells and repeats missing */
    double reader;  /* how far apart the readers stand, mm */
    double scale;   /* of everything */
    double of_case; /* how far apart the cases stand, mm */
} recipe;

static const recipe full = {7, 3, 2, false, 0.5, 1.0, 2.385}, gappy = {7, 3, 3, true, 0.5, 1.0, 2.385};

static const double noise[] = {0.31,  -0.52, 0.11, 0.74,  -0.23, -0.88, 0.45, 0.02,
                               -0.37, 0.61,  0.19, -0.14, 0.93,  -0.66, 0.27};

static bool is_there(const recipe *c, size_t i, size_t j, size_t t)
{
    return !c->gaps || ((i * 5 + j * 3) % 7 != 0 && t < 1 + (i + 2 * j) % 3);
}

static double reading_of(const recipe *c, size_t i, size_t j, size_t t)
{
    static const double stands[] = {0.6, -1.0, 0.7, -0.3};
    return c->scale * (c->of_case * (double)((i * i) % 5) + c->reader * stands[j] + noise[(4 * i + 3 * j) % 15] +
                       0.7 * noise[(7 * i + 5 * j + 2 * t) % 15]);
}

static sm_crossed *cook(const recipe *c)
{
    size_t case_id[MOST], reader_id[MOST], n = 0;
    double y[MOST];
    for (size_t i = 0; i < c->cases; i++)
        for (size_t j = 0; j < c->readers; j++)
            for (size_t t = 0; t < c->repeats; t++)
                if (is_there(c, i, j, t)) {
                    case_id[n] = i;
                    reader_id[n] = j;
                    y[n++] = reading_of(c, i, j, t);
                }
    sm_crossed *d;
    sm_readings_list list = {.n = n, .ids = MOST, .case_id = case_id, .reader_id = reader_id, .y = y};
    assert_int_equal(sm_crossed_create(&list, &d), SM_OK);
    return d;
}

static sm_pivots *pivots_of(const recipe *c)
{
    sm_crossed *d = cook(c);
    sm_pivots *p;
    assert_int_equal(sm_pivots_create(d, &p), SM_OK);
    sm_crossed_destroy(d);
    return p;
}

/* 1. The squares */

/* Complete: the squares are those of the analysis of variance, and the shares 1/cases and 1/repeats. */
static void test_mean_squares(void **state)
{
    (void)state;
    sm_crossed *d = cook(&full);
    sm_anova a = sm_anova_fit(d);
    sm_pivots *p = pivots_of(&full);
    assert_true(a.balanced && p->reader_dof == 2 && p->cell_dof == 12 && p->repeat_dof == 21);
    assert_near(p->repeat_ss, a.ss[SM_VC_REPEAT], 1e-12, 0.0);
    assert_near(p->cell_ss, a.ss[SM_VC_READER_CASE] / 2.0, 1e-12, 0.0);
    assert_near(p->cell_repeat_share, 0.5, 1e-12, 0.0);
    double square = 0.0;
    for (size_t i = 0; i < p->reader_dof; i++) {
        square += p->reader[i].square;
        assert_near(p->reader[i].share, 1.0 / 7.0, 1e-12, 0.0);
        assert_near(p->reader[i].repeat_share, 0.5, 1e-12, 0.0);
    }
    assert_near(square, a.ss[SM_VC_READER] / 14.0, 1e-12, 0.0);
    sm_pivots_destroy(p);
    sm_crossed_destroy(d);
}

/* With gaps: what is left is what an additive fit of cases and readers leaves, and the leverages are its own. */
static void test_gaps(void **state)
{
    (void)state;
    sm_crossed *d = cook(&gappy);
    double weight[MOST], share = 0.0;
    for (size_t k = 0; k < d->n_cells; k++)
        weight[k] = 1.0;
    sm_additive_fit *f;
    assert_int_equal(sm_additive_fit_create(d, weight, &f), SM_OK);
    for (size_t k = 0; k < d->n_cells; k++)
        share += f->residual_variance_share[k] / (double)d->cell[k].n / (double)f->dof;
    sm_pivots *p = pivots_of(&gappy);
    assert_true(!sm_anova_fit(d).balanced && p->reader_dof == 2 && p->cell_dof == f->dof);
    assert_near(p->cell_ss, f->variance * (double)f->dof, 1e-12, 0.0);
    assert_near(p->cell_repeat_share, share, 1e-12, 0.0);
    assert_true(p->reader[1].share > 1.0 / 7.0 * 1.05); /* fewer cells tell less */
    sm_pivots_destroy(p);
    sm_additive_fit_destroy(f);
    sm_crossed_destroy(d);
}

/* What is true of a contrast by its definition, seen in draws: readers alone give squares of mean s^2_r, single
 * readings alone squares of mean `share`, each within 5 standard errors. */
static void test_contrasts(void **state)
{
    (void)state;
    enum { DRAWS = 4000 };
    recipe once = gappy;
    once.repeats = 1;
    sm_crossed *d = cook(&once);
    gsl_rng *rng = gsl_rng_alloc(sm_rng_philox);
    for (int what = 0; what < 2; what++) {
        double sum[2] = {0.0}, square[2] = {0.0}, share[2] = {0.0};
        for (int i = 0; i < DRAWS; i++) {
            double of_reader[3];
            for (int j = 0; j < 3; j++)
                of_reader[j] = gsl_ran_gaussian(rng, 1.3);
            for (size_t k = 0; k < d->n_cells; k++)
                d->cell[k].mean = what == 0 ? of_reader[d->cell[k].col] : gsl_ran_gaussian(rng, 1.3);
            sm_pivots *p;
            assert_int_equal(sm_pivots_create(d, &p), SM_OK);
            for (int e = 0; e < 2; e++) {
                sum[e] += p->reader[e].square / DRAWS;
                square[e] += p->reader[e].square * p->reader[e].square / DRAWS;
                share[e] = what == 0 ? 1.0 : p->reader[e].share;
            }
            sm_pivots_destroy(p);
        }
        for (int e = 0; e < 2; e++)
            assert_near(sum[e], 1.69 * share[e], 0.0, 5.0 * sqrt((square[e] - sum[e] * sum[e]) / DRAWS));
    }
    gsl_rng_free(rng);
    sm_crossed_destroy(d);
}

/* 2. Belief */

/* One square alone is a chi-square interval in closed form. */
static void test_closed_form(void **state)
{
    (void)state;
    sm_pivots *p = pivots_of(&full);
    sm_ci95 c = sm_pivots_sd(p, repeat, 0.45);
    assert_near(c.low, sqrt(p->repeat_ss / gsl_cdf_chisq_Pinv(0.975, 21.0)), 1e-8, 0.0);
    assert_near(c.high, sqrt(p->repeat_ss / gsl_cdf_chisq_Pinv(0.025, 21.0)), 1e-8, 0.0);
    sm_pivots_destroy(p);
    recipe once = full;
    once.repeats = 1;
    p = pivots_of(&once);
    c = sm_pivots_sd(p, cell, 0.7);
    assert_near(c.low, sqrt(p->cell_ss / gsl_cdf_chisq_Pinv(0.975, 12.0)), 1e-8, 0.0);
    assert_near(c.high, sqrt(p->cell_ss / gsl_cdf_chisq_Pinv(0.025, 12.0)), 1e-8, 0.0);
    sm_pivots_destroy(p);
}

/* A draw of the believed sum in a complete design: mean squares over their chi-squares, as the expected mean squares
 * add up. */
static double drawn_sum(gsl_rng *rng, const sm_anova *a, sm_pivot_sum sum)
{
    double ms[SM_VCS], n = 2.0, cases = 7.0;
    for (int c = SM_VC_READER; c < SM_VCS; c++)
        ms[c] = a->ss[c] / gsl_ran_chisq(rng, (double)a->dof[c]);
    double of_reader = (ms[SM_VC_READER] - ms[SM_VC_READER_CASE]) / (n * cases);
    double of_cell = (ms[SM_VC_READER_CASE] - ms[SM_VC_REPEAT]) / n;
    return (sum.reader ? of_reader : 0.0) + (sum.cell ? of_cell : 0.0) + (sum.repeat ? ms[SM_VC_REPEAT] : 0.0);
}

static void test_against_draws(void **state)
{
    (void)state;
    enum { DRAWS = 200000 };
    static const double at[] = {0.05, 0.3, 0.77, 3.1, 19.0};
    const sm_pivot_sum sums[] = {whole, between, reader, cell};
    sm_crossed *d = cook(&full);
    sm_anova a = sm_anova_fit(d);
    sm_pivots *p = pivots_of(&full);
    gsl_rng *rng = gsl_rng_alloc(sm_rng_philox);
    double most = 0.0;
    for (size_t s = 0; s < 4; s++) {
        long above[5] = {0};
        for (int i = 0; i < DRAWS; i++) {
            double drawn = drawn_sum(rng, &a, sums[s]);
            for (int k = 0; k < 5; k++)
                above[k] += drawn > at[k];
        }
        for (int k = 0; k < 5; k++) {
            double want = sm_pivots_above(p, sums[s], at[k]), got = (double)above[k] / DRAWS;
            double se = sqrt(fmax(want * (1.0 - want), 1e-6) / DRAWS);
            assert_near(got, want, 0.0, 5.0 * se);
            most = fmax(most, fabs(got - want) / se);
        }
    }
    printf("belief against draws: at most %.1f standard errors apart\n", most);
    assert_true(most > 0.5); /* they are draws, not the same sum twice */
    gsl_rng_free(rng);
    sm_pivots_destroy(p);
    sm_crossed_destroy(d);
}

/* The ends are where they are said to be, and belief falls with the variance. */
static void check_ends(const recipe *r, sm_pivot_sum sum)
{
    sm_crossed *d = cook(r);
    sm_reml f;
    assert_int_equal(sm_reml_fit(d, &f), SM_OK);
    double value = sqrt(sm_reml_sum(&f, (int[SM_VCS]){0, sum.reader, sum.cell, sum.repeat}).variance);
    sm_pivots *p = pivots_of(r);
    sm_ci95 c = sm_pivots_sd(p, sum, value);
    assert_true(value > 0.0 && c.low < value && value < c.high && isfinite(c.high));
    if (c.low > 0.0)
        assert_near(sm_pivots_above(p, sum, c.low * c.low), 0.975, 1e-7, 0.0);
    else
        assert_true(sm_pivots_above(p, sum, 1e-12) < 0.975);
    assert_near(sm_pivots_above(p, sum, c.high * c.high), 0.025 * sm_pivots_above(p, sum, 0.0), 1e-7, 0.0);
    double before = 1.0;
    for (double v = 0.01; v < 50.0; v *= 1.7) {
        double above = sm_pivots_above(p, sum, v);
        assert_true(above <= before + 1e-12 && above > 0.0);
        before = above;
    }
    sm_pivots_destroy(p);
    sm_crossed_destroy(d);
}

static void test_ends(void **state)
{
    (void)state;
    const recipe *recipes[] = {&full, &gappy};
    for (int i = 0; i < 2; i++) {
        check_ends(recipes[i], whole);
        check_ends(recipes[i], between);
        check_ends(recipes[i], reader);
        check_ends(recipes[i], cell);
    }
}

/* 3. Properties */

/* Cases may stand anywhere; all ends grow with the unit. */
static void test_cases_and_unit(void **state)
{
    (void)state;
    recipe moved = gappy, grown = gappy;
    moved.of_case = -91.7;
    grown.scale = 10.0;
    sm_pivots *p = pivots_of(&gappy), *m = pivots_of(&moved), *g = pivots_of(&grown);
    sm_ci95 a = sm_pivots_sd(p, whole, 0.6), b = sm_pivots_sd(m, whole, 0.6), c = sm_pivots_sd(g, whole, 6.0);
    assert_near(b.low, a.low, 1e-9, 0.0);
    assert_near(b.high, a.high, 1e-9, 0.0);
    assert_near(c.low, 10.0 * a.low, 1e-8, 0.0);
    assert_near(c.high, 10.0 * a.high, 1e-8, 0.0);
    sm_pivots_destroy(p);
    sm_pivots_destroy(m);
    sm_pivots_destroy(g);
}

/* A square with a chi-square of its own gives back its degrees of freedom; a sum gives fewer than all its squares have,
 * and with readers far apart hardly more than the readers'. */
static void test_dof(void **state)
{
    (void)state;
    recipe apart = full;
    apart.reader = 20.0;
    sm_pivots *p = pivots_of(&full), *far = pivots_of(&apart);
    assert_near(sm_ci95_dof(sm_pivots_sd(p, repeat, 0.5)), (double)p->repeat_dof, 1e-6, 0.0);
    double dof = sm_ci95_dof(sm_pivots_sd(p, whole, 0.6));
    assert_true(dof > (double)p->reader_dof && dof < (double)p->repeat_dof);
    assert_near(sm_ci95_dof(sm_pivots_sd(far, whole, 20.0)), (double)far->reader_dof, 0.01, 0.0);
    sm_pivots_destroy(p);
    sm_pivots_destroy(far);
    assert_near(sm_ci95_dof(sm_ci95_sd(4.0, 2.0 * 16.0 / 7.5)), 7.5, 1e-9, 0.0);
    assert_near(sm_ci95_dof((sm_ci95){1.0, 0.0, 2.0}), 0.0, 0.0, 0.0);
    assert_near(sm_ci95_dof((sm_ci95){1.0, 1.0, INFINITY}), 0.0, 0.0, 0.0);
    assert_true(isnan(sm_ci95_dof((sm_ci95){1.0, 1.0, 1.0})) && isnan(sm_ci95_dof((sm_ci95){1.0, NAN, NAN})));
}

/* Readers who agree too well: their interval starts at 0 and still does not end there. */
static void test_alike(void **state)
{
    (void)state;
    sm_crossed *d = cook(&full);
    for (size_t i = 0; i < 7; i++) /* each reader has the same seven deviations, in another order */
        for (size_t j = 0; j < 3; j++)
            d->cell[i * 3 + j].mean = noise[i] + 0.4 * noise[(i + j) % 7];
    sm_pivots *p;
    assert_int_equal(sm_pivots_create(d, &p), SM_OK);
    assert_true(p->reader[0].square < 1e-25 && p->reader[1].square < 1e-25 && p->cell_ss > 0.01);
    assert_true(sm_pivots_above(p, reader, 0.0) < 1e-10);
    sm_ci95 c = sm_pivots_sd(p, reader, 0.0);
    assert_near(c.low, 0.0, 0.0, 0.0);
    assert_true(c.high > 0.1 && c.high < 10.0);
    sm_pivots_destroy(p);
    sm_crossed_destroy(d);
}

/* What a design does not tell is NaN; what it does tell, it tells without the rest. */
static void test_told(void **state)
{
    (void)state;
    const recipe alone = {5, 1, 2, false, 0.5, 1.0, 2.385}, one_case = {1, 3, 2, false, 0.5, 1.0, 2.385};
    sm_pivots *p = pivots_of(&alone);
    assert_true(p->reader_dof == 0 && p->cell_dof == 0 && p->repeat_dof == 5);
    assert_true(isnan(sm_pivots_above(p, whole, 1.0)) && isnan(sm_pivots_above(p, cell, 1.0)));
    assert_true(isnan(sm_pivots_sd(p, whole, 0.6).high));
    assert_true(sm_pivots_sd(p, repeat, 0.4).high > 0.4);
    sm_pivots_destroy(p);
    p = pivots_of(&one_case);
    assert_true(p->reader_dof == 2 && p->cell_dof == 0 && p->repeat_dof == 3);
    sm_ci95 c = sm_pivots_sd(p, whole, 0.7);
    assert_true(c.low > 0.1 && c.low < 0.7 && c.high > 1.0 && c.high < 40.0);
    sm_pivots_destroy(p);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_mean_squares),
                                       cmocka_unit_test(test_gaps),
                                       cmocka_unit_test(test_contrasts),
                                       cmocka_unit_test(test_closed_form),
                                       cmocka_unit_test(test_against_draws),
                                       cmocka_unit_test(test_ends),
                                       cmocka_unit_test(test_cases_and_unit),
                                       cmocka_unit_test(test_alike),
                                       cmocka_unit_test(test_dof),
                                       cmocka_unit_test(test_told)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
