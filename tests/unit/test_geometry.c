/* test_geometry.c - the frame, the tube, one side's clearances, a lacerated leaflet.
 *
 * Every expected value is written out from the formulas of docs/model.md by other means than the code under test: in
 * plain numbers, by the textbook rotation, or from closed forms.
 *
 * Contents: 1. the frame  2. the tube  3. a side  4. a lacerated leaflet
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_math.h>

#include "geometry/side.h"

enum { LANE = 17 }; /* the trial that the tests look at; the others are zero */

/* 1. The frame */

static sm_frame frame;

static void place(double a, double b, double c, double cx, double cy)
{
    static double A[SM_LANES], B[SM_LANES], C[SM_LANES], X[SM_LANES], Y[SM_LANES];
    A[LANE] = a;
    B[LANE] = b;
    C[LANE] = c;
    X[LANE] = cx;
    Y[LANE] = cy;
    sm_frame_place(A, B, C, X, Y, &frame);
}

static void point(double az, double r, double z, double out[3])
{
    static double R[SM_LANES], Z[SM_LANES], x[SM_LANES], y[SM_LANES], h[SM_LANES];
    R[LANE] = r;
    Z[LANE] = z;
    sm_frame_point(&frame, cos(az), sin(az), R, Z, x, y, h);
    out[0] = x[LANE];
    out[1] = y[LANE];
    out[2] = h[LANE];
}

static void expect_point(double az, double r, double z, double x, double y, double h)
{
    double p[3];
    point(az, r, z, p);
    assert_near(p[0], x, 0, 2e-14);
    assert_near(p[1], y, 0, 2e-14);
    assert_near(p[2], h, 0, 2e-14);
}

static void an_upright_frame_changes_nothing(void **state)
{
    (void)state;
    place(0, 0, 0, 0, 0);
    expect_point(0.83, 16.9, 9.6, 16.9 * cos(0.83), 16.9 * sin(0.83), 9.6);
    place(0, 0, -0.37, 0.81, -0.45);
    expect_point(0.83, 16.9, 9.6, 0.81 + 16.9 * cos(0.83), -0.45 + 16.9 * sin(0.83), 9.23);
}

/* A plane that rises along x by the angle t: rotation about the y axis. A landmark high above swings against the rise,
 * inward on the side that went up. */
static void a_tilt_along_x_is_a_rotation(void **state)
{
    (void)state;
    const double t = 0.13, r = 17.2, z = 10.4, az = 0.61;
    place(tan(t), 0, 0, 0, 0);
    const double x = r * cos(az), y = r * sin(az);
    expect_point(az, r, z, cos(t) * x - sin(t) * z, y, sin(t) * x + cos(t) * z);
    double p[3];
    point(0, r, z, p);
    assert_true(p[0] < r * cos(t));
}

static void a_tilt_along_y_is_a_rotation(void **state)
{
    (void)state;
    const double t = -0.21, r = 17.2, z = 10.4, az = 2.3;
    place(0, tan(t), 0.5, 0, 0);
    const double x = r * cos(az), y = r * sin(az);
    expect_point(az, r, z, x, cos(t) * y - sin(t) * z, 0.5 + sin(t) * y + cos(t) * z);
}

/* Any tilt: unit vectors at right angles, right-handed, u above the x axis, n normal to the plane z = c + a x + b y. */
static void the_frame_is_a_rotation_for_any_tilt(void **state)
{
    (void)state;
    for (int i = 0; i < 40; i++) {
        double a = 0.9 * sin(1.3 * i), b = 0.9 * cos(2.1 * i), o[3], u[3], v[3], n[3];
        place(a, b, 0.3, 1.1, -0.7);
        point(0, 0, 0, o);
        point(0, 1, 0, u);
        point(M_PI / 2, 1, 0, v);
        point(0, 0, 1, n);
        double uv = 0, un = 0, vn = 0, uu = 0, vv = 0, nn = 0;
        for (int j = 0; j < 3; j++) {
            u[j] -= o[j], v[j] -= o[j], n[j] -= o[j];
            uv += u[j] * v[j], un += u[j] * n[j], vn += v[j] * n[j];
            uu += u[j] * u[j], vv += v[j] * v[j], nn += n[j] * n[j];
        }
        assert_near(uu, 1, 1e-14, 0);
        assert_near(vv, 1, 1e-14, 0);
        assert_near(nn, 1, 1e-14, 0);
        assert_near(fabs(uv) + fabs(un) + fabs(vn), 0, 0, 1e-14);
        assert_near(u[0] * v[1] - u[1] * v[0], n[2], 0, 1e-14);
        assert_near(u[1], 0, 0, 1e-15);
        assert_near(u[2], a * u[0], 0, 1e-14);
        assert_near(n[0] + a * n[2], 0, 0, 1e-14);
        assert_near(n[1] + b * n[2], 0, 0, 1e-14);
        assert_near(o[2], 0.3 + a * 1.1 + b * -0.7, 0, 1e-15);
    }
}

