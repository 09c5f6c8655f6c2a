/* test_root.c - each draw of a case against its formula, trial by trial: what a root makes of the base draws, written
 * out again from docs/model.md.
 *
 * Contents: 1. trials with their draws  2. readings  3. the tube and its axis  4. second looks  5. chances  6. pilots
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

#include "engine/plan.h"

#define RADIANS (M_PI / 180)

/* 1. Trials with their draws */

static demo_case demo;

/* A group of trials of the case, or of a request beside it, and the draws that it was made from. */
typedef struct {
    sm_plan plan;
    sm_worker worker;
    int index;
    const sm_side_out *side[DEMO_SIDES];
} trials;

static void draw_trials(const sm_root_request *request, trials *t)
{
    sm_worker *w = &t->worker;
    t->index = 0;
    assert_int_equal(sm_plan_create(&demo.c, 5, &t->plan), SM_OK);
    if (request)
        assert_int_equal(sm_plan_add(&t->plan, request, &t->index), SM_OK);
    assert_int_equal(sm_worker_create(&t->plan, w), SM_OK);
    sm_worker_draw(&t->plan, w, SM_FOR_RUN, 2);
    sm_worker_point(w, 1);
    for (int i = 0; i <= t->index; i++) {
        sm_evaluate_shared(&t->plan, i, w->column, &w->at);
        for (int k = 0; k < DEMO_SIDES; k++)
            t->side[k] = sm_evaluate_side(&t->plan, i, k, w->column, &w->at);
    }
}

static void trials_destroy(trials *t)
{
    sm_worker_destroy(&t->worker);
    sm_plan_destroy(&t->plan);
}

static const double *column_of(const trials *t, const char *source, const char *part)
{
    const sm_sources *s = &t->plan.sources;
    for (int j = 0; j < s->n_columns; j++)
        if (strcmp(s->source[s->column[j].source].name, source) == 0 && strcmp(s->column[j].part, part) == 0)
            return t->worker.column[j];
    fail_msg("%s draws no %s", source, part);
    return NULL;
}

static double given(const trials *t, int k, sm_output_id o, int i)
{
    return t->side[k]->y[o][i];
}

/* 2. Readings */

/* (3.1): resolution_mm is the full width of a rectangle about the reading. */
static void resolution_is_a_rectangle_of_full_width(void **state)
{
    (void)state;
    trials t;
    demo_still_case(&demo);
    demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].resolution_mm = 0.7;
    draw_trials(NULL, &t);
    const double *V = column_of(&t, "left.ostium_gap", "resolution");
    for (int i = 0; i < SM_LANES; i++)
        assert_near(given(&t, DEMO_LEFT, SM_CONVENTIONAL_OSTIUM, i), 5.7 + 0.7 * (V[i] - 0.5), 0, 1e-13);
    trials_destroy(&t);
}

/* (3.1) and (3.2): A read twice, B once; 9.575 is the mean of their means. */
static void a_height_errs_by_its_readers(void **state)
{
    (void)state;
    trials t;
    demo_still_case(&demo);
    sm_quantity *q = &demo.side[DEMO_LEFT].quantity[SM_OSTIUM_HEIGHT];
    q->between_reader_sd_mm = 0.8;
    q->repeat_sd_mm = 0.5;
    draw_trials(NULL, &t);
    const double *z = column_of(&t, "left.ostium_height", "error"), sd = sqrt(0.64 / 2 + 0.25 / 4 * 1.5);
    for (int i = 0; i < SM_LANES; i++)
        assert_near(given(&t, DEMO_LEFT, SM_COVER, i), 14.8 - (9.575 + sd * z[i]), 0, 1e-13);
    trials_destroy(&t);
}

static sm_reader_row ring_row;
static double ring_mm[] = {21.1};

/* An inner diameter read on the scan, where it reads small by 2 B. */
static void read_ring(void)
{
    ring_row = (sm_reader_row){NULL, 1, ring_mm};
    demo.c.valve.inner_diameter = (sm_quantity){.is_read = true, .readings = {1, &ring_row}, .bloom_edges = -2};
}

