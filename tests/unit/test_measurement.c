/* test_measurement.c - readings, the base plane, the cross-check.
 *
 * Contents: 1. estimates  2. reader errors  3. type A  4. the plane taken off  5. the base plane  6. the cross-check
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "measurement/base_plane.h"
#include "measurement/cross_check.h"
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

/* 6. The cross-check */

static sm_look look_of(double view_deg)
{
    static double mm[] = {6.6, 6.8}, other[] = {7.1};
    static sm_reader_row row[] = {{"A", 2, mm}, {"B", 1, other}};
    const sm_cross_check c = {.present = true,
                              .readings = {2, row},
                              .reader_sd_mm = 1.3,
                              .magnification_sd = 0.04,
                              .view_error_sd_deg = view_deg};
    sm_look l;
    sm_look_create(&c, 22.4, &l);
    return l;
}

static void a_look_has_its_constants(void **state)
{
    (void)state;
    sm_look none = {.present = true}, l = look_of(8);
    assert_near(l.reading, 6.9, 1e-15, 0);
    assert_near(l.error_sd, 1.3 / sqrt(2), 1e-15, 0);
    assert_near(l.view_sd, 8 * M_PI / 180, 1e-15, 0);
    assert_near(l.half_circle, 11.2, 1e-15, 0);
    sm_look_create(&(sm_cross_check){0}, 22.4, &none);
    assert_false(none.present);
}

/* (3.5) undoes (3.4): a true gap, seen wrongly by known errors, is found again. */
static void a_look_inverts_what_the_view_does(void **state)
{
    (void)state;
    static double z_error[SM_LANES], z_view[SM_LANES], z_scale[SM_LANES], T_f[SM_LANES];
    sm_look l = look_of(8);
    const double T = 5.37, error = 0.83, M = -0.031, G = 0.19;
    l.reading = ((T + 11.2) * cos(G) - 11.2) * (1 + M) + error; /* (3.4) */
    z_error[17] = error / l.error_sd;
    z_view[17] = -G / l.view_sd; /* the sign of the miss does not matter */
    z_scale[17] = M / l.magnification_sd;
    sm_look_draw(&l, z_error, z_view, z_scale, T_f);
    assert_near(T_f[17], T, 1e-13, 0);
    assert_near(T_f[0], l.reading, 1e-13, 0);
}

/* Draws of T_f in which neither divisor is below 1/2, of so many in all. */
typedef struct {
    double n, all, mean, m2, m4;
} kept_draws;

static void take(const double *T_f, const double *z_view, const double *z_scale, const sm_look *l, double about,
                 kept_draws *out)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double y = T_f[i] - about;
        out->all++;
        if (fabs(l->view_sd * z_view[i]) > M_PI / 3 || 1 + l->magnification_sd * z_scale[i] < 0.5)
            continue;
        out->n++;
        out->mean += y;
        out->m2 += y * y;
        out->m4 += y * y * y * y;
    }
}

/* About the mean that is to be tested, so that sums keep their digits. */
static kept_draws draw_kept(const sm_look *l, double about)
{
    static double z[3][SM_LANES], T_f[SM_LANES];
    gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
    kept_draws out = {0};
    gsl_rng_set(r, 731);
    for (int group = 0; group < 4096; group++) {
        for (int i = 0; i < 3 * SM_LANES; i++)
            z[i / SM_LANES][i % SM_LANES] = gsl_ran_gaussian_ziggurat(r, 1);
        sm_look_draw(l, z[0], z[1], z[2], T_f);
        take(T_f, z[1], z[2], l, about, &out);
    }
    out.mean /= out.n;
    out.m2 /= out.n;
    out.m4 /= out.n;
    gsl_rng_free(r);
    return out;
}

