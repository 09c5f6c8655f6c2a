/* test_dist.c - every family against values computed elsewhere: mean, standard deviation, quantiles, refusals.
 *
 * Expected values: computed with scipy and spot-checked in R, to the digits shown; quantiles of t by R,
 * those of even degrees of freedom once more by their closed form.
 *
 * Contents: 1. moments and quantiles  2. tails  3. names  4. refusals  5. degenerate forms
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>

#include "sampling/dist.h"

/* 1. Moments and quantiles */

typedef struct {
    sm_dist d;
    double mean, sd; /* NAN: not given */
    double at[4][2]; /* probability, quantile; 0 ends */
} row;

static const row rows[] = {
    {{SM_NORMAL, {0, 1}},
     0,
     1,
     {{0.95, 1.64485362695147}, {0.975, 1.95996398454005}, {0.999, 3.09023230616781}, {0.9999, 3.71901648545571}}},
    {{SM_NORMAL, {0, 1}}, 0, 1, {{0.99, 2.32634787404084}, {0.995, 2.57582930354890}}},
    {{SM_STUDENT_T, {0, 1, 3}}, 0, 1.7320508075689, {{0.975, 3.18244630528371}}},
    {{SM_STUDENT_T, {0, 1, 4}}, 0, 1.4142135623731, {{0.975, 2.77644510520}, {0.025, -2.77644510520}}},
    {{SM_STUDENT_T, {0, 1, 5}}, 0, 1.2909944487358, {{0.975, 2.57058183563631}}},
    {{SM_STUDENT_T, {0, 1, 9}}, 0, 1.1338934190277, {{0.975, 2.26215716279820}}},
    {{SM_STUDENT_T, {0, 1, 16}}, 0, 1.0690449676497, {{0.975, 2.11990529922125}, {0.995, 2.92078162242510}}},
    {{SM_STUDENT_T, {0, 1, 18}}, 0, 1.0606601717798, {{0.975, 2.10092204024104}, {0.995, 2.87844047273861}}},
    {{SM_STUDENT_T, {0, 1, 24}}, 0, 1.0444659357342, {{0.975, 2.06389856162803}}},
    {{SM_STUDENT_T, {0, 1, 30}}, 0, 1.0350983390135, {{0.975, 2.04227245630}}},
    {{SM_TRIANGULAR, {0, 1, 4}},
     5.0 / 3,
     0.849836585599,
     {{0.025, 0.316227766017}, {0.5, 1.55051025722}, {0.975, 3.45227744249}}},
    {{SM_TRIANGULAR, {-2.4, 0, 2.4}}, 0, 0.97979589711327, {{0.5, 0}}}, /* half-width over sqrt 6 */
    {{SM_TRUNCATED_NORMAL, {0, 1, -1, 2}},
     0.229637179091329,
     0.720945586859046,
     {{0.025, -0.918723454609}, {0.5, 0.171163918018}, {0.975, 1.71453783507}}},
    {{SM_TRUNCATED_NORMAL, {0.5, 1.2, 0, 1e6}}, 1.16349363981774, 0.817330636898278, {{0.5, 1.02534740443}}},
    {{SM_BETA, {2, 5, 0, 1}},
     2.0 / 7,
     0.15971914125,
     {{0.025, 0.0432718682927}, {0.5, 0.264449983296}, {0.975, 0.641234578998}}},
    {{SM_BETA, {2, 4, 0, 4}}, 4.0 / 3, 0.7126966451, {{0.025, 0.210979802105}, {0.975, 2.86567174447}}},
    {{SM_LOGNORMAL, {1.6487212707001282, 1.4918246976412703}}, /* exp(0.5), exp(0.4) */
     1.78603843075007,
     0.743967809212655,
     {{0.025, 0.752777489279}, {0.975, 3.61100307484}}},
    {{SM_ARCSINE, {-1, 1}}, 0, 0.70710678118655, {{0.975, 0.996917333733}, {0.025, -0.996917333733}}},
    {{SM_HALF_NORMAL, {2.5}}, 1.99471140200716, 1.50702568747272, {{0.5, 1.68622437549}, {0.95, 4.89990996135}}},
    {{SM_UNIFORM, {-3, 4}}, 0.5, 2.0207259421637, {{0.025, -2.825}, {0.9, 3.3}}},
};

static void families_have_the_published_moments_and_quantiles(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const row *r = &rows[i];
        assert_null(sm_dist_check(&r->d));
        assert_near(sm_dist_mean(&r->d), r->mean, 1e-11, 1e-13);
        assert_near(sm_dist_sd(&r->d), r->sd, 1e-9, 0);
        for (int j = 0; j < 4 && r->at[j][0] > 0; j++)
            assert_near(sm_dist_quantile(&r->d, r->at[j][0]), r->at[j][1], 2e-11, 0);
    }
}

