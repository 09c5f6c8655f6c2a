/* test_look_worth.c - what looks not yet made are worth, held to closed forms and to quadrature.
 *
 * Contents: 1. a case whose event hangs on one normal quantity  2. one number shown  3. several numbers shown
 *           4. a projection, by quadrature  5. planes and blooming  6. the order that theory asks for  7. choices
 *           8. unit normal loss  9. views  10. faults of a run
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "looked_case.h"
#include "check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "decision/look_worth.h"
#include "measurement/planned_look.h"

enum { TRIALS = 1 << 20 };

/* 1. A case whose event hangs on one normal quantity */

static looked_case made;
static sm_planned_look list[12];
static sm_look_target target[12][12];
static char names[12][8];
static int listed;

/* A further look at n targets. */
static sm_planned_look *plan_look(sm_planned_kind kind, int n, const sm_look_target *at)
{
    sm_planned_look *l = &list[listed];
    snprintf(names[listed], sizeof names[listed], "look%d", listed);
    memcpy(target[listed], at, (size_t)n * sizeof *at);
    *l = (sm_planned_look){.name = names[listed],
                           .kind = kind,
                           .readers = 1,
                           .n_targets = (size_t)n,
                           .target = target[listed],
                           .scan = made.d.c.scan};
    l->scan.base_plane.placements = 1;
    made.d.c.planned = list;
    made.d.c.n_planned = (size_t)++listed;
    return l;
}

static sm_planned_look *plan_one(sm_planned_kind kind, int side, int what)
{
    return plan_look(kind, 1, &(sm_look_target){side, what});
}

static sm_planned_look *plan_direct(int side, int what, double sd)
{
    sm_planned_look *l = plan_one(SM_PLANNED_DIRECT, side, what);
    l->reader_sd_mm = sd;
    return l;
}

static sm_look_worths worths_of(void)
{
    sm_look_worths w;
    assert_int_equal(sm_look_worths_run(&made.d.c, (sm_run_context){.trials = TRIALS, .seed = 3}, &w), SM_OK);
    assert_int_equal(w.n, listed);
    return w;
}

/* X normal, the event X < limit (or above), and a look that reads X with the error SD s: by arithmetic and a quadrature
 * over what is shown. */
typedef struct {
    double P, value, acts, at; /* at: in what is shown */
} closed_form;

static closed_form normal_normal(double mean, double sd, double s, looked_event e, double q)
{
    enum { STEPS = 20000 };
    const double shown_sd = hypot(sd, s), slope = sd * sd / (shown_sd * shown_sd), rest = sd * s / shown_sd;
    closed_form c = {.P = e.below ? gsl_cdf_ugaussian_P((e.limit - mean) / sd)
                                  : gsl_cdf_ugaussian_Q((e.limit - mean) / sd)};
    double least = 0;
    for (int i = 0; i < STEPS; i++) {
        const double z = -8 + 16 * (i + 0.5) / STEPS, weight = gsl_ran_ugaussian_pdf(z) * 16 / STEPS;
        const double m = mean + slope * shown_sd * z, t = (e.limit - m) / rest;
        const double p = e.below ? gsl_cdf_ugaussian_P(t) : gsl_cdf_ugaussian_Q(t);
        least += weight * fmin(p, q);
        c.acts += p >= q ? weight : 0;
    }
    c.value = fmin(c.P, q) - least;
    const double z_q = e.below ? gsl_cdf_ugaussian_Pinv(q) : gsl_cdf_ugaussian_Qinv(q);
    c.at = mean + (e.limit - rest * z_q - mean) / slope;
    return c;
}

static void check_closed(const sm_look_worth *l, const closed_form *c, bool below)
{
    assert_near(l->worth.value.value, c->value, 0, 4 * l->worth.value.standard_error + 1e-5);
    assert_near(l->acts.value, c->acts, 0, 0.01);
    assert_int_equal(l->act.kind, below ? SM_ACT_BELOW : SM_ACT_ABOVE);
    assert_near(l->act.at, c->at, 0, 0.03);
}