/* (3.8) against a million draws of (3.5), to 5 standard errors; at the SDs in use no draw is left out. */
static void a_look_has_its_mean_and_variance(void **state)
{
    (void)state;
    static const double view[] = {0, 8, 8, 17, 30, 30}, scale[] = {0, 0.04, 0.13, 0.02, 0, 0.3};
    for (int i = 0; i < 6; i++) {
        sm_look l = look_of(view[i]);
        l.magnification_sd = scale[i];
        const sm_look_moments m = sm_look_moments_of(&l);
        const kept_draws d = draw_kept(&l, m.mean);
        const double share = sm_look_left_out(&l), left = d.all - d.n;
        assert_near(d.mean, 0, 0, 5 * sqrt(d.m2 / d.n));
        assert_near(d.m2, m.variance, 0, 5 * sqrt((d.m4 - d.m2 * d.m2) / d.n));
        assert_near(left, share * d.all, 0, 5 * sqrt(share * d.all) + 1e-3);
        assert_true(i > 1 || (left == 0 && share < 1e-12));
    }
    const sm_look l = {
        .present = true, .reading = 6.9, .error_sd = 0.83, .half_circle = 11.2}; /* the reader's error alone */
    assert_near(sm_look_moments_of(&l).mean, 6.9, 1e-14, 0);
    assert_near(sm_look_moments_of(&l).variance, 0.83 * 0.83, 1e-12, 0);
}

/* (3.8) with its four integrals by adaptive quadrature in 30 digits (mpmath, computed for this project): at wide SDs,
 * where the ends of the integrals count, a rule with wrong weights is off by more than its own error. */
static void a_look_s_integrals_are_exact(void **state)
{
    (void)state;
    static const struct {
        double view, scale, mean, variance;
    } known[] = {{8, 0.04, 7.09211891791759, 1.01409005281686},
                 {30, 0, 9.38299281557686, 12.7584824418954},
                 {40, 0, 10.1678972531717, 17.6975222250022},
                 {30, 0.3, 9.72122995245201, 18.8670076354287}};
    for (int i = 0; i < 4; i++) {
        sm_look l = look_of(known[i].view);
        l.magnification_sd = known[i].scale;
        const sm_look_moments m = sm_look_moments_of(&l);
        assert_near(m.mean, known[i].mean, 1e-9, 0);
        assert_near(m.variance, known[i].variance, 1e-8, 0);
    }
}

/* chi^2 3.84 is the 5 % value of one degree of freedom (3.841458821 to more digits). */
static void looks_are_pooled_up_to_the_limit(void **state)
{
    (void)state;
    sm_joining j = sm_look_join(5.2, 0.49, 6.4, 0.81);
    assert_near(j.chi2, 1.44 / 1.3, 1e-14, 0);
    assert_near(j.w, 0.81 / 1.3, 1e-14, 0); /* (3.7): the sharper look weighs more */
    assert_false(j.conflict);
    const double edge = sqrt(3.84 * 1.3);
    assert_false(sm_look_join(0, 0.49, edge * (1 - 1e-9), 0.81).conflict);
    assert_true(sm_look_join(0, 0.49, edge * (1 + 1e-9), 0.81).conflict);
    assert_true(sm_look_join(edge * (1 + 1e-9), 0.81, 0, 0.49).conflict);
}

/* Published sets of measurements, joined one look after another: each joining adds its chi^2 to Q, and what is left is
 * the weighted mean of all with the variance 1/(sum of weights). Expected: R, and recomputed here. */
typedef struct {
    int n;
    double x[13], v[13]; /* values and variances */
    double mean, se, Q;
} published_set;

static void expect_joined(const published_set *s)
{
    double mean = s->x[0], v = s->v[0], Q = 0;
    for (int i = 1; i < s->n; i++) {
        const sm_joining j = sm_look_join(mean, v, s->x[i], s->v[i]);
        Q += j.chi2;
        mean = j.w * mean + (1 - j.w) * s->x[i]; /* (3.7) */
        v *= j.w;
    }
    assert_near(mean, s->mean, 0, 1e-9);
    assert_near(sqrt(v), s->se, 0, 1e-9);
    assert_near(Q, s->Q, 3e-9, 0);
}

