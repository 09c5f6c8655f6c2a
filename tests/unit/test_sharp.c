/* test_sharp.c - probabilities from sharp points: against distribution functions where the event is one number's,
 * against counting elsewhere; intervals, the stopping rule, threads, interrupts.
 *
 * Contents: 1. task means  2. the rotation  3. known answers  4. counting  5. runs
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>

#include "check.h"
#include "looked_case.h"

#include "engine/assess.h"

/* 1. Task means */

/* 100 points a task, so that these are the shares. */
static const double shares[] = {0.20, 0.22, 0.24, 0.26};

static sm_task_series four_tasks(sm_task_sums *t)
{
    for (int i = 0; i < 4; i++)
        t[i] = (sm_task_sums){100, 100, 100, 100 * shares[i], 100 * (1 - shares[i])};
    return (sm_task_series){.task = t, .stride = 1, .n = 4};
}

/* scipy: m = .23, s/2, expit(logit(m) -+ stats.t.ppf(.975, 3) s/2/(m (1 - m))). */
static void tasks_make_an_interval(void **state)
{
    (void)state;
    sm_task_sums t[4];
    const sm_probability p = sm_task_means_probability(four_tasks(t));
    assert_near(p.probability, 0.23, 0, 1e-15);
    assert_near(p.standard_error, 0.012909944487358056, 1e-12, 0);
    assert_near(p.low, 0.19149890514268453, 1e-9, 0);
    assert_near(p.high, 0.27362209512900226, 1e-9, 0);
    assert_int_equal(p.n, llround(0.23 * 0.77 / (0.012909944487358056 * 0.012909944487358056)));
}

/* The e-value of the mean 0.15 is 6.720060372, by scipy's quadrature over the scale (flat in its logarithm) and the
 * distance in SDs (a standard normal): it is excluded at 1/6.72 and not at 1/6.73. */
static void the_e_value_is_the_mixture(void **state)
{
    (void)state;
    sm_task_sums t[4];
    const sm_task_series s = four_tasks(t);
    double low, high;
    assert_true(sm_task_means_exclude(s, 0.15, 1 / 6.7200));
    assert_false(sm_task_means_exclude(s, 0.15, 1 / 6.7202));
    sm_task_means_sequence(s, 1 / 6.720060372, &low, &high);
    assert_near(low, 0.15, 0, 1e-6);
    assert_near(high, 0.31, 0, 1e-6);
}

/* By hand: shares .23 and .25, pulls -.03 -.01 .01 .03 and -.05 .05 -.05 .05 of a quarter each; differences .005 -.015
 * .015 -.005, squares 5e-4, times 4/3. */
static void differences_are_of_the_same_tasks(void **state)
{
    (void)state;
    sm_task_sums t[4], other[4];
    const double shares_other[] = {0.20, 0.30, 0.20, 0.30};
    const sm_task_series a = four_tasks(t);
    for (int i = 0; i < 4; i++)
        other[i] = (sm_task_sums){100, 100, 100, 100 * shares_other[i], 100 * (1 - shares_other[i])};
    const sm_estimate d = sm_task_means_difference(a, (sm_task_series){.task = other, .stride = 1, .n = 4});
    assert_near(d.value, -0.02, 0, 0x1p-41);
    assert_near(d.standard_error, sqrt(5e-4 * 4 / 3), 1e-9, 0);
    assert_near(sm_task_means_difference(a, a).standard_error, 0, 0, 0);
    for (int i = 0; i < 4; i++) /* the last bits of sums are no difference */
        other[i].in = t[i].in * (1 + 1e-14 * i);
    const sm_estimate none = sm_task_means_difference(a, (sm_task_series){.task = other, .stride = 1, .n = 4});
    assert_near(none.value, 0, 0, 0);
    assert_near(none.standard_error, 0, 0, 0);
    for (int i = 0; i < 4; i++)
        other[i].in = 100 * shares_other[i];
    /* Products .0015 -.0005 -.0005 .0015 of a sixteenth each. */
    const sm_task_series b = {.task = other, .stride = 1, .n = 4};
    assert_near(sm_task_means_covariance(a, b), 0.002 / 16 * 4 / 3, 1e-12, 0);
    assert_near(sm_task_means_reach(4), 3.182446305284263, 1e-9, 0); /* scipy: stats.t.ppf(.975, 3) */
}