static void blooms(void)
{
    demo_still_case(&demo);
    read_ring();
    demo.c.scan.blooming_mm = sm_dist_uniform(0.2, 0.8);
    demo.c.limits.reference_blooming_mm = 0.3;
}

/* Section 3: one B for the scan; the reference is taken off it for the two gaps and for nothing else. */
static void the_reference_is_for_gaps_alone(void **state)
{
    (void)state;
    trials t;
    blooms();
    draw_trials(NULL, &t);
    const double *U = column_of(&t, "blooming", "value");
    for (int i = 0; i < SM_LANES; i++) {
        const double B = 0.2 + 0.6 * U[i], W = 21.1 + 2 * B + 0.15;
        assert_near(given(&t, DEMO_LEFT, SM_CONVENTIONAL_OSTIUM, i), 5.7 + (B - 0.3), 0, 1e-13);
        assert_near(given(&t, DEMO_LEFT, SM_CONVENTIONAL_STJ, i), 2.7 + (B - 0.3), 0, 1e-13);
        assert_near(given(&t, DEMO_RIGHT, SM_CONVENTIONAL_OSTIUM, i), 7.2, 0, 1e-13); /* bloom_edges 0 */
        assert_near(given(&t, DEMO_LEFT, SM_COVER, i), 14.8 - B - 9.575, 0, 1e-13);
        assert_near(t.worker.at.tube->hold[i], W, 0, 1e-13);
    }
    trials_destroy(&t);
}

/* Section 3: beside a corrected case, both gaps as read and all else as it is. */
static void without_correction_only_gaps_change(void **state)
{
    (void)state;
    trials t;
    blooms();
    draw_trials(&(sm_root_request){.without_bloom_correction = true}, &t);
    const double *U = column_of(&t, "blooming", "value");
    for (int i = 0; i < SM_LANES; i++) {
        const double B = 0.2 + 0.6 * U[i];
        assert_near(given(&t, DEMO_LEFT, SM_CONVENTIONAL_OSTIUM, i), 5.7, 0, 1e-13);
        assert_near(given(&t, DEMO_LEFT, SM_CONVENTIONAL_STJ, i), 2.7, 0, 1e-13);
        assert_near(given(&t, DEMO_LEFT, SM_COVER, i), 14.8 - B - 9.575, 0, 1e-13);
    }
    trials_destroy(&t);
}

/* 3. The tube and its axis */

/* All that is drawn of the tube, each uniform or normal, so that a draw is a straight line of its base draw. */
static void moving_tube(bool posts_known)
{
    sm_surgical_valve *v = &demo.c.valve;
    sm_implant *m = &demo.c.implant;
    demo_still_case(&demo);
    v->inner_diameter.value = sm_dist_normal(22.3, 0.3);
    v->leaflet_thickness.value = sm_dist_uniform(0.3, 0.9); /* about the ordinary 0.5 */
    v->ring_give_mm = sm_dist_uniform(0, 0.4);
    v->eccentricity = sm_dist_uniform(0.02, 0.10);
    v->mount_offset_mm = sm_dist_uniform(0.3, 1.5);
    v->mid_fraction = sm_dist_uniform(0.2, 0.8);
    v->leaflet_overhang_mm = sm_dist_uniform(0, 3);
    v->post_azimuth_unknown = !posts_known;
    v->post_azimuth_deg = sm_dist_normal(20, 7);
    m->implant_depth_mm = sm_dist_normal(6, 1);
    m->overexpansion = sm_dist_uniform(-0.02, 0.05);
    m->flare = sm_dist_uniform(0.1, 1);
    m->canting_sd_deg = 11; /* so steep that its tangent is not its angle */
    m->offset_sd_mm = 0.6;
    demo.c.scan.centreline_sd_mm = 0.9;
}

/* (4.1) to (4.9) and (5.2) for a landmark at azimuth th (radians), radius r and height h in the valve frame, one trial.
 */
