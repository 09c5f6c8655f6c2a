/* test_smooth.c - the probability of the rules over private errors, against brute force with the geometry itself.
 *
 * Nothing of (8.1) to (8.5) is used: at fixed scores of gap and height error the landmark goes through
 * sm_side_landmarks and sm_side_evaluate, the end of "crossed" is found by bisection and the scores are integrated by
 * quadrature.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>

#include "check.h"
#include "geometry/gap.h"
#include "geometry/smooth.h"

/* One trial in lane 0: a side, a bent tube, a tilted frame. */
typedef struct {
    sm_side_model side;
    sm_tube_model shape;
    sm_tube tube;
    sm_frame frame;
    double reading[SM_QUANTITIES], sd_gap, sd_height, limit;
    sm_gap_id gap;
    bool split; /* the leaflet was lacerated with success */
} trial;

static trial *odd_trial(sm_gap_id gap)
{
    trial *t = calloc(1, sizeof *t);
    assert_non_null(t);
    const sm_limits limits = {.reach_margin_mm = 0};
    const sm_surgical_valve valve = {.post_block_deg = 15};
    t->side = sm_side_create(35, 22.4, &limits, &valve);
    t->shape = (sm_tube_model){.frame_height = 19,
                               .ring_height = 2.5,
                               .skirt_height = 5,
                               .shape_points = 3,
                               .shape = {{0, 1.02}, {0.5, 0.93}, {1, 1.11}}};
    t->tube.D0[0] = 24.3;
    t->tube.hold[0] = 22.1;
    t->tube.ecc_c[0] = 0.03;
    t->tube.ecc_s[0] = -0.02;
    t->tube.flare[0] = 0.6;
    t->tube.depth[0] = 3.7;
    t->tube.off_x[0] = 0.4;
    t->tube.off_y[0] = -0.3;
    t->tube.cant_x[0] = 0.05;
    t->tube.cant_y[0] = -0.03;
    t->tube.mount_offset[0] = 0.9;
    t->tube.mid[0] = 0.4;
    t->tube.post_c[0] = 0.6;
    t->tube.post_s[0] = 0.8;
    t->tube.overhang[0] = 1.5;
    const double a[SM_LANES] = {tan(8 * M_PI / 180)}, b[SM_LANES] = {-0.06}, c[SM_LANES] = {0.3}, cx[SM_LANES] = {0.5},
                 cy[SM_LANES] = {-0.2};
    sm_frame_place(a, b, c, cx, cy, &t->frame);
    const double reading[SM_QUANTITIES] = {13.1, 5.4, 14.3, 3.1, 14.6};
    memcpy(t->reading, reading, sizeof reading);
    t->sd_gap = 0.62;
    t->sd_height = 1.13;
    t->gap = gap;
    t->limit = gap == SM_GAP_OSTIUM ? 4 : 2;
    return t;
}

/* Whether the rule of the gap is met, by section 5, with these scores of its two errors. */
static bool crossed(const trial *t, double of_gap, double of_height)
{
    double mm[SM_QUANTITIES][SM_LANES] = {{0}}, limit[SM_GAPS][SM_LANES] = {{0}};
    static sm_landmarks l;
    static sm_side_out out;
    for (int q = 0; q < SM_QUANTITIES; q++)
        mm[q][0] = t->reading[q];
    mm[sm_gaps[t->gap].quantity][0] += t->sd_gap * of_gap;
    mm[sm_gaps[t->gap].height][0] += t->sd_height * of_height;
    sm_side_landmarks(&t->side.place, &t->frame, (const double(*)[SM_LANES])mm, &l);
    limit[t->gap][0] = t->limit;
    const double split[SM_LANES] = {1};
    sm_side_evaluate(&t->side, &t->shape, &t->tube, &l, (const double(*)[SM_LANES])limit, t->split ? split : NULL,
                     &out);
    return out.crossed[t->gap][0] == 1;
}