/* Weights are divided by, unless they undo a widened draw, whose mean is known. */
static void weights(void **state)
{
    (void)state;
    const sm_task_sums t[] = {{100, 90, 110, 18, 72}, {100, 110, 130, 24, 86}};
    sm_task_series s = {.task = t, .stride = 1, .n = 2};
    assert_near(sm_task_means_probability(s).probability, 42.0 / 200, 1e-15, 0);
    assert_near(sm_task_means_probability(s).standard_error, 0.009, 1e-12, 0); /* 18 - .21 90 = -.9, and .9 */
    s.widened = true;
    assert_near(sm_task_means_probability(s).standard_error, 0.03, 1e-12, 0); /* 18 and 24 of 100 */
}

static void few_points_are_not_certain(void **state)
{
    (void)state;
    const sm_task_sums t[] = {{100, 100, 100, 0, 100}, {100, 100, 100, 0, 100}};
    const sm_probability none = sm_task_means_probability((sm_task_series){.task = t, .stride = 1, .n = 2});
    double low, high;
    sm_wilson_interval(0, 200, &low, &high);
    assert_true(none.probability == 0 && none.k == 0 && none.n == 200 && none.low == 0);
    assert_near(none.high, high, 1e-15, 0);
}

/* 2. The rotation */

static demo_case demo;

static void axes_turn_and_stay_square(void **state)
{
    (void)state;
    enum { MOST = 64 };
    sm_plan p;
    sm_smoothing s;
    sm_placing c;
    double wanted[2 * MOST] = {0}, axis[MOST][MOST];
    demo_fill(&demo);
    assert_int_equal(sm_plan_create(&demo.c, 5, &p), SM_OK);
    assert_int_equal(sm_smoothing_create(&p, &s), SM_OK);
    assert_int_equal(sm_placing_create(&p, &s, 5, SM_FOR_RUN, &c), SM_OK);
    assert_true(c.n_axes > 5 && c.n_axes < MOST);
    wanted[0] = wanted[c.n_axes + 1] = 0.6;
    wanted[3] = wanted[c.n_axes + 4] = -0.8;
    assert_int_equal(sm_placing_turn(&c, wanted, 2), SM_OK);
    for (int i = 0; i < c.n_axes; i++)
        sm_placing_direction(&c, i, axis[i]);
    for (int i = 0; i < c.n_axes; i++)
        for (int j = 0; j < c.n_axes; j++) {
            double product = 0;
            for (int l = 0; l < c.n_axes; l++)
                product += axis[i][l] * axis[j][l];
            assert_near(product, i == j ? 1 : 0, 0, 1e-12);
        }
    for (int i = 0; i < 2; i++) /* either way round */
        for (int l = 0; l < c.n_axes; l++)
            assert_near(fabs(axis[i][l]), fabs(wanted[i * c.n_axes + l]), 0, 1e-12);
    sm_placing_destroy(&c);
    sm_smoothing_destroy(&s);
    sm_plan_destroy(&p);
}

/* 3. Known answers */

typedef struct {
    sm_probability event;
    bool widened;
} answer;

static answer answer_of(const sm_case *c, int64_t trials)
{
    sm_plan p;
    sm_sharp s;
    assert_int_equal(sm_plan_create(c, 3, &p), SM_OK);
    assert_int_equal(sm_sharp_run(&p, (sm_run_context){.trials = trials}, &s), SM_OK);
    const answer a = {sm_task_means_probability(sm_sharp_event(&s, 0, SM_SHARED)), s.widened};
    sm_sharp_destroy(&s);
    sm_plan_destroy(&p);
    return a;
}

static looked_case plain;

static void know_gap(int k, sm_dist d)
{
    plain.d.side[k].quantity[SM_OSTIUM_GAP] = (sm_quantity){.value = d};
}

