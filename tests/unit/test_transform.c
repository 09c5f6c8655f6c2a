/* test_transform.c - draws of every family: tables against exact quantiles, goodness of fit, both kinds of base draw.
 *
 * Contents: 1. tables  2. goodness of fit  3. the same draw  4. angles in turns
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "fit.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>

#include "base/lanes.h"
#include "sampling/rng.h"
#include "sampling/transform.h"
#include "sampling/turn.h"

static const sm_dist families[] = {
    {SM_NORMAL, {22.3, 0.3}},
    {SM_UNIFORM, {-1.5, 4.25}},
    {SM_TRIANGULAR, {0.2, 0.5, 0.8}},
    {SM_TRIANGULAR, {0.1, 0.1, 1.5}},
    {SM_LOGNORMAL, {0.7, 1.35}},
    {SM_LOGNORMAL, {0.7, 2.5}}, /* the widest by table, the next by formula */
    {SM_LOGNORMAL, {0.7, 2.6}},
    {SM_HALF_NORMAL, {0.4}},
    {SM_STUDENT_T, {8.25, 0.6, 3}},
    {SM_STUDENT_T, {0, 1, 18}},
    {SM_STUDENT_T, {0, 1, 200}},
    {SM_ARCSINE, {-0.6, 0.6}},
    {SM_TRUNCATED_NORMAL, {0.5, 1.2, 0, 20}},
    {SM_TRUNCATED_NORMAL, {0, 1, -1, 2}},
    {SM_TRUNCATED_NORMAL, {0, 1, 3, 4.5}},
    {SM_TRUNCATED_NORMAL, {2.3, 0.7, 1.9, 3.1}}, /* both cuts near, about a mean that is not 0 */
    {SM_BETA, {2, 5, 0, 1}},
    {SM_BETA, {0.5, 0.5, 1, 3}},
    {SM_BETA, {40, 3, -1, 1}},
};
enum { FAMILIES = sizeof families / sizeof *families };

static void every_family_has_a_shape(void **state)
{
    (void)state;
    for (int f = 0; f < SM_FAMILY_COUNT; f++) {
        bool found = f == SM_CONSTANT; /* needs no base: a test of its own */
        for (int i = 0; i < FAMILIES && !found; i++)
            found = families[i].family == (sm_family)f;
        if (!found)
            fail_msg("no shape of %s", sm_dist_family_name((sm_family)f));
    }
}

static sm_transform prepared(sm_tables *tables, const sm_dist *d, sm_base base)
{
    sm_transform t;
    assert_int_equal(sm_transform_create(tables, d, base, &t), SM_OK);
    return t;
}

/* 1. Tables: between the knots too, over all that 1e15 trials would reach, the error stays below what table.h
 * states: 1e-6 of the value (about the table's own origin) or 1e-9 of the spread. */

static void expect_error_below(sm_tables *tables, const sm_dist *d, double z, double times)
{
    double got;
    const sm_transform t = prepared(tables, d, SM_BASE_NORMAL);
    const double origin = d->family == SM_BETA                                       ? d->p[2]
                          : d->family == SM_HALF_NORMAL || d->family == SM_LOGNORMAL ? 0
                                                                                     : d->p[0];
    double exact = sm_dist_standard_quantile(d->family, d->p[0], d->p[1], z);
    if (d->family == SM_STUDENT_T)
        exact = sm_dist_standard_quantile(d->family, d->p[2], 0, z);
    if (d->family == SM_TRUNCATED_NORMAL)
        exact = sm_dist_standard_quantile(d->family, (d->p[2] - d->p[0]) / d->p[1], (d->p[3] - d->p[0]) / d->p[1], z);
    if (d->family == SM_LOGNORMAL)
        exact = exp(log(d->p[1]) * z);
    const double scale = d->family == SM_BETA                                       ? d->p[3] - d->p[2]
                         : d->family == SM_HALF_NORMAL || d->family == SM_LOGNORMAL ? d->p[0]
                                                                                    : d->p[1];
    sm_transform_apply(&t, &z, &got, 1);
    assert_near(got - origin, scale * exact, times * 1e-6, times * 1e-9 * sm_dist_sd(d) + 4e-16 * fabs(origin));
}