static void direct_measurements(void **state)
{
    (void)state;
    static const struct {
        sm_looked at;
        int side, what;
        double off, sd, error;
    } tried[] = {{SM_LOOKED_LEAFLET_HEIGHT, DEMO_LEFT, SM_LEAFLET_HEIGHT, -0.6, 0.8, 0.5},
                 {SM_LOOKED_INNER_DIAMETER, SM_OF_VALVE, SM_TARGET_INNER_DIAMETER, -0.1, 0.3, 0.2},
                 {SM_LOOKED_INNER_DIAMETER, SM_OF_VALVE, SM_TARGET_INNER_DIAMETER, -0.3, 0.3, 0.1},
                 {SM_LOOKED_THICKNESS, SM_OF_VALVE, SM_TARGET_THICKNESS, 0.05, 0.12, 0.1}};
    for (size_t i = 0; i < sizeof tried / sizeof *tried; i++) {
        listed = 0;
        const looked_event e = looked_hangs_on(&made, tried[i].at);
        sm_quantity *q = looked_quantity(&made, DEMO_LEFT, tried[i].at);
        q->value = sm_dist_normal(e.limit + tried[i].off, tried[i].sd);
        made.d.c.action_line = 0.23;
        plan_direct(tried[i].side, tried[i].what, tried[i].error);
        plan_direct(tried[i].side, tried[i].what, tried[i].error)->readers = 4;
        sm_look_worths w = worths_of();
        closed_form c = normal_normal(e.limit + tried[i].off, tried[i].sd, tried[i].error, e, 0.23);
        assert_near(w.event, c.P, 0, 0.005);
        assert_true(c.value > 0.005);
        check_closed(&w.look[0], &c, e.below);
        c = normal_normal(e.limit + tried[i].off, tried[i].sd, tried[i].error / 2, e, 0.23); /* of four */
        check_closed(&w.look[1], &c, e.below);
        assert_int_equal(w.order[0], 1);
        sm_look_worths_destroy(&w);
    }
}

/* 2. One number shown */

/* A gap read once with SDs 0.4 and 0.3 mm, its limit 4: one and three more readers in the same plane. Edges and
 * blooming do not matter to others who read the same scan but move what they read. */
static void the_same_scan_again(void **state)
{
    (void)state;
    for (int edges = -1; edges <= 0; edges++) {
        listed = 0;
        looked_hangs_on(&made, SM_LOOKED_OSTIUM_GAP);
        demo_read(&made.d, DEMO_LEFT, SM_OSTIUM_GAP, 4.2 + 0.5 * edges, 0.5, edges);
        sm_quantity *q = &made.d.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP];
        q->between_reader_sd_mm = 0.4;
        q->repeat_sd_mm = 0.3;
        made.d.c.scan.blooming_mm = sm_dist_constant(0.5);
        made.d.c.action_line = 0.2;
        plan_one(SM_PLANNED_AGAIN, DEMO_LEFT, SM_OSTIUM_GAP);
        plan_one(SM_PLANNED_AGAIN, DEMO_LEFT, SM_OSTIUM_GAP)->readers = 3;
        sm_look_worths w = worths_of();
        for (int i = 0; i < 2; i++) {
            closed_form c = normal_normal(4.2, 0.5, 0.5 / sqrt(i == 0 ? 1 : 3), (looked_event){4, true}, 0.2);
            c.at += 0.5 * edges; /* a bright wall reads that much nearer */
            check_closed(&w.look[i], &c, true);
        }
        sm_look_worths_destroy(&w);
    }
}