/* Where a gap's own error is all there is, nothing is left to draw. */
static void a_normal_gap_needs_no_draw(void **state)
{
    (void)state;
    looked_hangs_on(&plain, SM_LOOKED_OSTIUM_GAP);
    know_gap(DEMO_LEFT, sm_dist_normal(4.53, 0.71));
    const double left = gsl_cdf_ugaussian_P((4 - 4.53) / 0.71), right = gsl_cdf_ugaussian_P((4 - 5.2) / 1.3);
    answer a = answer_of(&plain.d.c, 5000);
    assert_near(a.event.probability, left, 0, 1e-8);
    assert_near(a.event.standard_error, 0, 0, 1e-12);
    know_gap(DEMO_RIGHT, sm_dist_normal(5.2, 1.3));
    assert_near(answer_of(&plain.d.c, 5000).event.probability, 1 - (1 - left) * (1 - right), 0, 1e-8);
    plain.d.side[DEMO_RIGHT].quantity[SM_STJ_GAP] = (sm_quantity){.value = sm_dist_normal(2.9, 0.8)};
    const double sealed = gsl_cdf_ugaussian_P((2 - 2.9) / 0.8);
    assert_near(answer_of(&plain.d.c, 5000).event.probability, 1 - (1 - left) * (1 - right) * (1 - sealed), 0, 1e-8);
}

/* A t through its drawn scale, also far out: then the axes are drawn wider. */
static void a_t_gap_is_a_t(void **state)
{
    (void)state;
    static const struct {
        double mean, dof;
        bool widened;
    } gaps[] = {{4.6, 5, false}, {3.1, 3.7, false}, {9.4, 5, true}, {-1.7, 6, true}};
    looked_hangs_on(&plain, SM_LOOKED_OSTIUM_GAP);
    for (size_t i = 0; i < sizeof gaps / sizeof *gaps; i++) {
        know_gap(DEMO_LEFT, (sm_dist){SM_STUDENT_T, {gaps[i].mean, 0.7, gaps[i].dof}});
        const answer a = answer_of(&plain.d.c, 100000);
        const double truth = gsl_cdf_tdist_P((4 - gaps[i].mean) / 0.7, gaps[i].dof);
        assert_int_equal(a.widened, gaps[i].widened);
        assert_near(a.event.probability, truth, 0, 5 * a.event.standard_error);
        assert_true(a.event.standard_error < 0.02 * fmin(truth, 1 - truth));
    }
}

/* A lognormal gap stays drawn. */
static void another_family_is_drawn(void **state)
{
    (void)state;
    looked_hangs_on(&plain, SM_LOOKED_OSTIUM_GAP);
    know_gap(DEMO_LEFT, (sm_dist){SM_LOGNORMAL, {4.4, 1.2}});
    const answer a = answer_of(&plain.d.c, 100000);
    assert_near(a.event.probability, gsl_cdf_ugaussian_P(log(4 / 4.4) / log(1.2)), 0, 5 * a.event.standard_error);
    assert_true(a.event.standard_error > 0 && a.event.standard_error < 1e-3);
}

/* 4. Counting */

/* z of a probability from sharp points against the same counted. */
static void agree(const sm_probability *sharp, const sm_probability *counted, const char *of)
{
    const double error = hypot(sharp->standard_error, counted->standard_error);
    if (!(fabs(sharp->probability - counted->probability) <= 4.5 * error + 1e-6))
        fail_msg("%s: %g (%g) from sharp points, %g (%g) counted", of, sharp->probability, sharp->standard_error,
                 counted->probability, counted->standard_error);
}

static void crossings_agree(const sm_crossing *sharp, const sm_crossing *counted, const char *of)
{
    agree(&sharp->event, &counted->event, of);
    for (int g = 0; g < SM_GAPS; g++)
        agree(&sharp->crossed[g], &counted->crossed[g], of);
}

