/* test_measurement.c - readings, the base plane, the cross-check.
 *
 * Contents: 1. estimates  2. reader errors  3. type A  4. the plane taken off  5. the base plane  6. the cross-check
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "measurement/base_plane.h"
#include "measurement/look.h"
#include "measurement/reading.h"

static double reader_a[] = {9.1, 9.4}, reader_b[] = {9.9}, reader_c[] = {8.2, 8.6, 9.0};
static sm_reader_row rows[] = {{"A", 2, reader_a}, {"B", 1, reader_b}, {"C", 3, reader_c}};

static sm_quantity read_by(size_t readers)
{
    return (sm_quantity){.is_read = true,
                         .readings = {readers, rows},
                         .between_reader_sd_mm = 0.6,
                         .repeat_sd_mm = 0.4,
                         .bloom_edges = -1,
                         .resolution_mm = 0.25};
}

/* 1. Estimates */

static void estimate_is_the_mean_of_the_readers_means(void **state)
{
    (void)state;
    sm_quantity q = read_by(2);
    assert_near(sm_quantity_estimate(&q), 9.575, 1e-15, 0); /* (9.25 + 9.9)/2, not the mean of three readings */
    q = read_by(3);
    assert_near(sm_quantity_estimate(&q), (9.25 + 9.9 + 8.6) / 3, 1e-15, 0);
    q.sd_from_readings = true; /* type A: all readings together */
    assert_near(sm_quantity_estimate(&q), 54.2 / 6, 1e-15, 0);
    q = (sm_quantity){.value = (sm_dist){SM_TRIANGULAR, {1, 2, 6}}};
    assert_near(sm_quantity_estimate(&q), 3, 1e-15, 0);
    assert_true(isnan(sm_readings_mean(&(sm_readings){0})));
}

static void quantities_are_named_as_in_the_case_file(void **state)
{
    (void)state;
    const char *want[] = {"ostium_height", "ostium_gap", "stj_height", "stj_gap", "leaflet_height"};
    for (int q = 0; q < SM_QUANTITIES; q++)
        assert_string_equal(sm_quantity_name((sm_quantity_id)q), want[q]);
}

/* 2. Reader errors */

/* (3.2) by hand: 0.36/3 + 0.16/9 (1/2 + 1 + 1/3). */
static void variance_of_a_mean_of_readers(void **state)
{
    (void)state;
    sm_quantity q = read_by(3);
    assert_near(sm_reading_variance(&q), 0.12 + 0.16 / 9 * (11.0 / 6), 1e-14, 0);
    q = read_by(1);
    assert_near(sm_reading_variance(&q), 0.36 + 0.16 / 2, 1e-14, 0);
    q.is_read = false;
    assert_true(sm_reading_variance(&q) == 0);
}

static sm_reading made_of(const sm_quantity *q, double plane_variance, double reference)
{
    sm_reading r;
    sm_reading_create(q, plane_variance, reference, &r);
    return r;
}

static void a_reading_becomes_a_normal_or_a_t(void **state)
{
    (void)state;
    sm_quantity q = read_by(2);
    const double s2 = 0.18 + 0.04 * 1.5;
    sm_reading r = made_of(&q, 99, 0.2);
    assert_int_equal(r.error.family, SM_NORMAL);
    assert_near(r.error.p[1], sqrt(s2), 1e-14, 0);
    assert_true(r.error.p[0] == 0 && r.bloom_edges == -1 && r.reference == 0.2 && r.resolution == 0.25);
    assert_true(r.one_more && !r.plane_exceeds && r.plane_taken == 0);
    assert_near(r.reread_variance, 0.52, 1e-14, 0);
    q.dof = 18;
    r = made_of(&q, 0, 0);
    assert_int_equal(r.error.family, SM_STUDENT_T);
    assert_near(r.error.p[1], sqrt(s2), 1e-14, 0); /* s is the scale of the t, as (3.2) says */
    assert_true(r.error.p[2] == 18 && r.one_more && r.dof == 18);
}

static void a_distribution_stands_for_itself(void **state)
{
    (void)state;
    const sm_quantity q = {.value = (sm_dist){SM_LOGNORMAL, {0.7, 1.35}}, .bloom_edges = 2, .resolution_mm = 1};
    const sm_reading r = made_of(&q, 5, 5);
    assert_int_equal(r.error.family, SM_LOGNORMAL);
    assert_true(r.estimate == 0 && r.bloom_edges == 0 && r.resolution == 0 && r.reference == 0 && r.variance == 0);
    assert_false(r.one_more);
}

