/* test_run.c - counts that do not depend on threads, partial blocks, interrupted runs, calls, proportions, sequences.
 *
 * Contents: 1. proportions  2. sequences  3. runs  4. calls
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>

#include "engine/assess.h"
#include "sampling/rng.h"

static demo_case demo;

/* 1. Proportions */

static void no_trials_say_nothing(void **state)
{
    (void)state;
    const sm_probability p = sm_probability_of(0, 0);
    assert_true(isnan(p.probability) && isnan(p.standard_error) && isnan(p.low) && isnan(p.high));
}

static void none_and_all_are_not_certain(void **state)
{
    (void)state;
    const sm_probability none = sm_probability_of(0, 1000000), all = sm_probability_of(1000000, 1000000);
    assert_true(none.low == 0 && none.high > 3.8e-6 && none.high < 3.9e-6);
    assert_true(all.high == 1);
    assert_near(all.low, 1 - none.high, 0, 1e-15);
    for (int64_t n = 1; n < 3000; n = 3 * n / 2 + 1)
        for (int64_t k = 0; k <= n; k += 1 + n / 7) {
            const sm_probability p = sm_probability_of(k, n), q = sm_probability_of(n - k, n);
            assert_true(p.low <= p.probability && p.probability <= p.high && p.low >= 0 && p.high <= 1);
            assert_near(p.low, 1 - q.high, 0, 1e-15);
        }
}

static double log_binomial(int k, int n, double p)
{
    return lgamma(n + 1.0) - lgamma(k + 1.0) - lgamma(n - k + 1.0) + k * log(p) + (n - k) * log1p(-p);
}

/* Exact coverage, summed over all outcomes (computed for this project): n = 100, p = 0.05 and 0.5. */
static void wilson_covers_as_computed(void **state)
{
    (void)state;
    const double p[] = {0.05, 0.5}, want[] = {0.9658912, 0.9431121};
    for (int i = 0; i < 2; i++) {
        double covered = 0;
        for (int k = 0; k <= 100; k++) {
            const sm_probability w = sm_probability_of(k, 100);
            covered += w.low <= p[i] && p[i] <= w.high ? exp(log_binomial(k, 100, p[i])) : 0;
        }
        assert_near(covered, want[i], 0, 1e-7);
    }
}

/* 2. Sequences */

/* Over 2,000 walks of 3,000 trials at their own true p, fewer than 1 in 1,000 (and 5 standard errors) ever leave it
 * out. */
static void a_sequence_seldom_leaves_the_truth_out(void **state)
{
    (void)state;
    enum { WALKS = 2000, STEPS = 3000 };
    static double u[STEPS];
    int left_out = 0;
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    for (uint32_t walk = 0; walk < WALKS; walk++) {
        bool out = false;
        int64_t k = 0;
        sm_rng_seek(r, 1, sm_rng_stream("walk", 0), walk);
        sm_rng_uniforms(r, u, STEPS);
        for (int64_t n = 1; n <= STEPS; n++) {
            k += u[n - 1] < 0.2;
            if (n % 10 == 0)
                out = out || sm_sequence_excludes(k, n, 0.2, 0.05);
        }
        left_out += out;
    }
    gsl_rng_free(r);
    assert_true(left_out < 0.05 * WALKS + 5 * sqrt(0.05 * 0.95 * WALKS));
}

static void a_sequence_s_ends_are_where_it_excludes(void **state)
{
    (void)state;
    for (int64_t n = 50; n < 2000000000; n *= 37)
        for (int part = 0; part <= 4; part++) {
            double low, high;
            const int64_t k = n * part / 4;
            sm_sequence_interval(k, n, 0.001, &low, &high);
            assert_true(low <= (double)k / (double)n && (double)k / (double)n <= high);
            assert_true(part == 0 ? low == 0 : sm_sequence_excludes(k, n, low * (1 - 1e-9), 0.001));
            assert_true(part == 4 ? high == 1 : sm_sequence_excludes(k, n, high + (1 - high) * 1e-9, 0.001));
            assert_false(part > 0 && sm_sequence_excludes(k, n, low + 1e-9 * low, 0.001));
        }
    assert_false(sm_sequence_excludes(0, 0, 0.5, 0.001));
}

/* 3. Runs */

/* Runs the tasks of a batch from the last to the first: an order that no single thread would choose. */
static void run_backwards(void *self, int n, void (*task)(void *arg, int i), void *arg)
{
    (void)self;
    for (int i = n; i-- > 0;)
        task(arg, i);
}

static sm_plan plan_of(const sm_case *c)
{
    sm_plan p;
    assert_int_equal(sm_plan_create(c, 1, &p), SM_OK);
    return p;
}

static const sm_watch nobody = {0};