static void check_counting(const sm_case *c, const char *of)
{
    sm_assessment sharp, counted;
    sm_run_context context = {.trials = 300000, .seed = 11};
    assert_int_equal(sm_assess(c, context, &counted), SM_OK);
    context.points = SM_POINTS_SHARP;
    context.trials = 20000;
    assert_int_equal(sm_assess(c, context, &sharp), SM_OK);
    assert_int_equal(sharp.sharp_tasks, 19);
    assert_true(sharp.sharp_points >= INT64_C(19) * 256 && sharp.sharp_points <= INT64_C(19) * 1024);
    assert_int_equal(counted.sharp_points, 0);
    crossings_agree(&sharp.patient, &counted.patient, of);
    for (int k = 0; k < sharp.n_sides; k++)
        crossings_agree(&sharp.side[k].crossing, &counted.side[k].crossing, of);
    if (sharp.bloom_corrected)
        agree(&sharp.event_without_bloom_correction, &counted.event_without_bloom_correction, of);
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        agree(&sharp.by_limits[i], &counted.by_limits[i], of);
    sm_assessment_destroy(&sharp);
    sm_assessment_destroy(&counted);
}

static void the_demo_agrees(void **state)
{
    (void)state;
    demo_fill(&demo);
    check_counting(&demo.c, "the demo");
    demo.c.limits.basis = SM_BASIS_DRAWN_CIRCLE;
    check_counting(&demo.c, "by the drawn circle");
}

static void every_kind_of_error_agrees(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].dof = 4;
    demo.side[DEMO_LEFT].quantity[SM_OSTIUM_HEIGHT].dof = 6;
    demo.side[DEMO_LEFT].quantity[SM_STJ_GAP].resolution_mm = 1.5;
    demo.side[DEMO_RIGHT].quantity[SM_OSTIUM_HEIGHT] = (sm_quantity){.value = sm_dist_uniform(11, 14)};
    demo.side[DEMO_RIGHT].quantity[SM_LEAFLET_HEIGHT].dof = 5;
    demo.side[DEMO_RIGHT].quantity[SM_STJ_GAP] = (sm_quantity){.value = sm_dist_constant(2.2)};
    check_counting(&demo.c, "t, resolution, a uniform height, an exact gap");
    demo_fill(&demo);
    demo_no_reader_error(&demo);
    check_counting(&demo.c, "no reader errors");
}

static void a_sinus_without_a_coronary_agrees(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.side[DEMO_RIGHT].has_ostium = false;
    for (int q = SM_OSTIUM_HEIGHT; q <= SM_OSTIUM_GAP; q++)
        demo.side[DEMO_RIGHT].quantity[q] = (sm_quantity){.value = sm_dist_constant(0)};
    check_counting(&demo.c, "one coronary");
}

static void limits_and_margin_agree(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.c.limits.reach_margin_mm = 1.4;
    check_counting(&demo.c, "a margin");
    demo.side[DEMO_LEFT].quantity[SM_STJ_HEIGHT] = (sm_quantity){.value = sm_dist_uniform(15, 17)}; /* stays drawn */
    demo.c.limits.ostium_clearance_mm = (sm_dist){SM_TRIANGULAR, {2.8, 3.9, 4.6}};
    demo.c.limits.stj_clearance_mm = sm_dist_normal(2, 0.4);
    check_counting(&demo.c, "uncertain limits and a margin");
}

/* The looks steer plane, centreline and the errors of what is looked at, and weigh. */
static void second_looks_agree(void **state)
{
    (void)state;
    static const struct {
        sm_looked at;
        double reading, sd;
    } looks[] = {{SM_LOOKED_OSTIUM_GAP, 5.1, 0.6},
                 {SM_LOOKED_STJ_GAP, 3, 0.8},
                 {SM_LOOKED_LEAFLET_HEIGHT, 13.5, 0.7},
                 {SM_LOOKED_INNER_DIAMETER, 22.0, 0.2}};
    static looked_case c;
    for (size_t i = 0; i < sizeof looks / sizeof *looks; i++) {
        c.n = 0;
        demo_fill(&c.d);
        looked_add(&c, DEMO_LEFT, looks[i].at, looks[i].reading, looks[i].sd, 8, 0.03);
        check_counting(&c.d.c, "a second look");
    }
}