/* 3. Type A: six readings of JCGM GUM-5:2026, example 15 (data seen in a third party's test; recomputed), (3.3). */

static void type_a_of_six_readings(void **state)
{
    (void)state;
    double mm[] = {10006, 10007, 10005, 10008, 10003, 10005};
    sm_reader_row row = {"A", 6, mm};
    const sm_quantity q = {.is_read = true, .readings = {1, &row}, .sd_from_readings = true};
    const sm_reading r = made_of(&q, 0, 0);
    assert_near(r.estimate, 10005.6666666666667, 1e-15, 0);
    assert_int_equal(r.error.family, SM_STUDENT_T);
    assert_near(r.error.p[1], 0.7149203530, 1e-10, 0);
    assert_true(r.error.p[2] == 5);
    assert_near(sm_dist_sd(&r.error), 0.9229582070, 1e-10, 0);
    assert_false(r.one_more);
}

/* sd over s/sqrt(n) is sqrt((n - 1)/(n - 3)): JCGM 101:2008, 6.4.9 (formula seen quoted; recomputed). */
static void type_a_factors(void **state)
{
    (void)state;
    const int n[] = {4, 5, 6, 10, 20};
    const double want[] = {1.732050808, 1.414213562, 1.290994449, 1.133893419, 1.057188280};
    for (int i = 0; i < 5; i++) {
        double mm[20];
        for (int j = 0; j < n[i]; j++)
            mm[j] = 5.7 + 0.1 * (j % 3);
        sm_reader_row row = {"A", (size_t)n[i], mm};
        const sm_quantity q = {.is_read = true, .readings = {1, &row}, .sd_from_readings = true};
        const sm_reading r = made_of(&q, 0, 0);
        assert_near(sm_dist_sd(&r.error) / r.error.p[1], want[i], 1e-9, 0);
    }
}

/* It does not matter who made them, and large readings lose no digits. */
/* (3.10): readings of mean 5.05 and s^2 = 1/60, n = 4; u^2 = 1/240 + 0.5^2 and nu by hand, with and without dof. */
static void type_a_of_one_reader_keeps_what_readers_differ_by(void **state)
{
    (void)state;
    double mm[] = {5.0, 5.2, 4.9, 5.1};
    sm_reader_row row = {"A", 4, mm};
    sm_quantity q = {.is_read = true, .readings = {1, &row}, .sd_from_readings = true, .between_reader_sd_mm = 0.5};
    sm_reading r = made_of(&q, 0, 0);
    assert_near(r.error.p[1], sqrt(1 / 240.0 + 0.25), 1e-14, 0);
    assert_near(r.error.p[2], pow(1 / 240.0 + 0.25, 2) / (1 / (240.0 * 240.0 * 3)), 0, 1e-9);
    q.dof = 10;
    r = made_of(&q, 0, 0);
    assert_near(r.error.p[2], pow(1 / 240.0 + 0.25, 2) / (1 / (240.0 * 240.0 * 3) + 0.0625 / 10), 1e-12, 0);
    sm_reader_row two[] = {{"A", 2, mm}, {"B", 2, mm + 2}};
    q.readings = (sm_readings){2, two};
    r = made_of(&q, 0, 0);
    assert_near(r.error.p[2], 3, 0, 0); /* two readers show what they differ by themselves */
    assert_near(r.error.p[1], sqrt(1 / 240.0), 1e-14, 0);
}

/* (3.9) by hand: v = 0.2 each, chi-square 40 against 9 for two readers; weights 1/0.2 and 1/0.18 for three. */
static void readers_who_lie_apart_widen_their_error(void **state)
{
    (void)state;
    double a[] = {3}, b[] = {7}, c[] = {5, 5};
    sm_reader_row row[] = {{"A", 1, a}, {"B", 1, b}, {"C", 2, c}};
    sm_quantity q = {.is_read = true, .readings = {2, row}, .between_reader_sd_mm = 0.4, .repeat_sd_mm = 0.2};
    assert_near(sm_reading_excess(&q), 1 + (40 - 9), 1e-9, 0);
    assert_near(made_of(&q, 0, 0).variance, 0.1 * 32, 1e-9, 0);
    q.readings.n = 3; /* the weighted mean is 5 */
    assert_near(sm_reading_excess(&q), 1 + (40 - 11.8291581) / 2, 1e-6,
                0); /* qchisq(pnorm(-3)*2, 2, lower = FALSE) of R */
    a[0] = 5 - 1.3;
    b[0] = 5 + 1.3; /* chi-square 16.9 with 2 degrees of freedom */
    assert_near(sm_reading_excess(&q), 1 + (16.9 - 11.8291581) / 2, 1e-6, 0);
    a[0] = 4.2;
    b[0] = 5.8;
    assert_true(sm_reading_excess(&q) == 1);
    q.between_reader_sd_mm = q.repeat_sd_mm = 0;
    assert_true(sm_reading_excess(&q) == 1);
}

