/* test_invariants.c - what must hold of any case, asked of the whole engine on the example case.
 *
 * Where two runs are compared they use different seeds, or share every draw and must then agree bit for bit.
 * Differences of runs are held to 5 combined standard errors.
 *
 * Contents: 1. helpers  2. turning and mirroring  3. no error at all  4. adjusted and conventional  5. the base plane
 *           6. order of the probabilities  7. draws that stay  8. alternatives  9. blooming
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

#include "engine/assess.h"
#include "selfcheck/formula.h"
#include "geometry/frame.h"

/* 1. Helpers */

enum { TRIALS = 200000 };
static demo_case demo, other;

static sm_assessment assess(const sm_case *c, uint64_t seed, int64_t trials)
{
    sm_assessment a;
    assert_int_equal(sm_assess(c, (sm_run_context){.trials = trials, .seed = seed}, &a), SM_OK);
    assert_int_equal(a.not_numbers, 0);
    return a;
}

static sm_gathered run(const sm_plan *p, int64_t trials)
{
    sm_gathered g;
    assert_int_equal(sm_gathered_create(p, p->n_roots, 1, &g), SM_OK);
    assert_int_equal(sm_run(p, (sm_run_context){.trials = trials}, &g), SM_OK);
    return g;
}

static sm_plan plan_of(const sm_case *c)
{
    sm_plan p;
    assert_int_equal(sm_plan_create(c, 1, &p), SM_OK);
    return p;
}

static void expect_same_probability(const sm_probability *a, const sm_probability *b)
{
    /* From the pooled proportion, so that none of many is not taken as certain. */
    const double n = (double)(a->n + b->n), p = (double)(a->k + b->k + 1) / (n + 2);
    const double error = sqrt(p * (1 - p) * (1 / (double)a->n + 1 / (double)b->n));
    assert_true(error < 0.002); /* a small sample cannot pass */
    assert_near(a->probability, b->probability, 0, 5 * error);
}

static void expect_same_output(const sm_continuous *a, const sm_continuous *b)
{
    const double error = a->sd * sqrt(2.0 / (double)a->n);
    assert_near(a->mean, b->mean, 0, 5 * error + 1e-12);
    assert_near(a->sd, b->sd, 0, 5 * error + 1e-12); /* a normal's sd errs by 0.7 of that: room for kurtosis up to 5 */
}

static void expect_same_answer(const sm_assessment *a, const sm_assessment *b)
{
    expect_same_probability(&a->patient.event, &b->patient.event);
    expect_same_probability(&a->patient.sealed, &b->patient.sealed);
    for (int k = 0; k < a->n_sides; k++) {
        expect_same_probability(&a->side[k].crossing.crowded, &b->side[k].crossing.crowded);
        expect_same_probability(&a->side[k].crossing.sealed, &b->side[k].crossing.sealed);
        for (int o = 0; o < SM_OUTPUTS; o++)
            expect_same_output(&a->side[k].output[o], &b->side[k].output[o]);
    }
}

/* 2. Turning and mirroring */

static void turn(demo_case *d, double by, double mirror)
{
    for (int i = 0; i < 3; i++)
        d->c.scan.base_plane.azimuths_deg[i] = by + mirror * d->c.scan.base_plane.azimuths_deg[i];
    for (int k = 0; k < DEMO_SIDES; k++)
        d->side[k].azimuth_deg = by + mirror * d->side[k].azimuth_deg;
    d->c.valve.post_azimuth_deg.p[0] = by + mirror * d->c.valve.post_azimuth_deg.p[0];
}

static void expect_no_matter(double by, double mirror, bool known_posts)
{
    demo_fill(&demo);
    demo.c.scan.base_plane.azimuths_deg[1] = 105; /* uneven, so that the wave tilts too */
    if (known_posts) {
        demo.c.valve.post_azimuth_unknown = false;
        demo.c.valve.post_azimuth_deg = sm_dist_normal(30, 6);
    }
    sm_assessment a = assess(&demo.c, 1, TRIALS);
    turn(&demo, by, mirror);
    sm_assessment b = assess(&demo.c, 2, TRIALS);
    expect_same_answer(&a, &b);
    sm_assessment_destroy(&a);
    sm_assessment_destroy(&b);
}

static void turning_every_azimuth_changes_nothing(void **state)
{
    (void)state;
    expect_no_matter(77.7, 1, false);
    expect_no_matter(-163, 1, true);
}

