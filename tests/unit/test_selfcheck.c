/* test_selfcheck.c - every published example passes, and a wrong answer would not.
 *
 * Contents: 1. all pass  2. a wrong answer fails  3. verdicts
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>

#include "selfcheck/selfcheck.h"

static sm_checks table;

static int run_once(void **state)
{
    (void)state;
    const sm_run_context context = {.trials = SM_SELFCHECK_TRIALS, .seed = SM_SELFCHECK_SEED};
    return sm_selfcheck_run(context, &table) == SM_OK ? 0 : -1;
}

static int forget(void **state)
{
    (void)state;
    sm_checks_destroy(&table);
    return 0;
}

/* 1. All pass */

static void every_published_example_passes(void **state)
{
    (void)state;
    assert_true(table.n > 260 && table.n_groups > 50);
    for (int i = 0; i < table.n; i++) {
        const sm_check *c = &table.check[i];
        if (!c->pass)
            fprintf(stderr, "%s: %s: expected %.12g, got %.12g, tolerance %g\n", table.group[c->group].title, c->name,
                    c->expected, c->got, c->tolerance);
    }
    assert_int_equal(table.failures, 0);
}

static void every_group_has_its_source_and_its_checks(void **state)
{
    (void)state;
    int n = 0;
    for (int g = 0; g < table.n_groups; g++) {
        const sm_check_group *group = &table.group[g];
        assert_true(strlen(group->title) > 3 && strlen(group->source) > 3);
        assert_true(strlen(sm_seen_words(group->seen)) > 3);
        assert_true(group->n > 0 && group->first == n);
        for (int i = n; i < n + group->n; i++)
            assert_int_equal(table.check[i].group, g);
        n += group->n;
    }
    assert_int_equal(n, table.n);
}

/* 2. A wrong answer fails */

static void a_perturbed_answer_fails(void **state)
{
    (void)state;
    for (int i = 0; i < table.n; i++) {
        const sm_check *c = &table.check[i];
        const double off = 2.001 * c->tolerance + 1e-9 * fabs(c->expected) + 1e-12;
        assert_true(sm_check_passes(c->expected, c->got, c->tolerance));
        assert_false(sm_check_passes(c->expected + off, c->got, c->tolerance));
        assert_false(sm_check_passes(c->expected - off, c->got, c->tolerance));
        assert_false(sm_check_passes(c->expected, NAN, c->tolerance));
    }
}

/* A million trials do not fix the probability p of an event better than this. */
static bool is_that_of_an_event(const sm_check *c)
{
    const double p = c->expected;
    return p > 0 && p < 1 && c->tolerance <= 5 * sqrt(p * (1 - p) / 1e6) * (1 + 1e-12);
}

/* Tolerances are tight: none above 2.5 % of its value (or of 1 if the value is 0), but for events, for a few ends of
 * intervals and shares of what is rare. */
static void tolerances_are_tight(void **state)
{
    (void)state;
    int loose = 0;
    for (int i = 0; i < table.n; i++) {
        const sm_check *c = &table.check[i];
        const double size = fabs(c->expected) > 0 ? fabs(c->expected) : 1;
        loose += c->tolerance > 0.025 * size && !is_that_of_an_event(c);
    }
    assert_true(loose <= 20);
}

/* A twentieth of the trials may agree, but cannot pass. */
static void a_small_sample_cannot_pass(void **state)
{
    (void)state;
    sm_checks few;
    const sm_run_context context = {.trials = SM_SELFCHECK_TRIALS / 20, .seed = SM_SELFCHECK_SEED};
    assert_int_equal(sm_selfcheck_run(context, &few), SM_OK);
    int simulated = 0;
    for (int i = 0; i < few.n; i++)
        if (few.check[i].got != table.check[i].got || isnan(few.check[i].got)) {
            simulated++;
            assert_false(few.check[i].pass);
        }
    assert_true(simulated > 200);
    sm_checks_destroy(&few);
}

/* 3. Verdicts */

static void verdicts_follow_the_rule(void **state)
{
    (void)state;
    sm_checks t = {0};
    sm_checks_exact(&t, "before any group", 1, 1, 0);
    assert_int_equal(t.n, 0);
    sm_checks_group(&t, "group", "source", SM_SEEN_COMPUTED);
    sm_checks_exact(&t, "equal", 1, 1, 0);
    sm_checks_exact(&t, "off", 1, 1.1, 0.05);
    sm_checks_simulated(&t, "within 5 SE and the ceiling", 1, 1.04, 0.01, 0.05);
    sm_checks_simulated(&t, "within 5 SE, above the ceiling", 1, 1.06, 0.014, 0.05);
    sm_checks_simulated(&t, "within the ceiling, above 5 SE", 1, 1.04, 0.007, 0.05);
    sm_checks_simulated(&t, "the sample is too small", 1, 1, 0.02, 0.05);
    sm_checks_simulated(&t, "no standard error", 1, 1, NAN, 0.05);
    const bool want[] = {true, false, true, false, false, false, false};
    assert_int_equal(t.n, 7);
    for (int i = 0; i < 7; i++)
        assert_int_equal(t.check[i].pass, want[i]);
    assert_int_equal(t.failures, 5);
    sm_checks_destroy(&t);
}

static void a_table_is_appended_with_its_groups(void **state)
{
    (void)state;
    sm_checks a = {0}, b = {0};
    sm_checks_group(&a, "one", "source", SM_SEEN_COMPUTED);
    sm_checks_exact(&a, "x", 1, 1, 0);
    sm_checks_group(&b, "two", "source", SM_SEEN_IN_FULL);
    for (int i = 0; i < 100; i++)
        sm_checks_exact(&b, "y", 1, i % 2 ? 1 : 2, 0);
    sm_checks_append(&a, &b);
    assert_int_equal(a.n, 101);
    assert_int_equal(a.failures, 50);
    assert_int_equal(a.group[1].first, 1);
    assert_int_equal(a.group[1].n, 100);
    b.status = SM_NUMERIC;
    sm_checks_append(&a, &b);
    assert_int_equal(a.status, SM_NUMERIC);
    sm_checks_destroy(&a);
    sm_checks_destroy(&b);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_published_example_passes),
        cmocka_unit_test(every_group_has_its_source_and_its_checks),
        cmocka_unit_test(a_perturbed_answer_fails),
        cmocka_unit_test(tolerances_are_tight),
        cmocka_unit_test(a_small_sample_cannot_pass),
        cmocka_unit_test(verdicts_follow_the_rule),
        cmocka_unit_test(a_table_is_appended_with_its_groups),
    };
    return cmocka_run_group_tests(tests, run_once, forget);
}