/* 5. Runs */

/* Tasks in the wrong order must not matter. */
static void run_backwards(void *self, int n, void (*task)(void *arg, int i), void *arg)
{
    (void)self;
    for (int i = n - 1; i >= 0; i--)
        task(arg, i);
}

static double told_by(sm_run_context context)
{
    sm_assessment a;
    context.points = SM_POINTS_SHARP;
    assert_int_equal(sm_assess(&demo.c, context, &a), SM_OK);
    const double p = a.patient.event.probability;
    sm_assessment_destroy(&a);
    return p;
}

static void the_same_on_any_threads(void **state)
{
    (void)state;
    demo_fill(&demo);
    const sm_run_context one = {.trials = 9000, .seed = 4};
    sm_run_context three = one, other = one;
    three.executor = (sm_executor){.width = 3, .run = run_backwards};
    other.seed = 5;
    assert_near(told_by(three), told_by(one), 0, 0);
    assert_true(told_by(other) != told_by(one));
    assert_near(told_by(other), told_by(one), 0.02, 0);
}

static void sizes(void **state)
{
    (void)state;
    static const int64_t asked[] = {1, 4096, 8191, 8192, 100000, 1000000, 5000000},
                         task[] = {256, 256, 256, 512, 4096, 32768, 262144},
                         drawn[] = {4096, 4096, 7936, 8192, 98304, 983040, 4980736};
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        assert_int_equal(sm_sharp_points_a_task(asked[i]), task[i]);
        assert_int_equal(sm_sharp_points(asked[i]), drawn[i]);
    }
}

/* Twice as many points, or more, are taken only where half as many err by too much; never more than the trials. */
static void check_enough(int64_t trials, double part, int64_t least, int64_t most)
{
    sm_plan p;
    sm_sharp s;
    const sm_run_context context = {.trials = trials};
    assert_int_equal(sm_plan_create(&demo.c, 3, &p), SM_OK);
    assert_int_equal(sm_sharp_run_enough(&p, (sm_sharp_goal){0}, context, &s), SM_OK);
    const sm_probability found = sm_task_means_probability(sm_sharp_event(&s, 0, SM_SHARED));
    const double counted = sqrt(found.probability * (1 - found.probability) / (double)trials);
    assert_int_equal(s.n_tasks, sm_sharp_points(trials) / sm_sharp_points_a_task(trials));
    assert_true(s.points_a_task >= least && s.points_a_task <= most);
    assert_true(s.points_a_task == most || found.standard_error <= part * counted);
    sm_sharp_destroy(&s);
    sm_plan_destroy(&p);
}

static void as_many_as_are_enough(void **state)
{
    (void)state;
    demo_fill(&demo);
    check_enough(4096, 0.5, 256, 256);
    check_enough(300000, 0.5, 1024, 8192); /* a sixteenth of 16,384, and surely not all */
    demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP] = (sm_quantity){.value = sm_dist_uniform(4.5, 7)};
    demo.side[DEMO_RIGHT].quantity[SM_OSTIUM_GAP] = (sm_quantity){.value = sm_dist_uniform(5, 7)};
    check_enough(20000, 0.5, 512, 1024); /* what stays drawn gains little: more than the first 256 */
}

static bool interrupted_after(void *self)
{
    return --*(int *)self < 0;
}

/* What was known before a run with more points stands if that is interrupted. */
static void interrupts_leave_what_was_known(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP] = (sm_quantity){.value = sm_dist_uniform(4.5, 7)};
    demo.side[DEMO_RIGHT].quantity[SM_OSTIUM_GAP] = (sm_quantity){.value = sm_dist_uniform(5, 7)};
    sm_plan p;
    sm_sharp s;
    int left = 60; /* 38 are asked in the first 19 tasks */
    const sm_run_context context = {.trials = 20000, .watch = {.self = &left, .interrupted = interrupted_after}};
    assert_int_equal(sm_plan_create(&demo.c, 3, &p), SM_OK);
    assert_int_equal(sm_sharp_run_enough(&p, (sm_sharp_goal){0}, context, &s), SM_INTERRUPTED);
    assert_int_equal(s.n_tasks, 19);
    assert_int_equal(s.points_a_task, 256);
    assert_near(sm_task_means_probability(sm_sharp_event(&s, 0, SM_SHARED)).probability, 0.55, 0, 0.03);
    sm_sharp_destroy(&s);
    sm_plan_destroy(&p);
}