static void mirroring_changes_nothing(void **state)
{
    (void)state;
    expect_no_matter(0, -1, false);
    expect_no_matter(41, -1, true);
}

/* The test can fail: turning the posts alone is found out. */
static void turning_the_posts_alone_matters(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.c.valve.post_azimuth_unknown = false;
    demo.c.valve.post_azimuth_deg = sm_dist_constant(35);
    sm_assessment a = assess(&demo.c, 1, TRIALS);
    demo.c.valve.post_azimuth_deg = sm_dist_constant(95);
    sm_assessment b = assess(&demo.c, 2, TRIALS);
    const sm_continuous *x = &a.side[DEMO_LEFT].output[SM_OSTIUM_CLEARANCE],
                        *y = &b.side[DEMO_LEFT].output[SM_OSTIUM_CLEARANCE];
    assert_true(y->mean - x->mean > 0.1);
    sm_assessment_destroy(&a);
    sm_assessment_destroy(&b);
}

/* 3. No error at all: clearances by hand */

typedef struct {
    double az, height, gap, stj_height, stj_gap, leaflet;
} true_side;

/* (4.1) to (4.9) and section 5 written out for the still tube of demo_case.h. */
static void by_hand(const true_side *t, double want[SM_OUTPUTS])
{
    const double W = 22.45, D = 24.5, top = 15, H = fmax(fmin(t->leaflet, top + 1), 9 - 4);
    const double m = 0.5 + 0.5 * gsl_pow_2(cos(1.5 * (t->az - 20) * (M_PI / 180))), stand_off = 0.8 * m + 0.2;
    const double landmark[2][2] = {{t->height, t->gap}, {t->stj_height, t->stj_gap}};
    for (int i = 0; i < 2; i++) {
        const double h = landmark[i][0], s = fmin(fmax((fmin(h, H) - 2.5) / (top - 2.5), 0), 1);
        want[i == 0 ? SM_OSTIUM_CLEARANCE : SM_STJ_CLEARANCE] =
            22.4 / 2 + landmark[i][1] - (W / 2 + 0.5 * (D - W) / 2 * s + stand_off);
        want[i == 0 ? SM_CONVENTIONAL_OSTIUM : SM_CONVENTIONAL_STJ] = landmark[i][1];
        want[i == 0 ? SM_COVER : SM_REACH] = H - h;
    }
}

static void without_any_error_clearances_are_closed_forms(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo_no_reader_error(&demo);
    demo_no_plane_error(&demo);
    demo_still_tube(&demo);
    demo.c.scan.blooming_mm = sm_dist_constant(0.5);
    const true_side truth[] = {{35, 9.575, 5.7 + 0.5, 18, 2.7 + 0.5, 14.8 - 0.5},
                               {160, 12.2, 7.2, 18.6, 3.2, 14.8 - 0.5}};
    sm_assessment a = assess(&demo.c, 1, 1000);
    for (int k = 0; k < DEMO_SIDES; k++) {
        double want[SM_OUTPUTS];
        by_hand(&truth[k], want);
        for (int o = 0; o < SM_OUTPUTS; o++) {
            assert_near(a.side[k].output[o].min, want[o], 0, 1e-12);
            assert_near(a.side[k].output[o].max, want[o], 0, 1e-12);
            assert_near(a.side[k].output[o].low95, want[o], 0, 1e-12);
        }
        assert_near(a.side[k].waist, 22.45, 1e-14, 0);
    }
    sm_assessment_destroy(&a);
}

/* 4. Adjusted and conventional agree where the circle is the waist, the ring round, the valve centred and upright, no
 * flare, leaflets inside, ordinary thickness: trial by trial, with every error of measurement at work. */

static void make_agreeable(demo_case *d)
{
    sm_surgical_valve *v = &d->c.valve;
    demo_still_tube(d);
    v->leaflet_mount = SM_MOUNT_INTERNAL;
    v->inner_diameter.value = sm_dist_constant(22.4);
    v->ring_give_mm = v->mount_offset_mm = sm_dist_constant(0);
    v->leaflet_thickness.value = sm_dist_constant(0.5);
    d->c.implant.flare = sm_dist_constant(0);
}