/* What does not matter is worth nothing and has no rule. */
static void worth_nothing(void **state)
{
    (void)state;
    listed = 0;
    looked_hangs_on(&made, SM_LOOKED_OSTIUM_GAP);
    made.d.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].value = sm_dist_normal(4.1, 0.5);
    made.d.c.valve.leaflet_thickness.value = sm_dist_normal(0.3, 0.01); /* below what the limits contain */
    made.d.c.action_line = 0.2;
    demo_read(&made.d, DEMO_RIGHT, SM_STJ_HEIGHT, 14, 0, 0); /* readers who never err, in the plane that stands */
    demo_read(&made.d, DEMO_RIGHT, SM_STJ_GAP, 9, 0, 0);
    made.d.c.scan.base_plane.point_sd_mm = 0.3;
    plan_direct(SM_OF_VALVE, SM_TARGET_THICKNESS, 0.1);
    plan_one(SM_PLANNED_AGAIN, DEMO_RIGHT, SM_STJ_HEIGHT);
    plan_look(SM_PLANNED_AGAIN, 2, (sm_look_target[]){{DEMO_RIGHT, SM_STJ_HEIGHT}, {DEMO_RIGHT, SM_STJ_GAP}});
    sm_look_worths w = worths_of();
    for (int i = 0; i < 3; i++) {
        assert_near(w.look[i].worth.value.value, 0, 0, 0);
        assert_near(w.look[i].acts.value, 1, 0, 0);
        assert_int_equal(w.look[i].act.kind, i < 2 ? SM_ACT_NEVER_TURNS : SM_ACT_NO_RULE);
    }
    assert_null(sm_look_worths_first(&w));
    sm_look_worths_destroy(&w);
}

/* Too little room where the leaflet stands high enough, and none where a wide ring lets the tube grow: an event at both
 * ends of what is shown crosses the line twice. A gap whose room ends on both sides is made of two: the left ostium is
 * crowded by a wide ring, and the right sealed ... by a low one there is none; so the risk is made of a mixture. */
static void crosses_more_than_once(void **state)
{
    (void)state;
    sm_cell_counts cell[SM_GRID_LINE];
    double P[SM_GRID_LINE];
    for (int i = 0; i < SM_GRID_LINE; i++) {
        const double z = -4.5 + 9 * (i + 0.5) / SM_GRID_LINE, n = 1e5 * gsl_ran_ugaussian_pdf(z);
        const double p = 0.1 + 0.5 * gsl_ran_ugaussian_pdf(z); /* high in the middle alone */
        cell[i] = (sm_cell_counts){{n, n}, {n * p, n * p}};
    }
    assert_int_equal(sm_policy_curve(cell, (sm_watch){0}, P), SM_OK);
    int crossings = 0;
    for (int i = 30; i < SM_GRID_LINE - 30; i++)
        crossings += (P[i] >= 0.2) != (P[i - 1] >= 0.2);
    assert_int_equal(crossings, 2);
    assert_near(P[SM_GRID_LINE / 2], 0.1 + 0.5 * gsl_ran_ugaussian_pdf(0), 0.02, 0);
}

/* 3. Several numbers shown */

/* Two measurements of one quantity tell as much as one by the smaller error; the index finds their weighted mean. */
static void two_of_one_thing(void **state)
{
    (void)state;
    listed = 0;
    const looked_event e = looked_hangs_on(&made, SM_LOOKED_INNER_DIAMETER);
    made.d.c.valve.inner_diameter.value = sm_dist_normal(e.limit - 0.2, 0.3);
    made.d.c.action_line = 0.3;
    plan_direct(SM_OF_VALVE, SM_TARGET_INNER_DIAMETER, 0.4);
    plan_direct(SM_OF_VALVE, SM_TARGET_INNER_DIAMETER, 0.3);
    static size_t parts[2] = {0, 1};
    sm_planned_look *both = plan_look(SM_PLANNED_BUNDLE, 0, target[0]);
    both->n_parts = 2;
    both->part = parts;
    sm_look_worths w = worths_of();
    const closed_form c = normal_normal(e.limit - 0.2, 0.3, 0.4 * 0.3 / hypot(0.4, 0.3), e, 0.3);
    assert_int_equal(w.look[2].dims, 2);
    assert_int_equal(w.look[2].act.kind, SM_ACT_NO_RULE);
    assert_near(w.look[2].worth.value.value, c.value, 0, 4 * w.look[2].worth.value.standard_error);
    assert_near(w.look[2].acts.value, c.acts, 0, 0.01);
    assert_true(w.look[2].worth.value.value > w.look[1].worth.value.value + 0.005); /* no rule of a part */
    assert_int_equal(w.order[0], 2);
    sm_look_worths_destroy(&w);
}

