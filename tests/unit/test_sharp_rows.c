/* test_sharp_rows.c - alternatives from sharp points: a laceration and a rescue as factors, against what they must be
 * at their ends and against counting; the case as planned as if it were alone; weigh.
 *
 * Contents: 1. alternatives  2. factors  3. beside others and alone  4. counting  5. weigh
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_errno.h>

#include "check.h"
#include "looked_case.h"

#include "decision/recheck.h"
#include "decision/weigh.h"

static looked_case looked;
static demo_case *const demo = &looked.d;

/* 1. Alternatives */

enum { MOST_ROWS = 6 };

/* What is done on both sides. */
typedef struct {
    double lacerate[DEMO_SIDES], rescue[DEMO_SIDES];
} done;

#define NO SM_NOT_DONE

static sm_root_request asked(const done *d)
{
    return (sm_root_request){.lacerate = d->lacerate, .rescue = d->rescue};
}

/* The sharp points of the case and of these alternatives. */
static sm_sharp run_rows(const done *row, int n, int64_t trials)
{
    sm_plan p;
    sm_sharp s;
    assert_int_equal(sm_plan_create(&demo->c, 8, &p), SM_OK);
    for (int i = 0; i < n; i++) {
        const sm_root_request request = asked(&row[i]);
        assert_int_equal(sm_plan_add(&p, &request, NULL), SM_OK);
    }
    assert_int_equal(sm_sharp_run(&p, (sm_run_context){.trials = trials}, &s), SM_OK);
    sm_plan_destroy(&p);
    return s;
}

static double event(const sm_sharp *s, int root, int side)
{
    return sm_task_means_probability(sm_sharp_event(s, root, side)).probability;
}

static double unrescued(const sm_sharp *s, int root)
{
    return sm_task_means_probability(sm_sharp_unrescued(s, root)).probability;
}

/* 2. Factors */

/* Of one side, given all else, the event is a straight line in the success: (8.7). Never done is never done; posts
 * stand in the way of some. */
static void a_laceration_is_a_share(void **state)
{
    (void)state;
    static const done row[] = {{{0, NO}, {NO, NO}}, {{1, NO}, {NO, NO}}, {{0.37, NO}, {NO, NO}}};
    demo_fill(demo);
    sm_sharp s = run_rows(row, 3, 6000);
    for (int side = SM_SHARED; side < DEMO_SIDES; side++) {
        const double never = event(&s, 1, side), always = event(&s, 2, side);
        assert_near(never, event(&s, 0, side), 0, 1e-15);
        assert_near(event(&s, 3, side), 0.63 * never + 0.37 * always, 1e-12, 0);
    }
    assert_near(event(&s, 2, DEMO_RIGHT), event(&s, 0, DEMO_RIGHT), 0, 0);
    assert_true(event(&s, 2, DEMO_LEFT) < 0.7 * event(&s, 0, DEMO_LEFT));
    assert_true(event(&s, 2, DEMO_LEFT) > 0.05 * event(&s, 0, DEMO_LEFT));
    sm_sharp_destroy(&s);
}

/* (8.8): a rescue that never fails leaves the other side's events; one of a half, half of those of its side. */
static void a_rescue_is_a_factor(void **state)
{
    (void)state;
    static const done row[] = {
        {{NO, NO}, {0, NO}}, {{NO, NO}, {1, NO}}, {{NO, NO}, {1, 1}}, {{NO, NO}, {0.5, NO}}, {{NO, NO}, {0.4, 0.7}}};
    demo_fill(demo);
    sm_sharp s = run_rows(row, 5, 6000);
    const double all = event(&s, 0, SM_SHARED), left = event(&s, 0, DEMO_LEFT), right = event(&s, 0, DEMO_RIGHT);
    for (int root = 0; root < 6; root++)
        assert_near(event(&s, root, SM_SHARED), all, 0, 0);
    assert_near(unrescued(&s, 0), all, 0, 0);
    assert_near(unrescued(&s, 1), all, 1e-14, 0);
    assert_near(unrescued(&s, 2), right, 1e-14, 0);
    assert_near(unrescued(&s, 3), 0, 0, 1e-15);
    assert_near(unrescued(&s, 4), 0.5 * all + 0.5 * right, 1e-12, 0);
    /* all = left + right - both: what is left of each, and of both together. */
    assert_near(unrescued(&s, 5), 0.6 * left + 0.3 * right - 0.18 * (left + right - all), 1e-12, 0);
    sm_sharp_destroy(&s);
}