static void expect_agreement(const demo_case *d, bool agree)
{
    const sm_output_id pair[2][2] = {{SM_OSTIUM_CLEARANCE, SM_CONVENTIONAL_OSTIUM},
                                     {SM_STJ_CLEARANCE, SM_CONVENTIONAL_STJ}};
    sm_plan p = plan_of(&d->c);
    sm_worker w;
    double apart = 0;
    assert_int_equal(sm_worker_create(&p, &w), SM_OK);
    sm_worker_draw(&p, &w, SM_FOR_RUN, 4);
    sm_worker_point(&w, 1);
    sm_evaluate_first(&p, w.column, &w.at);
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int j = 0; j < 2; j++)
            for (int i = 0; i < SM_LANES; i++)
                apart = fmax(apart, fabs(w.at.side[k].y[pair[j][0]][i] - w.at.side[k].y[pair[j][1]][i]));
    assert_int_equal(apart < 1e-12, agree);
    sm_worker_destroy(&w);
    sm_plan_destroy(&p);
}

static void adjusted_is_conventional_where_the_model_says(void **state)
{
    (void)state;
    demo_fill(&demo);
    make_agreeable(&demo);
    expect_agreement(&demo, true);
    demo.c.limits.basis = SM_BASIS_DRAWN_CIRCLE;
    expect_agreement(&demo, true);
}

/* Each condition matters. */
static void each_condition_of_agreement_matters(void **state)
{
    (void)state;
    for (int i = 0; i < 7; i++) {
        demo_fill(&demo);
        make_agreeable(&demo);
        sm_surgical_valve *v = &demo.c.valve;
        if (i == 0)
            v->inner_diameter.value = sm_dist_constant(22.3);
        if (i == 1)
            v->eccentricity = sm_dist_constant(0.05);
        if (i == 2)
            demo.c.implant.offset_sd_mm = 0.3;
        if (i == 3)
            demo.c.implant.canting_sd_deg = 2;
        if (i == 4)
            demo.c.implant.flare = sm_dist_constant(0.2);
        if (i == 5)
            v->mount_offset_mm = sm_dist_constant(0.3);
        if (i == 6)
            v->leaflet_thickness.value = sm_dist_constant(0.7);
        expect_agreement(&demo, false);
    }
}

/* 5. The base plane */

static void a_wave_on_even_points_moves_no_gap(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo_no_reader_error(&demo);
    demo_no_plane_error(&demo);
    demo_still_tube(&demo);
    demo.c.scan.base_plane.cuff_wave_mm = 0.6;
    demo.c.scan.blooming_mm = sm_dist_constant(0);
    sm_assessment a = assess(&demo.c, 1, TRIALS);
    const sm_continuous *y = a.side[DEMO_LEFT].output;
    assert_near(y[SM_CONVENTIONAL_OSTIUM].sd, 0, 0, 1e-12); /* no tilt */
    assert_near(y[SM_COVER].sd, 0, 0, 1e-12);               /* leaflet and ostium move together */
    /* The level is arc sine, sd 0.6/sqrt 2, and moves the ostium along the flare: 0.5 (D - W)/2 a 12.5 mm. */
    assert_near(y[SM_OSTIUM_CLEARANCE].sd, 0.6 / sqrt(2) * 0.5 * (24.5 - 22.45) / 2 / 12.5, 5e-3, 0);
    sm_assessment_destroy(&a);
    demo.c.scan.base_plane.azimuths_deg[1] = 100;
    a = assess(&demo.c, 1, TRIALS);
    assert_true(a.side[DEMO_RIGHT].output[SM_CONVENTIONAL_OSTIUM].sd > 0.2);
    sm_assessment_destroy(&a);
}

/* constant: the sign with which height swings the ostium across. A tilt that raises the side of the ostium swings it
 * inward, to where the flare is wide: both take room. x: normal slopes along x and y. */