/* Whole tasks are kept, if 16 are; else the trials are counted. */
static void interrupts(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_plan p;
    sm_sharp s;
    assert_int_equal(sm_plan_create(&demo.c, 3, &p), SM_OK);
    for (int asks = 0; asks < 93; asks += 13) {
        int left = asks;
        const sm_run_context context = {.trials = 20000, .watch = {.self = &left, .interrupted = interrupted_after}};
        assert_int_equal(sm_sharp_run(&p, context, &s), SM_INTERRUPTED);
        const int whole = (asks + 1) / 5; /* four groups a task, and asked after it */
        assert_int_equal(s.n_tasks, whole < SM_LEAST_TASKS ? 0 : whole);
        sm_sharp_destroy(&s);
    }
    sm_plan_destroy(&p);
}

static sm_status until(double line, int64_t cap, sm_assessment *a)
{
    demo.c.action_line = line;
    return sm_assess_until_resolved(&demo.c, cap,
                                    (sm_run_context){.trials = 5000, .seed = 1, .points = SM_POINTS_SHARP}, a);
}

static void going_on_until_resolved(void **state)
{
    (void)state;
    sm_assessment a;
    demo_fill(&demo);
    assert_int_equal(until(0.20, 1000000, &a), SM_OK);
    assert_int_equal(a.decision.call, SM_CALL_ABOVE);
    assert_true(a.decision.by_sequence && a.decision.low > 0.20 && a.sharp_points < 6000 && a.trials == 5000);
    const double p = a.patient.event.probability;
    sm_assessment_destroy(&a);
    assert_int_equal(until(p, 40000, &a), SM_UNRESOLVED);
    assert_true(a.decision.low < p && a.decision.high > p);
    assert_int_equal(a.sharp_points, 40000 / 256 * 256);
    sm_assessment_destroy(&a);
}

/* Beside others a version gets what it gets alone. Its difference is that of the two, and agrees with counting. */
static void versions_are_as_alone(void **state)
{
    (void)state;
    static demo_case other;
    demo_fill(&demo);
    demo_fill(&other);
    other.c.implant.nominal_diameter_mm = 23.5;
    const sm_case *version[] = {NULL, &other.c};
    sm_run_context context = {.trials = 9000, .seed = 4, .points = SM_POINTS_SHARP};
    sm_assessment a, alone;
    sm_version_results sharp, counted;
    assert_int_equal(sm_assess_versions(&demo.c, version, 2, context, &a, &sharp), SM_OK);
    assert_int_equal(sm_assess(&other.c, context, &alone), SM_OK);
    assert_near(a.patient.event.probability, told_by(context), 0, 0);
    assert_near(sharp.own.probability, a.patient.event.probability, 0, 0);
    assert_near(sharp.at[1].patient.event.probability, alone.patient.event.probability, 0, 0);
    assert_near(sharp.at[1].side[DEMO_RIGHT].sealed.high, alone.side[DEMO_RIGHT].crossing.sealed.high, 0, 0);
    assert_near(sharp.at[1].difference.value, alone.patient.event.probability - a.patient.event.probability, 0,
                0x1p-41);
    context.points = SM_POINTS_PLAIN;
    context.trials = 200000;
    assert_int_equal(sm_assess_versions(&demo.c, version, 2, context, NULL, &counted), SM_OK);
    assert_near(sharp.at[1].difference.value, counted.at[1].difference.value, 0,
                4.5 * hypot(sharp.at[1].difference.standard_error, counted.at[1].difference.standard_error));
    assert_true(sharp.at[1].difference.standard_error < 0.002);
    sm_assessment_destroy(&a);
    sm_assessment_destroy(&alone);
    sm_version_results_destroy(&sharp);
    sm_version_results_destroy(&counted);
}