static sm_status run(const sm_plan *p, int64_t trials, int width, sm_watch watch, sm_gathered *g)
{
    const sm_executor executor = {.width = width, .run = run_backwards};
    assert_int_equal(sm_gathered_create(p, g), SM_OK);
    return sm_run(p, (sm_run_context){.trials = trials, .executor = executor, .watch = watch}, g);
}

static void expect_same(const sm_gathered *a, const sm_gathered *b)
{
    assert_int_equal(a->n, b->n);
    for (int r = 0; r < a->n_roots; r++) {
        assert_memory_equal(&a->tally[r].patient, &b->tally[r].patient, sizeof a->tally[r].patient);
        assert_memory_equal(a->tally[r].side, b->tally[r].side, (size_t)a->n_sides * sizeof *a->tally[r].side);
        assert_int_equal(a->tally[r].unrescued, b->tally[r].unrescued);
        assert_int_equal(a->tally[r].gained, b->tally[r].gained);
        assert_int_equal(a->tally[r].lost, b->tally[r].lost);
    }
    assert_memory_equal(a->spread, b->spread, (size_t)a->n_sides * sizeof *a->spread);
}

/* Bit for bit: counts, moments, histograms. */
static void widths_do_not_change_results(void **state)
{
    (void)state;
    const int width[] = {2, 3, 7};
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    sm_implant smaller = demo.c.implant;
    smaller.nominal_diameter_mm = 22.5;
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.implant = &smaller}, NULL), SM_OK);
    sm_gathered one, other;
    assert_int_equal(run(&p, 6 * SM_TASK_TRIALS + 777, 1, nobody, &one), SM_OK);
    for (int i = 0; i < 3; i++) {
        assert_int_equal(run(&p, 6 * SM_TASK_TRIALS + 777, width[i], nobody, &other), SM_OK);
        expect_same(&one, &other);
        sm_gathered_destroy(&other);
    }
    sm_gathered_destroy(&one);
    sm_plan_destroy(&p);
}

/* 1 trial, a part of a group, of a block, of a task; the first n of a longer run are the run of n. */
static void any_number_of_trials_is_exact(void **state)
{
    (void)state;
    const int64_t trials[] = {1, 255, 257, 1023, 1025, SM_TASK_TRIALS - 1, SM_TASK_TRIALS + 1};
    int64_t events = 0;
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    for (int i = 0; i < 7; i++) {
        sm_gathered g;
        assert_int_equal(run(&p, trials[i], 2, nobody, &g), SM_OK);
        assert_int_equal(g.n, trials[i]);
        for (int o = 0; o < SM_OUTPUTS; o++)
            assert_int_equal(g.spread[0][o].span.moments.n + g.spread[0][o].span.not_numbers, trials[i]);
        assert_true(g.tally[0].patient.event >= events && g.tally[0].patient.event <= trials[i]);
        events = g.tally[0].patient.event;
        sm_gathered_destroy(&g);
    }
    assert_true(events > 0);
    sm_plan_destroy(&p);
}

static bool stop_now(void *self)
{
    (void)self;
    return true;
}

/* Ctrl-C within the first task: what is known is exact for as many trials, a group of each slot. */
static void an_interrupted_run_keeps_what_is_known(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    const sm_watch watch = {.interrupted = stop_now};
    sm_gathered cut, whole;
    assert_int_equal(run(&p, 9 * SM_TASK_TRIALS, 2, watch, &cut), SM_INTERRUPTED);
    assert_int_equal(cut.n, 2 * SM_LANES);
    sm_gathered_destroy(&cut);
    assert_int_equal(run(&p, 9 * SM_TASK_TRIALS, 1, watch, &cut), SM_INTERRUPTED);
    assert_int_equal(cut.n, SM_LANES);
    assert_int_equal(run(&p, SM_LANES, 1, nobody, &whole), SM_OK);
    expect_same(&cut, &whole);
    sm_gathered_destroy(&cut);
    /* In the last task, too, what is left out is known to be left out. */
    assert_int_equal(run(&p, SM_TASK_TRIALS, 1, watch, &cut), SM_INTERRUPTED);
    assert_int_equal(cut.n, SM_LANES);
    sm_gathered_destroy(&cut);
    /* Too late to matter: the run had ended. */
    assert_int_equal(run(&p, SM_LANES, 2, watch, &cut), SM_OK);
    sm_gathered_destroy(&cut);
    sm_gathered_destroy(&whole);
    sm_plan_destroy(&p);
}

static bool three_tasks(void *self, const sm_gathered *so_far)
{
    ++*(int *)self;
    return so_far->n >= 3 * SM_TASK_TRIALS;
}