/* The distance of a point from an axis and its height along it, the other way round:
 * (3,4,7) lies sqrt(11.2) from the line through (1,0,2) along (0,2,1) and 5.8137767415 along it. */
static void a_point_is_found_from_its_axis(void **state)
{
    (void)state;
    place(0, -2, 2, 1, 0); /* n = (0, 2, 1)/sqrt 5 */
    expect_point(atan2(-6 / sqrt(5), 2), sqrt(11.2), 13 / sqrt(5), 3, 4, 7);
    assert_near(13 / sqrt(5), 5.8137767415, 1e-10, 0);
    /* (1,2,3) lies sqrt 2 from the line along (1,1,1) and 2 sqrt 3 along it; v . (p - z n) = sqrt(3/2), u . = -1/sqrt 2
     */
    place(-1, -1, 0, 0, 0);
    expect_point(atan2(0, -1), sqrt(2), 2 * sqrt(3), 1, 2, 3);
}

/* 2. The tube */

static sm_tube tube;

static sm_tube_model straight(void)
{
    tube = (sm_tube){.D0 = {0}};
    tube.D0[LANE] = 24.5;
    tube.hold[LANE] = 22.4;
    tube.depth[LANE] = 4;
    return (sm_tube_model){.frame_height = 19, .ring_height = 2.5, .skirt_height = 9};
}

static double radius_at(const sm_tube_model *m, double th, double height, double *W_out)
{
    static double z[SM_LANES], R[SM_LANES], W[SM_LANES];
    const sm_direction d = sm_direction_at(th);
    z[LANE] = height;
    sm_tube_frame_radius(m, &tube, &d, z, R, W);
    if (W_out)
        *W_out = W[LANE];
    return R[LANE];
}

static void the_ring_holds_the_waist(void **state)
{
    (void)state;
    double W;
    const sm_tube_model m = straight();
    assert_near(radius_at(&m, 0.4, 8, &W), 11.2, 1e-15, 0);
    assert_near(W, 22.4, 1e-15, 0);
    tube.D0[LANE] = 21.1; /* smaller than the ring */
    tube.flare[LANE] = 1;
    assert_near(radius_at(&m, 0.4, 14, &W), 10.55, 1e-15, 0);
    assert_near(W, 21.1, 1e-15, 0);
}

/* (4.3), (4.4): nothing at the ring and below it, half way up half the share, all of it at the top and above. */
static void the_frame_flares_above_the_ring(void **state)
{
    (void)state;
    const sm_tube_model m = straight();
    tube.flare[LANE] = 0.6;
    const double top = 15, whole = 0.6 * (24.5 - 22.4) / 2;
    assert_near(radius_at(&m, 0, -3, NULL), 11.2, 1e-15, 0);
    assert_near(radius_at(&m, 0, 2.5, NULL), 11.2, 1e-15, 0);
    assert_near(radius_at(&m, 0, (2.5 + top) / 2, NULL), 11.2 + whole / 2, 1e-14, 0);
    assert_near(radius_at(&m, 0, top, NULL), 11.2 + whole, 1e-14, 0);
    assert_near(radius_at(&m, 0, 40, NULL), 11.2 + whole, 1e-14, 0);
}

static void a_frame_below_the_ring_does_not_break(void **state)
{
    (void)state;
    const sm_tube_model m = straight();
    tube.flare[LANE] = 1;
    tube.depth[LANE] = 18; /* the top at 1 mm, the ring at 2.5 mm */
    assert_near(radius_at(&m, 0, 2.4, NULL), 11.2, 1e-14, 0);
    assert_near(radius_at(&m, 0, 2.6, NULL), 12.25, 1e-14, 0);
}

