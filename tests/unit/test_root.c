/* test_root.c - each draw of a case against its formula, trial by trial: what a root makes of the base draws, written
 * out again from docs/model.md.
 *
 * Contents: 1. trials with their draws  2. readings  3. the tube and its axis  4. second looks  5. chances  6. pilots
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_statistics_double.h>

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

enum { LOOKS = 3 };

static sm_reader_row look_row[LOOKS];
static double look_mm[LOOKS][1];

/* The first reading errs by 0.6 mm. */
static void add_look(int n, int k, sm_quantity_id q, double reading)
{
    look_mm[n][0] = reading;
    look_row[n] = (sm_reader_row){NULL, 1, look_mm[n]};
    demo.side[k].quantity[q].cross_check = (sm_cross_check){.present = true,
                                                            .readings = {1, &look_row[n]},
                                                            .reader_sd_mm = 0.9,
                                                            .magnification_sd = 0.02 + 0.03 * n,
                                                            .view_error_sd_deg = 8,
                                                            .spoiled = 0.05};
    demo.side[k].quantity[q].between_reader_sd_mm = 0.6;
}

/* Looks at the ostium and the junction of the left side and at the right ostium: in the order of the steering. */
static const char *const looked_at[LOOKS] = {"left.ostium_gap", "left.stj_gap", "right.ostium_gap"};
static const int look_side[LOOKS] = {DEMO_LEFT, DEMO_LEFT, DEMO_RIGHT};
static const sm_quantity_id look_quantity[LOOKS] = {SM_OSTIUM_GAP, SM_STJ_GAP, SM_OSTIUM_GAP};
static const sm_output_id look_output[LOOKS] = {SM_CONVENTIONAL_OSTIUM, SM_CONVENTIONAL_STJ, SM_CONVENTIONAL_OSTIUM};
static const double read_first[LOOKS] = {5.7, 2.7, 7.2};

static void look_thrice(double ostium, double stj, double right)
{
    const double reading[LOOKS] = {ostium, stj, right};
    demo_still_case(&demo);
    for (int l = 0; l < LOOKS; l++)
        add_look(l, look_side[l], look_quantity[l], reading[l]);
}

/* A column as the looks steered it. */
static double steered(const trials *t, const char *source, const char *part, int i)
{
    const double *raw = column_of(t, source, part);
    const double *const *column = sm_columns_of(&t->plan, 0, t->worker.column, &t->worker.at);
    for (int j = 0; j < t->plan.sources.n_columns; j++)
        if (t->worker.column[j] == raw)
            return column[j][i];
    return NAN;
}

static const char *look_source(int l)
{
    static char source[64];
    snprintf(source, sizeof source, "%s.cross_check", looked_at[l]);
    return source;
}

static int state_of(const trials *t, int l, int i)
{
    return (int)t->worker.at.steered[0].state[l][i];
}

/* The view of a trial in which not both readings are right is drawn from its distribution; one scale for all looks,
 * each with an SD of its own. */
static double cosine_of(const trials *t, int l, int i)
{
    return cos(8 * RADIANS * column_of(t, look_source(l), "view")[i]);
}

static double scale_of(const trials *t, int l, int i)
{
    return 1 + (0.02 + 0.03 * l) * steered(t, "cross_check_calibration", "scale", i);
}

/* model.md 3.1: X of the look alone. */
static double look_alone(const trials *t, int l, int i)
{
    const double error = 0.9 * column_of(t, look_source(l), "reader")[i];
    return ((look_mm[l][0] - error) / scale_of(t, l, i) + 11.2) / cosine_of(t, l, i) - 11.2;
}

/* Where the first reading is off the gap is the look's alone, else the first reading's with its error. All three occur.
 */
static void a_gap_is_what_is_taken_to_be_true(void **state)
{
    (void)state;
    trials t;
    int seen[LOOKS][SM_LOOK_STATES] = {{0}};
    look_thrice(8.1, 3.1, 7.9);
    draw_trials(NULL, &t);
    for (int l = 0; l < LOOKS; l++)
        for (int i = 0; i < SM_LANES; i++) {
            const double first = read_first[l] + 0.6 * steered(&t, looked_at[l], "error", i);
            const bool off = state_of(&t, l, i) == SM_FIRST_OFF;
            seen[l][state_of(&t, l, i)]++;
            assert_near(given(&t, look_side[l], look_output[l], i), off ? look_alone(&t, l, i) : first, 0, 1e-12);
        }
    for (int l = 0; l < LOOKS; l++)
        assert_true(seen[l][SM_BOTH_RIGHT] > 0 && seen[l][SM_LOOK_OFF] > 0 && seen[l][SM_FIRST_OFF] > 0);
    trials_destroy(&t);
}