static void every_family_is_among_them(void **state)
{
    (void)state;
    for (int f = 0; f < SM_FAMILY_COUNT; f++) {
        bool found = f == SM_CONSTANT; /* degenerate_forms_are_constants */
        for (size_t i = 0; i < sizeof rows / sizeof *rows && !found; i++)
            found = rows[i].d.family == (sm_family)f;
        if (!found)
            fail_msg("no values from elsewhere for %s", sm_dist_family_name((sm_family)f));
    }
}

/* Densities of R 4.2 (dnorm, dunif, dlnorm, dt, dbeta and, for the rest, by hand), and none outside the support. */
static void densities(void **state)
{
    (void)state;
    static const struct {
        sm_dist d;
        double x, want, outside;
    } rows_[] = {{{SM_NORMAL, {6.3, 2.16}}, 5.1, 0.1582834695214, NAN},
                 {{SM_UNIFORM, {-3, 4}}, 0, 1.0 / 7, 4.1},
                 {{SM_TRIANGULAR, {0, 1, 4}}, 0.5, 0.25, -0.1},
                 {{SM_TRIANGULAR, {0, 1, 4}}, 3, 1.0 / 6, 4.1},
                 {{SM_LOGNORMAL, {0.7, 1.35}}, 0.9, 1.0401945183737, -0.1},
                 {{SM_HALF_NORMAL, {2.5}}, 1, 0.2946161122427, -0.1},
                 {{SM_STUDENT_T, {1, 2, 5}}, 3.5, 0.0839471440186, NAN},
                 {{SM_ARCSINE, {-1, 1}}, 0.6, 0.3978873577297, 1.1},
                 {{SM_TRUNCATED_NORMAL, {0, 1, -1, 2}}, 0.5, 0.4300850759232, 2.1},
                 {{SM_BETA, {2, 5, 0, 4}}, 1, 0.59326171875, 4.1}};
    for (size_t i = 0; i < sizeof rows_ / sizeof *rows_; i++) {
        assert_near(sm_dist_density(&rows_[i].d, rows_[i].x), rows_[i].want, 1e-9, 0);
        assert_true(isnan(rows_[i].outside) || sm_dist_density(&rows_[i].d, rows_[i].outside) == 0);
    }
    const sm_dist one = sm_dist_constant(3);
    assert_true(isnan(sm_dist_density(&one, 3)));
}

/* A lognormal that the standard work on measurement gives by its mean and sd: 10 and 3 (computed for this project). */
static void lognormal_by_mean_and_sd(void **state)
{
    (void)state;
    sm_dist d = (sm_dist){SM_LOGNORMAL, {exp(2.25949624487352), exp(0.293560379208524)}};
    assert_near(sm_dist_mean(&d), 10, 1e-13, 0);
    assert_near(sm_dist_sd(&d), 3, 1e-12, 0);
}

/* Location and scale act as they should in every family that has them. */
static void quantiles_move_and_stretch(void **state)
{
    (void)state;
    const sm_dist plain[] = {
        {SM_STUDENT_T, {0, 1, 5}}, {SM_TRUNCATED_NORMAL, {0, 1, -1, 2}}, {SM_BETA, {2, 5, 0, 1}}, {SM_ARCSINE, {0, 1}}};
    const sm_dist moved[] = {{SM_STUDENT_T, {7.3, 2.4, 5}},
                             {SM_TRUNCATED_NORMAL, {7.3, 2.4, 4.9, 12.1}},
                             {SM_BETA, {2, 5, 7.3, 9.7}},
                             {SM_ARCSINE, {7.3, 9.7}}};
    for (size_t i = 0; i < 4; i++)
        for (double p = 0.01; p < 1; p += 0.07)
            assert_near(sm_dist_quantile(&moved[i], p), 7.3 + 2.4 * sm_dist_quantile(&plain[i], p), 1e-12, 0);
}

/* 2. Tails: the quantile at z of one family is minus that at -z of its mirror image, far out too. */

static void expect_mirror(sm_family f, double s1, double s2, double m1, double m2, double turn, double z)
{
    double here = sm_dist_standard_quantile(f, s1, s2, z), there = sm_dist_standard_quantile(f, m1, m2, -z);
    assert_near(here, turn - there, 1e-9, 1e-12);
}