/* What (8.5) gives, at one u. */
static double smoothed(const trial *t, const sm_table *phi, double at)
{
    static sm_private_pair pair;
    static sm_level level;
    static sm_side_tube tube;
    double u[SM_LANES], limit[SM_LANES], p[SM_LANES], r[SM_LANES], x[SM_LANES], y[SM_LANES], H[SM_LANES], z[SM_LANES];
    for (int i = 0; i < SM_LANES; i++) {
        pair.gap[i] = t->reading[sm_gaps[t->gap].quantity];
        pair.height[i] = t->reading[sm_gaps[t->gap].height];
        pair.gap_sd[i] = t->sd_gap;
        pair.height_sd[i] = t->sd_height;
        u[i] = at;
        r[i] = t->side.place.circle / 2;
        z[i] = t->reading[SM_LEAFLET_HEIGHT];
    }
    pair.u = u;
    sm_frame_point(&t->frame, t->side.place.cos_az, t->side.place.sin_az, r, z, x, y, H);
    if (t->split)
        sm_smooth_open_tube(&t->shape, &t->tube, H, &tube);
    else
        sm_smooth_tube(&t->side, &t->shape, &t->tube, H, &tube);
    sm_smooth_level(&t->side, &t->shape, &t->tube, &t->frame, &tube, &pair, phi, &level);
    for (int i = 0; i < SM_LANES; i++)
        limit[i] = t->limit;
    pair.margin = t->gap == SM_GAP_STJ ? t->side.reach_margin : 0;
    sm_smooth_crossed(&level, limit, phi, p);
    return p[0];
}

/* The least gap score that is not crossed at a height score: by bisection; the set reaches down from it. */
static double end_of_crossed(const trial *t, double of_height)
{
    double low = -9, high = 9;
    if (!crossed(t, low, of_height))
        return -9;
    for (int i = 0; i < 60 && crossed(t, high, of_height) == false; i++) {
        const double middle = (low + high) / 2;
        if (crossed(t, middle, of_height))
            low = middle;
        else
            high = middle;
    }
    return crossed(t, high, of_height) ? 9 : low;
}

static double slice(double of_height, void *t)
{
    return gsl_ran_ugaussian_pdf(of_height) * gsl_cdf_ugaussian_P(end_of_crossed(t, of_height));
}

static double smooth_slice(double u, void *with)
{
    const void **w = with;
    return smoothed(w[0], w[1], u);
}

/* The mean over u of (8.5) is the probability over both errors: brute force along the height, exact ends along the gap.
 */
static void check_whole(trial *t)
{
    gsl_integration_workspace *w = gsl_integration_workspace_alloc(2000);
    sm_tables *tables = sm_tables_create();
    const sm_table *phi = NULL;
    double brute, error, smooth;
    assert_int_equal(sm_tables_phi(tables, &phi), SM_OK);
    gsl_function f = {slice, t};
    assert_int_equal(gsl_integration_qag(&f, -8, 8, 1e-9, 0, 2000, GSL_INTEG_GAUSS21, w, &brute, &error), GSL_SUCCESS);
    const void *with[] = {t, phi};
    gsl_function g = {smooth_slice, (void *)with};
    assert_int_equal(gsl_integration_qag(&g, 0, 1, 1e-10, 0, 2000, GSL_INTEG_GAUSS21, w, &smooth, &error), GSL_SUCCESS);
    assert_true(brute > 0.01 && brute < 0.99);
    assert_near(smooth, brute, 0, 1e-8);
    sm_tables_destroy(tables);
    gsl_integration_workspace_free(w);
}

static void test_ostium(void **state)
{
    (void)state;
    trial *t = odd_trial(SM_GAP_OSTIUM);
    check_whole(t);
    t->sd_height = 0.21; /* the gap's error, in a tilted plane, moves the height too */
    t->reading[SM_OSTIUM_HEIGHT] = 13.7;
    check_whole(t);
    t->shape.drawn_circle = true;
    check_whole(t);
    free(t);
}