static void type_a_pools_all_readers(void **state)
{
    (void)state;
    double one[] = {1e6 + 1, 1e6 + 2}, two[] = {1e6 + 3, 1e6 + 4, 1e6 + 5};
    sm_reader_row row[] = {{"A", 2, one}, {"B", 3, two}};
    const sm_quantity q = {.is_read = true, .readings = {2, row}, .sd_from_readings = true};
    const sm_reading r = made_of(&q, 0, 0);
    assert_near(r.estimate, 1e6 + 3, 1e-15, 0);
    assert_near(r.error.p[1], sqrt(2.5 / 5), 1e-12, 0);
    assert_true(r.error.p[2] == 4);
}

/* 4. The plane taken off */

static void plane_is_taken_off_not_below_zero(void **state)
{
    (void)state;
    sm_quantity q = read_by(2);
    const double s2 = 0.24;
    q.sd_includes_plane = true;
    sm_reading r = made_of(&q, 0.3, 0);
    assert_near(r.variance, s2 - 0.15, 1e-13, 0); /* two readers: half of what one placement gives */
    assert_near(r.error.p[1], sqrt(0.09), 1e-13, 0);
    assert_near(r.plane_taken, 0.15, 1e-14, 0);
    assert_false(r.plane_exceeds);
    r = made_of(&q, 0.9, 0);
    assert_true(r.variance == 0 && r.plane_exceeds && r.error.p[1] == 0);
    q.dof = 7;
    r = made_of(&q, 0.3, 0);
    assert_near(r.error.p[1], 0.3, 1e-13, 0);
}

/* 5. The base plane */

static sm_plane plane_of(const sm_base_plane *values)
{
    sm_plane p;
    assert_int_equal(sm_plane_create(values, &p), SM_OK);
    return p;
}

/* Covariance of (c, a, b), row i and j, for points of SD 1. */
static double covariance(const sm_plane *p, int i, int j)
{
    double sum = 0;
    for (int k = 0; k < 3; k++)
        sum += p->solve[i][k] * p->solve[j][k] * p->point_sd * p->point_sd;
    return sum;
}

/* (2.2): var(a) = var(b) = 2 sd^2/(3 R^2), var(c) = sd^2/3, nothing between them; R 12, sd 0.5 (closed form). */
static void plane_through_points_120_degrees_apart(void **state)
{
    (void)state;
    for (double turn = 0; turn < 360; turn += 37) {
        const sm_base_plane v = {
            .radius_mm = 12, .azimuths_deg = {turn, turn + 120, turn + 240}, .point_sd_mm = 0.5, .placements = 1};
        const sm_plane p = plane_of(&v);
        assert_near(covariance(&p, 1, 1), 1.1574074074074e-3, 1e-12, 0);
        assert_near(covariance(&p, 2, 2), 1.1574074074074e-3, 1e-12, 0);
        assert_near(covariance(&p, 0, 0), 0.0833333333333333, 1e-12, 0);
        assert_near(covariance(&p, 0, 1), 0, 0, 1e-16);
        assert_near(covariance(&p, 0, 2), 0, 0, 1e-16);
        assert_near(covariance(&p, 1, 2), 0, 0, 1e-16);
        assert_near(covariance(&p, 0, 0) + 36 * covariance(&p, 1, 1), 0.125, 1e-12, 0); /* at radius 6 */
    }
}

/* The triangle (0,0), (10,0), (3,8), expected values by solving its 3 x 3 system, placed about its circumcentre
 * (5, 43/16): slopes keep their covariance, the level at (0,0) is that of the point there. */