/* Two gaps on two sides, each normal and read again: an event on either. By quadrature over both posterior means. */
static double two_sides(const double mean[2], const double sd[2], const double s[2], double limit, double q)
{
    enum { STEPS = 600 };
    double p[2][STEPS], weight[STEPS], P = 1, least = 0;
    for (int k = 0; k < 2; k++) {
        const double all = hypot(sd[k], s[k]);
        for (int i = 0; i < STEPS; i++) {
            const double z = -7 + 14 * (i + 0.5) / STEPS;
            weight[i] = gsl_ran_ugaussian_pdf(z) * 14 / STEPS;
            p[k][i] = gsl_cdf_ugaussian_P((limit - mean[k] - sd[k] * sd[k] / all * z) / (sd[k] * s[k] / all));
        }
        P *= gsl_cdf_ugaussian_Q((limit - mean[k]) / sd[k]);
    }
    for (int i = 0; i < STEPS; i++)
        for (int j = 0; j < STEPS; j++)
            least += weight[i] * weight[j] * fmin(1 - (1 - p[0][i]) * (1 - p[1][j]), q);
    return fmin(1 - P, q) - least;
}

static void both_sides(void **state)
{
    (void)state;
    static const double mean[2] = {4.45, 4.7}, sd[2] = {0.5, 0.6}, s[2] = {0.5, 0.6};
    for (int line = 0; line < 2; line++) {
        const double q = line == 0 ? 0.2 : 0.4;
        listed = 0;
        looked_hangs_on(&made, SM_LOOKED_OSTIUM_GAP);
        demo_read(&made.d, DEMO_LEFT, SM_OSTIUM_GAP, mean[0], sd[0], 0);
        demo_read(&made.d, DEMO_RIGHT, SM_OSTIUM_GAP, mean[1], sd[1], 0);
        made.d.c.action_line = q;
        plan_look(SM_PLANNED_AGAIN, 2, (sm_look_target[]){{DEMO_LEFT, SM_OSTIUM_GAP}, {DEMO_RIGHT, SM_OSTIUM_GAP}});
        sm_look_worths w = worths_of();
        const double value = two_sides(mean, sd, s, 4, q);
        assert_true(value > 0.02);
        assert_near(w.look[0].worth.value.value, value, 0.01, 3 * w.look[0].worth.value.standard_error);
        sm_look_worths_destroy(&w);
    }
}

/* 4. A projection, by quadrature */

/* E[min(P(event | y), q)] with X normal, G and M drawn: every sum over a grid of midpoints. */
static double projection_least(double mean, double sd, double limit, double half, const sm_planned_look *l, double q)
{
    enum { NX = 160, NG = 24, NM = 24, NY = 240 };
    const double view = l->view_error_sd_deg * M_PI / 180, miss = l->miss_deg * M_PI / 180;
    static double all[NY], events[NY];
    double least = 0;
    memset(all, 0, sizeof all);
    memset(events, 0, sizeof events);
    const double from = mean - 8, step = 16.0 / NY;
    for (int x = 0; x < NX; x++)
        for (int g = 0; g < NG; g++)
            for (int m = 0; m < NM; m++) {
                const double zx = -5 + 10 * (x + 0.5) / NX, zg = -4 + 8 * (g + 0.5) / NG, zm = -4 + 8 * (m + 0.5) / NM;
                const double X = mean + sd * zx,
                             shown = ((X + half) * cos(miss + view * zg) - half) * (1 + l->magnification_sd * zm);
                const double w = gsl_ran_ugaussian_pdf(zx) * gsl_ran_ugaussian_pdf(zg) * gsl_ran_ugaussian_pdf(zm) *
                                 (10.0 / NX) * (8.0 / NG) * (8.0 / NM);
                for (int y = 0; y < NY; y++) {
                    const double z = (from + (y + 0.5) * step - shown) / l->reader_sd_mm;
                    if (fabs(z) > 6)
                        continue;
                    const double here = w * gsl_ran_ugaussian_pdf(z) / l->reader_sd_mm * step;
                    all[y] += here;
                    events[y] += X < limit ? here : 0;
                }
            }
    for (int y = 0; y < NY; y++)
        least += fmin(events[y], q * all[y]);
    return least;
}