static void both_tails_keep_their_digits(void **state)
{
    (void)state;
    for (double z = -8.4; z < 8.5; z += 0.6) {
        expect_mirror(SM_STUDENT_T, 3, 0, 3, 0, 0, z);
        expect_mirror(SM_TRUNCATED_NORMAL, -1, 2, -2, 1, 0, z);
        expect_mirror(SM_TRUNCATED_NORMAL, 4.2, 5.5, -5.5, -4.2, 0, z);
        expect_mirror(SM_TRUNCATED_NORMAL, 5.5, 40, -40, -5.5, 0, z);
        expect_mirror(SM_BETA, 2, 5, 5, 2, 1, z);
    }
}

/* Of a normal cut to its far tail: the quantile x at p solves Q(x) = Q(5.5) (1 - p) (mpmath, 40 digits). */
static void a_normal_cut_far_out(void **state)
{
    (void)state;
    const sm_dist above = {SM_TRUNCATED_NORMAL, {0, 1, 5.5, 40}}, below = {SM_TRUNCATED_NORMAL, {0, 1, -40, -5.5}};
    const double p[] = {0.001, 0.5, 0.999}, want[] = {5.500176408538925, 5.620963290125458, 6.61175459080309};
    for (int i = 0; i < 3; i++) {
        assert_near(sm_dist_quantile(&above, p[i]), want[i], 0, 2e-9);
        assert_near(sm_dist_quantile(&below, 1 - p[i]), -want[i], 0, 2e-9);
    }
}

/* Ends so far out that they stand for none, and so many degrees of freedom that the t is the normal. */
static void far_ends_and_many_degrees_of_freedom(void **state)
{
    (void)state;
    const sm_dist open = {SM_TRUNCATED_NORMAL, {4, 0.5, -1e308, 1e308}};
    assert_null(sm_dist_check(&open));
    assert_near(sm_dist_mean(&open), 4, 1e-12, 0);
    assert_near(sm_dist_sd(&open), 0.5, 1e-12, 0);
    for (double dof = 1e11; dof < 1e31; dof *= 10)
        for (double z = -8.5; z <= 8.5; z += 0.25)
            assert_near(sm_dist_standard_quantile(SM_STUDENT_T, dof, 0, z), z, 1e-9, 1e-9);
}

/* 3. Names */

static void names_are_those_of_the_case_file(void **state)
{
    (void)state;
    const char *want[] = {"constant",    "normal",    "uniform", "triangular",       "lognormal",
                          "half_normal", "student_t", "arcsine", "truncated_normal", "beta"};
    assert_int_equal(SM_FAMILY_COUNT, sizeof want / sizeof *want);
    for (int f = 0; f < SM_FAMILY_COUNT; f++) {
        assert_string_equal(sm_dist_family_name((sm_family)f), want[f]);
        for (size_t i = 0; i < sm_dist_parameters((sm_family)f); i++)
            assert_true(strlen(sm_dist_parameter_name((sm_family)f, i)) > 0);
    }
    assert_int_equal(sm_dist_parameters(SM_BETA), 4);
    assert_string_equal(sm_dist_parameter_name(SM_LOGNORMAL, 1), "gsd");
}

static void makers_fill_their_parameters(void **state)
{
    (void)state;
    sm_dist d = (sm_dist){SM_TRIANGULAR, {0.1, 0.2, 0.6}};
    assert_near(sm_dist_mean(&d), 0.3, 1e-15, 0);
    d = sm_dist_uniform(0.1, 0.5);
    assert_near(sm_dist_mean(&d), 0.3, 1e-15, 0);
    d = sm_dist_constant(2.385);
    assert_true(sm_dist_is_constant(&d));
    assert_true(sm_dist_mean(&d) == 2.385 && sm_dist_sd(&d) == 0);
    d = (sm_dist){SM_LOGNORMAL, {0.7, 1.35}};
    assert_near(sm_dist_quantile(&d, 0.5), 0.7, 1e-15, 0);
    d = sm_dist_normal(22.3, 0.3);
    assert_near(sm_dist_sd(&d), 0.3, 0, 0);
}

/* 4. Refusals */