static void plane_through_an_uneven_triangle(void **state)
{
    (void)state;
    const double mx = 5, my = 43.0 / 16, x[] = {0, 10, 3}, y[] = {0, 0, 8};
    sm_base_plane v = {.radius_mm = hypot(mx, my), .point_sd_mm = 1, .placements = 1};
    for (int i = 0; i < 3; i++)
        v.azimuths_deg[i] = atan2(y[i] - my, x[i] - mx) * (180 / M_PI);
    const sm_plane p = plane_of(&v);
    assert_near(covariance(&p, 1, 1), 0.02, 1e-12, 0);
    assert_near(covariance(&p, 1, 2), 0.005, 1e-12, 0);
    assert_near(covariance(&p, 2, 2), 0.0246875, 1e-12, 0);
    const double level = covariance(&p, 0, 0) - 2 * mx * covariance(&p, 0, 1) - 2 * my * covariance(&p, 0, 2) +
                         mx * mx * 0.02 + 2 * mx * my * 0.005 + my * my * 0.0246875;
    assert_near(level, 1, 1e-12, 0);
    assert_near(covariance(&p, 0, 1) - mx * 0.02 - my * 0.005, -0.1, 1e-12, 0);
    assert_near(covariance(&p, 0, 2) - mx * 0.005 - my * 0.0246875, -0.0875, 1e-12, 0);
}

/* Draws go through the three points whatever their azimuths: c + a R cos + b R sin is the error of each. */
static void draws_solve_the_three_equations(void **state)
{
    (void)state;
    static double z[3][SM_LANES], u[SM_LANES], a[SM_LANES], b[SM_LANES], c[SM_LANES];
    const sm_base_plane v = {
        .radius_mm = 11.3, .azimuths_deg = {10, 95, 251}, .point_sd_mm = 0.7, .cuff_wave_mm = 0.6, .placements = 1};
    const sm_plane p = plane_of(&v);
    for (int i = 0; i < SM_LANES; i++) {
        u[i] = (i + 0.5) / SM_LANES;
        for (int k = 0; k < 3; k++)
            z[k][i] = sin(1.7 * i + 2.1 * k);
    }
    const double *phase[] = {u};
    sm_plane_draw(&p, (const double *const[]){z[0], z[1], z[2]}, phase, a, b, c);
    for (int i = 0; i < SM_LANES; i++)
        for (int k = 0; k < 3; k++) {
            double phi = v.azimuths_deg[k] * (M_PI / 180);
            double e = 0.7 * z[k][i] + 0.6 * sin(2 * M_PI * u[i] + 3 * phi); /* (2.1) */
            assert_near(c[i] + 11.3 * (a[i] * cos(phi) + b[i] * sin(phi)), e, 0, 1e-13);
        }
}

static void fill_phases(double *u, double shift)
{
    for (int i = 0; i < SM_LANES; i++)
        u[i] = fmod((i + 0.5) / SM_LANES + shift, 1);
}

/* Points 120 degrees apart meet the wave at one phase: it shifts the level and does not tilt. Uneven points tilt. */
static void a_wave_on_even_points_does_not_tilt(void **state)
{
    (void)state;
    static double zero[SM_LANES], u[SM_LANES], a[SM_LANES], b[SM_LANES], c[SM_LANES];
    const double *normal[] = {zero, zero, zero}, *phase[] = {u};
    sm_base_plane v = {.radius_mm = 11.5, .azimuths_deg = {7, 127, 247}, .cuff_wave_mm = 0.6, .placements = 1};
    fill_phases(u, 0);
    sm_plane p = plane_of(&v);
    sm_plane_draw(&p, normal, phase, a, b, c);
    for (int i = 0; i < SM_LANES; i++) {
        assert_near(a[i], 0, 0, 1e-15);
        assert_near(b[i], 0, 0, 1e-15);
        assert_near(c[i], 0.6 * sin(2 * M_PI * u[i] + 3 * 7 * (M_PI / 180)), 0, 1e-14);
    }
    v.azimuths_deg[1] = 147;
    p = plane_of(&v);
    sm_plane_draw(&p, normal, phase, a, b, c);
    assert_true(fabs(a[40]) + fabs(b[40]) > 1e-3);
}

/* m placements: the points' SD falls by sqrt(m), the waves are averaged over their own phases. Points turned by 7
 * degrees meet the wave 21 degrees later, so that its cosine counts as its sine does. */