static void swing(const double *constant, sm_formula_columns *c)
{
    static const double zero[SM_LANES];
    double a[SM_LANES], b[SM_LANES], r[SM_LANES], z[SM_LANES], at[2][3][SM_LANES];
    sm_frame f;
    for (int i = 0; i < SM_LANES; i++) {
        a[i] = tan(3 * (M_PI / 180)) * c->x[0][i];
        b[i] = tan(3 * (M_PI / 180)) * c->x[1][i];
        r[i] = 5.7 + 11.2;
        z[i] = 9.575;
    }
    const double th = 35 * (M_PI / 180);
    sm_frame_place(a, b, zero, zero, zero, &f);
    sm_frame_point(&f, cos(th), sin(th), r, zero, at[0][0], at[0][1], at[0][2]); /* at the reader's base plane */
    sm_frame_point(&f, cos(th), sin(th), r, z, at[1][0], at[1][1], at[1][2]);
    for (int i = 0; i < SM_LANES; i++) {
        double x = at[0][0][i] + constant[0] * (at[1][0][i] - at[0][0][i]);
        double y = at[0][1][i] + constant[0] * (at[1][1][i] - at[0][1][i]);
        double s = fmin(fmax((at[1][2][i] - 2.5) / 12.5, 0), 1);
        c->y[0][i] = hypot(x, y) - 11.2;
        c->y[1][i] = hypot(x, y) - (22.45 / 2 + (24.5 - 22.45) / 2 * s + 0.2);
    }
}

static sm_formula_result *swung(double sign)
{
    const sm_dist n = sm_dist_normal(0, 1);
    const sm_formula f = {"swing", 2, 2, 0, {n, n}, {sign}, swing};
    sm_formula_result *r;
    assert_int_equal(sm_formula_run(&f, 7, TRIALS, &r), SM_OK);
    return r;
}

/* The case that `swing` writes out: nothing but a tilt, all of the flare, a tall leaflet. */
static sm_assessment tilted_case(void)
{
    demo_fill(&demo);
    demo_no_reader_error(&demo);
    demo_no_plane_error(&demo);
    demo_still_tube(&demo);
    demo.c.scan.base_plane = (sm_base_plane){.tilt_form = true, .tilt_sd_deg = 3};
    demo.c.scan.blooming_mm = sm_dist_constant(0);
    demo.c.implant.flare = sm_dist_constant(1);
    demo.c.valve.mount_offset_mm = sm_dist_constant(0);
    demo.c.valve.leaflet_overhang_mm = sm_dist_constant(15);
    demo.mm[DEMO_LEFT][SM_LEAFLET_HEIGHT][0][0] = 30;
    return assess(&demo.c, 1, TRIALS);
}

static void a_reversed_swing_is_caught_by_the_adjusted_clearance(void **state)
{
    (void)state;
    sm_assessment a = tilted_case();
    sm_formula_result *right = swung(1), *reversed = swung(-1);
    const sm_continuous *y = a.side[DEMO_LEFT].output;
    const double right_sd = sm_moments_sd(&right->spread[1].span.moments),
                 reversed_sd = sm_moments_sd(&reversed->spread[1].span.moments);
    const double error = right_sd * sqrt(2.0 / TRIALS);
    assert_near(y[SM_OSTIUM_CLEARANCE].sd, right_sd, 0, 5 * error);
    assert_true(fabs(y[SM_OSTIUM_CLEARANCE].sd - reversed_sd) > 50 * error);
    /* The conventional clearance does not see it. */
    assert_near(y[SM_CONVENTIONAL_OSTIUM].sd, sm_moments_sd(&right->spread[0].span.moments), 0, 5 * error);
    assert_near(y[SM_CONVENTIONAL_OSTIUM].sd, sm_moments_sd(&reversed->spread[0].span.moments), 0, 5 * error);
    /* First order: (height + flare a mm * radius) * slope; with the swing reversed, their difference. */
    const double slope = tan(3 * (M_PI / 180)), rise = (24.5 - 22.45) / 2 / 12.5 * 16.9;
    assert_near(right_sd, slope * (9.575 + rise), 0.02, 0);
    assert_near(reversed_sd, slope * (9.575 - rise), 0.02, 0);
    free(right);
    free(reversed);
    sm_assessment_destroy(&a);
}

/* With sd_includes_plane and an SD that is the plane's own, what is left is the plane alone. */
static void an_sd_that_is_the_planes_adds_nothing(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.c.scan.blooming_mm = sm_dist_constant(0);
    demo_no_reader_error(&demo);
    demo_still_tube(&demo);
    sm_assessment plane_only = assess(&demo.c, 1, TRIALS);
    const double sd = plane_only.side[DEMO_LEFT].output[SM_CONVENTIONAL_OSTIUM].sd;
    sm_quantity *q = &demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP];
    q->between_reader_sd_mm = 1.3 * sd;
    q->sd_includes_plane = true;
    sm_assessment both = assess(&demo.c, 2, TRIALS);
    assert_near(both.side[DEMO_LEFT].output[SM_CONVENTIONAL_OSTIUM].sd, 1.3 * sd, 0.012, 0);
    sm_assessment_destroy(&plane_only);
    sm_assessment_destroy(&both);
}