/* What was not reached is counted in a few trials. */
/* Beside a version on axes that the case alone turned, and with the patient event alone: to the bit what a whole run of
 * as many points gives both. */
static void axes_turned_once_are_those_of_a_run(void **state)
{
    (void)state;
    static demo_case other;
    const sm_run_context context = {.trials = 4096, .seed = 4};
    sm_plan alone, both;
    sm_sharp whole, beside;
    sm_sharp_axes axes;
    demo_fill(&demo);
    demo_fill(&other);
    other.c.implant.nominal_diameter_mm = 23.5;
    assert_int_equal(sm_plan_create_brief(&demo.c, 4, &alone), SM_OK);
    assert_int_equal(sm_sharp_axes_create(&alone, &axes), SM_OK);
    assert_int_equal(sm_plan_create_beside(&alone, &both), SM_OK);
    assert_int_equal(sm_plan_add(&both, &(sm_root_request){.c = &other.c}, NULL), SM_OK);
    assert_int_equal(sm_sharp_run(&both, context, &whole), SM_OK);
    assert_int_equal(sm_sharp_run_beside(&both, (sm_sharp_size){16, 256, false}, &axes, context, &beside), SM_OK);
    for (int root = 0; root < 2; root++)
        assert_near(sm_task_means_probability(sm_sharp_event(&beside, root, SM_SHARED)).probability,
                    sm_task_means_probability(sm_sharp_event(&whole, root, SM_SHARED)).probability, 0, 0);
    sm_sharp_destroy(&beside);
    sm_sharp_destroy(&whole);
    sm_plan_destroy(&both);
    sm_sharp_axes_destroy(&axes);
    sm_plan_destroy(&alone);
}

static void interrupted_versions_are_counted(void **state)
{
    (void)state;
    const sm_case *version[] = {&demo.c, &demo.c, &demo.c};
    demo_fill(&demo);
    for (int asks = 0; asks < 260; asks += 33) {
        int left = asks;
        sm_version_results v;
        const sm_run_context context = {.trials = 9000,
                                        .seed = 4,
                                        .points = SM_POINTS_SHARP,
                                        .watch = {.self = &left, .interrupted = interrupted_after}};
        assert_int_equal(sm_assess_versions(&demo.c, version, 3, context, NULL, &v), SM_INTERRUPTED);
        for (int i = 0; i < 3; i++)
            assert_near(v.at[i].patient.event.probability, 0.28, 0.5, 0);
        assert_true((v.at[0].patient.event.standard_error < 0.01) == (asks > 120));
        assert_near(v.own.probability, 0.28, 0.5, 0);
        sm_version_results_destroy(&v);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tasks_make_an_interval),
        cmocka_unit_test(the_e_value_is_the_mixture),
        cmocka_unit_test(differences_are_of_the_same_tasks),
        cmocka_unit_test(weights),
        cmocka_unit_test(few_points_are_not_certain),
        cmocka_unit_test(axes_turn_and_stay_square),
        cmocka_unit_test(a_normal_gap_needs_no_draw),
        cmocka_unit_test(a_t_gap_is_a_t),
        cmocka_unit_test(another_family_is_drawn),
        cmocka_unit_test(the_demo_agrees),
        cmocka_unit_test(every_kind_of_error_agrees),
        cmocka_unit_test(a_sinus_without_a_coronary_agrees),
        cmocka_unit_test(limits_and_margin_agree),
        cmocka_unit_test(second_looks_agree),
        cmocka_unit_test(the_same_on_any_threads),
        cmocka_unit_test(sizes),
        cmocka_unit_test(as_many_as_are_enough),
        cmocka_unit_test(interrupts),
        cmocka_unit_test(interrupts_leave_what_was_known),
        cmocka_unit_test(versions_are_as_alone),
        cmocka_unit_test(axes_turned_once_are_those_of_a_run),
        cmocka_unit_test(interrupted_versions_are_counted),
        cmocka_unit_test(going_on_until_resolved),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