static void placements_average_their_errors(void **state)
{
    (void)state;
    static double zero[SM_LANES], u[3][SM_LANES], a[SM_LANES], b[SM_LANES], c[SM_LANES];
    const double *normal[] = {zero, zero, zero}, *phase[] = {u[0], u[1], u[2]};
    const sm_base_plane v = {
        .radius_mm = 11.5, .azimuths_deg = {7, 127, 247}, .point_sd_mm = 0.7, .cuff_wave_mm = 0.6, .placements = 3};
    const sm_plane p = plane_of(&v);
    assert_near(p.point_sd, 0.7 / sqrt(3), 1e-14, 0);
    assert_int_equal(sm_plane_phases(&p), 3);
    for (int k = 0; k < 3; k++)
        fill_phases(u[k], 0.21 * k);
    sm_plane_draw(&p, normal, phase, a, b, c);
    for (int i = 0; i < SM_LANES; i++) {
        double want = 0;
        for (int k = 0; k < 3; k++)
            want += 0.6 / 3 * sin(2 * M_PI * u[k][i] + 3 * 7 * (M_PI / 180));
        assert_near(c[i], want, 0, 1e-14);
    }
}

static void tilt_form_is_as_stated(void **state)
{
    (void)state;
    static double z[3][SM_LANES], a[SM_LANES], b[SM_LANES], c[SM_LANES];
    const sm_base_plane v = {.tilt_form = true, .tilt_sd_deg = 3, .level_sd_mm = 0.4};
    const sm_plane p = plane_of(&v);
    assert_int_equal(sm_plane_phases(&p), 0);
    z[0][5] = 1.3;
    z[1][5] = -0.7;
    z[2][5] = 2.1;
    sm_plane_draw(&p, (const double *const[]){z[0], z[1], z[2]}, NULL, a, b, c);
    assert_near(a[5], 1.3 * tan(3 * M_PI / 180), 1e-14, 0); /* (2.3) */
    assert_near(b[5], -0.7 * tan(3 * M_PI / 180), 1e-14, 0);
    assert_near(c[5], 2.1 * 0.4, 1e-14, 0);
}

static void points_that_span_no_plane_are_refused(void **state)
{
    (void)state;
    const sm_base_plane v = {.radius_mm = 11.5, .azimuths_deg = {40, 40, 200}, .point_sd_mm = 0.7, .placements = 1};
    sm_plane p;
    assert_int_equal(sm_plane_create(&v, &p), SM_NUMERIC);
}

/* 6. Second looks */

static sm_cross_check cross_check(void)
{
    static double mm[] = {6.6, 6.8}, other[] = {7.1};
    static sm_reader_row row[] = {{"A", 2, mm}, {"B", 1, other}};
    return (sm_cross_check){.present = true,
                            .readings = {2, row},
                            .reader_sd_mm = 1.3,
                            .magnification_sd = 0.04,
                            .view_error_sd_deg = 8,
                            .spoiled = 0.07};
}

/* y is the mean over readers of each reader's mean, s = reader_sd/sqrt(m); o/D with D from the domains of
 * docs/case-format.md. What is measured directly has no view, no scale and no circle. */
static void a_look_has_its_constants(void **state)
{
    (void)state;
    static const double width[SM_LOOKED] = {35, 35, 59, 23, 5};
    const sm_cross_check c = cross_check();
    for (int at = 0; at < SM_LOOKED; at++) {
        sm_look l;
        sm_look_create(&c, (sm_looked)at, 22.4, &l);
        const bool projection = at == SM_LOOKED_OSTIUM_GAP || at == SM_LOOKED_STJ_GAP;
        assert_near(l.reading, 6.9, 1e-15, 0);
        assert_near(l.error_sd, 1.3 / sqrt(2), 1e-15, 0);
        assert_near(l.high - l.low, width[at], 1e-15, 0);
        assert_near(l.spoiled_density, 0.07 / 0.93 / width[at], 1e-15, 0);
        assert_near(l.view_sd, projection ? 8 * M_PI / 180 : 0, 1e-15, 0);
        assert_near(l.magnification_sd, projection ? 0.04 : 0, 0, 0);
        assert_near(l.half_circle, projection ? 11.2 : 0, 1e-15, 0);
    }
}

/* A reader's SD of 0 is taken for a hundredth of a millimetre. Equal looks are equal as bytes. */
static void a_look_s_error_is_never_none(void **state)
{
    (void)state;
    sm_cross_check c = cross_check();
    sm_look l, again;
    c.reader_sd_mm = 0;
    memset(&again, 0x5a, sizeof again);
    sm_look_create(&c, SM_LOOKED_OSTIUM_GAP, 22.4, &l);
    sm_look_create(&c, SM_LOOKED_OSTIUM_GAP, 22.4, &again);
    assert_near(l.error_sd, 0.01, 1e-15, 0);
    assert_memory_equal(&l, &again, sizeof l);
}

