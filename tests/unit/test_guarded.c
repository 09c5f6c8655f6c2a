/* test_guarded.c - how much a gap must read, in closed form, and each reason why no reading is enough.
 *
 * Contents: 1. a case whose clearances are its gaps  2. a limit  3. reasons
 *           4. points beside counted trials
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>

#include "decision/guarded.h"
#include "looked_case.h"

/* 1. A case whose clearances are its gaps */

#define LINE 0.2
#define SD   0.35

static demo_case demo;
static sm_guard guard[DEMO_SIDES][SM_GAPS];
static sm_points_kind points; /* with which the limits and the reasons are found */

static void read_gap(int k, sm_quantity_id gap, double mm)
{
    demo_read(&demo, k, gap, mm, SD, 0);
}

/* The circle is the waist, the tube round, upright and plain, and reaches ostium and junction on both sides: a limit L
 * is crossed where the reading and its error, N(0, SD), are below L. Each gap reads so much that nothing happens. */
static void plain_case(void)
{
    sm_surgical_valve *v = &demo.c.valve;
    demo_still_case(&demo);
    demo.c.implant.flare = sm_dist_constant(0);
    v->leaflet_mount = SM_MOUNT_INTERNAL;
    v->inner_diameter.value = sm_dist_constant(22.4);
    v->ring_give_mm = v->mount_offset_mm = sm_dist_constant(0);
    v->leaflet_thickness.value = sm_dist_constant(0.5);
    for (int k = 0; k < DEMO_SIDES; k++) {
        demo.mm[k][SM_STJ_HEIGHT][0][0] = 14;
        read_gap(k, SM_OSTIUM_GAP, 9);
        read_gap(k, SM_STJ_GAP, 9);
    }
}

/* The reading at which one limit is crossed with this probability. */
static double reading_for(double limit, double probability)
{
    return limit + SD * gsl_cdf_ugaussian_Qinv(probability);
}

static void run_guards(void)
{
    const sm_run_context context = {.trials = 1000, .seed = 3, .points = points};
    assert_int_equal(sm_guarded_run(&demo.c, LINE, context, guard), SM_OK);
}

static void expect_reason(int k, sm_gap_id gap, sm_guard_kind kind, const char *words)
{
    char said[128];
    sm_guard_words(&guard[k][gap], gap, "right", said, sizeof said);
    assert_int_equal(guard[k][gap].kind, kind);
    assert_string_equal(said, words);
}

/* 2. A limit */

/* The share of events at a reading. */
static double events_at(double reading, double limit)
{
    return gsl_cdf_ugaussian_P((limit - reading) / SD);
}

/* The limit is where P is the line: 4 + 0.35 z(0.8) and 2 + 0.35 z(0.8). Its error is that of P there, from 131,072
 * trials, over the slope between the two of 7 points, a third of a millimetre apart, that it lies between. */
static void expect_limit(sm_gap_id gap, double limit, double reading)
{
    const sm_guard *g = &guard[DEMO_LEFT][gap];
    const double want = reading_for(limit, LINE), third = 1.0 / 3, first = reading - 11;
    const double a = first + floor((want - first) / third) * third, b = a + third;
    const double slope = (events_at(a, limit) - events_at(b, limit)) / third;
    assert_int_equal(g->kind, SM_GUARD_FOUND);
    assert_near(g->reading, reading, 1e-14, 0);
    if (points == SM_POINTS_SHARP) { /* the gap's own error is all there is, and it is integrated */
        assert_near(g->at.value, want, 0, 1e-6);
        return;
    }
    assert_near(g->at.standard_error, sqrt(LINE * (1 - LINE) / 131072) / slope, 0.03, 0);
    assert_near(g->at.value, want, 0, 5 * g->at.standard_error);
}

static void a_limit_is_where_the_line_is_met(void **state)
{
    (void)state;
    plain_case();
    read_gap(DEMO_LEFT, SM_OSTIUM_GAP, 5.7);
    run_guards();
    expect_limit(SM_GAP_OSTIUM, 4, 5.7);
    plain_case();
    read_gap(DEMO_LEFT, SM_STJ_GAP, 3.1);
    run_guards();
    expect_limit(SM_GAP_STJ, 2, 3.1);
}

/* An event elsewhere with probability r leaves room for (q - r)/(1 - r): the limit is of the patient's event: within
 * five of its stated errors, though the normal score of P itself bends there. */