/* ecc/2 cos 2(th - psi): widest along psi, narrowest across, max - min over mean is ecc. */
static void the_ring_is_an_oval(void **state)
{
    (void)state;
    const double ecc = 0.09, psi = 0.7;
    const sm_tube_model m = straight();
    tube.ecc_c[LANE] = ecc / 2 * cos(2 * psi);
    tube.ecc_s[LANE] = ecc / 2 * sin(2 * psi);
    const double wide = radius_at(&m, psi, 8, NULL), narrow = radius_at(&m, psi + M_PI / 2, 8, NULL);
    assert_near(wide, 11.2 * (1 + ecc / 2), 1e-14, 0);
    assert_near((wide - narrow) / ((wide + narrow) / 2), ecc, 1e-12, 0);
    assert_near(radius_at(&m, 1.9, 8, NULL), 11.2 * (1 + ecc / 2 * cos(2 * (1.9 - psi))), 1e-14, 0);
}

static void a_waisted_frame_follows_its_points(void **state)
{
    (void)state;
    const double f[] = {0, 0.3, 0.55, 1}, rel[] = {1.05, 0.82, 0.85, 1.3};
    sm_tube_model m = straight();
    m.shape_points = 4;
    for (int i = 0; i < 4; i++) {
        m.shape[i][0] = f[i];
        m.shape[i][1] = rel[i];
    }
    tube.hold[LANE] = 100; /* nothing holds it */
    for (int i = 0; i < 4; i++)
        assert_near(radius_at(&m, 0, 19 * f[i] - 4, NULL), 24.5 / 2 * rel[i], 1e-13, 0);
    assert_near(radius_at(&m, 0, 19 * 0.15 - 4, NULL), 24.5 / 2 * (1.05 + 0.82) / 2, 1e-13, 0);
    assert_near(radius_at(&m, 0, 19 * 0.91 - 4, NULL), 24.5 / 2 * (0.85 + 0.45 * 0.36 / 0.45), 1e-13, 0);
    assert_near(radius_at(&m, 0, -9, NULL), 24.5 / 2 * 1.05, 1e-13, 0);
    assert_near(radius_at(&m, 0, 50, NULL), 24.5 / 2 * 1.3, 1e-13, 0);
}

static double stand_off_at(double th)
{
    static double out[SM_LANES];
    const sm_direction d = sm_direction_at(th);
    sm_tube_stand_off(&tube, &d, out);
    return out[LANE];
}

/* (4.5), (4.6): all of the offset at each of the three posts, mid of it half way between, thickness everywhere. */
static void leaflets_stand_off_at_the_posts(void **state)
{
    (void)state;
    const double post = 0.31, step = 2 * M_PI / 3;
    straight();
    tube.mount_offset[LANE] = 0.8;
    tube.mid[LANE] = 0.35;
    tube.excess[LANE] = 0.15;
    tube.post_c[LANE] = cos(3 * post);
    tube.post_s[LANE] = sin(3 * post);
    for (int k = 0; k < 3; k++) {
        assert_near(stand_off_at(post + k * step), 0.95, 1e-13, 0);
        assert_near(stand_off_at(post + (k + 0.5) * step), 0.15 + 0.8 * 0.35, 1e-13, 0);
        double m = 0.35 + 0.65 * gsl_pow_2(cos(1.5 * 0.4));
        assert_near(stand_off_at(post + k * step + 0.4), 0.15 + 0.8 * m, 1e-13, 0);
    }
}

static void expect_top(double H, double overhang, double want)
{
    static double h[SM_LANES], top[SM_LANES], skirt[SM_LANES];
    const sm_tube_model m = straight();
    tube.overhang[LANE] = overhang;
    h[LANE] = H;
    sm_tube_top(&m, &tube, h, top, skirt);
    assert_near(skirt[LANE], 5, 1e-15, 0);
    assert_near(top[LANE], want, 1e-15, 0);
}

/* (4.9): frame top 15, skirt top 5. */
static void the_tube_ends_at_leaflet_overhang_or_skirt(void **state)
{
    (void)state;
    expect_top(14.8, 1.2, 14.8);
    expect_top(17.3, 1.2, 16.2);
    expect_top(4.1, 1.2, 5);
}

/* 3. A side */

static sm_landmarks marks;
static sm_side_out side_out;
static double limit[SM_GAPS][SM_LANES];