static void impossible_parameters_are_refused(void **state)
{
    (void)state;
    const sm_dist bad[] = {
        {SM_CONSTANT, {NAN}},
        {SM_NORMAL, {0, -1}},
        {SM_NORMAL, {HUGE_VAL, 1}},
        {SM_UNIFORM, {2, 1}},
        {SM_UNIFORM, {0, NAN}},
        {SM_TRIANGULAR, {0, 3, 2}},
        {SM_TRIANGULAR, {0, -1, 2}},
        {SM_TRIANGULAR, {2, 1, 0}},
        {SM_LOGNORMAL, {0, 1.5}},
        {SM_LOGNORMAL, {-1, 1.5}},
        {SM_LOGNORMAL, {1, 0.9}},
        {SM_LOGNORMAL, {1e-300, 1e120}}, /* its far draws are no numbers */
        {SM_HALF_NORMAL, {-0.1}},
        {SM_STUDENT_T, {0, -1, 5}},
        {SM_STUDENT_T, {0, 1, 2.9}},
        {SM_ARCSINE, {1, 0}},
        {SM_TRUNCATED_NORMAL, {0, -1, 0, 1}},
        {SM_TRUNCATED_NORMAL, {0, 1, 2, 1}},
        {SM_TRUNCATED_NORMAL, {0, 1, 1, 1}},
        {SM_TRUNCATED_NORMAL, {0, 1, 7, 9}},
        {SM_TRUNCATED_NORMAL, {5, 0, 0, 1}},
        {SM_BETA, {0, 1, 0, 1}},
        {SM_BETA, {1, -1, 0, 1}},
        {SM_BETA, {1, 20000, 0, 1}},
        {SM_BETA, {1, 1, 1, 0}},
        {SM_FAMILY_COUNT, {0}},
    };
    for (size_t i = 0; i + 1 < sizeof bad / sizeof *bad; i++)
        assert_non_null(sm_dist_check(&bad[i]));
    sm_dist d = {SM_TRIANGULAR, {0, 3, 2}};
    assert_string_equal(sm_dist_check(&d), "min, mode and max must rise");
}

/* 5. Degenerate forms mean a constant. */

static void degenerate_forms_are_constants(void **state)
{
    (void)state;
    const sm_dist same[] = {{SM_NORMAL, {2.4, 0}},
                            {SM_UNIFORM, {2.4, 2.4}},
                            {SM_TRIANGULAR, {2.4, 2.4, 2.4}},
                            {SM_LOGNORMAL, {2.4, 1}},
                            {SM_STUDENT_T, {2.4, 0, 5}},
                            {SM_ARCSINE, {2.4, 2.4}},
                            {SM_TRUNCATED_NORMAL, {2.4, 0, 0, 5}},
                            {SM_BETA, {2, 5, 2.4, 2.4}}};
    for (size_t i = 0; i < sizeof same / sizeof *same; i++) {
        assert_null(sm_dist_check(&same[i]));
        assert_true(sm_dist_is_constant(&same[i]));
        assert_true(sm_dist_mean(&same[i]) == 2.4);
        assert_true(sm_dist_sd(&same[i]) == 0);
        assert_true(sm_dist_quantile(&same[i], 0.3) == 2.4);
    }
}

static void a_mode_at_an_end_is_allowed(void **state)
{
    (void)state;
    const sm_dist left = {SM_TRIANGULAR, {0, 0, 1}}, right = {SM_TRIANGULAR, {0, 1, 1}};
    assert_null(sm_dist_check(&left));
    for (double p = 0.05; p < 1; p += 0.1) {
        assert_near(sm_dist_quantile(&left, p), 1 - sqrt(1 - p), 1e-14, 0);
        assert_near(sm_dist_quantile(&right, p), sqrt(p), 1e-14, 0);
    }
}

static void lower_ends_are_known(void **state)
{
    (void)state;
    const sm_dist d[] = {{SM_NORMAL, {1, 1}},
                         {SM_STUDENT_T, {1, 1, 3}},
                         {SM_LOGNORMAL, {1, 2}},
                         {SM_HALF_NORMAL, {1}},
                         {SM_UNIFORM, {-2, 3}},
                         {SM_BETA, {1, 1, 0.5, 1}},
                         {SM_TRUNCATED_NORMAL, {0, 1, -1, 2}}};
    const double want[] = {-HUGE_VAL, -HUGE_VAL, 0, 0, -2, 0.5, -1};
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_true(sm_dist_lower_end(&d[i]) == want[i]);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(families_have_the_published_moments_and_quantiles),
        cmocka_unit_test(every_family_is_among_them),
        cmocka_unit_test(densities),
        cmocka_unit_test(lognormal_by_mean_and_sd),
        cmocka_unit_test(quantiles_move_and_stretch),
        cmocka_unit_test(both_tails_keep_their_digits),
        cmocka_unit_test(a_normal_cut_far_out),
        cmocka_unit_test(far_ends_and_many_degrees_of_freedom),
        cmocka_unit_test(names_are_those_of_the_case_file),
        cmocka_unit_test(makers_fill_their_parameters),
        cmocka_unit_test(impossible_parameters_are_refused),
        cmocka_unit_test(degenerate_forms_are_constants),
        cmocka_unit_test(a_mode_at_an_end_is_allowed),
        cmocka_unit_test(lower_ends_are_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
