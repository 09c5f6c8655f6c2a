/* selfcheck_parts.c - known answers of the parts: generator, quantiles, moments, readings, plane, distances.
 *
 * Contents: 1. generator  2. quantiles  3. moments  4. few readings  5. base plane  6. distances
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_math.h>

#include "selfcheck/selfcheck_groups.h"
#include "geometry/side.h"
#include "measurement/base_plane.h"
#include "measurement/reading.h"
#include "sampling/philox.h"

/* 1. Generator */

static void check_cipher(sm_checks *t, const char *const name[4], const uint32_t counter[4], uint64_t seed,
                         const uint32_t want[4])
{
    uint32_t got[4];
    sm_philox_encipher(counter, seed, got);
    for (int i = 0; i < 4; i++)
        sm_checks_exact(t, name[i], want[i], got[i], 0);
}

void sm_selfcheck_generator(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    static const char *const zeros[4] = {"zeros, word 1", "zeros, word 2", "zeros, word 3", "zeros, word 4"};
    static const char *const ones[4] = {"ones, word 1", "ones, word 2", "ones, word 3", "ones, word 4"};
    static const char *const pi[4] = {"pi, word 1", "pi, word 2", "pi, word 3", "pi, word 4"};
    sm_checks_group(t, "Philox4x32-10, known answers", "Random123, kat_vectors", SM_SEEN_IN_FULL);
    check_cipher(t, zeros, (const uint32_t[]){0, 0, 0, 0}, 0,
                 (const uint32_t[]){0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
    check_cipher(t, ones, (const uint32_t[]){0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff}, 0xffffffffffffffffu,
                 (const uint32_t[]){0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
    check_cipher(t, pi, (const uint32_t[]){0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, 0x299f31d0a4093822u,
                 (const uint32_t[]){0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});
}

/* 2. Quantiles */

void sm_selfcheck_quantiles(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    static const struct {
        const char *name;
        sm_dist d;
        double p, x;
    } rows[] = {{"normal, 97.5 %", {SM_NORMAL, {0, 1}}, 0.975, 1.95996398454005},
                {"t, 5 degrees, 97.5 %", {SM_STUDENT_T, {0, 1, 5}}, 0.975, 2.57058183563631},
                {"t, 9 degrees, 97.5 %", {SM_STUDENT_T, {0, 1, 9}}, 0.975, 2.26215716279820},
                {"t, 16 degrees, 99.5 %", {SM_STUDENT_T, {0, 1, 16}}, 0.995, 2.92078162242510},
                {"t, 18 degrees, 99.5 %", {SM_STUDENT_T, {0, 1, 18}}, 0.995, 2.87844047273861},
                {"triangular 0, 1, 4, median", {SM_TRIANGULAR, {0, 1, 4}}, 0.5, 1.55051025722},
                {"normal cut to -1, 2, 97.5 %", {SM_TRUNCATED_NORMAL, {0, 1, -1, 2}}, 0.975, 1.71453783507},
                {"beta 2, 5, 2.5 %", {SM_BETA, {2, 5, 0, 1}}, 0.025, 0.0432718682927},
                {"arcsine -1, 1, 97.5 %", {SM_ARCSINE, {-1, 1}}, 0.975, 0.996917333733}};
    sm_checks_group(t, "Quantiles of the families", "scipy and R", SM_SEEN_COMPUTED);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        sm_checks_exact(t, rows[i].name, rows[i].x, sm_dist_quantile(&rows[i].d, rows[i].p), 1e-9);
}

/* 3. Moments: numbers whose sum of squares loses every digit in one pass */

static sm_moments alternating(double middle, double low, double high)
{
    sm_moments m = {.n = 0};
    double y[1001];
    y[0] = middle;
    for (int i = 1; i < 1001; i++)
        y[i] = i % 2 ? low : high;
    for (int start = 0; start < 1001; start += SM_LANES)
        sm_moments_add(&m, y + start, start + SM_LANES < 1001 ? SM_LANES : 1001 - start);
    return m;
}

void sm_selfcheck_moments(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    const double first[] = {10000001, 10000003, 10000002};
    sm_moments m1 = {.n = 0}, m2 = alternating(1.2, 1.1, 1.3), m3 = alternating(1000000.2, 1000000.1, 1000000.3),
               m4 = alternating(10000000.2, 10000000.1, 10000000.3);
    sm_moments_add(&m1, first, 3);
    sm_checks_group(t, "Mean and standard deviation", "NIST StRD, NumAcc1 to NumAcc4", SM_SEEN_IN_EXCERPT);
    sm_checks_exact(t, "NumAcc1, mean", 10000002, m1.mean, 1e-8);
    sm_checks_exact(t, "NumAcc1, standard deviation", 1, sm_moments_sd(&m1), 1e-15);
    sm_checks_exact(t, "NumAcc2, standard deviation", 0.1, sm_moments_sd(&m2), 1e-15);
    sm_checks_exact(t, "NumAcc3, standard deviation", 0.1, sm_moments_sd(&m3), 1e-10);
    sm_checks_exact(t, "NumAcc4, mean", 10000000.2, m4.mean, 1e-8);
    sm_checks_exact(t, "NumAcc4, standard deviation", 0.1, sm_moments_sd(&m4), 1e-8);
}

/* 4. Few readings */

static void as_drawn(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = constant[0] + c->x[0][i];
}

void sm_selfcheck_few_readings(const sm_selfcheck_size *size, sm_checks *t)
{
    double mm[] = {10006, 10007, 10005, 10008, 10003, 10005};
    sm_reader_row row = {.reader = NULL, .n = 6, .mm = mm};
    const sm_quantity q = {.is_read = true, .readings = {1, &row}, .sd_from_readings = true};
    sm_reading reading;
    sm_reading_create(&q, 0, 0, &reading);
    const sm_formula f = {"six readings", 1, 1, 0, {reading.error}, {reading.estimate}, as_drawn};
    sm_checks_group(t, "Six readings, type A", "JCGM 101:2008, 6.4.9; data of JCGM GUM-5:2026, example 15",
                    SM_SEEN_IN_EXCERPT);
    sm_checks_exact(t, "estimate", 10005.6666666667, reading.estimate, 1e-8);
    sm_checks_exact(t, "scale s/sqrt(n)", 0.7149203530, reading.error.p[1], 1e-9);
    sm_checks_exact(t, "uncertainty", 0.9229582070, sm_dist_sd(&reading.error), 1e-9);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_sd(t, "uncertainty, simulated", r, 0, 0.9229582070, 0.0067);
    sm_checks_quantile(t, "97.5 % point, simulated", r, 0, 0.975, 10005.6666666667 + 2.57058183563631 * 0.7149203530,
                       0.016);
    free(r);
}

/* 5. Base plane */

/* constant: radius, SD of a point. */
static void plane_slopes(const double *constant, sm_formula_columns *c)
{
    double a[SM_LANES], b[SM_LANES], level[SM_LANES];
    const sm_base_plane values = {
        .radius_mm = constant[0], .azimuths_deg = {0, 120, 240}, .point_sd_mm = constant[1], .placements = 1};
    sm_plane p;
    sm_plane_create(&values, &p);
    sm_plane_draw(&p, (const double *const[]){c->x[0], c->x[1], c->x[2]}, NULL, a, b, level);
    for (int i = 0; i < SM_LANES; i++) {
        c->y[0][i] = a[i];
        c->y[1][i] = b[i];
        c->y[2][i] = level[i];
        c->y[3][i] = hypot(a[i], b[i]);
        c->y[4][i] = atan(c->y[3][i]) * (180 / M_PI);
        c->y[5][i] = level[i] + 6 * (a[i] + b[i]) / M_SQRT2; /* at radius 6, azimuth 45 degrees */
    }
}

void sm_selfcheck_plane(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist n = sm_dist_normal(0, 1);
    const sm_formula f = {"plane", 3, 6, 0, {n, n, n}, {12, 0.5}, plane_slopes};
    sm_checks_group(t, "Plane through three points, R 12, SD 0.5", "closed form", SM_SEEN_COMPUTED);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_sd(t, "slope along x, sd", r, 0, 0.0340206909, 1.21e-4);
    sm_checks_sd(t, "slope along y, sd", r, 1, 0.0340206909, 1.21e-4);
    sm_checks_sd(t, "level, sd", r, 2, sqrt(0.25 / 3), 1.03e-3);
    sm_checks_sd(t, "height at radius 6, sd", r, 5, sqrt(0.125), 1.26e-3);
    sm_checks_mean(t, "slope, mean", r, 3, 0.0426386128, 1.12e-4);
    sm_checks_quantile(t, "slope, median", r, 3, 0.5, 0.0400563024, 1.5e-4);
    sm_checks_quantile(t, "slope, 95 % point", r, 3, 0.95, 0.0832740383, 3.2e-4);
    sm_checks_quantile(t, "tilt, median, degrees", r, 4, 0.5, 2.2938308, 8.4e-3);
    sm_checks_quantile(t, "tilt, 95 % point, degrees", r, 4, 0.95, 4.7602677, 1.8e-2);
    free(r);
}

/* 6. Distances */

typedef struct {
    double a, b, c, cx; /* the axis: slopes and level of the plane it stands on, and where it pierces the base plane */
    double az, r, z;    /* the point: azimuth about the axis, distance from it, height along it */
} point_by_axis;

static void place_point(const point_by_axis *p, double out[3])
{
    double a[SM_LANES] = {p->a}, b[SM_LANES] = {p->b}, c[SM_LANES] = {p->c}, cx[SM_LANES] = {p->cx};
    double cy[SM_LANES] = {0}, r[SM_LANES] = {p->r}, z[SM_LANES] = {p->z}, x[SM_LANES], y[SM_LANES], h[SM_LANES];
    sm_frame f;
    sm_frame_place(a, b, c, cx, cy, &f);
    sm_frame_point(&f, cos(p->az), sin(p->az), r, z, x, y, h);
    out[0] = x[0];
    out[1] = y[0];
    out[2] = h[0];
}

/* (3,4,7) from the axis through (1,0,2) along (0,2,1): sqrt(11.2) away and 13/sqrt 5 along it. (1,2,3) from the axis
 * through the origin along (1,1,1): sqrt 2 away, 6/sqrt 3 along it, at azimuth 180 degrees about it; a third of a turn
 * takes it to (3,1,2). */
static void check_points_and_axes(sm_checks *t)
{
    double found[3];
    place_point(&(point_by_axis){0, -2, 2, 1, atan2(-6 / sqrt(5), 2), sqrt(11.2), 5.8137767414994535}, found);
    sm_checks_exact(t, "point by its axis, x", 3, found[0], 1e-13);
    sm_checks_exact(t, "point by its axis, y", 4, found[1], 1e-13);
    sm_checks_exact(t, "point by its axis, z", 7, found[2], 1e-13);
    place_point(&(point_by_axis){-1, -1, 0, 0, M_PI, sqrt(2), 6 / sqrt(3)}, found);
    sm_checks_exact(t, "point by the diagonal, x", 1, found[0], 1e-13);
    sm_checks_exact(t, "point by the diagonal, y", 2, found[1], 1e-13);
    sm_checks_exact(t, "point by the diagonal, z", 3, found[2], 1e-13);
    place_point(&(point_by_axis){-1, -1, 0, 0, -M_PI / 3, sqrt(2), 6 / sqrt(3)}, found);
    sm_checks_exact(t, "a third of a turn on, x", 3, found[0], 1e-13);
    sm_checks_exact(t, "a third of a turn on, y", 1, found[1], 1e-13);
    sm_checks_exact(t, "a third of a turn on, z", 2, found[2], 1e-13);
}

/* Between the point (x, y) on a circle of radius 15 and a round tube of radius 10, its axis at (3, 0). */
static double room_within_circle(double x, double y)
{
    static const sm_limits limits = {.reach_margin_mm = 0};
    static const double limit[SM_GAPS][SM_LANES] = {{4}, {2}};
    static const sm_surgical_valve valve = {.leaflet_mount = SM_MOUNT_INTERNAL};
    const sm_side_model side = sm_side_create(atan2(y, x) * (180 / M_PI), 20, &limits, &valve);
    const sm_tube_model model = {.frame_height = 19, .ring_height = 2.5, .skirt_height = 9};
    sm_tube tube = {.D0 = {20}, .hold = {20}, .off_x = {3}};
    sm_landmarks marks = {.at = {[SM_GAP_OSTIUM] = {.x = {x}, .y = {y}, .h = {9}}, [SM_GAP_STJ] = {.h = {18}}},
                          .H = {14}};
    sm_side_out out;
    sm_side_evaluate(&side, &model, &tube, &marks, limit, NULL, &out);
    return out.y[SM_OSTIUM_CLEARANCE][0];
}

static void nearest_room(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++)
        c->event[0][i] = 15 - 10 - hypot(c->x[0][i], c->x[1][i]) < constant[0];
}

void sm_selfcheck_distances(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist n = sm_dist_normal(0, 1.5);
    const sm_formula f = {"random offset", 2, 0, 1, {n, n}, {2}, nearest_room};
    sm_checks_group(t, "Distances", "closed form", SM_SEEN_COMPUTED);
    check_points_and_axes(t);
    sm_checks_exact(t, "circle in circle, nearest", 2, room_within_circle(15, 0), 1e-13);
    sm_checks_exact(t, "circle in circle, farthest", 8, room_within_circle(-15, 0), 1e-13);
    sm_checks_exact(t, "circle in circle, square to it", 4.6969384567, room_within_circle(3, sqrt(216)), 1e-10);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_event(t, "P(room < 2), random offset", r, 0, 0.1353352832);
    free(r);
}