/* `enough` is asked after each task in order, so that it stops every width at the same trial. */
static void enough_stops_at_the_same_trial(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    sm_gathered one, many;
    int asked = 0;
    const sm_watch watch = {.self = &asked, .enough = three_tasks};
    assert_int_equal(run(&p, 50 * SM_TASK_TRIALS, 1, watch, &one), SM_OK);
    assert_int_equal(asked, 3);
    assert_int_equal(run(&p, 50 * SM_TASK_TRIALS, 7, watch, &many), SM_OK);
    assert_int_equal(asked, 6);
    expect_same(&one, &many);
    sm_gathered_destroy(&one);
    sm_gathered_destroy(&many);
    sm_plan_destroy(&p);
}

/* Another seed is another sample of the same truth; seed 0 is one as well. */
static void seeds_agree_within_their_error(void **state)
{
    (void)state;
    const uint64_t seed[] = {0, 1, 2, 18446744073709551615u};
    double p[4];
    demo_fill(&demo);
    for (int i = 0; i < 4; i++) {
        sm_assessment a;
        assert_int_equal(sm_assess(&demo.c, (sm_run_context){.trials = 100000, .seed = seed[i]}, &a), SM_OK);
        p[i] = a.patient.event.probability;
        for (int j = 0; j < i; j++) {
            assert_true(p[i] != p[j]);
            assert_near(p[i], p[j], 0, 5 * sqrt(2) * a.patient.event.standard_error);
        }
        sm_assessment_destroy(&a);
    }
}

/* 4. Calls */

static void calls_follow_the_interval(void **state)
{
    (void)state;
    assert_int_equal(sm_call_of(0.21, 0.25, 0.20), SM_CALL_ABOVE);
    assert_int_equal(sm_call_of(0.20, 0.25, 0.20), SM_CALL_ABOVE); /* act when at least the line */
    assert_int_equal(sm_call_of(0.19, 0.25, 0.20), SM_CALL_UNRESOLVED);
    assert_int_equal(sm_call_of(0.15, 0.20, 0.20), SM_CALL_UNRESOLVED);
    assert_int_equal(sm_call_of(0.15, 0.199, 0.20), SM_CALL_BELOW);
    assert_int_equal(sm_call_of(0.15, 0.199, 0), SM_CALL_NONE);
    assert_int_equal(sm_call_of(NAN, NAN, 0.2), SM_CALL_UNRESOLVED);
}

static sm_status assess(double line, int64_t trials, int64_t cap, sm_assessment *a)
{
    demo.c.action_line = line;
    const sm_run_context context = {.trials = trials, .seed = 1};
    return cap > 0 ? sm_assess_until_resolved(&demo.c, cap, context, a) : sm_assess(&demo.c, context, a);
}

static void going_on_until_resolved(void **state)
{
    (void)state;
    sm_assessment a;
    demo_fill(&demo);
    assert_int_equal(assess(0.10, 1000, 1000000, &a), SM_OK);
    assert_int_equal(a.decision.call, SM_CALL_ABOVE);
    assert_true(a.decision.by_sequence && a.decision.low > 0.10 && a.trials < 1000000);
    const double p = a.patient.event.probability;
    sm_assessment_destroy(&a);
    assert_int_equal(assess(p, 1000, 40000, &a), SM_UNRESOLVED); /* a line at the answer itself */
    assert_int_equal(a.decision.call, SM_CALL_UNRESOLVED);
    assert_int_equal(a.decision.reason, SM_REASON_MONTE_CARLO);
    assert_true(a.complete && a.trials == 40000);
    sm_assessment_destroy(&a);
}

static void without_a_line_nothing_is_called(void **state)
{
    (void)state;
    sm_assessment a;
    demo_fill(&demo);
    assert_int_equal(assess(0, 1000, 0, &a), SM_OK);
    assert_int_equal(a.decision.call, SM_CALL_NONE);
    assert_int_equal(a.decision.reason, SM_REASON_NONE);
    sm_assessment_destroy(&a);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_trials_say_nothing),
        cmocka_unit_test(none_and_all_are_not_certain),
        cmocka_unit_test(wilson_covers_as_computed),
        cmocka_unit_test(a_sequence_seldom_leaves_the_truth_out),
        cmocka_unit_test(a_sequence_s_ends_are_where_it_excludes),
        cmocka_unit_test(widths_do_not_change_results),
        cmocka_unit_test(any_number_of_trials_is_exact),
        cmocka_unit_test(an_interrupted_run_keeps_what_is_known),
        cmocka_unit_test(enough_stops_at_the_same_trial),
        cmocka_unit_test(seeds_agree_within_their_error),
        cmocka_unit_test(calls_follow_the_interval),
        cmocka_unit_test(going_on_until_resolved),
        cmocka_unit_test(without_a_line_nothing_is_called),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