/* The key comparison CCQM-K25, PCB 105: seven laboratories, seen in R's package metRology. */
static void seven_laboratories(void **state)
{
    (void)state;
    static const double u[7] = {.381, .250, .130, .410, .445, .196, .093};
    published_set s = {.n = 7,
                       .x = {10.21, 10.9, 10.94, 10.58, 10.81, 9.62, 10.8},
                       .mean = 10.6885645848,
                       .se = .0652730486,
                       .Q = 37.3369355};
    for (int i = 0; i < 7; i++)
        s.v[i] = u[i] * u[i];
    expect_joined(&s);
}

/* Paule and Mandel, J Res NBS 1982;87:377: cadmium, five methods, seen in the same package. */
static void five_methods(void **state)
{
    (void)state;
    expect_joined(&(published_set){.n = 5,
                                   .x = {27.044, 26.022, 26.340, 26.787, 26.796},
                                   .v = {.003, .076, .464, .003, .014},
                                   .mean = 26.8869197537,
                                   .se = .0364321497,
                                   .Q = 22.6310745873});
}

/* Thirteen trials of BCG vaccine, log relative risks and their variances; counts from memory (they reproduce the
 * published Q of 152.23), the rest computed from the counts. */
static void thirteen_trials(void **state)
{
    (void)state;
    static const double count[13][4] = {{4, 119, 11, 128},       {6, 300, 29, 274},        {3, 228, 11, 209},
                                        {62, 13536, 248, 12619}, {33, 5036, 47, 5761},     {180, 1361, 372, 1079},
                                        {8, 2537, 10, 619},      {505, 87886, 499, 87892}, {29, 7470, 45, 7232},
                                        {17, 1699, 65, 1600},    {186, 50448, 141, 27197}, {5, 2493, 3, 2338},
                                        {27, 16886, 29, 17825}};
    published_set s = {.n = 13, .mean = -.4302851637, .se = .0404987517, .Q = 152.2330081};
    for (int i = 0; i < 13; i++) {
        const double a = count[i][0], b = count[i][1], c = count[i][2], d = count[i][3];
        s.x[i] = log(a / (a + b)) - log(c / (c + d));
        s.v[i] = 1 / a - 1 / (a + b) + 1 / c - 1 / (c + d);
    }
    expect_joined(&s);
}

/* A circle of radius 10 tilted by 20 degrees: its projection is 9.3969262079 across, and a cylinder of that radius is
 * cut 10.6417777248 long (closed forms). */
static void a_view_shortens_by_its_cosine(void **state)
{
    (void)state;
    static double zero[SM_LANES], one[SM_LANES], T_f[SM_LANES];
    sm_look l = look_of(20);
    one[3] = 1; /* misses by one SD, 20 degrees */
    l.reading = 9.3969262079 - l.half_circle;
    sm_look_draw(&l, zero, one, zero, T_f);
    assert_near(T_f[3], 10 - l.half_circle, 0, 1e-9);
    l.reading = 10 - l.half_circle;
    sm_look_draw(&l, zero, one, zero, T_f);
    assert_near(T_f[3], 10.6417777248 - l.half_circle, 0, 1e-9);
}

static void looks_without_any_spread_agree_only_if_equal(void **state)
{
    (void)state;
    assert_false(sm_look_join(5, 0, 5, 0).conflict);
    assert_true(sm_look_join(5, 0, 5.001, 0).conflict);
    assert_near(sm_look_join(5, 0, 5, 0).w, 0.5, 0, 0);
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
        cmocka_unit_test(a_look_inverts_what_the_view_does),
        cmocka_unit_test(a_look_has_its_mean_and_variance),
        cmocka_unit_test(a_look_s_integrals_are_exact),
        cmocka_unit_test(looks_are_pooled_up_to_the_limit),
        cmocka_unit_test(seven_laboratories),
        cmocka_unit_test(five_methods),
        cmocka_unit_test(thirteen_trials),
        cmocka_unit_test(a_view_shortens_by_its_cosine),
        cmocka_unit_test(looks_without_any_spread_agree_only_if_equal),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
