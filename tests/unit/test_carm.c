/* test_carm.c - the view that shows a gap: by hand, by geometry alone, and there and back over 1,000 random valves.
 *
 * Contents: 1. views  2. axes  3. the view of a gap  4. within the gantry's reach
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "geometry/carm.h"

static const sm_gantry reach = {90, 90, 40, 40}, free_gantry = {180, 180, 90, 90};

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static void cross(const double a[3], const double b[3], double out[3])
{
    out[0] = a[1] * b[2] - a[2] * b[1];
    out[1] = a[2] * b[0] - a[0] * b[2];
    out[2] = a[0] * b[1] - a[1] * b[0];
}

static void check_vector(const double got[3], double x, double y, double z, double within)
{
    const double want[3] = {x, y, z};
    for (int i = 0; i < 3; i++)
        assert_near(got[i], want[i], 0, within);
}

/* 1. Views */

/* Straight from the front; from the patient's left; 30 degrees toward the head from the front; from the right. */
static void where_the_detector_stands(void **state)
{
    (void)state;
    double d[3];
    sm_carm_direction((sm_view){0, 0}, d);
    check_vector(d, 0, -1, 0, 1e-15);
    sm_carm_direction((sm_view){90, 0}, d);
    check_vector(d, 1, 0, 0, 1e-15);
    sm_carm_direction((sm_view){0, 30}, d);
    check_vector(d, 0, -sqrt(0.75), 0.5, 1e-15);
    sm_carm_direction((sm_view){-90, 0}, d);
    check_vector(d, -1, 0, 0, 1e-15);
    for (double a = -170; a < 180; a += 23.5)
        for (double b = -85; b < 90; b += 17.25) {
            sm_carm_direction((sm_view){a, b}, d);
            const sm_view v = sm_carm_view(d);
            assert_near(dot(d, d), 1, 1e-14, 0);
            assert_near(v.primary_deg, a, 0, 1e-10);
            assert_near(v.secondary_deg, b, 0, 1e-10);
        }
}

static void how_far_apart(void **state)
{
    (void)state;
    assert_near(sm_carm_apart_deg((sm_view){10, 0}, (sm_view){35, 0}), 25, 0, 1e-10);
    assert_near(sm_carm_apart_deg((sm_view){10, 0}, (sm_view){-170, 0}), 0, 0, 1e-6); /* from behind: the same line */
    assert_near(sm_carm_apart_deg((sm_view){0, 0}, (sm_view){0, 62}), 62, 0, 1e-10);
    assert_near(sm_carm_apart_deg((sm_view){90, 0}, (sm_view){0, 0}), 90, 0, 1e-10);
}

/* 2. Axes */

/* A random valve: its axis within 70 degrees of upright. */
static sm_patient_axes random_axes(gsl_rng *r)
{
    sm_patient_axes a = {.present = true};
    double any[3];
    do
        gsl_ran_dir_3d(r, &a.n[0], &a.n[1], &a.n[2]);
    while (a.n[2] < cos(70 * M_PI / 180));
    gsl_ran_dir_3d(r, &any[0], &any[1], &any[2]);
    cross(a.n, any, a.e0);
    const double length = sqrt(dot(a.e0, a.e0));
    for (int i = 0; i < 3; i++)
        a.e0[i] /= length;
    return a;
}

/* A view across n, at an angle about it. */
static sm_view edge_on(const sm_patient_axes *a, double angle_deg)
{
    double e[3];
    sm_carm_azimuth(a, angle_deg, e);
    return sm_carm_view(e);
}