static void projections(void **state)
{
    (void)state;
    static const double tried[][4] = {{0.8, 0.04, 9.5, 0}, {0.4, 0, 20, 0}, {0.6, 0.04, 9.5, 25}};
    for (int i = 0; i < 3; i++) {
        listed = 0;
        looked_hangs_on(&made, SM_LOOKED_OSTIUM_GAP);
        made.d.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].value = sm_dist_normal(4.6, 0.8);
        made.d.c.action_line = 0.2;
        sm_planned_look *l = plan_one(SM_PLANNED_PROJECT, DEMO_LEFT, SM_OSTIUM_GAP);
        l->reader_sd_mm = tried[i][0];
        l->magnification_sd = tried[i][1];
        l->view_error_sd_deg = tried[i][2];
        l->miss_deg = 0; /* of the case; the run sets what its axes say */
        sm_planned_look off = *l;
        off.miss_deg = tried[i][3];
        if (tried[i][3] >
            0) { /* upright, its left gap 65 degrees from the front: RAO 25, and the gantry does not turn */
            made.d.side[DEMO_LEFT].azimuth_deg = 65;
            made.d.c.axes = (sm_patient_axes){true, {0, 0, 1}, {0, -1, 0}};
            made.d.c.gantry = (sm_gantry){0, 0, 40, 40};
        } else
            made.d.c.axes.present = false;
        sm_look_worths w = worths_of();
        const double P = gsl_cdf_ugaussian_P((4 - 4.6) / 0.8);
        if (tried[i][3] > 0) {
            assert_int_equal(w.n_views, 2);
            assert_near(w.view[0].projection.edge_on.off_deg, 25, 0, 1e-5);
        }
        const double value = fmin(P, 0.2) - projection_least(4.6, 0.8, 4, 11.2, &off, 0.2);
        assert_true(value > 0.01);
        assert_near(w.look[0].worth.value.value, value, 0.005, 3.5 * w.look[0].worth.value.standard_error);
        assert_int_equal(w.look[0].act.kind, SM_ACT_BELOW);
        sm_look_worths_destroy(&w);
    }
    made.d.c.axes.present = false;
}

/* 5. Planes and blooming */

/* Nothing but the plane's level and tilt is open: who reads in the same plane learns nothing, who places it anew does.
 * Nothing but the blooming is open: only another scan that blooms in another way tells. */
static void what_only_a_new_plane_shows(void **state)
{
    (void)state;
    listed = 0;
    looked_hangs_on(&made, SM_LOOKED_OSTIUM_GAP);
    demo_read(&made.d, DEMO_LEFT, SM_OSTIUM_GAP, 4.2, 1e-3, 0);
    demo_read(&made.d, DEMO_LEFT, SM_OSTIUM_HEIGHT, 10, 1e-3, 0);
    made.d.c.scan.centreline_sd_mm = 0.4;
    made.d.c.action_line = 0.2;
    const sm_look_target at[2] = {{DEMO_LEFT, SM_OSTIUM_GAP}, {DEMO_LEFT, SM_OSTIUM_HEIGHT}};
    plan_look(SM_PLANNED_AGAIN, 1, at);
    plan_look(SM_PLANNED_AGAIN, 1, at)->own_plane = true;
    plan_look(SM_PLANNED_AGAIN, 1, at)->own_plane = true;
    list[2].readers = 2;
    plan_look(SM_PLANNED_RESCAN, 1, at)->own_plane = true;
    sm_look_worths w = worths_of();
    assert_near(w.look[0].worth.value.value, 0, 0, 1e-3);
    /* the radius is hypot(15.4 + N(0, 0.4), N(0, 0.4)): along the side normal to the first order, and shown by a
     * second centre as good as the first; the second order, 0.4^2/2/15.4, is 0.005 mm */
    for (int i = 1; i <= 3; i++) {
        const closed_form c =
            normal_normal(4.2 + 0.0052, 0.4, 0.4 / sqrt(i == 2 ? 2 : 1), (looked_event){4, true}, 0.2);
        assert_near(w.look[i].worth.value.value, c.value, 0.01, 4 * w.look[i].worth.value.standard_error);
    }
    sm_look_worths_destroy(&w);
}