static double clearance_by_hand(const trials *t, int i, bool posts_known, double th, double r, double h, double *H_t)
{
#define DRAW(source, part) (column_of(t, source, part)[i])
    const double depth = 6 + DRAW("implant_depth", "value"), top = 19 - depth;
    const double D = 24.5 * (1 + (-0.02 + 0.07 * DRAW("overexpansion", "value")));
    const double hold = 22.3 + 0.3 * DRAW("inner_diameter", "value") + 0.4 * DRAW("ring_give", "value");
    const double thick = 0.3 + 0.6 * DRAW("leaflet_thickness", "value"), flare = 0.1 + 0.9 * DRAW("flare", "value");
    const double ecc = 0.02 + 0.08 * DRAW("eccentricity", "value"),
                 psi = M_PI * DRAW("eccentricity", "orientation"); /* over half a turn */
    const double mid = 0.2 + 0.6 * DRAW("mid", "value"), mount = 0.3 + 1.2 * DRAW("mount_offset", "value");
    const double post =
        posts_known ? (20 + 7 * DRAW("post_azimuth", "value")) * RADIANS : 120 * RADIANS * DRAW("post_azimuth", "turn");
    const double slope = tan(11 * RADIANS), W = fmin(D, hold);
    *H_t = fmax(fmin(14.8, top + 3 * DRAW("leaflet_overhang", "value")), 9 - depth);
    const double s = fmin(fmax((fmin(h, *H_t) - 2.5) / (top - 2.5), 0), 1);
    const double R_frame = W / 2 * (1 + ecc / 2 * cos(2 * (th - psi))) + flare * (D - W) / 2 * s;
    const double m = mid + (1 - mid) * gsl_pow_2(cos(1.5 * (th - post)));
    const double x =
        r * cos(th) + 0.9 * DRAW("centreline", "x") - 0.6 * DRAW("offset", "x") - slope * DRAW("canting", "x") * h;
    const double y =
        r * sin(th) + 0.9 * DRAW("centreline", "y") - 0.6 * DRAW("offset", "y") - slope * DRAW("canting", "y") * h;
    return hypot(x, y) - (R_frame + mount * m + fmax(0, thick - 0.5));
#undef DRAW
}

static void expect_tube(bool posts_known)
{
    static const double azimuth[] = {35, 160}, height[] = {9.575, 12.2}, gap[] = {5.7, 7.2};
    trials t;
    moving_tube(posts_known);
    draw_trials(NULL, &t);
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int i = 0; i < SM_LANES; i++) {
            double H_t;
            const double want =
                clearance_by_hand(&t, i, posts_known, azimuth[k] * RADIANS, 11.2 + gap[k], height[k], &H_t);
            assert_near(given(&t, k, SM_OSTIUM_CLEARANCE, i), want, 0, 1e-12);
            assert_near(given(&t, k, SM_COVER, i), H_t - height[k], 0, 1e-12);
        }
    trials_destroy(&t);
}

static void the_tube_is_its_formulas(void **state)
{
    (void)state;
    expect_tube(true);
    expect_tube(false);
}

/* 4. Second looks */

static sm_reader_row look_row[3];
static double look_mm[3][1];

static void add_look(int n, int k, sm_quantity_id q, double reading)
{
    look_mm[n][0] = reading;
    look_row[n] = (sm_reader_row){NULL, 1, look_mm[n]};
    demo.side[k].quantity[q].cross_check = (sm_cross_check){.present = true,
                                                            .readings = {1, &look_row[n]},
                                                            .reader_sd_mm = 0.9,
                                                            .magnification_sd = 0.02 + 0.03 * n,
                                                            .view_error_sd_deg = 8};
    demo.side[k].quantity[q].between_reader_sd_mm = 0.6;
}

/* Looks at the ostium on both sides and at the left junction. */
static void look_thrice(double left, double right, double stj)
{
    demo_still_case(&demo);
    add_look(0, DEMO_LEFT, SM_OSTIUM_GAP, left);
    add_look(1, DEMO_RIGHT, SM_OSTIUM_GAP, right);
    add_look(2, DEMO_LEFT, SM_STJ_GAP, stj);
}

static const char *const look_side[] = {"left", "right"};

static double seen_by_ct(const trials *t, int k, int i)
{
    static const double gap[] = {5.7, 7.2};
    char source[40];
    snprintf(source, sizeof source, "%s.ostium_gap", look_side[k]);
    return gap[k] + 0.6 * column_of(t, source, "error")[i];
}