/* 3. Beside others and alone */

/* To the bit, whatever alternatives draw besides. */
static void as_planned_is_as_alone(void **state)
{
    (void)state;
    sm_plan p;
    sm_sharp alone, beside;
    const done both = {{0.8, 0.6}, {NO, 0.3}};
    demo_fill(demo);
    sm_surgical_valve other = demo->c.valve;
    other.inner_diameter = (sm_quantity){.value = sm_dist_normal(21.4, 0.4)};
    other.post_azimuth_unknown = false; /* here an azimuth with an error: a draw of its own */
    other.post_azimuth_deg = sm_dist_normal(20, 6);
    const sm_run_context context = {.trials = 6000};
    assert_int_equal(sm_plan_create(&demo->c, 8, &p), SM_OK);
    assert_int_equal(sm_sharp_run(&p, context, &alone), SM_OK);
    const int columns = p.sources.n_columns;
    const sm_root_request request = asked(&both);
    assert_int_equal(sm_plan_add(&p, &request, NULL), SM_OK);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.valve = &other}, NULL), SM_OK);
    assert_int_equal(p.sources.n_columns, columns + 4); /* three successes */
    assert_int_equal(sm_sharp_run(&p, context, &beside), SM_OK);
    for (int side = SM_SHARED; side < DEMO_SIDES; side++) {
        assert_near(event(&beside, 0, side), event(&alone, 0, side), 0, 0);
        for (int g = 0; g < SM_GAPS; g++)
            assert_near(sm_task_means_probability(sm_sharp_crossed(&beside, 0, side, (sm_gap_id)g)).probability,
                        sm_task_means_probability(sm_sharp_crossed(&alone, 0, side, (sm_gap_id)g)).probability, 0, 0);
    }
    for (int l = 0; l < SM_PUBLISHED_LIMITS; l++)
        assert_near(sm_task_means_probability(sm_sharp_by_limits(&beside, l)).standard_error,
                    sm_task_means_probability(sm_sharp_by_limits(&alone, l)).standard_error, 0, 0);
    sm_sharp_destroy(&alone);
    sm_sharp_destroy(&beside);
    sm_plan_destroy(&p);
}

/* 4. Counting */

static sm_alternative alternative[MOST_ROWS];

static sm_alternative *add_alternative(char *name, done d, double burden)
{
    sm_alternative *a = &alternative[demo->c.n_alternatives++];
    demo->c.alternative = alternative;
    *a = (sm_alternative){.name = name, .implant = demo->c.implant, .valve = demo->c.valve, .burden = burden};
    a->burden_stated = true;
    for (int k = 0; k < SM_MAX_CORONARIES; k++)
        a->lacerate[k] = a->rescue[k] = SM_NOT_DONE;
    for (int k = 0; k < DEMO_SIDES; k++) {
        a->lacerate[k] = d.lacerate[k];
        a->rescue[k] = d.rescue[k];
    }
    return a;
}

static void add_all(void)
{
    demo->c.n_alternatives = 0;
    add_alternative("left", (done){{0.9, NO}, {NO, NO}}, 0.05);
    add_alternative("both, and rescue", (done){{0.7, 0.4}, {0.5, 0.8}}, 0.1);
    add_alternative("rescue", (done){{NO, NO}, {0.85, NO}}, 0.02);
    sm_alternative *smaller = add_alternative("smaller, right", (done){{NO, 0.6}, {NO, NO}}, 0.03);
    smaller->patches_implant = true;
    smaller->implant.nominal_diameter_mm -= 1.5;
    sm_alternative *cracked = add_alternative("cracked", (done){{NO, NO}, {NO, 0.2}}, 0.2);
    cracked->patches_valve = true;
    cracked->valve.inner_diameter = (sm_quantity){.value = sm_dist_normal(23.1, 0.5)};
}