/* 6. Order of the probabilities */

/* Without looks every weight is 1 and a sum of events is a whole number of them. */
static void parts_never_exceed_wholes(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    sm_gathered g = run(&p, TRIALS);
    const sm_tally *t = &g.tally[0];
    double sum = 0;
    for (int k = 0; k < DEMO_SIDES; k++) {
        const double event = t->side[k].event.we, crowded = t->side[k].crowded.we, sealed = t->side[k].sealed.we;
        assert_true(crowded <= event && sealed <= event && event <= crowded + sealed);
        assert_true(event <= t->patient.event.we && crowded <= t->patient.crowded.we);
        assert_true(sealed <= t->patient.sealed.we && t->side[k].event.w == TRIALS);
        sum += event;
    }
    assert_true(t->patient.event.we > 0 && t->patient.event.we <= sum);
    assert_memory_equal(&t->unrescued, &t->patient.event, sizeof t->unrescued);
    assert_true(t->with_first.wwab == t->patient.event.we && t->with_first.wwa == t->patient.event.we);
    sm_gathered_destroy(&g);
    sm_plan_destroy(&p);
}

static void shortest_is_not_longer_than_symmetric(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_assessment a = assess(&demo.c, 1, TRIALS);
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int o = 0; o < SM_OUTPUTS; o++) {
            const sm_continuous *c = &a.side[k].output[o];
            assert_true(c->shortest95[1] - c->shortest95[0] <= c->high95 - c->low95);
            assert_true(c->shortest95[1] - c->shortest95[0] > 0.9 * (c->high95 - c->low95));
            assert_true(c->min <= c->low95 && c->low95 < c->median && c->median < c->high95 && c->high95 <= c->max);
        }
    sm_assessment_destroy(&a);
}

/* More room in the reading, more clearance and no more risk, on the same draws. */
static void more_room_is_never_more_risk(void **state)
{
    (void)state;
    double before = HUGE_VAL;
    for (double gap = 4; gap < 9; gap += 0.5) {
        demo_fill(&demo);
        demo.mm[DEMO_LEFT][SM_OSTIUM_GAP][0][0] = gap;
        sm_plan p = plan_of(&demo.c);
        sm_gathered g = run(&p, 20000);
        assert_true(g.tally[0].patient.event.we <= before);
        before = g.tally[0].patient.event.we;
        sm_gathered_destroy(&g);
        sm_plan_destroy(&p);
    }
}

/* 7. Draws that stay */

/* Every column of `a` that `b` has too draws the same numbers; returns how many. */
static int expect_same_draws(const sm_plan *a, const sm_plan *b)
{
    int same = 0;
    double x[SM_BLOCK], y[SM_BLOCK];
    sm_worker w;
    assert_int_equal(sm_worker_create(a, &w), SM_OK);
    for (int i = 0; i < a->sources.n_columns; i++)
        for (int j = 0; j < b->sources.n_columns; j++) {
            const sm_column *c = &a->sources.column[i], *d = &b->sources.column[j];
            if (strcmp(a->sources.source[c->source].name, b->sources.source[d->source].name) != 0 ||
                strcmp(c->part, d->part) != 0 || c->base != d->base)
                continue;
            sm_sources_draw(c, w.rng, 1, SM_FOR_RUN, 3, x);
            sm_sources_draw(d, w.rng, 1, SM_FOR_RUN, 3, y);
            assert_memory_equal(x, y, sizeof x);
            same++;
        }
    sm_worker_destroy(&w);
    return same;
}

/* Freezing a source of the right side, and changing the family of another, leave the left side bit for bit as it was.
 */