static void what_only_another_scan_shows(void **state)
{
    (void)state;
    listed = 0;
    looked_hangs_on(&made, SM_LOOKED_OSTIUM_GAP);
    demo_read(&made.d, DEMO_LEFT, SM_OSTIUM_GAP, 3.7, 1e-3, -1);
    made.d.c.scan.blooming_mm = sm_dist_normal(0.5, 0.3); /* X = 3.7 + B */
    made.d.c.action_line = 0.2;
    plan_one(SM_PLANNED_AGAIN, DEMO_LEFT, SM_OSTIUM_GAP)->own_plane = true;
    plan_one(SM_PLANNED_RESCAN, DEMO_LEFT, SM_OSTIUM_GAP)->scan.blooming_mm = sm_dist_constant(0.1);
    plan_one(SM_PLANNED_RESCAN, DEMO_LEFT, SM_OSTIUM_GAP)->scan.blooming_mm = sm_dist_normal(0.1, 0.2);
    list[1].own_plane = list[2].own_plane = true;
    sm_look_worths w = worths_of();
    assert_near(w.look[0].worth.value.value, 0, 0, 1e-3); /* the same B: shows 3.7 */
    const double P = gsl_cdf_ugaussian_P((4 - 4.2) / 0.3);
    assert_near(w.look[1].worth.value.value, 0.2 - 0.2 * P, 0, 2e-3); /* X itself: all there is to know */
    const closed_form c = normal_normal(4.2, 0.3, 0.2, (looked_event){4, true}, 0.2);
    assert_near(w.look[2].worth.value.value, c.value, 0, 4 * w.look[2].worth.value.standard_error);
    assert_near(w.look[2].act.at, c.at - 0.1, 0, 0.03); /* the new scan blooms by 0.1: the wall reads nearer */
    sm_look_worths_destroy(&w);
}

/* 6. The order that theory asks for */

/* The example case: everything that its standard looks say, by two lines. */
static void in_order(void **state)
{
    (void)state;
    for (int line = 0; line < 2; line++) {
        listed = 0;
        demo_fill(&made.d);
        made.d.c.n_alternatives = 0;
        made.d.c.action_line = line == 0 ? 0.2 : 0.35;
        const sm_look_target gaps[2] = {{DEMO_LEFT, SM_OSTIUM_GAP}, {DEMO_RIGHT, SM_OSTIUM_GAP}};
        plan_look(SM_PLANNED_AGAIN, 1, gaps);
        plan_look(SM_PLANNED_AGAIN, 1, gaps)->readers = 2;
        plan_look(SM_PLANNED_AGAIN, 1, gaps)->readers = 5;
        plan_look(SM_PLANNED_AGAIN, 2, gaps)->readers = 2;
        sm_planned_look *view = plan_one(SM_PLANNED_PROJECT, DEMO_LEFT, SM_OSTIUM_GAP);
        view->reader_sd_mm = 1.3;
        view->magnification_sd = 0.04;
        view->view_error_sd_deg = 9.5;
        plan_direct(SM_OF_VALVE, SM_TARGET_INNER_DIAMETER, 0.2);
        static size_t parts[3] = {1, 4, 5};
        sm_planned_look *bundle = plan_look(SM_PLANNED_BUNDLE, 0, gaps);
        bundle->n_parts = 3;
        bundle->part = parts;
        bundle->burden = 0.004;
        sm_look_worths w = worths_of();
        static const int below[][2] = {{0, 1}, {1, 2}, {1, 3}, {1, 6}, {4, 6}, {5, 6}};
        for (size_t i = 0; i < sizeof below / sizeof *below; i++)
            assert_true(w.look[below[i][0]].worth.value.value <= w.look[below[i][1]].worth.value.value);
        for (int i = 0; i < w.n; i++) {
            const sm_look_worth *l = &w.look[i];
            assert_true(l->worth.value.value >= 0 && l->worth.value.value <= w.bound);
            assert_near(l->net, l->worth.value.value - l->look->burden, 0, 1e-15);
            assert_true(i == 0 ||
                        sm_look_worth_net(&w, &w.look[w.order[i - 1]]) >= sm_look_worth_net(&w, &w.look[w.order[i]]));
        }
        const sm_policies p = sm_policies_at_line(w.event, w.line, &w.look[6]);
        assert_near(p.as_planned, w.event, 0, 0);
        assert_near(p.act_now, w.line, 0, 0);
        assert_near(p.look_then_act, fmin(w.event, w.line) - w.look[6].net, 0, 1e-15);
        assert_near(p.know_all, w.line * w.event, 0, 0);
        sm_look_worths_destroy(&w);
    }
}