static void tables_err_less_than_stated(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    for (int f = 0; f < FAMILIES; f++) {
        const sm_family family = families[f].family;
        if (family == SM_LOGNORMAL || family == SM_HALF_NORMAL || family == SM_STUDENT_T ||
            family == SM_TRUNCATED_NORMAL || family == SM_BETA)
            for (double z = -7.9; z < 7.9; z += 0.0137)
                expect_error_below(tables, &families[f], z, 1);
    }
    sm_tables_destroy(tables);
}

/* A beta that piles up at its ends is steeper than the cells are fine. */
static void steep_tables_err_forty_times_as_much_at_most(void **state)
{
    (void)state;
    const double shape[] = {0.05, 0.11, 0.19, 2.385};
    sm_tables *tables = sm_tables_create();
    for (int i = 0; i < 4; i++)
        for (int j = 0; j < 4; j++) {
            const sm_dist d = {SM_BETA, {shape[i], shape[j], 0, 1}};
            for (double z = -7.9; z < 7.9; z += 0.0173)
                expect_error_below(tables, &d, z, 40);
        }
    sm_tables_destroy(tables);
}

static void draws_rise_with_their_base(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    for (int f = 0; f < FAMILIES; f++) {
        const sm_transform t = prepared(tables, &families[f], SM_BASE_NORMAL);
        double z[2000], x[2000];
        for (int i = 0; i < 2000; i++)
            z[i] = -9 + 0.009 * i;
        sm_transform_apply(&t, z, x, 2000);
        for (int i = 1; i < 2000; i++)
            assert_true(isfinite(x[i]) && x[i] >= x[i - 1] - 4e-15 * (1 + fabs(x[i])));
        assert_true(x[0] >= sm_dist_lower_end(&families[f]) - 1e-12);
    }
    sm_tables_destroy(tables);
}

/* One shape, one table: a change of location and scale costs nothing. */
static void tables_are_shared_by_shape(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    const sm_dist a = {SM_STUDENT_T, {0, 1, 7}}, b = {SM_STUDENT_T, {3, 2, 7}}, c = {SM_STUDENT_T, {0, 1, 8}};
    assert_ptr_equal(prepared(tables, &a, SM_BASE_NORMAL).table, prepared(tables, &b, SM_BASE_NORMAL).table);
    assert_ptr_not_equal(prepared(tables, &a, SM_BASE_NORMAL).table, prepared(tables, &c, SM_BASE_NORMAL).table);
    sm_tables_destroy(tables);
    sm_tables_destroy(NULL);
}

/* At a table's own places, of which most are read from a polynomial. */
static void expect_places(sm_tables *tables, sm_family f, double a, double b, double relative)
{
    const sm_table *t = NULL;
    double x;
    assert_int_equal(sm_tables_get(tables, f, a, b, &t), SM_OK);
    for (int i = 0; i <= 1024; i++) {
        const double z = -8.5 + i * 17.0 / 1024;
        sm_table_apply(t, 0, 1, &z, &x, 1);
        assert_near(x, sm_dist_standard_quantile(f, a, b, z), relative, 0);
    }
}

static void places_between_nodes_are_as_exact(void **state)
{
    (void)state;
    const double dof[] = {3, 3.6, 4.9, 9, 21, 33.7, 380, 3e4, 1e9},
                 shape[][2] = {{1, 1}, {1, 40}, {2, 5}, {5, 2}, {1.4, 1.1}, {17.3, 1e4}, {1e4, 1e4}, {400, 1}};
    sm_tables *tables = sm_tables_create();
    for (size_t i = 0; i < sizeof dof / sizeof *dof; i++)
        expect_places(tables, SM_STUDENT_T, dof[i], 0, 1e-13);
    for (size_t i = 0; i < sizeof shape / sizeof *shape; i++)
        expect_places(tables, SM_BETA, shape[i][0], shape[i][1], 1e-12);
    sm_tables_destroy(tables);
}

/* What cannot be tabled is refused each time, and never handed out. */
static void what_has_no_quantile_is_refused_again(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    const sm_table *t = NULL;
    for (int i = 0; i < 3; i++)
        assert_int_equal(sm_tables_get(tables, SM_NORMAL, 0, 1, &t), SM_NUMERIC);
    assert_null(t);
    sm_tables_destroy(tables);
}