/* The axes back from two edge-on views and a view of a side in profile; and from points. */
static void there_and_back(void **state)
{
    (void)state;
    gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(r, 2011);
    for (int i = 0; i < 1000; i++) {
        const sm_patient_axes a = random_axes(r);
        const double th = gsl_ran_flat(r, -180, 180), first = gsl_ran_flat(r, 0, 180),
                     apart = gsl_ran_flat(r, SM_CARM_LEAST_APART_DEG, 180 - SM_CARM_LEAST_APART_DEG);
        const sm_view views[2] = {edge_on(&a, first), edge_on(&a, first + apart)};
        double n[3], e0[3], e[3], f[3], d[3];
        assert_true(sm_carm_apart_deg(views[0], views[1]) > SM_CARM_LEAST_APART_DEG - 1e-6);
        assert_true(sm_carm_axis_of_views(views, n));
        check_vector(n, a.n[0], a.n[1], a.n[2], 1e-9);
        sm_carm_azimuth(&a, th, e);
        cross(a.n, e, f);
        const double tip = gsl_ran_flat(r, -60, 60) * M_PI / 180; /* in profile, the ring open by so much */
        for (int j = 0; j < 3; j++)
            d[j] = cos(tip) * f[j] + sin(tip) * a.n[j];
        const sm_view profile = sm_carm_view(d);
        const double primary = profile.primary_deg * M_PI / 180, right[3] = {cos(primary), sin(primary), 0};
        if (fabs(dot(e, right)) > 1e-6) {
            assert_true(sm_carm_zero_of_profile(n, profile, dot(e, right) > 0, th, e0));
            check_vector(e0, a.e0[0], a.e0[1], a.e0[2], 1e-7);
        }
        double base[3][3], centre[3], ostium[3], found[3];
        for (int p = 0; p < 3; p++) {
            double to[3];
            sm_carm_azimuth(&a, 17 + 120 * p, to);
            for (int j = 0; j < 3; j++)
                base[p][j] = 12 + 11.2 * to[j] - 100 * (j == 2);
        }
        for (int j = 0; j < 3; j++)
            ostium[j] = 12 - 100 * (j == 2) + 16 * e[j] + 12 * a.n[j];
        assert_true(sm_carm_axis_of_points((const double(*)[3])base, ostium, found, centre));
        check_vector(found, a.n[0], a.n[1], a.n[2], 1e-9);
        check_vector(centre, 12, 12, -88, 1e-9);
        assert_true(sm_carm_zero_of_point(found, centre, ostium, th, e0));
        check_vector(e0, a.e0[0], a.e0[1], a.e0[2], 1e-9);
    }
    gsl_rng_free(r);
}

static void what_says_nothing(void **state)
{
    (void)state;
    double n[3], centre[3], e0[3];
    const sm_view level[2] = {{0, 80}, {0, -10}}; /* both across the patient's left-right axis */
    assert_false(sm_carm_axis_of_views(level, n));
    const sm_view same[2] = {{30, 10}, {-150, -10}};
    assert_false(sm_carm_axis_of_views(same, n));
    const double line[3][3] = {{0, 0, 0}, {1, 1, 0}, {2, 2, 0}}, ring[3][3] = {{10, 0, 0}, {-5, 8.7, 0}, {-5, -8.7, 0}};
    const double above[3] = {1, 0, 12}, beside[3] = {15, 0, 0.5};
    assert_false(sm_carm_axis_of_points(line, above, n, centre));
    assert_false(sm_carm_axis_of_points(ring, beside, n, centre));
    assert_true(sm_carm_axis_of_points(ring, above, n, centre));
    const double on_axis[3] = {centre[0], centre[1], 12};
    assert_false(sm_carm_zero_of_point(n, centre, on_axis, 0, e0));
    const double up[3] = {0, 0, 1};
    assert_false(sm_carm_zero_of_profile(up, (sm_view){20, 90}, true, 0, e0));
}

/* 3. The view of a gap */

/* Upright, azimuth 0 in front: a gap in front is seen from the side, one at the patient's left from the front. */
static void by_hand(void **state)
{
    (void)state;
    const sm_patient_axes a = {true, {0, 0, 1}, {0, -1, 0}};
    sm_projection p = sm_carm_projection(&a, 0, &reach);
    assert_true(p.edge_on.there);
    assert_near(fabs(p.edge_on.view.primary_deg), 90, 0, 1e-9);
    assert_near(p.edge_on.view.secondary_deg, 0, 0, 1e-9);
    assert_near(p.edge_on.off_deg, 0, 0, 1e-9);
    p = sm_carm_projection(&a, 90, &reach);
    assert_true(p.edge_on.there && p.profile.there);
    assert_near(p.edge_on.view.primary_deg, 0, 0, 1e-9);
    assert_near(p.edge_on.view.secondary_deg, 0, 0, 1e-9);
    assert_near(p.profile.off_deg, 0, 0, 1e-9);
    double e[3];
    sm_carm_azimuth(&a, 90, e);
    check_vector(e, 1, 0, 0, 1e-15); /* to the patient's left */
}