static sm_side_model side_at(double azimuth_deg, sm_leaflet_mount mount)
{
    const sm_limits limits = {.reach_margin_mm = 0};
    limit[SM_GAP_OSTIUM][LANE] = 4;
    limit[SM_GAP_STJ][LANE] = 2;
    const sm_surgical_valve valve = {.leaflet_mount = mount, .post_block_deg = 15};
    marks = (sm_landmarks){.H = {0}};
    return sm_side_create(azimuth_deg, 22.4, &limits, &valve);
}

/* Landmarks of a side in an upright frame: heights and radial gaps. */
static void stand(const sm_side_model *k, double height, double gap, double stj_height, double stj_gap, double leaflet)
{
    static double reading[SM_QUANTITIES][SM_LANES];
    const double value[] = {height, gap, stj_height, stj_gap, leaflet};
    for (int q = 0; q < SM_QUANTITIES; q++)
        reading[q][LANE] = value[q];
    place(0, 0, 0, 0, 0);
    sm_side_landmarks(&k->place, &frame, (const double(*)[SM_LANES])reading, &marks);
}

static void expect_output(sm_output_id id, double want)
{
    assert_near(side_out.y[id][LANE], want, 1e-13, 1e-13);
}

/* No tilt, no offset, a straight round tube of 11.2: closed forms. */
static void clearances_without_any_error(void **state)
{
    (void)state;
    const sm_tube_model m = straight();
    const sm_side_model k = side_at(35, SM_MOUNT_INTERNAL);
    stand(&k, 9.6, 3.7, 18.1, 2.3, 14.8);
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
    expect_output(SM_CONVENTIONAL_OSTIUM, 3.7);
    expect_output(SM_OSTIUM_CLEARANCE, 3.7);
    expect_output(SM_CONVENTIONAL_STJ, 2.3);
    expect_output(SM_STJ_CLEARANCE, 2.3);
    expect_output(SM_COVER, 14.8 - 9.6);
    expect_output(SM_REACH, 14.8 - 18.1);
    assert_true(side_out.crowded[LANE] == 1 && side_out.sealed[LANE] == 0);
}

static void expect_crossing(double height, double gap, double stj_height, double stj_gap, double crowded, double sealed)
{
    const sm_tube_model m = straight();
    const sm_side_model k = side_at(90, SM_MOUNT_INTERNAL); /* cos and sin exact enough for the edges below */
    stand(&k, height, gap, stj_height, stj_gap, 14.75);
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
    assert_true(side_out.crowded[LANE] == crowded);
    assert_true(side_out.sealed[LANE] == sealed);
    assert_true(side_out.event[LANE] == (crowded + sealed > 0 ? 1 : 0)); /* section 1: either */
}

/* Section 5: a sinus from which no coronary leaves is sealed as any other, never crowded, and no event. */
static void without_a_coronary_nothing_is_an_event(void **state)
{
    (void)state;
    const sm_tube_model m = straight();
    sm_side_model k = side_at(90, SM_MOUNT_INTERNAL);
    stand(&k, 9, 1, 14, 1, 14.75);
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
    assert_true(side_out.crowded[LANE] == 1 && side_out.sealed[LANE] == 1 && side_out.event[LANE] == 1);
    sm_side_without_ostium(&k);
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
    assert_true(side_out.crowded[LANE] == 0 && side_out.sealed[LANE] == 1 && side_out.event[LANE] == 0);
}

/* (5.5): the tube must reach the edge (>= 0) and the clearance be below the limit (<). */
static void a_limit_is_crossed_only_below_it_and_within_reach(void **state)
{
    (void)state;
    expect_crossing(9, 3.99, 18, 9, 1, 0);
    expect_crossing(9, 4.01, 18, 9, 0, 0);
    expect_crossing(9, 4, 18, 9, 0, 0);     /* just the limit: 11.2 + 4 - 11.2 is exact in binary */
    expect_crossing(14.76, 1, 18, 1, 0, 0); /* ostium above the tube */
    expect_crossing(14.75, 1, 18, 1, 1, 0); /* just reached */
    expect_crossing(9, 9, 14.75, 1.99, 0, 1);
    expect_crossing(9, 9, 14.76, 1.99, 0, 0);
    expect_crossing(9, 9, 14, 2.01, 0, 0);
    expect_crossing(9, 9, 14, 2, 0, 0);
    expect_crossing(9, 3, 14, 1, 1, 1);
}