/* Every distribution that sm_dist_check lets through can be drawn. */
static void expect_drawable(sm_family f, double a, double b, double c, double e, int *n)
{
    sm_tables *tables = sm_tables_create();
    const sm_dist d = {f, {a, b, c, e}};
    if (!sm_dist_check(&d)) {
        prepared(tables, &d, SM_BASE_NORMAL);
        ++*n;
    }
    sm_tables_destroy(tables);
}

static void no_lawful_shape_is_refused(void **state)
{
    (void)state;
    const double shape[] = {0.05, 0.37, 1, 2.385, 17.3, 410, 1e4};
    int n = 0;
    for (int i = 0; i < 7; i++)
        for (int j = 0; j < 7; j++)
            expect_drawable(SM_BETA, shape[i], shape[j], 0, 1, &n);
    for (double low = -8.1; low < 6; low += 0.71)
        for (double width = 0.013; width < 60; width *= 3.1)
            expect_drawable(SM_TRUNCATED_NORMAL, 0, 1, low, low + width, &n);
    for (double dof = 3; dof < 1e7; dof *= 2.9)
        expect_drawable(SM_STUDENT_T, 0, 1, dof, 0, &n);
    assert_true(n > 150);
}

/* 2. Goodness of fit, at the 0.1 % values and a fixed seed: 100,000 draws of every family from either base. */

enum { DRAWS = 100000 };

static void base_draws(const char *name, sm_base base, double *out)
{
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    sm_rng_seek(r, 1, sm_rng_stream(name, base), 0);
    if (base == SM_BASE_NORMAL)
        sm_rng_normals(r, out, DRAWS);
    else
        sm_rng_uniforms(r, out, DRAWS);
    gsl_rng_free(r);
}

/* The cumulative function, from GSL and not from our quantiles. */
static double cumulative(const sm_dist *d, double x)
{
    const double *p = d->p;
    switch (d->family) {
    case SM_NORMAL:
        return gsl_cdf_gaussian_P(x - p[0], p[1]);
    case SM_UNIFORM:
        return gsl_cdf_flat_P(x, p[0], p[1]);
    case SM_TRIANGULAR:
        return x < p[1] ? (x - p[0]) * (x - p[0]) / ((p[2] - p[0]) * (p[1] - p[0]))
                        : 1 - (p[2] - x) * (p[2] - x) / ((p[2] - p[0]) * (p[2] - p[1]));
    case SM_LOGNORMAL:
        return gsl_cdf_lognormal_P(x, log(p[0]), log(p[1]));
    case SM_HALF_NORMAL:
        return erf(x / p[0] / sqrt(2));
    case SM_STUDENT_T:
        return gsl_cdf_tdist_P((x - p[0]) / p[1], p[2]);
    case SM_ARCSINE:
        return 0.5 + asin((2 * x - p[0] - p[1]) / (p[1] - p[0])) / acos(-1);
    case SM_TRUNCATED_NORMAL:
        return (gsl_cdf_gaussian_P(x - p[0], p[1]) - gsl_cdf_gaussian_P(p[2] - p[0], p[1])) /
               (gsl_cdf_gaussian_P(p[3] - p[0], p[1]) - gsl_cdf_gaussian_P(p[2] - p[0], p[1]));
    default:
        return gsl_cdf_beta_P((x - p[2]) / (p[3] - p[2]), p[0], p[1]);
    }
}

static void expect_fit(sm_tables *tables, const sm_dist *d, sm_base base, double *z, double *x)
{
    const sm_transform t = prepared(tables, d, base);
    base_draws(sm_dist_family_name(d->family), base, z);
    sm_transform_apply(&t, z, x, DRAWS);
    for (int i = 0; i < DRAWS; i++)
        x[i] = fmin(fmax(cumulative(d, x[i]), 1e-12), 1 - 1e-12);
    assert_true(fit_ks(x, DRAWS) < KS_LIMIT);
    assert_true(fit_ad(x, DRAWS) < AD_LIMIT);
}

static void draws_follow_their_family(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    double *z = malloc(DRAWS * sizeof *z), *x = malloc(DRAWS * sizeof *x);
    for (int f = 0; f < FAMILIES; f++) {
        expect_fit(tables, &families[f], SM_BASE_NORMAL, z, x);
        expect_fit(tables, &families[f], SM_BASE_UNIFORM, z, x);
    }
    free(z);
    free(x);
    sm_tables_destroy(tables);
}