static void another_risk_asks_for_more_room(void **state)
{
    (void)state;
    plain_case();
    read_gap(DEMO_LEFT, SM_OSTIUM_GAP, 5.7);
    read_gap(DEMO_RIGHT, SM_STJ_GAP, reading_for(2, 0.12));
    run_guards();
    const sm_guard *g = &guard[DEMO_LEFT][SM_GAP_OSTIUM];
    assert_int_equal(g->kind, SM_GUARD_FOUND);
    const double off = points == SM_POINTS_SHARP ? 1e-6 : 5 * g->at.standard_error;
    assert_near(g->at.value, reading_for(4, (LINE - 0.12) / (1 - 0.12)), 0, off);
}

/* 3. Reasons */

static void the_other_rule_of_a_side_is_a_reason(void **state)
{
    (void)state;
    plain_case();
    read_gap(DEMO_LEFT, SM_STJ_GAP, reading_for(2, 0.6));
    run_guards();
    expect_reason(DEMO_LEFT, SM_GAP_OSTIUM, SM_GUARD_OTHER_RULE,
                  "the sealed sinus on this side alone keeps the case at or above your line");
    assert_int_equal(guard[DEMO_LEFT][SM_GAP_STJ].kind, SM_GUARD_FOUND);
    plain_case();
    read_gap(DEMO_LEFT, SM_OSTIUM_GAP, reading_for(4, 0.6));
    run_guards();
    expect_reason(DEMO_LEFT, SM_GAP_STJ, SM_GUARD_OTHER_RULE,
                  "the crowded ostium on this side alone keeps the case at or above your line");
    assert_int_equal(guard[DEMO_LEFT][SM_GAP_OSTIUM].kind, SM_GUARD_FOUND);
}

static void another_side_is_a_reason(void **state)
{
    (void)state;
    plain_case();
    read_gap(DEMO_RIGHT, SM_OSTIUM_GAP, reading_for(4, 0.6));
    run_guards();
    for (int gap = 0; gap < SM_GAPS; gap++) {
        expect_reason(DEMO_LEFT, (sm_gap_id)gap, SM_GUARD_OTHER_SIDE,
                      "the right side alone keeps the case at or above your line");
        assert_int_equal(guard[DEMO_LEFT][gap].other_side, DEMO_RIGHT);
    }
    assert_int_equal(guard[DEMO_RIGHT][SM_GAP_OSTIUM].kind, SM_GUARD_FOUND);
}

/* 15 and 12 of 100: together 25.2 of 100, each alone below the line. */
static void others_together_are_a_reason(void **state)
{
    (void)state;
    plain_case();
    read_gap(DEMO_LEFT, SM_STJ_GAP, reading_for(2, 0.15));
    read_gap(DEMO_RIGHT, SM_OSTIUM_GAP, reading_for(4, 0.12));
    run_guards();
    expect_reason(DEMO_LEFT, SM_GAP_OSTIUM, SM_GUARD_TOGETHER,
                  "the sealed sinus and the other sides together keep the case at or above your line");
}

/* A tube that ends below the ostium and the junction crowds nothing; a gap that is not read has no limit. */
static void no_reading_matters_or_there_is_none(void **state)
{
    (void)state;
    plain_case();
    for (int k = 0; k < DEMO_SIDES; k++)
        demo.mm[k][SM_LEAFLET_HEIGHT][0][0] = 7;
    demo.side[DEMO_RIGHT].quantity[SM_STJ_GAP] = (sm_quantity){.value = sm_dist_normal(3, 1)};
    run_guards();
    expect_reason(DEMO_LEFT, SM_GAP_OSTIUM, SM_GUARD_ALWAYS_BELOW,
                  "the case stays below your line whatever this gap reads: the height of the tube decides");
    expect_reason(DEMO_RIGHT, SM_GAP_STJ, SM_GUARD_NOT_READ, "this gap is given as a distribution, not as a reading");
}

/* 4. Points beside counted trials */

static void find_guards(const sm_case *c, double line, sm_run_context context, sm_guard (*out)[SM_GAPS])
{
    assert_int_equal(sm_guarded_run(c, line, context, out), SM_OK);
}

static void expect_same(sm_guard (*a)[SM_GAPS], sm_guard (*b)[SM_GAPS])
{
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int gap = 0; gap < SM_GAPS; gap++) {
            assert_int_equal(a[k][gap].kind, b[k][gap].kind);
            assert_int_equal(a[k][gap].other_side, b[k][gap].other_side);
            assert_true(a[k][gap].at.value == b[k][gap].at.value);
            assert_true(a[k][gap].at.standard_error == b[k][gap].at.standard_error);
        }
}

/* The mean of limits that are counted on other draws each. */
static sm_estimate counted_limit(int runs)
{
    double sum = 0, squares = 0;
    for (int i = 0; i < runs; i++) {
        find_guards(&demo.c, LINE, (sm_run_context){.seed = 50 + (uint64_t)i}, guard);
        const sm_estimate *at = &guard[DEMO_LEFT][SM_GAP_OSTIUM].at;
        sum += at->value;
        squares += at->standard_error * at->standard_error;
    }
    return (sm_estimate){sum / runs, sqrt(squares) / runs};
}