/* (5.2) and (4.8): offset and canting move the axis; the ostium above the tube's top is measured from the axis at its
 * own height and from the tube at its top. */
static void an_axis_off_the_centre_takes_room(void **state)
{
    (void)state;
    const sm_tube_model m = straight();
    const sm_side_model k = side_at(0, SM_MOUNT_INTERNAL);
    tube.off_x[LANE] = 0.3;
    tube.off_y[LANE] = -0.4;
    tube.cant_x[LANE] = 0.05;
    tube.cant_y[LANE] = 0.02;
    tube.flare[LANE] = 0.6;
    stand(&k, 16, 5, 20, 3, 14.8);
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
    const double R = 11.2 + 0.6 * 1.05 * (14.8 - 2.5) / 12.5;
    expect_output(SM_OSTIUM_CLEARANCE, hypot(16.2 - 0.3 - 0.05 * 16, 0.4 - 0.02 * 16) - R);
    expect_output(SM_STJ_CLEARANCE, hypot(14.2 - 0.3 - 0.05 * 20, 0.4 - 0.02 * 20) - R);
    expect_output(SM_CONVENTIONAL_OSTIUM, 5);
}

/* A circle of radius 10 within one of 15, 3 off its centre: 2 at the nearest, 8 opposite. */
static void circle_within_a_circle(void **state)
{
    (void)state;
    const double azimuth[] = {0, 180, 90}, want[] = {2, 8, sqrt(15 * 15 + 9) - 10};
    for (int i = 0; i < 3; i++) {
        sm_tube_model m = straight();
        const sm_side_model k = side_at(azimuth[i], SM_MOUNT_INTERNAL);
        tube.hold[LANE] = 20;
        tube.off_x[LANE] = 3;
        stand(&k, 9, 15 - 11.2, 18, 15 - 11.2, 14.8);
        sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
        expect_output(SM_OSTIUM_CLEARANCE, want[i]);
    }
}

/* (4.7): with the limits on the drawn circle, what the circle gives beyond the waist is taken back, of either sign. */
static void the_drawn_circle_takes_back_its_credit(void **state)
{
    (void)state;
    const double hold[] = {21.4, 22.4, 23.1};
    for (int i = 0; i < 3; i++) {
        sm_tube_model m = straight();
        const sm_side_model k = side_at(35, SM_MOUNT_INTERNAL);
        m.drawn_circle = true;
        tube.hold[LANE] = hold[i];
        stand(&k, 9.6, 3.7, 18.1, 2.3, 14.8);
        sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
        expect_output(SM_OSTIUM_CLEARANCE, 3.7); /* (11.2 + 3.7) - hold/2 - (22.4 - hold)/2 */
        expect_output(SM_STJ_CLEARANCE, 2.3);
    }
}

static void moving_a_landmark_keeps_its_direction(void **state)
{
    (void)state;
    const sm_side_model k = side_at(123, SM_MOUNT_INTERNAL);
    double T[SM_LANES] = {0};
    stand(&k, 9.6, 3.7, 18.1, 2.3, 14.8);
    for (int i = 0; i < SM_LANES; i++) {
        marks.at[SM_GAP_OSTIUM].x[i] = 14.9 * cos(2.2);
        marks.at[SM_GAP_OSTIUM].y[i] = 14.9 * sin(2.2);
        T[i] = 5.05;
    }
    sm_side_move(&k.place, T, &marks.at[SM_GAP_OSTIUM]);
    assert_near(marks.at[SM_GAP_OSTIUM].x[LANE], 16.25 * cos(2.2), 1e-14, 0);
    assert_near(marks.at[SM_GAP_OSTIUM].y[LANE], 16.25 * sin(2.2), 1e-14, 0);
    sm_side_gap(&k.place, &marks.at[SM_GAP_OSTIUM], T);
    assert_near(T[LANE], 5.05, 1e-13, 0); /* (3.6) */
}

/* 4. A lacerated leaflet */

static void lacerate(double post_deg, sm_leaflet_mount mount, double success)
{
    static double split[SM_LANES];
    const sm_tube_model m = straight();
    const sm_side_model k = side_at(35, mount);
    const double turn = 3 * post_deg * (M_PI / 180);
    tube.mount_offset[LANE] = 0.8;
    tube.mid[LANE] = 0.5;
    tube.excess[LANE] = 0.2;
    tube.post_c[LANE] = cos(turn);
    tube.post_s[LANE] = sin(turn);
    stand(&k, 9.6, 3.7, 18.1, 2.3, 14.8);
    split[LANE] = success;
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, split, &side_out);
}