/* What each view is for, by scalar products; nothing nearer lies within reach (a search over 1 degree steps). */
static void check_shot(const sm_carm_shot *s, const double across[3], const double short_of[3], const sm_gantry *g)
{
    double d[3];
    double best = 91;
    for (double t = -90; t < 90; t += 0.5) {
        double f[3], other[3];
        cross(across, short_of, f);
        for (int j = 0; j < 3; j++)
            other[j] = cos(t * M_PI / 180) * f[j] + sin(t * M_PI / 180) * short_of[j];
        for (int sign = 0; sign < 2; sign++) {
            const double way[3] = {sign ? -other[0] : other[0], sign ? -other[1] : other[1],
                                   sign ? -other[2] : other[2]};
            const sm_view v = sm_carm_view(way);
            if (v.primary_deg <= g->lao_deg && v.primary_deg >= -g->rao_deg && v.secondary_deg <= g->cranial_deg &&
                v.secondary_deg >= -g->caudal_deg)
                best = fmin(best, fabs(t));
        }
    }
    if (!s->there) {
        assert_true(best > 90);
        return;
    }
    sm_carm_direction(s->view, d);
    assert_near(dot(d, across), 0, 0, 1e-7);
    assert_near(asin(fabs(dot(d, short_of))) * 180 / M_PI, s->off_deg, 0, 1e-5);
    assert_true(s->off_deg <= best + 1e-6);
    assert_true(s->off_deg >= best - 0.5 - 1e-6);
    assert_true(s->view.primary_deg <= g->lao_deg + 1e-5 && s->view.primary_deg >= -g->rao_deg - 1e-5);
    assert_true(s->view.secondary_deg <= g->cranial_deg + 1e-5 && s->view.secondary_deg >= -g->caudal_deg - 1e-5);
}

static void over_random_valves(void **state)
{
    (void)state;
    gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(r, 77);
    int missed = 0;
    for (int i = 0; i < 1000; i++) {
        const sm_patient_axes a = random_axes(r);
        const double th = gsl_ran_flat(r, -180, 180);
        double e[3];
        sm_carm_azimuth(&a, th, e);
        const sm_projection p = sm_carm_projection(&a, th, &reach), all = sm_carm_projection(&a, th, &free_gantry);
        check_shot(&p.edge_on, a.n, e, &reach);
        check_shot(&p.profile, e, a.n, &reach);
        assert_true(all.edge_on.there && all.profile.there);
        assert_near(all.edge_on.off_deg, 0, 0, 1e-9);
        double d[3];
        sm_carm_direction(all.edge_on.view, d);
        assert_true(d[1] <= 1e-6); /* the detector in front */
        missed += p.edge_on.off_deg > 0;
    }
    assert_true(missed > 100); /* steep valves beyond a tilt of 40 degrees */
    gsl_rng_free(r);
}

/* 4. Within the gantry's reach */

/* An axis that leans 60 degrees to the left: the gap at its left is edge-on and in profile only from the head or from
 * the front. By hand: n = (sin 60, 0, cos 60), e = (cos 60, 0, -sin 60), n x e = (0, 1, 0): from the front. */
static void a_leaning_valve(void **state)
{
    (void)state;
    const double s = sqrt(0.75);
    const sm_patient_axes a = {true, {s, 0, 0.5}, {0.5, 0, -s}};
    sm_projection p = sm_carm_projection(&a, 0, &reach);
    assert_near(p.edge_on.view.primary_deg, 0, 0, 1e-9);
    assert_near(p.edge_on.off_deg, 0, 0, 1e-9);
    /* at th = 90, e = n x e0 = (0, 1, 0), n x e = (-0.5, 0, s): 60 degrees cranial from the right. Within reach of 40
     * the circle across n, cos t (-0.5, 0, s) + sin t (0, 1, 0), meets b = 40 at cos t = sin 40/s */
    p = sm_carm_projection(&a, 90, &reach);
    assert_near(p.edge_on.off_deg, acos(sin(40 * M_PI / 180) / s) * 180 / M_PI, 0, 1e-5);
    assert_near(fabs(p.edge_on.view.secondary_deg), 40, 0, 1e-5); /* cranial or caudal: two views miss alike */
    assert_near(sm_carm_foreshortening(5.2, 22.4, 0), 0, 0, 0);
    assert_near(sm_carm_foreshortening(5.2, 22.4, 60), 8.2, 1e-12, 0);
}

static void no_view_at_all(void **state)
{
    (void)state;
    const sm_patient_axes a = {true, {0, 0, 1}, {0, -1, 0}};
    const sm_gantry stuck = {0, 0, 0, 5}; /* front only, from level to 5 degrees cranial */
    const sm_projection p = sm_carm_projection(&a, 45, &stuck);
    assert_true(p.edge_on.there); /* from the front it is edge-on, 45 degrees off the profile */
    assert_near(p.edge_on.off_deg, 45, 0, 1e-5);
    assert_false(p.profile.there);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(where_the_detector_stands),
        cmocka_unit_test(how_far_apart),
        cmocka_unit_test(there_and_back),
        cmocka_unit_test(what_says_nothing),
        cmocka_unit_test(by_hand),
        cmocka_unit_test(over_random_valves),
        cmocka_unit_test(a_leaning_valve),
        cmocka_unit_test(no_view_at_all),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