/* Where no look is taken for right with its first reading nothing is steered: the weight is what the mixture gives
 * these states, o/D and (o/D) J with D = 35 mm, over how often this combination is tried. */
static void weights_of_spoiled_readings_by_hand(void **state)
{
    (void)state;
    trials t;
    double weight[SM_LANES];
    int found = 0;
    look_thrice(10.9, 7.1, 11.9);
    draw_trials(NULL, &t);
    sm_evaluate_weights(&t.plan, 0, &t.worker.at, weight);
    for (int i = 0; i < SM_LANES; i++) {
        int combination = 0;
        double want = 1;
        bool off = true;
        for (int l = LOOKS - 1; l >= 0; l--) {
            const int now = state_of(&t, l, i);
            combination = SM_LOOK_STATES * combination + now;
            want *= 0.05 / 0.95 / 35;
            want /= now == SM_FIRST_OFF ? cosine_of(&t, l, i) * scale_of(&t, l, i) : 1;
            off = off && now != SM_BOTH_RIGHT;
            assert_int_equal(sm_choices_state(combination, 0), now);
        }
        if (!off)
            continue;
        found++;
        assert_near(weight[i], want / t.plan.root[0].choices.share[combination], 1e-9, 0);
    }
    assert_true(found > 50);
    trials_destroy(&t);
}

/* With view and scale exact the linear model is the truth: a trial in which both readings are right weighs the density
 * of the look's reading about the first, N(5.7, 0.6^2 + 0.9^2), over how often that is tried, whatever is drawn. */
static void a_linear_look_weighs_all_trials_alike(void **state)
{
    (void)state;
    trials t;
    double weight[SM_LANES];
    int found = 0;
    demo_still_case(&demo);
    add_look(0, DEMO_LEFT, SM_OSTIUM_GAP, 6.4);
    sm_cross_check *c = &demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].cross_check;
    c->view_error_sd_deg = c->magnification_sd = 0;
    draw_trials(NULL, &t);
    sm_evaluate_weights(&t.plan, 0, &t.worker.at, weight);
    const double variance = 0.36 + 0.81, share = t.plan.root[0].choices.share[SM_BOTH_RIGHT];
    const double want = exp(-0.49 / (2 * variance)) / sqrt(2 * M_PI * variance) / share;
    for (int i = 0; i < SM_LANES; i++)
        if (state_of(&t, 0, i) == SM_BOTH_RIGHT) {
            assert_near(weight[i], want, 1e-10, 0);
            found++;
        }
    assert_true(found > SM_LANES / 2);
    trials_destroy(&t);
}

/* Every combination is tried, the shares add up to 1, and what the linear model holds for more probable is tried more.
 */
static void every_combination_is_tried(void **state)
{
    (void)state;
    sm_plan p;
    look_thrice(6.3, 7.9, 7.5);
    assert_int_equal(sm_plan_create(&demo.c, 5, &p), SM_OK);
    const sm_choices *c = &p.root[0].choices;
    double sum = 0, stj_off = 0, ostium_off = 0;
    assert_int_equal(c->n, 27);
    for (int i = 0; i < c->n; i++) {
        assert_true(c->share[i] > 0.2 / 27 * 0.999);
        sum += c->share[i];
        assert_near(c->upto[i], sum, 1e-14, 0);
        stj_off += sm_choices_state(i, 1) != SM_BOTH_RIGHT ? c->share[i] : 0;
        ostium_off += sm_choices_state(i, 0) != SM_BOTH_RIGHT ? c->share[i] : 0;
    }
    assert_near(sum, 1, 0, 1e-14);
    assert_true(stj_off > 0.9 && ostium_off < 0.3); /* the junction reads 5.2 mm more */
    sm_plan_destroy(&p);
}

/* dX by the five draws of the frame against a difference: the landmark placed in frames that lean or move by little. */
static void expect_answer(const sm_steered_look *l, int draw)
{
    static const double small = 1e-5;
    double moved[SM_LANES], X[2];
    const double *changed[512];
    sm_plan p;
    sm_worker w;
    sm_coronary side[DEMO_SIDES];
    sm_case plain = demo.c;
    memcpy(side, demo.side, sizeof side);
    plain.coronary = side;
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            side[k].quantity[q].cross_check.present = false;
    assert_int_equal(sm_plan_create(&plain, 5, &p), SM_OK);
    assert_int_equal(sm_worker_create(&p, &w), SM_OK);
    assert_true(p.sources.n_columns < 512);
    const sm_root_frame *f = &p.root[0].frame;
    const int at = draw < 3 ? f->normal[draw] : f->centreline[draw - 3];
    memset(w.base, 0, (size_t)p.sources.n_columns * SM_BLOCK * sizeof *w.base);
    sm_worker_point(&w, 0);
    for (int j = 0; j < p.sources.n_columns; j++)
        changed[j] = w.column[j];
    for (int i = 0; i < 2; i++) {
        for (int lane = 0; lane < SM_LANES; lane++)
            moved[lane] = i == 0 ? -small : small;
        changed[at] = moved;
        sm_evaluate_first(&p, changed, &w.at);
        const sm_landmarks *all = &w.at.landmarks[l->side];
        const sm_landmark *gap = &all->at[l->at == SM_LOOKED_STJ_GAP ? SM_GAP_STJ : SM_GAP_OSTIUM];
        X[i] = l->at == SM_LOOKED_LEAFLET_HEIGHT ? all->H[0] : hypot(gap->x[0], gap->y[0]);
    }
    assert_near((X[1] - X[0]) / (2 * small), l->by_draw[draw], 1e-6, 1e-8);
    sm_worker_destroy(&w);
    sm_plan_destroy(&p);
}