/* 7. Choices */

/* One alternative that spares every event at the harm of the line is acting at the line. */
static void acting_is_an_alternative(void **state)
{
    (void)state;
    listed = 0;
    demo_fill(&made.d);
    static sm_alternative one = {.name = "act"};
    for (int k = 0; k < SM_MAX_CORONARIES; k++) {
        one.lacerate[k] = SM_NOT_DONE;
        one.rescue[k] = k < DEMO_SIDES ? 1 : SM_NOT_DONE;
    }
    one.burden = 0.2;
    one.burden_stated = true;
    made.d.c.alternative = &one;
    made.d.c.n_alternatives = 1;
    made.d.c.action_line = 0.2;
    plan_one(SM_PLANNED_AGAIN, DEMO_LEFT, SM_OSTIUM_GAP);
    plan_look(
        SM_PLANNED_AGAIN, 3,
        (sm_look_target[]){{DEMO_LEFT, SM_OSTIUM_GAP}, {DEMO_RIGHT, SM_OSTIUM_GAP}, {DEMO_LEFT, SM_OSTIUM_HEIGHT}});
    sm_look_worths w = worths_of();
    assert_true(w.has_choice && w.has_line);
    assert_int_equal(w.n_acts, 2);
    assert_near(w.cost_planned, w.event, 1e-12, 0);
    assert_near(w.cost_known, 0.2 * w.event, 1e-9, 0);
    assert_near(w.look[0].choice.value.value, w.look[0].worth.value.value, 1e-6, 1e-9);
    /* by each side's index in place of the patient's: the same but for the rule's second order */
    assert_near(w.look[1].choice.value.value, w.look[1].worth.value.value, 0.1, 1e-3);
    const sm_policies p = sm_policies_of_choice(w.event, &w, &w.look[0]);
    assert_near(p.act_now, fmin(w.event, 0.2), 1e-12, 0);
    sm_look_worths_destroy(&w);
    one.burden_stated = false; /* then nobody knows what acting costs */
    w = worths_of();
    assert_false(w.has_choice);
    sm_look_worths_destroy(&w);
    made.d.c.action_line = 0;
    sm_look_worths none;
    assert_int_equal(sm_look_worths_run(&made.d.c, (sm_run_context){.trials = 1000}, &none), SM_OK);
    assert_int_equal(none.n, 0);
    sm_look_worths_destroy(&none);
}

/* 8. Unit normal loss */

/* Where the risk is a straight line of what is shown, q + b (z - d), the worth is b times the unit normal loss
 * phi(d) - |d| Q(|d|) (Raiffa and Schlaifer, Applied Statistical Decision Theory, 1961; from memory). */