static void changing_one_side_leaves_the_other(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo_fill(&other);
    sm_quantity *q = other.side[DEMO_RIGHT].quantity;
    q[SM_OSTIUM_GAP].between_reader_sd_mm = q[SM_OSTIUM_GAP].repeat_sd_mm = 0;
    q[SM_STJ_GAP].dof = 7;
    q[SM_OSTIUM_HEIGHT].resolution_mm = 0.5;
    q[SM_LEAFLET_HEIGHT] = (sm_quantity){.value = sm_dist_uniform(13, 16)};
    sm_plan a = plan_of(&demo.c), b = plan_of(&other.c);
    assert_true(expect_same_draws(&a, &b) >= a.sources.n_columns - 2);
    sm_gathered g = run(&a, 50000), h = run(&b, 50000);
    assert_memory_equal(g.spread[DEMO_LEFT], h.spread[DEMO_LEFT], sizeof g.spread[DEMO_LEFT]);
    assert_memory_equal(&g.tally[0].side[DEMO_LEFT], &h.tally[0].side[DEMO_LEFT], sizeof(sm_counts));
    assert_memory_not_equal(g.spread[DEMO_RIGHT], h.spread[DEMO_RIGHT], sizeof g.spread[DEMO_RIGHT]);
    sm_gathered_destroy(&g);
    sm_gathered_destroy(&h);
    sm_plan_destroy(&a);
    sm_plan_destroy(&b);
}

/* Sides in another order are the same sides. */
static void the_order_of_the_sides_does_not_matter(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo_fill(&other);
    sm_coronary turned[] = {other.side[DEMO_RIGHT], other.side[DEMO_LEFT]};
    other.c.coronary = turned;
    sm_plan a = plan_of(&demo.c), b = plan_of(&other.c);
    sm_gathered g = run(&a, 50000), h = run(&b, 50000);
    assert_memory_equal(&g.tally[0].patient, &h.tally[0].patient, sizeof(sm_counts));
    assert_memory_equal(g.spread[0], h.spread[1], sizeof g.spread[0]);
    assert_memory_equal(g.spread[1], h.spread[0], sizeof g.spread[1]);
    sm_gathered_destroy(&g);
    sm_gathered_destroy(&h);
    sm_plan_destroy(&a);
    sm_plan_destroy(&b);
}

/* 8. Alternatives */

/* As an alternative on the draws of the case, or as a case of its own: the same counts. */
static void an_alternative_is_the_case_so_patched(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_implant smaller = demo.c.implant;
    sm_surgical_valve inside = demo.c.valve;
    smaller.nominal_diameter_mm = 22.5;
    smaller.flare = sm_dist_uniform(0.1, 0.6);
    inside.leaflet_mount = SM_MOUNT_INTERNAL;
    inside.mount_offset_mm = sm_dist_constant(0);
    sm_plan p = plan_of(&demo.c);
    assert_int_equal(sm_plan_add(&p, &(sm_root_request){.implant = &smaller, .valve = &inside}, NULL), SM_OK);
    demo_fill(&other);
    other.c.implant = smaller;
    other.c.valve = inside;
    sm_plan own = plan_of(&other.c);
    sm_gathered g = run(&p, 50000), h = run(&own, 50000);
    assert_memory_equal(&g.tally[1].patient, &h.tally[0].patient, sizeof(sm_counts));
    assert_true(g.tally[1].patient.event.we < g.tally[0].patient.event.we);
    assert_true(g.tally[1].with_first.wwa == g.tally[1].patient.event.we);
    assert_true(g.tally[1].with_first.wwb == g.tally[0].patient.event.we);
    sm_gathered_destroy(&g);
    sm_gathered_destroy(&h);
    sm_plan_destroy(&p);
    sm_plan_destroy(&own);
}

static sm_gathered run_request(const sm_root_request *request)
{
    demo_fill(&demo);
    sm_plan p = plan_of(&demo.c);
    assert_int_equal(sm_plan_add(&p, request, NULL), SM_OK);
    sm_gathered g = run(&p, 50000);
    sm_plan_destroy(&p);
    return g;
}

static void expect_equal_roots(const sm_gathered *g)
{
    const sm_tally *a = &g->tally[0], *b = &g->tally[1];
    assert_memory_equal(&a->patient, &b->patient, sizeof(sm_counts));
    assert_memory_equal(a->side, b->side, DEMO_SIDES * sizeof(sm_counts));
    assert_memory_equal(&b->unrescued, &a->unrescued, sizeof a->unrescued);
    assert_memory_equal(&b->with_first, &a->with_first, sizeof a->with_first); /* none gained, none lost */
    assert_memory_equal(&b->unrescued_with_first, &a->unrescued_with_first, sizeof a->with_first);
}