/* The tube then ends at the skirt (5 mm) and is the bare frame. */
static void a_split_leaflet_opens_to_the_skirt(void **state)
{
    (void)state;
    lacerate(35 + 60, SM_MOUNT_EXTERNAL, 1);
    expect_output(SM_COVER, 5 - 9.6);
    expect_output(SM_REACH, 5 - 18.1);
    expect_output(SM_OSTIUM_CLEARANCE, 3.7);
    assert_true(side_out.crowded[LANE] == 0 && side_out.sealed[LANE] == 0);
    lacerate(35 + 60, SM_MOUNT_EXTERNAL, 0);
    expect_output(SM_COVER, 14.8 - 9.6);
    expect_output(SM_OSTIUM_CLEARANCE, 3.7 - 0.2 - 0.8 * 0.5);
    assert_true(side_out.crowded[LANE] == 1);
}

/* A post within 15 degrees of the coronary, at any of its three places, cannot be split; a stentless valve has none. */
static void a_post_in_front_prevents_it(void **state)
{
    (void)state;
    for (int k = -1; k <= 1; k++) {
        lacerate(35 + 120 * k + 14.9, SM_MOUNT_EXTERNAL, 1);
        expect_output(SM_COVER, 14.8 - 9.6);
        lacerate(35 + 120 * k - 14.9, SM_MOUNT_EXTERNAL, 1);
        expect_output(SM_COVER, 14.8 - 9.6);
        lacerate(35 + 120 * k + 15.1, SM_MOUNT_EXTERNAL, 1);
        expect_output(SM_COVER, 5 - 9.6);
        lacerate(35 + 120 * k - 15.1, SM_MOUNT_EXTERNAL, 1);
        expect_output(SM_COVER, 5 - 9.6);
        lacerate(35 + 120 * k, SM_STENTLESS, 1);
        expect_output(SM_COVER, 5 - 9.6);
    }
}

/* A skirt above the leaflets leaves nothing to open: the tube does not grow. */
static void laceration_never_raises_the_tube(void **state)
{
    (void)state;
    static double split[SM_LANES];
    sm_tube_model m = straight();
    const sm_side_model k = side_at(35, SM_STENTLESS);
    m.skirt_height = 19;
    stand(&k, 9.6, 3.7, 18.1, 2.3, 12.1);
    split[LANE] = 1;
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, split, &side_out);
    expect_output(SM_COVER, 15 - 9.6);
    sm_side_evaluate(&k, &m, &tube, &marks, (const double(*)[SM_LANES])limit, NULL, &side_out);
    expect_output(SM_COVER, 15 - 9.6);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_upright_frame_changes_nothing),
        cmocka_unit_test(a_tilt_along_x_is_a_rotation),
        cmocka_unit_test(a_tilt_along_y_is_a_rotation),
        cmocka_unit_test(the_frame_is_a_rotation_for_any_tilt),
        cmocka_unit_test(a_point_is_found_from_its_axis),
        cmocka_unit_test(the_ring_holds_the_waist),
        cmocka_unit_test(the_frame_flares_above_the_ring),
        cmocka_unit_test(a_frame_below_the_ring_does_not_break),
        cmocka_unit_test(the_ring_is_an_oval),
        cmocka_unit_test(a_waisted_frame_follows_its_points),
        cmocka_unit_test(leaflets_stand_off_at_the_posts),
        cmocka_unit_test(the_tube_ends_at_leaflet_overhang_or_skirt),
        cmocka_unit_test(clearances_without_any_error),
        cmocka_unit_test(without_a_coronary_nothing_is_an_event),
        cmocka_unit_test(a_limit_is_crossed_only_below_it_and_within_reach),
        cmocka_unit_test(an_axis_off_the_centre_takes_room),
        cmocka_unit_test(circle_within_a_circle),
        cmocka_unit_test(the_drawn_circle_takes_back_its_credit),
        cmocka_unit_test(moving_a_landmark_keeps_its_direction),
        cmocka_unit_test(a_split_leaflet_opens_to_the_skirt),
        cmocka_unit_test(a_post_in_front_prevents_it),
        cmocka_unit_test(laceration_never_raises_the_tube),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