/* The example case, all of whose errors are drawn. */
static void points_find_what_many_trials_do(void **state)
{
    (void)state;
    sm_guard found[DEMO_SIDES][SM_GAPS];
    demo_fill(&demo);
    const sm_estimate counted = counted_limit(4);
    find_guards(&demo.c, LINE, (sm_run_context){.seed = 3, .points = SM_POINTS_SHARP}, found);
    const sm_guard *g = &found[DEMO_LEFT][SM_GAP_OSTIUM];
    assert_int_equal(g->kind, SM_GUARD_FOUND);
    assert_true(g->at.standard_error > 0 && g->at.standard_error < counted.standard_error);
    assert_near(g->at.value, counted.value, 0, 3.5 * hypot(counted.standard_error, g->at.standard_error));
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int gap = 0; gap < SM_GAPS; gap++)
            assert_int_equal(found[k][gap].kind, guard[k][gap].kind);
}

/* Over the seeds the limits scatter by what is told: the ratio of the squares of 12 has 11 degrees of freedom, and what
 * is told of each rests on 16 tasks; beyond the ends lies less than 1 of 1,000. */
static void the_error_of_a_limit_is_what_is_told(void **state)
{
    (void)state;
    enum { SEEDS = 12 };
    double at[SEEDS], mean = 0, squares = 0, told = 0;
    demo_fill(&demo);
    for (int i = 0; i < SEEDS; i++) {
        find_guards(&demo.c, LINE, (sm_run_context){.seed = 70 + (uint64_t)i, .points = SM_POINTS_SHARP}, guard);
        const sm_estimate *found = &guard[DEMO_LEFT][SM_GAP_OSTIUM].at;
        at[i] = found->value;
        mean += found->value / SEEDS;
        told += found->standard_error * found->standard_error / SEEDS;
    }
    for (int i = 0; i < SEEDS; i++)
        squares += (at[i] - mean) * (at[i] - mean) / (SEEDS - 1);
    assert_true(squares / told > 0.15 && squares / told < 3.5);
}

/* Tasks in no order that counts. */
static void run_backwards(void *self, int n, void (*run)(void *arg, int index), void *arg)
{
    (void)self;
    for (int i = n - 1; i >= 0; i--)
        run(arg, i);
}

static void any_number_of_threads_finds_the_same(void **state)
{
    (void)state;
    sm_guard three[DEMO_SIDES][SM_GAPS];
    sm_run_context context = {.seed = 3, .points = SM_POINTS_SHARP};
    demo_fill(&demo);
    find_guards(&demo.c, LINE, context, guard);
    context.executor = (sm_executor){.width = 3, .run = run_backwards};
    find_guards(&demo.c, LINE, context, three);
    expect_same(guard, three);
}

/* Weights undo what points gain: such a case is counted. */
static void a_case_with_a_second_look_is_counted(void **state)
{
    (void)state;
    static looked_case looked;
    sm_guard asked[DEMO_SIDES][SM_GAPS];
    demo_fill(&looked.d);
    looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 7.2, 1, 8, 0.04);
    find_guards(&looked.d.c, LINE, (sm_run_context){.seed = 3}, guard);
    find_guards(&looked.d.c, LINE, (sm_run_context){.seed = 3, .points = SM_POINTS_SHARP}, asked);
    expect_same(guard, asked);
}

static int with_points(void **state)
{
    (void)state;
    points = SM_POINTS_SHARP;
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_limit_is_where_the_line_is_met),     cmocka_unit_test(another_risk_asks_for_more_room),
        cmocka_unit_test(the_other_rule_of_a_side_is_a_reason), cmocka_unit_test(another_side_is_a_reason),
        cmocka_unit_test(others_together_are_a_reason),         cmocka_unit_test(no_reading_matters_or_there_is_none),
    };
    const struct CMUnitTest beside[] = {
        cmocka_unit_test(points_find_what_many_trials_do),
        cmocka_unit_test(the_error_of_a_limit_is_what_is_told),
        cmocka_unit_test(any_number_of_threads_finds_the_same),
        cmocka_unit_test(a_case_with_a_second_look_is_counted),
    };
    gsl_set_error_handler_off();
    const int counted = cmocka_run_group_tests_name("counted", tests, NULL, NULL);
    const int sharp = cmocka_run_group_tests_name("points", tests, with_points, NULL);
    return counted + sharp + cmocka_run_group_tests(beside, NULL, NULL);
}