/* What a look at each of them is at, of both sides. */
static void looks_are_at_their_quantities(void **state)
{
    (void)state;
    sm_coronary side[2] = {{.azimuth_deg = 0}, {.azimuth_deg = 1}};
    const sm_case c = {.n_coronaries = 2, .coronary = side};
    for (int k = 0; k < 2; k++) {
        assert_ptr_equal(sm_looked_quantity(&c, k, SM_LOOKED_OSTIUM_GAP), &side[k].quantity[SM_OSTIUM_GAP]);
        assert_ptr_equal(sm_looked_quantity(&c, k, SM_LOOKED_STJ_GAP), &side[k].quantity[SM_STJ_GAP]);
        assert_ptr_equal(sm_looked_quantity(&c, k, SM_LOOKED_LEAFLET_HEIGHT), &side[k].quantity[SM_LEAFLET_HEIGHT]);
        assert_ptr_equal(sm_looked_quantity(&c, k, SM_LOOKED_INNER_DIAMETER), &c.valve.inner_diameter);
        assert_ptr_equal(sm_looked_quantity(&c, k, SM_LOOKED_THICKNESS), &c.valve.leaflet_thickness);
    }
}

/* What the look alone says undoes what the view does: a true gap, seen wrongly by known errors, is found again. */
static void a_look_inverts_what_the_view_does(void **state)
{
    (void)state;
    const sm_cross_check c = cross_check();
    const double X = 5.37, error = 0.83, M = -0.031, G = 0.19;
    sm_look l;
    sm_look_create(&c, SM_LOOKED_OSTIUM_GAP, 22.4, &l);
    assert_near(sm_look_shown(&l, X, cos(G), 1 + M), ((X + 11.2) * cos(G) - 11.2) * (1 + M), 1e-14, 0);
    l.reading = ((X + 11.2) * cos(G) - 11.2) * (1 + M) + error;
    assert_near(sm_look_alone(&l, error, cos(G), 1 + M), X, 1e-13, 0);
    sm_look_create(&c, SM_LOOKED_LEAFLET_HEIGHT, 22.4, &l);
    assert_near(sm_look_shown(&l, X, 1, 1), X, 0, 0);
    assert_near(sm_look_alone(&l, error, 1, 1), 6.9 - error, 1e-14, 0);
}

/* A circle of radius 10 tilted by 20 degrees: its projection is 9.3969262079 across, and a cylinder of that radius is
 * cut 10.6417777248 long (closed forms). */
static void a_view_shortens_by_its_cosine(void **state)
{
    (void)state;
    const sm_cross_check c = cross_check();
    const double cosine = cos(20 * M_PI / 180);
    sm_look l;
    sm_look_create(&c, SM_LOOKED_STJ_GAP, 22.4, &l);
    assert_near(sm_look_shown(&l, 10 - 11.2, cosine, 1), 9.3969262079 - 11.2, 0, 1e-9);
    l.reading = 10 - 11.2;
    assert_near(sm_look_alone(&l, 0, cosine, 1), 10.6417777248 - 11.2, 0, 1e-9);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(estimate_is_the_mean_of_the_readers_means),
        cmocka_unit_test(quantities_are_named_as_in_the_case_file),
        cmocka_unit_test(variance_of_a_mean_of_readers),
        cmocka_unit_test(a_reading_becomes_a_normal_or_a_t),
        cmocka_unit_test(a_distribution_stands_for_itself),
        cmocka_unit_test(type_a_of_six_readings),
        cmocka_unit_test(type_a_factors),
        cmocka_unit_test(type_a_of_one_reader_keeps_what_readers_differ_by),
        cmocka_unit_test(readers_who_lie_apart_widen_their_error),
        cmocka_unit_test(type_a_pools_all_readers),
        cmocka_unit_test(plane_is_taken_off_not_below_zero),
        cmocka_unit_test(plane_through_points_120_degrees_apart),
        cmocka_unit_test(plane_through_an_uneven_triangle),
        cmocka_unit_test(draws_solve_the_three_equations),
        cmocka_unit_test(a_wave_on_even_points_does_not_tilt),
        cmocka_unit_test(placements_average_their_errors),
        cmocka_unit_test(tilt_form_is_as_stated),
        cmocka_unit_test(points_that_span_no_plane_are_refused),
        cmocka_unit_test(a_look_has_its_constants),
        cmocka_unit_test(a_look_s_error_is_never_none),
        cmocka_unit_test(looks_are_at_their_quantities),
        cmocka_unit_test(a_look_inverts_what_the_view_does),
        cmocka_unit_test(a_view_shortens_by_its_cosine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