static void agree(double sharp, double sharp_error, double counted, double error, const char *name, const char *of)
{
    if (!(fabs(sharp - counted) <= 4.5 * hypot(sharp_error, error) + 1e-6))
        fail_msg("%s, %s: %g (%g) from sharp points, %g (%g) counted", of, name, sharp, sharp_error, counted, error);
}

static void probabilities_agree(const sm_probability *s, const sm_probability *c, const char *name, const char *of)
{
    agree(s->probability, s->standard_error, c->probability, c->standard_error, name, of);
}

static void rows_agree(const sm_weigh_row *s, const sm_weigh_row *c, const char *of)
{
    probabilities_agree(&s->event, &c->event, s->name, of);
    probabilities_agree(&s->unrescued, &c->unrescued, s->name, of);
    for (int k = 0; k < DEMO_SIDES; k++)
        probabilities_agree(&s->side[k], &c->side[k], s->name, of);
    agree(s->event_difference.value, s->event_difference.standard_error, c->event_difference.value,
          c->event_difference.standard_error, s->name, of);
    agree(s->difference.value, s->difference.standard_error, c->difference.value, c->difference.standard_error, s->name,
          of);
}

static void check_counting(const char *of)
{
    sm_weigh sharp, counted;
    sm_run_context context = {.trials = 200000, .seed = 12};
    assert_int_equal(sm_weigh_run(&demo->c, 0, context, &counted), SM_OK);
    context.points = SM_POINTS_SHARP;
    context.trials = 20000;
    assert_int_equal(sm_weigh_run(&demo->c, 0, context, &sharp), SM_OK);
    assert_int_equal(sharp.trials, sharp.assessment.sharp_points);
    assert_true(sharp.trials >= INT64_C(19) * 256 && sharp.trials <= INT64_C(19) * 1024);
    for (int i = 0; i < sharp.n_rows; i++)
        rows_agree(&sharp.row[i], &counted.row[i], of);
    for (int step = 0; step < SM_SUCCESS_STEPS; step++)
        for (int i = 0; i < sharp.n_rows; i++)
            agree(sharp.step[step].cost[i], sharp.row[i].unrescued.standard_error + 1e-3, counted.step[step].cost[i],
                  counted.row[i].unrescued.standard_error, sharp.row[i].name, "less success");
    sm_weigh_destroy(&sharp);
    sm_weigh_destroy(&counted);
}

static void the_demo_agrees(void **state)
{
    (void)state;
    demo_fill(demo);
    add_all();
    check_counting("the demo");
    demo->c.valve.leaflet_mount = SM_STENTLESS;
    add_all();
    check_counting("no posts");
}

static void what_stays_drawn_agrees(void **state)
{
    (void)state;
    demo_fill(demo);
    demo->side[DEMO_LEFT].quantity[SM_OSTIUM_GAP] = (sm_quantity){.value = sm_dist_uniform(4, 7)};
    demo->side[DEMO_RIGHT].quantity[SM_STJ_HEIGHT] = (sm_quantity){.value = sm_dist_uniform(15, 19)};
    add_all();
    check_counting("other families");
}

static void second_looks_agree(void **state)
{
    (void)state;
    looked.n = 0;
    demo_fill(demo);
    looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 5.1, 0.6, 8, 0.03);
    looked_add(&looked, DEMO_RIGHT, SM_LOOKED_LEAFLET_HEIGHT, 14, 0.7, 8, 0.03);
    looked_add(&looked, DEMO_LEFT, SM_LOOKED_INNER_DIAMETER, 22, 0.2, 8, 0.03);
    add_all();
    check_counting("second looks");
}

/* 5. Weigh */