static void x_answers_to_the_frame(void **state)
{
    (void)state;
    static const double reading[LOOKS] = {6.3, 3.1, 7.9};
    for (int form = 0; form < 2; form++) {
        sm_plan p;
        demo_still_case(&demo);
        demo.c.scan.centreline_sd_mm = 0.4;
        demo.c.scan.base_plane.point_sd_mm = 0.7;
        demo.c.scan.base_plane.azimuths_deg[1] = 95;
        if (form == 1)
            demo.c.scan.base_plane = (sm_base_plane){.tilt_form = true, .tilt_sd_deg = 3, .level_sd_mm = 0.5};
        for (int l = 0; l < LOOKS; l++)
            add_look(l, look_side[l], look_quantity[l], reading[l]);
        demo.side[DEMO_RIGHT].quantity[SM_LEAFLET_HEIGHT].cross_check =
            demo.side[DEMO_LEFT].quantity[SM_STJ_GAP].cross_check;
        assert_int_equal(sm_plan_create(&demo.c, 5, &p), SM_OK);
        assert_int_equal(p.root[0].steering.n, 4);
        for (int l = 0; l < 4; l++)
            for (int draw = 0; draw < SM_FRAME_DRAWS; draw++)
                expect_answer(&p.root[0].steering.look[l], draw);
        sm_plan_destroy(&p);
    }
}

/* A gap that reads 8 mm more is another case: what the look says of it is weighed anew. */
static void a_gap_that_reads_otherwise_is_weighed_anew(void **state)
{
    (void)state;
    trials t;
    double weight[SM_LANES], planned[SM_LANES];
    look_thrice(6.3, 3.1, 7.9);
    draw_trials(&(sm_root_request){.more_mm = 8, .more_side = DEMO_LEFT, .more_gap = SM_GAP_OSTIUM}, &t);
    const sm_root *r = &t.plan.root[1];
    assert_near(r->side[DEMO_LEFT].readings.reading[SM_OSTIUM_GAP].reading.estimate, 13.7, 0, 1e-13);
    assert_near(r->steering.look[0].first.reading.estimate, 13.7, 0, 1e-13);
    assert_near(r->steering.look[2].first.reading.estimate, 7.2, 0, 1e-13);
    assert_true(r->choices.share[0] < 0.3 * t.plan.root[0].choices.share[0]);
    assert_int_equal(t.plan.parts[1].steering.owner, 1);
    assert_false(sm_parts_weigh_as_first(t.plan.root, t.plan.parts, 1));
    sm_evaluate_weights(&t.plan, 0, &t.worker.at, planned);
    sm_evaluate_weights(&t.plan, 1, &t.worker.at, weight);
    assert_memory_not_equal(planned, weight, sizeof weight);
    trials_destroy(&t);
}

static void look_at_ring(double reading)
{
    demo_still_case(&demo);
    look_mm[0][0] = reading;
    look_row[0] = (sm_reader_row){NULL, 1, look_mm[0]};
    demo.c.valve.inner_diameter = (sm_quantity){
        .value = sm_dist_normal(22.3, 0.3),
        .cross_check = {.present = true, .readings = {1, &look_row[0]}, .reader_sd_mm = 0.2, .spoiled = 0.05}};
}

/* A second look is at the ring as it is: where an alternative makes another of it, that has a draw of its own and the
 * trials weigh as in the case; where it leaves the ring alone, it has the ring of the case. */