/* (3.5); one M for all looks, each with an SD of its own. */
static double seen_otherwise(const trials *t, int k, int i)
{
    char source[40];
    snprintf(source, sizeof source, "%s.ostium_gap.cross_check", look_side[k]);
    const double M = (0.02 + 0.03 * k) * column_of(t, "cross_check_calibration", "scale")[i];
    const double G = 8 * RADIANS * column_of(t, source, "view")[i], error = 0.9 * column_of(t, source, "reader")[i];
    return ((look_mm[k][0] - error) / (1 + M) + 11.2) / cos(G) - 11.2;
}

/* Believing the other look of one gap: that gap is (3.5), every other one is as in the run. */
static void expect_belief_of_one_gap(int k)
{
    trials planned, t;
    look_thrice(6.3, 7.9, 3.1);
    draw_trials(NULL, &planned);
    draw_trials(&(sm_root_request){.belief = SM_BELIEVE_OTHER, .belief_side = k, .belief_gap = SM_GAP_OSTIUM}, &t);
    for (int i = 0; i < SM_LANES; i++) {
        assert_near(given(&t, k, SM_CONVENTIONAL_OSTIUM, i), seen_otherwise(&t, k, i), 0, 1e-12);
        assert_near(given(&t, 1 - k, SM_CONVENTIONAL_OSTIUM, i), given(&planned, 1 - k, SM_CONVENTIONAL_OSTIUM, i), 0,
                    0);
        assert_near(given(&t, DEMO_LEFT, SM_CONVENTIONAL_STJ, i), given(&planned, DEMO_LEFT, SM_CONVENTIONAL_STJ, i), 0,
                    0);
    }
    trials_destroy(&t);
    trials_destroy(&planned);
}

static void a_belief_is_of_one_gap_of_one_side(void **state)
{
    (void)state;
    expect_belief_of_one_gap(DEMO_LEFT);
    expect_belief_of_one_gap(DEMO_RIGHT);
}

/* (3.7): w = v_f/(v_ct + v_f), v_ct the reader's 0.36 alone; 0.3 % is the pilot's error. */
static void looks_that_agree_are_weighed(void **state)
{
    (void)state;
    trials t;
    look_thrice(6.3, 7.9, 3.1);
    draw_trials(NULL, &t);
    for (int k = 0; k < DEMO_SIDES; k++) {
        const double v_f =
            sm_look_moments_of(&t.plan.root[0].side[k].landmarks.looks.look[SM_GAP_OSTIUM].look).variance;
        const double w = t.plan.root[0].side[k].joining[SM_GAP_OSTIUM].w;
        assert_near(w, v_f / (0.36 + v_f), 0.01, 0);
        for (int i = 0; i < SM_LANES; i++)
            assert_near(given(&t, k, SM_CONVENTIONAL_OSTIUM, i),
                        w * seen_by_ct(&t, k, i) + (1 - w) * seen_otherwise(&t, k, i), 0, 1e-12);
    }
    trials_destroy(&t);
}

/* Section 3.1: each trial believes one look, by a coin of the gap. */
static void looks_that_conflict_toss_a_coin(void **state)
{
    (void)state;
    trials t;
    look_thrice(14, 7.9, 3.1);
    draw_trials(NULL, &t);
    assert_true(t.plan.root[0].side[DEMO_LEFT].joining[SM_GAP_OSTIUM].conflict);
    const double *coin = column_of(&t, "left.ostium_gap.cross_check", "coin");
    for (int i = 0; i < SM_LANES; i++)
        assert_near(given(&t, DEMO_LEFT, SM_CONVENTIONAL_OSTIUM, i),
                    coin[i] < 0.5 ? seen_by_ct(&t, DEMO_LEFT, i) : seen_otherwise(&t, DEMO_LEFT, i), 0, 1e-12);
    trials_destroy(&t);
}