/* One number for one thing: as planned is what assess says, and the paired differences are those of the rows. */
static void weigh_says_what_assess_says(void **state)
{
    (void)state;
    sm_weigh w;
    sm_assessment alone;
    demo_fill(demo);
    add_all();
    const sm_run_context context = {.trials = 9000, .seed = 6, .points = SM_POINTS_SHARP};
    assert_int_equal(sm_weigh_run(&demo->c, 0, context, &w), SM_OK);
    assert_int_equal(sm_assess(&demo->c, context, &alone), SM_OK);
    assert_true(alone.bloom_corrected);
    assert_near(w.assessment.event_without_bloom_correction.probability,
                alone.event_without_bloom_correction.probability, 0, 0);
    assert_near(w.assessment.patient.event.high, alone.patient.event.high, 0, 0);
    assert_near(w.row[0].event.probability, alone.patient.event.probability, 0, 0);
    for (int k = 0; k < DEMO_SIDES; k++)
        assert_near(w.row[0].side[k].probability, alone.side[k].crossing.event.probability, 0, 0);
    for (int i = 1; i < w.n_rows; i++)
        assert_near(w.row[i].difference.value, w.row[i].unrescued.probability - w.row[0].unrescued.probability, 0,
                    0x1p-41);
    /* "left" differs from the plan on one side alone: pairing takes most of the error away. */
    assert_true(w.row[3].difference.standard_error <
                0.7 * hypot(w.row[3].unrescued.standard_error, w.row[0].unrescued.standard_error));
    sm_weigh_destroy(&w);
    sm_assessment_destroy(&alone);
}

/* Its rows are counted where the points were not reached. */
static bool at_once(void *self)
{
    (void)self;
    return true;
}

static void interrupted_rows_are_counted(void **state)
{
    (void)state;
    sm_weigh w;
    demo_fill(demo);
    add_all();
    const sm_run_context context = {
        .trials = 9000, .seed = 6, .points = SM_POINTS_SHARP, .watch = {.interrupted = at_once}};
    assert_int_equal(sm_weigh_run(&demo->c, 0, context, &w), SM_INTERRUPTED);
    assert_int_equal(w.assessment.sharp_points, 0);
    assert_true(w.trials > 0 && w.trials == w.assessment.trials && !w.complete);
    assert_near(w.row[0].event.probability, w.assessment.patient.event.probability, 0, 0);
    sm_weigh_destroy(&w);
}

/* What follows from the probability alone takes the one that is told; all else is counted. */
static void recheck_tells_one_probability(void **state)
{
    (void)state;
    sm_recheck r;
    sm_assessment alone;
    demo_fill(demo);
    demo->c.n_alternatives = 0;
    demo->c.action_line = 0.2;
    const sm_run_context context = {.trials = 9000, .seed = 6, .points = SM_POINTS_SHARP};
    const sm_recheck_options few = {.redraws = 4096, .nested = 1024};
    assert_int_equal(sm_recheck_run(&demo->c, &few, context, &r), SM_OK);
    assert_int_equal(sm_assess(&demo->c, context, &alone), SM_OK);
    const double P = alone.patient.event.probability;
    assert_true(P > 0.2);
    assert_near(r.assessment.patient.event.probability, P, 0, 0);
    assert_near(r.worths.bound.value, 0.2 - 0.2 * P, 1e-15, 0);
    assert_near(r.worths.bound.standard_error, 0.2 * alone.patient.event.standard_error, 1e-12, 0);
    assert_true(r.worths.event.probability != P); /* counted */
    sm_recheck_destroy(&r);
    sm_assessment_destroy(&alone);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_laceration_is_a_share),      cmocka_unit_test(a_rescue_is_a_factor),
        cmocka_unit_test(as_planned_is_as_alone),       cmocka_unit_test(the_demo_agrees),
        cmocka_unit_test(what_stays_drawn_agrees),      cmocka_unit_test(second_looks_agree),
        cmocka_unit_test(weigh_says_what_assess_says),  cmocka_unit_test(interrupted_rows_are_counted),
        cmocka_unit_test(recheck_tells_one_probability)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