static void another_ring_has_a_draw_of_its_own(void **state)
{
    (void)state;
    trials t;
    double planned[SM_LANES], weight[SM_LANES];
    for (int cracked = 0; cracked < 2; cracked++) {
        look_at_ring(22.8);
        sm_surgical_valve other = demo.c.valve;
        other.ring_height_mm = 3.1;
        other.inner_diameter.cross_check.present = false;
        if (cracked)
            other.inner_diameter.value = sm_dist_normal(23.4, 0.5);
        draw_trials(&(sm_root_request){.valve = &other}, &t);
        const double *of_first = t.worker.at.tube->hold, *of_other = t.worker.at.tube[t.plan.parts[1].tube.slot].hold;
        for (int i = 0; i < SM_LANES; i++) {
            const bool off = state_of(&t, 0, i) == SM_FIRST_OFF;
            const double ring = off ? 22.8 - 0.2 * column_of(&t, "inner_diameter.cross_check", "reader")[i]
                                    : 22.3 + 0.3 * steered(&t, "inner_diameter", "value", i);
            assert_near(of_first[i], ring + 0.15, 0, 1e-12);
            assert_near(of_other[i],
                        cracked ? 23.4 + 0.5 * column_of(&t, "inner_diameter", "another")[i] + 0.15 : of_first[i], 0,
                        1e-12);
        }
        assert_int_equal(t.plan.root[1].tube.look_inner_diameter, cracked ? -1 : 0);
        assert_true(sm_parts_weigh_as_first(t.plan.root, t.plan.parts, 1));
        sm_evaluate_weights(&t.plan, 0, &t.worker.at, planned);
        if (!cracked) {
            sm_evaluate_weights(&t.plan, 1, &t.worker.at, weight);
            assert_memory_equal(planned, weight, sizeof weight);
        }
        trials_destroy(&t);
    }
}

/* Without a look no trial has a weight, and columns are as drawn. */
static void without_looks_nothing_is_weighed(void **state)
{
    (void)state;
    trials t;
    double weight[SM_LANES];
    demo_fill(&demo);
    draw_trials(NULL, &t);
    assert_false(sm_plan_weighs(&t.plan) || sm_plan_weighs_first(&t.plan));
    assert_ptr_equal(sm_columns_of(&t.plan, 0, t.worker.column, &t.worker.at), t.worker.column);
    assert_int_equal(t.plan.root[0].choices.n, 0);
    sm_evaluate_weights(&t.plan, 0, &t.worker.at, weight);
    for (int i = 0; i < SM_LANES; i++)
        assert_near(weight[i], 1, 0, 0);
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
        assert_near(r->plane_taken, want, 0.005, 0);
        assert_near(r->variance, 1 - r->plane_taken, 1e-14, 0);
        sm_plan_destroy(&p);
    }
}

/* The scatter over seeds of what the plane adds to a reading, relative, the wave of the cuff included. */
static double pilot_scatter(bool brief)
{
    enum { SEEDS = 24 };
    double share[SEEDS];
    sm_quantity *q = &demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP];
    demo_still_case(&demo);
    demo.c.scan.base_plane.point_sd_mm = 0.7;
    demo.c.scan.base_plane.cuff_wave_mm = 0.6;
    demo.c.scan.base_plane.placements = 2;
    demo.c.scan.centreline_sd_mm = 0.4;
    q->between_reader_sd_mm = 3;
    q->sd_includes_plane = true;
    for (int seed = 0; seed < SEEDS; seed++) {
        sm_plan p;
        assert_int_equal((brief ? sm_plan_create_brief : sm_plan_create)(&demo.c, (uint64_t)seed, &p), SM_OK);
        share[seed] = p.root[0].side[DEMO_LEFT].readings.reading[SM_OSTIUM_GAP].reading.plane_taken;
        sm_plan_destroy(&p);
    }
    return gsl_stats_sd(share, 1, SEEDS) / gsl_stats_mean(share, 1, SEEDS);
}

/* docs/numerics.md */
static void pilots_err_no_more_than_stated(void **state)
{
    (void)state;
    const double whole = pilot_scatter(false), brief = pilot_scatter(true);
    assert_true(whole > 0 && whole < 5e-4);
    assert_true(brief > 0 && brief < 2e-3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resolution_is_a_rectangle_of_full_width),
        cmocka_unit_test(a_height_errs_by_its_readers),
        cmocka_unit_test(the_reference_is_for_gaps_alone),
        cmocka_unit_test(without_correction_only_gaps_change),
        cmocka_unit_test(the_tube_is_its_formulas),
        cmocka_unit_test(a_gap_is_what_is_taken_to_be_true),
        cmocka_unit_test(weights_of_spoiled_readings_by_hand),
        cmocka_unit_test(a_linear_look_weighs_all_trials_alike),
        cmocka_unit_test(every_combination_is_tried),
        cmocka_unit_test(x_answers_to_the_frame),
        cmocka_unit_test(a_gap_that_reads_otherwise_is_weighed_anew),
        cmocka_unit_test(another_ring_has_a_draw_of_its_own),
        cmocka_unit_test(without_looks_nothing_is_weighed),
        cmocka_unit_test(a_laceration_succeeds_in_its_share),
        cmocka_unit_test(the_plane_s_part_is_that_of_one_placement),
        cmocka_unit_test(pilots_err_no_more_than_stated),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}