/* The test can fail: draws from a normal that is 2 % too wide are found out. */
static void a_wrong_width_is_found_out(void **state)
{
    (void)state;
    double *z = malloc(DRAWS * sizeof *z);
    base_draws("normal", SM_BASE_NORMAL, z);
    for (int i = 0; i < DRAWS; i++)
        z[i] = gsl_cdf_ugaussian_P(1.02 * z[i]);
    double ks = fit_ks(z, DRAWS);
    assert_true(ks > KS_LIMIT || fit_ad(z, DRAWS) > AD_LIMIT);
    free(z);
}

/* 3. The same draw */

/* A uniform and the normal of the same probability give the same draw: a family may change without its stream. */
static void either_base_gives_the_same_draw(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    for (int f = 0; f < FAMILIES; f++) {
        double u[300], z[300], by_u[300], by_z[300];
        const sm_transform tu = prepared(tables, &families[f], SM_BASE_UNIFORM),
                           tz = prepared(tables, &families[f], SM_BASE_NORMAL);
        for (int i = 0; i < 300; i++) {
            u[i] = (i + 0.37) / 300;
            z[i] = gsl_cdf_ugaussian_Pinv(u[i]);
        }
        sm_transform_apply(&tu, u, by_u, 300);
        sm_transform_apply(&tz, z, by_z, 300);
        for (int i = 0; i < 300; i++) {
            assert_near(by_u[i], by_z[i], 1e-12, 1e-12);
            assert_near(by_u[i], sm_dist_quantile(&families[f], u[i]), 1e-6, 1e-8 * sm_dist_sd(&families[f]));
        }
    }
    sm_tables_destroy(tables);
}

static void constants_need_no_base(void **state)
{
    (void)state;
    double out[7];
    const sm_dist d = {SM_TRUNCATED_NORMAL, {2.385, 0, 0, 5}};
    const sm_transform t = prepared(NULL, &d, SM_BASE_NORMAL);
    sm_transform_apply(&t, NULL, out, 7);
    for (int i = 0; i < 7; i++)
        assert_true(out[i] == 2.385);
}

/* 4. Angles in turns */

static void turns_have_the_stated_error(void **state)
{
    (void)state;
    enum { N = 4000 };
    static double t[N], c[N], s[N];
    for (int i = 0; i < N; i++)
        t[i] = i < 2000 ? -2 + 0.002 * i : (i - 3000) * 312.123456789;
    sm_turn(t, c, s, N);
    for (int i = 0; i < N; i++) {
        long double whole = t[i] - floorl((long double)t[i]), x = 6.283185307179586476925286766559L * whole;
        double allowed = 4e-16 + 7 * fabs(t[i]) * 0x1p-53;
        assert_near(c[i], (double)cosl(x), 0, allowed);
        assert_near(s[i], (double)sinl(x), 0, allowed);
    }
}

static void quarter_turns_are_exact(void **state)
{
    (void)state;
    const double t[] = {0, 0.25, 0.5, 0.75, 1, -0.25, -0.5};
    const double cos_want[] = {1, 0, -1, 0, 1, 0, -1}, sin_want[] = {0, 1, 0, -1, 0, -1, 0};
    double c[7], s[7];
    sm_turn(t, c, s, 7);
    for (int i = 0; i < 7; i++)
        assert_true(c[i] == cos_want[i] && s[i] == sin_want[i]);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_family_has_a_shape),
        cmocka_unit_test(tables_err_less_than_stated),
        cmocka_unit_test(draws_rise_with_their_base),
        cmocka_unit_test(steep_tables_err_forty_times_as_much_at_most),
        cmocka_unit_test(what_has_no_quantile_is_refused_again),
        cmocka_unit_test(tables_are_shared_by_shape),
        cmocka_unit_test(places_between_nodes_are_as_exact),
        cmocka_unit_test(no_lawful_shape_is_refused),
        cmocka_unit_test(draws_follow_their_family),
        cmocka_unit_test(a_wrong_width_is_found_out),
        cmocka_unit_test(either_base_gives_the_same_draw),
        cmocka_unit_test(constants_need_no_base),
        cmocka_unit_test(turns_have_the_stated_error),
        cmocka_unit_test(quarter_turns_are_exact),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