static void a_straight_line(void **state)
{
    (void)state;
    static const double apart[] = {0, 0.7, -1.3};
    for (int k = 0; k < 3; k++) {
        const sm_grid line = {.dims = 1};
        const double q = 0.4, b = 0.05, d = apart[k];
        sm_cell_counts cell[SM_GRID_LINE];
        sm_status s;
        for (int i = 0; i < SM_GRID_LINE; i++) {
            const double z = -4.5 + 9 * (i + 0.5) / SM_GRID_LINE, n = 1e6 * gsl_ran_ugaussian_pdf(z);
            cell[i] = (sm_cell_counts){{n, n}, {n * (q + b * (z - d)), n * (q + b * (z - d))}};
        }
        const sm_worth w = sm_policy_worth(&line, cell, q, (sm_watch){0}, &s);
        assert_int_equal(s, SM_OK);
        assert_near(w.value.value, b * (gsl_ran_ugaussian_pdf(d) - fabs(d) * gsl_cdf_ugaussian_Q(fabs(d))), 2e-3, 0);
        assert_near(w.change.value, gsl_cdf_ugaussian_Q(fabs(d)), 0, 0.015);
    }
}

/* 9. Views */

static void a_worse_view(void **state)
{
    (void)state;
    listed = 0;
    demo_fill(&made.d);
    made.d.c.n_alternatives = 0;
    made.d.c.action_line = 0.2;
    made.d.c.axes = (sm_patient_axes){true, {0, 0, 1}, {0, -1, 0}};
    made.d.c.gantry = (sm_gantry){90, 90, 40, 40};
    made.d.c.picture[SM_GAP_OSTIUM] = (sm_picture_errors){0.4, 0.02, 5};
    plan_one(SM_PLANNED_AGAIN, DEMO_LEFT, SM_OSTIUM_GAP);
    sm_look_worths w = worths_of();
    assert_int_equal(w.n_views, DEMO_SIDES);
    for (int k = 0; k < DEMO_SIDES; k++) {
        const sm_gap_view *v = &w.view[k];
        assert_int_equal(v->side, k);
        assert_near(v->projection.edge_on.off_deg, 0, 0, 1e-6);
        assert_near(v->shortens_more, (v->gap + 11.2) * (1 - cos(10 * M_PI / 180)), 1e-9, 0);
        assert_true(v->worth_off.value <= v->worth.value);
    }
    assert_true(w.view[0].worth.value > 0.01);
    assert_near(w.view[0].gap, 5.7 + 0.5, 0.02, 0); /* a bright wall, blooming 0.5 on average */
    sm_look_worths_destroy(&w);
    made.d.c.axes.present = false;
}

/* 10. Faults of a run */

static bool at_once(void *self)
{
    (void)self;
    return true;
}

static void interrupted(void **state)
{
    (void)state;
    listed = 0;
    demo_fill(&made.d);
    made.d.c.n_alternatives = 0;
    made.d.c.action_line = 0.2;
    plan_one(SM_PLANNED_AGAIN, DEMO_LEFT, SM_OSTIUM_GAP);
    sm_look_worths w;
    const sm_run_context c = {.trials = TRIALS, .watch = {.interrupted = at_once}};
    assert_int_equal(sm_look_worths_run(&made.d.c, c, &w), SM_INTERRUPTED);
    assert_int_equal(w.n, 0);
    assert_null(w.look);
}

static int no_handler(void **state)
{
    (void)state;
    gsl_set_error_handler_off();
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(direct_measurements),
        cmocka_unit_test(the_same_scan_again),
        cmocka_unit_test(worth_nothing),
        cmocka_unit_test(crosses_more_than_once),
        cmocka_unit_test(two_of_one_thing),
        cmocka_unit_test(both_sides),
        cmocka_unit_test(projections),
        cmocka_unit_test(what_only_a_new_plane_shows),
        cmocka_unit_test(what_only_another_scan_shows),
        cmocka_unit_test(in_order),
        cmocka_unit_test(acting_is_an_alternative),
        cmocka_unit_test(a_straight_line),
        cmocka_unit_test(a_worse_view),
        cmocka_unit_test(interrupted),
    };
    return cmocka_run_group_tests(tests, no_handler, NULL);
}
