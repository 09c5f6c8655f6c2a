/* test_guarded.c - how much a gap must read, in closed form, and each reason why no reading is enough.
 *
 * Contents: 1. a case whose clearances are its gaps  2. a limit  3. reasons
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>

#include "decision/guarded.h"

/* 1. A case whose clearances are its gaps */

#define LINE 0.2
#define SD   0.35

static demo_case demo;
static sm_guard guard[DEMO_SIDES][SM_GAPS];

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
    assert_int_equal(sm_guarded_run(&demo.c, LINE, (sm_run_context){.trials = 1000, .seed = 3}, guard), SM_OK);
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
    assert_near(g->at.value, reading_for(4, (LINE - 0.12) / (1 - 0.12)), 0, 5 * g->at.standard_error);
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_limit_is_where_the_line_is_met),     cmocka_unit_test(another_risk_asks_for_more_room),
        cmocka_unit_test(the_other_rule_of_a_side_is_a_reason), cmocka_unit_test(another_side_is_a_reason),
        cmocka_unit_test(others_together_are_a_reason),         cmocka_unit_test(no_reading_matters_or_there_is_none),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