/* Bit for bit: the same implant again; laceration that never succeeds; a rescue that never succeeds. */
static void what_changes_nothing_changes_no_trial(void **state)
{
    (void)state;
    const double never[] = {0, 0};
    demo_fill(&other);
    const sm_root_request same[] = {
        {.implant = &other.c.implant, .valve = &other.c.valve}, {.lacerate = never}, {.rescue = never}};
    for (int i = 0; i < 3; i++) {
        sm_gathered g = run_request(&same[i]);
        expect_equal_roots(&g);
        sm_gathered_destroy(&g);
    }
}

static void a_sure_rescue_leaves_no_unrescued_event(void **state)
{
    (void)state;
    const double always[] = {1, 1}, left[] = {1, SM_NOT_DONE};
    sm_gathered g = run_request(&(sm_root_request){.rescue = always});
    assert_near(g.tally[1].unrescued.we, 0, 0, 0);
    assert_near(g.tally[1].patient.event.we, g.tally[0].patient.event.we, 0,
                0); /* a rescue undoes, it does not prevent */
    sm_gathered_destroy(&g);
    g = run_request(&(sm_root_request){.rescue = left});
    assert_near(g.tally[1].unrescued.we, g.tally[0].side[DEMO_RIGHT].event.we, 0, 0);
    sm_gathered_destroy(&g);
}

/* Trials of root `index` with an event that root[0] has not. */
static double gained(const sm_gathered *g, int index)
{
    return g->tally[index].patient.event.we - g->tally[index].with_first.wwab;
}

/* With success 0.93 on the left: left events fall by that share where no post stands in the way (30 of 120 degrees),
 * the right side is untouched; and never is an event made. */
static void laceration_takes_its_share(void **state)
{
    (void)state;
    const double left[] = {0.93, SM_NOT_DONE};
    sm_gathered g = run_request(&(sm_root_request){.lacerate = left});
    const double before = g.tally[0].side[DEMO_LEFT].event.we, after = g.tally[1].side[DEMO_LEFT].event.we;
    assert_near(gained(&g, 1), 0, 0, 0);
    assert_memory_equal(&g.tally[0].side[DEMO_RIGHT], &g.tally[1].side[DEMO_RIGHT], sizeof(sm_counts));
    /* Events are likelier with a post in front, so at least the share of the posts and of the failures stays. */
    assert_true(after > before * (1 - 0.93) && after < before * (1 - 0.93 * 0.5));
    sm_gathered_destroy(&g);
}

/* 9. Blooming */

/* A gap corrected by exactly the blooming that the limits are said to contain is not corrected. */
static void reference_blooming_undoes_the_correction(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.c.scan.blooming_mm = sm_dist_constant(0.5);
    demo.c.limits.reference_blooming_mm = 0.5;
    sm_assessment a = assess(&demo.c, 1, 50000);
    assert_true(a.bloom_corrected);
    assert_int_equal(a.patient.event.k, a.event_without_bloom_correction.k);
    sm_assessment_destroy(&a);
    demo.c.limits.reference_blooming_mm = 0;
    a = assess(&demo.c, 1, 50000);
    assert_true(a.patient.event.k < a.event_without_bloom_correction.k); /* gaps that read short are longer */
    sm_assessment_destroy(&a);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(turning_every_azimuth_changes_nothing),
        cmocka_unit_test(mirroring_changes_nothing),
        cmocka_unit_test(turning_the_posts_alone_matters),
        cmocka_unit_test(without_any_error_clearances_are_closed_forms),
        cmocka_unit_test(adjusted_is_conventional_where_the_model_says),
        cmocka_unit_test(each_condition_of_agreement_matters),
        cmocka_unit_test(a_wave_on_even_points_moves_no_gap),
        cmocka_unit_test(a_reversed_swing_is_caught_by_the_adjusted_clearance),
        cmocka_unit_test(an_sd_that_is_the_planes_adds_nothing),
        cmocka_unit_test(parts_never_exceed_wholes),
        cmocka_unit_test(shortest_is_not_longer_than_symmetric),
        cmocka_unit_test(more_room_is_never_more_risk),
        cmocka_unit_test(changing_one_side_leaves_the_other),
        cmocka_unit_test(the_order_of_the_sides_does_not_matter),
        cmocka_unit_test(an_alternative_is_the_case_so_patched),
        cmocka_unit_test(what_changes_nothing_changes_no_trial),
        cmocka_unit_test(a_sure_rescue_leaves_no_unrescued_event),
        cmocka_unit_test(laceration_takes_its_share),
        cmocka_unit_test(reference_blooming_undoes_the_correction),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