/* A gap that reads 8 mm more is compared with its other look anew, and back again. */
static void a_gap_that_reads_otherwise_is_compared_anew(void **state)
{
    (void)state;
    trials t;
    look_thrice(6.3, 7.9, 3.1);
    draw_trials(NULL, &t);
    const sm_root_side *side = &t.plan.root[0].side[DEMO_LEFT];
    const sm_joining *j = &side->joining[SM_GAP_OSTIUM];
    const sm_root_side more = sm_root_side_shifted(side, SM_GAP_OSTIUM, 8),
                       back = sm_root_side_shifted(&more, SM_GAP_OSTIUM, -8);
    assert_false(j->conflict);
    assert_near(more.joining[SM_GAP_OSTIUM].chi2, gsl_pow_2(j->mean_ct + 8 - j->mean_f) / (j->v_ct + j->v_f), 1e-12, 0);
    assert_int_equal(more.landmarks.joined[SM_GAP_OSTIUM].belief, SM_BELIEVE_COIN);
    assert_near(more.readings.reading[SM_OSTIUM_GAP].reading.estimate, 13.7, 0, 1e-13);
    assert_int_equal(back.landmarks.joined[SM_GAP_OSTIUM].belief, SM_BELIEVE_JOINED);
    assert_near(back.landmarks.joined[SM_GAP_OSTIUM].w, j->w, 0, 1e-15);
    assert_memory_equal(&more.landmarks.joined[SM_GAP_STJ], &side->landmarks.joined[SM_GAP_STJ],
                        sizeof more.landmarks.joined[0]);
    trials_destroy(&t);
}

/* 5. Chances */

/* Section 5: in the trials in which it succeeds the tube ends at the skirt, 9 - 4 mm. The post is 15 degrees away. */
static void a_laceration_succeeds_in_its_share(void **state)
{
    (void)state;
    const double chance[] = {0.37, SM_NOT_DONE};
    trials t;
    demo_still_case(&demo);
    demo.c.valve.post_block_deg = 14;
    draw_trials(&(sm_root_request){.lacerate = chance}, &t);
    const double *u = column_of(&t, "left.laceration", "success");
    for (int i = 0; i < SM_LANES; i++) {
        assert_near(given(&t, DEMO_LEFT, SM_COVER, i), (u[i] < 0.37 ? 5 : 14.8) - 9.575, 0, 1e-13);
        assert_near(given(&t, DEMO_RIGHT, SM_COVER, i), 14.8 - 12.2, 0, 1e-13);
    }
    trials_destroy(&t);
}

/* 6. Pilots */

/* Section 3: what the plane adds is that of one placement, however many there were, over the readers. Of a leaflet top
 * it is var c + r^2 var a = point_sd^2/3 (1 + 2 r^2/R^2); what bends in it adds 0.3 %. */
static void the_plane_s_part_is_that_of_one_placement(void **state)
{
    (void)state;
    static const size_t placements[] = {1, 4};
    for (int i = 0; i < 2; i++) {
        sm_plan p;
        demo_still_case(&demo);
        demo.c.scan.base_plane.point_sd_mm = 0.7;
        demo.c.scan.base_plane.placements = placements[i];
        sm_quantity *q = &demo.side[DEMO_LEFT].quantity[SM_LEAFLET_HEIGHT];
        q->between_reader_sd_mm = 1;
        q->sd_includes_plane = true;
        assert_int_equal(sm_plan_create(&demo.c, 5, &p), SM_OK);
        const sm_reading *r = &p.root[0].side[DEMO_LEFT].readings.reading[SM_LEAFLET_HEIGHT].reading;
        const double want = 0.49 / 3 * (1 + 2 * gsl_pow_2(11.2 / 11.5));
        assert_near(r->plane_taken, want, 0.015, 0);
        assert_near(r->variance, 1 - r->plane_taken, 1e-14, 0);
        sm_plan_destroy(&p);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resolution_is_a_rectangle_of_full_width),
        cmocka_unit_test(a_height_errs_by_its_readers),
        cmocka_unit_test(the_reference_is_for_gaps_alone),
        cmocka_unit_test(without_correction_only_gaps_change),
        cmocka_unit_test(the_tube_is_its_formulas),
        cmocka_unit_test(a_belief_is_of_one_gap_of_one_side),
        cmocka_unit_test(looks_that_agree_are_weighed),
        cmocka_unit_test(looks_that_conflict_toss_a_coin),
        cmocka_unit_test(a_gap_that_reads_otherwise_is_compared_anew),
        cmocka_unit_test(a_laceration_succeeds_in_its_share),
        cmocka_unit_test(the_plane_s_part_is_that_of_one_placement),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