static void test_stj(void **state)
{
    (void)state;
    trial *t = odd_trial(SM_GAP_STJ);
    check_whole(t);
    t->side.reach_margin = 1.3; /* above its top the tube is as wide as there */
    check_whole(t);
    free(t);
}

/* Laid open the tube ends at the skirt, which reaches a low ostium, and is the bare frame: section 5's own, where no
 * post stands in front. */
static void test_open(void **state)
{
    (void)state;
    trial *t = odd_trial(SM_GAP_OSTIUM);
    double clear[SM_LANES];
    t->split = true;
    t->shape.skirt_height = 12;
    t->reading[SM_OSTIUM_HEIGHT] = 8.6;
    t->reading[SM_OSTIUM_GAP] = 4.4;
    sm_side_clear_of_posts(&t->side, &t->tube, clear);
    assert_true(clear[0] == 1);
    check_whole(t);
    t->tube.post_c[0] = cos(3 * 35 * M_PI / 180); /* a post at 35 degrees, where the ostium is */
    t->tube.post_s[0] = sin(3 * 35 * M_PI / 180);
    sm_side_clear_of_posts(&t->side, &t->tube, clear);
    assert_true(clear[0] == 0);
    free(t);
}

/* (8.7), by hand. */
static void test_mixed(void **state)
{
    (void)state;
    double success[SM_LANES] = {0.25, 0, 1}, p[SM_LANES] = {0.8, 0.7, 0.6}, open[SM_LANES] = {0.2, 0.1, 0.3},
           mixed[SM_LANES];
    sm_smooth_mixed(success, p, open, mixed);
    assert_near(mixed[0], 0.65, 0, 1e-15);
    assert_near(mixed[1], 0.7, 0, 1e-15);
    assert_near(mixed[2], 0.3, 0, 1e-15);
}

/* At one height, without a height error and in a level plane, the event is an interval of the gap alone. */
static void test_ends(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    const sm_table *phi = NULL;
    assert_int_equal(sm_tables_phi(tables, &phi), SM_OK);
    trial *t = odd_trial(SM_GAP_OSTIUM);
    const double zero[SM_LANES] = {0}, up[SM_LANES] = {0.2};
    sm_frame_place(zero, zero, up, zero, zero, &t->frame);
    t->sd_height = 0;
    t->reading[SM_OSTIUM_HEIGHT] = 10.3;
    assert_near(smoothed(t, phi, 0.3), gsl_cdf_ugaussian_P(end_of_crossed(t, 0)), 0, 1e-9);
    assert_near(smoothed(t, phi, 0.9), smoothed(t, phi, 0.1), 0, 1e-15);
    t->reading[SM_OSTIUM_HEIGHT] = 17; /* above the tube for certain */
    assert_near(smoothed(t, phi, 0.3), 0, 0, 1e-15);
    free(t);
    sm_tables_destroy(tables);
}

/* Without any error all or nothing, as (5.5) has it. */
static void test_no_error(void **state)
{
    (void)state;
    sm_tables *tables = sm_tables_create();
    const sm_table *phi = NULL;
    assert_int_equal(sm_tables_phi(tables, &phi), SM_OK);
    trial *t = odd_trial(SM_GAP_OSTIUM);
    t->sd_gap = t->sd_height = 0;
    int n = 0;
    for (double gap = 2.1; gap < 9; gap += 0.37, n++) {
        t->reading[SM_OSTIUM_GAP] = gap;
        assert_near(smoothed(t, phi, 0.41), crossed(t, 0, 0) ? 1 : 0, 0, 1e-15);
    }
    t->reading[SM_OSTIUM_GAP] = 2.1;
    assert_near(smoothed(t, phi, 0.41), 1, 0, 1e-15);
    t->limit = -40; /* no radius is left */
    assert_near(smoothed(t, phi, 0.41), 0, 0, 0);
    free(t);
    sm_tables_destroy(tables);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_ostium), cmocka_unit_test(test_stj),   cmocka_unit_test(test_ends),
        cmocka_unit_test(test_open),   cmocka_unit_test(test_mixed), cmocka_unit_test(test_no_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
