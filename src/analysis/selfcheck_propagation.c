/* selfcheck_propagation.c - published examples of the propagation of distributions.
 *
 * The expected values are closed forms or quadratures computed for this project; the printed values of the sources are
 * rounded versions of them. `widest` is 5 standard errors at 1,000,000 trials.
 *
 * Contents: 1. additive models  2. mass calibration  3. microwave mismatch  4. gauge block  5. others
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "analysis/selfcheck_groups.h"

/* 1. Additive models (JCGM 101:2008, 9.2) */

static void sum_of_four(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++) {
        c->y[0][i] = c->x[0][i] + c->x[1][i] + c->x[2][i] + c->x[3][i];
        c->event[0][i] = c->y[0][i] > constant[0];
    }
}

/* Mean, sd and both ends; the same for the shortest interval. */
typedef struct {
    double mean, sd, low, high;
    double widest_mean, widest_sd, widest_low, widest_high;
} symmetric_answer;

static void check_symmetric(sm_checks *t, const sm_formula_result *r, const symmetric_answer *a)
{
    sm_checks_mean(t, "mean", r, 0, a->mean, a->widest_mean);
    sm_checks_sd(t, "standard deviation", r, 0, a->sd, a->widest_sd);
    sm_checks_quantile(t, "2.5 % point", r, 0, 0.025, a->low, a->widest_low);
    sm_checks_quantile(t, "97.5 % point", r, 0, 0.975, a->high, a->widest_high);
}

void sm_selfcheck_sum_of_normals(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist n = sm_dist_normal(0, 1);
    const sm_formula f = {"sum of normals", 4, 1, 0, {n, n, n, n}, {0}, sum_of_four};
    sm_checks_group(t, "Sum of four normals", "JCGM 101:2008, 9.2.2", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){0, 2, -3.919927969, 3.919927969, 0.010, 0.007, 0.027, 0.027});
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, -3.919927969, 0.12);
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 3.919927969, 0.12);
    sm_checks_shortest_length(t, "shortest 95 %, length", r, 0, 2 * 3.919927969, 0.03);
    free(r);
}

void sm_selfcheck_sum_of_rectangles(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist u = sm_dist_uniform(-sqrt(3), sqrt(3));
    const sm_formula f = {"sum of rectangles", 4, 1, 1, {u, u, u, u}, {3}, sum_of_four};
    sm_checks_group(t, "Sum of four rectangles", "JCGM 101:2008, 9.2.3", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){0, 2, -3.879406741, 3.879406741, 0.010, 0.007, 0.025, 0.025});
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, -3.879406741, 0.10);
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 3.879406741, 0.10);
    sm_checks_event(t, "P(Y > 3)", r, 0, 0.0688972773);
    free(r);
}

void sm_selfcheck_one_wide_rectangle(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist u = sm_dist_uniform(-sqrt(3), sqrt(3)), wide = sm_dist_uniform(-10 * sqrt(3), 10 * sqrt(3));
    const sm_formula f = {"one wide rectangle", 4, 1, 0, {u, u, u, wide}, {0}, sum_of_four};
    sm_checks_group(t, "Four rectangles, one ten times as wide", "JCGM 101:2008, 9.2.4", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){0, 10.14889157, -17.015814100, 17.015814100, 0.051, 0.027, 0.06, 0.06});
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, -17.015814100, 0.27);
    sm_checks_shortest_length(t, "shortest 95 %, length", r, 0, 2 * 17.015814100, 0.075);
    free(r);
}

/* 2. Mass calibration (9.3), mg and kg/m3 */

static void mass_deviation(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double m_R = c->x[0][i], dm = c->x[1][i], rho_a = c->x[2][i], rho_W = c->x[3][i], rho_R = c->x[4][i];
        c->y[0][i] = (m_R + dm) * (1 + (rho_a - 1.2) * (1 / rho_W - 1 / rho_R)) - 100000;
        c->event[0][i] = c->y[0][i] > 1.30;
        c->event[1][i] = c->y[0][i] > 1.35;
        c->event[2][i] = c->y[0][i] > 1.40;
    }
}

void sm_selfcheck_mass(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_formula f = {"mass calibration",
                          5,
                          1,
                          3,
                          {sm_dist_normal(100000, 0.050), sm_dist_normal(1.234, 0.020), sm_dist_uniform(1.10, 1.30),
                           sm_dist_uniform(7000, 9000), sm_dist_uniform(7950, 8050)},
                          {0},
                          mass_deviation};
    sm_checks_group(t, "Mass calibration, mg", "JCGM 101:2008, 9.3", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    check_symmetric(t, r,
                    &(symmetric_answer){1.234, 0.0754797400, 1.0844332988, 1.3835667793, 4e-4, 3e-4, 1.2e-3, 1.2e-3});
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, 1.0844332988, 5e-3);
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 1.3835667793, 5e-3);
    sm_checks_shortest_length(t, "shortest 95 %, length", r, 0, 1.3835667793 - 1.0844332988, 1.5e-3);
    sm_checks_event(t, "P(Y > 1.30)", r, 0, 0.1871030229);
    sm_checks_event(t, "P(Y > 1.35)", r, 1, 0.0623875316);
    sm_checks_event(t, "P(Y > 1.40)", r, 2, 0.0150711542);
    free(r);
}

/* 3. Microwave mismatch (9.4): Y = X1^2 + X2^2 in units of 1e-6 */

/* constant: x1, correlation r, a threshold. Both standard uncertainties are 0.005, x2 is 0. */
static void squared_magnitude(const double *constant, sm_formula_columns *c)
{
    const double x1 = constant[0], r = constant[1], rest = sqrt(1 - r * r);
    for (int i = 0; i < SM_LANES; i++) {
        double X1 = x1 + 0.005 * c->x[0][i], X2 = 0.005 * (r * c->x[0][i] + rest * c->x[1][i]);
        c->y[0][i] = (X1 * X1 + X2 * X2) * 1e6;
        c->event[0][i] = c->y[0][i] > constant[2];
    }
}

static sm_formula_result *mismatch(const sm_selfcheck_size *size, sm_checks *t, double x1, double r, double threshold)
{
    const sm_dist n = sm_dist_normal(0, 1);
    const sm_formula f = {"mismatch", 2, 1, 1, {n, n}, {x1, r, threshold}, squared_magnitude};
    return sm_selfcheck_formula(&f, size, t);
}

/* x1 at 0: the shortest interval starts at the hard edge. */
static void mismatch_at_zero(const sm_selfcheck_size *size, sm_checks *t)
{
    sm_checks_group(t, "Mismatch, x1 = 0, r = 0", "JCGM 101:2008, 9.4.2", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = mismatch(size, t, 0, 0, 100);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){50, 50, 1.26589040, 184.443973, 0.27, 0.38, 0.041, 1.6});
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, 0, 0.05);
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 149.786614, 1.2);
    sm_checks_event(t, "P(Y > 100) = exp(-2)", r, 0, 0.1353352832366127);
    free(r);
}

static void mismatch_at_two_sd(const sm_selfcheck_size *size, sm_checks *t)
{
    sm_checks_group(t, "Mismatch, x1 = 0.010, r = 0", "JCGM 101:2008, 9.4.2", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = mismatch(size, t, 0.010, 0, 200);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){150, 111.803399, 8.54684492, 427.123282, 0.6, 0.57, 0.26, 2.6});
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 366.005290, 2.1);
    sm_checks_event(t, "P(Y > 200)", r, 0, 0.2700394539);
    free(r);
}

static void mismatch_far_off(const sm_selfcheck_size *size, sm_checks *t)
{
    sm_checks_group(t, "Mismatch, x1 = 0.050, r = 0", "JCGM 101:2008, 9.4.2", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = mismatch(size, t, 0.050, 0, 0);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){2550, 502.493781, 1638.47707, 3603.35805, 1.9, 2.3, 6.5, 9});
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, 1593.5697, 33);
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 3548.5698, 33);
    sm_checks_shortest_length(t, "shortest 95 %, length", r, 0, 1955.0001, 9);
    free(r);
}

static void mismatch_correlated(const sm_selfcheck_size *size, sm_checks *t)
{
    sm_checks_group(t, "Mismatch, x1 = 0, r = 0.9", "JCGM 101:2008, 9.4.3", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = mismatch(size, t, 0, 0.9, 0);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){50, 67.2681202, 0.56097772, 241.217187, 0.45, 0.8, 0.0185, 2.7});
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 185.056461, 2.4);
    free(r);
}

static void mismatch_correlated_far_off(const sm_selfcheck_size *size, sm_checks *t)
{
    sm_checks_group(t, "Mismatch, x1 = 0.050, r = 0.9", "JCGM 101:2008, 9.4.3", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = mismatch(size, t, 0.050, 0.9, 0);
    if (!r)
        return;
    check_symmetric(t, r, &(symmetric_answer){2550, 504.504708, 1696.85798, 3659.79628, 2.6, 2.1, 6, 9});
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, 1624.4186, 19);
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 3554.6825, 19);
    free(r);
}

void sm_selfcheck_microwave(const sm_selfcheck_size *size, sm_checks *t)
{
    mismatch_at_zero(size, t);
    mismatch_at_two_sd(size, t);
    mismatch_far_off(size, t);
    mismatch_correlated(size, t);
    mismatch_correlated_far_off(size, t);
}

/* 4. Gauge block (9.5), nm */

/* A rectangle [a, b] whose ends are themselves uncertain by d (6.4.3), from two uniforms. */
static inline double curvilinear_trapezoid(double a, double b, double d, double r1, double r2)
{
    double low = (a - d) + 2 * d * r1, high = (a + b) - low;
    return low + (high - low) * r2;
}

static void length_deviation(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double L_s = c->x[0][i], D = c->x[1][i], d1 = c->x[2][i], d2 = c->x[3][i];
        const double alpha_s = c->x[4][i], theta_0 = c->x[5][i], Delta = c->x[6][i];
        const double d_alpha = curvilinear_trapezoid(-1e-6, 1e-6, 0.1e-6, c->x[7][i], c->x[8][i]);
        const double d_theta = curvilinear_trapezoid(-0.050, 0.050, 0.025, c->x[9][i], c->x[10][i]);
        c->y[0][i] = (L_s - 5e7) + D + d1 + d2 - L_s * (d_alpha * (theta_0 + Delta) + alpha_s * d_theta);
    }
}

void sm_selfcheck_gauge_block(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist u = sm_dist_uniform(0, 1);
    const sm_formula f = {"gauge block",
                          11,
                          1,
                          0,
                          {{SM_STUDENT_T, {50000623, 25, 18}},
                           {SM_STUDENT_T, {215, 6, 24}},
                           {SM_STUDENT_T, {0, 4, 5}},
                           {SM_STUDENT_T, {0, 7, 8}},
                           sm_dist_uniform(9.5e-6, 13.5e-6),
                           sm_dist_normal(-0.1, 0.2),
                           {SM_ARCSINE, {-0.5, 0.5}},
                           u,
                           u,
                           u,
                           u},
                          {0},
                          length_deviation};
    sm_checks_group(t, "Gauge block, nm", "JCGM 101:2008, 9.5", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_mean(t, "mean", r, 0, 838, 0.25);
    sm_checks_sd(t, "standard deviation", r, 0, 35.80807860, 0.14);
    sm_checks_quantile(t, "0.5 % point", r, 0, 0.005, 744.36, 1.3);
    sm_checks_quantile(t, "99.5 % point", r, 0, 0.995, 931.62, 1.3);
    free(r);
}

/* 5. Others */

static void natural_logarithm(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = log(c->x[0][i]);
}

/* Its shortest interval starts at 0.15 and ends at the upper edge: far from the symmetric one. */
void sm_selfcheck_logarithm(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_formula f = {"logarithm", 1, 1, 0, {sm_dist_uniform(0.1, 1.1)}, {0}, natural_logarithm};
    sm_checks_group(t, "Logarithm of a rectangle", "NPL report DEM-ES-011, table 9.2", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_mean(t, "mean", r, 0, -0.664900293, 0.0031);
    sm_checks_sd(t, "standard deviation", r, 0, 0.606226697, 0.003);
    sm_checks_shortest(t, "shortest 95 %, low end", r, 0, 0, -1.897119985, 0.01);
    sm_checks_shortest(t, "shortest 95 %, high end", r, 0, 1, 0.095310180, 0.001);
    free(r);
}

/* Five simultaneous readings of V, I and phi: their means, and the lower root of the covariance of the means. */
static void means_and_root(double mean[3], double root[3][3])
{
    static const double reading[3][5] = {{5.007, 4.994, 5.005, 4.990, 4.999},
                                         {19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3},
                                         {1.0456, 1.0438, 1.0468, 1.0428, 1.0433}};
    for (int i = 0; i < 3; i++) {
        mean[i] = 0;
        for (int k = 0; k < 5; k++)
            mean[i] += reading[i][k] / 5;
    }
    for (int i = 0; i < 3; i++)
        for (int j = 0; j <= i; j++) {
            double s = 0;
            for (int k = 0; k < 5; k++)
                s += (reading[i][k] - mean[i]) * (reading[j][k] - mean[j]) / (5 * 4);
            for (int k = 0; k < j; k++)
                s -= root[i][k] * root[j][k];
            root[i][j] = i == j ? sqrt(s) : s / root[j][j];
        }
}

static void resistance_reactance_impedance(const double *constant, sm_formula_columns *c)
{
    double mean[3], root[3][3];
    means_and_root(mean, root);
    for (int i = 0; i < SM_LANES; i++) {
        double z0 = c->x[0][i], z1 = c->x[1][i], z2 = c->x[2][i];
        double V = mean[0] + root[0][0] * z0, I = mean[1] + root[1][0] * z0 + root[1][1] * z1;
        double phi = mean[2] + root[2][0] * z0 + root[2][1] * z1 + root[2][2] * z2;
        double R = V / I * cos(phi), X = V / I * sin(phi), Z = V / I;
        c->y[0][i] = R;
        c->y[1][i] = X;
        c->y[2][i] = Z;
        c->y[3][i] = (R - constant[0]) * (X - constant[1]) / (constant[3] * constant[4]); /* its mean: r(R, X) */
        c->y[4][i] = (R - constant[0]) * (Z - constant[2]) / (constant[3] * constant[5]);
        c->y[5][i] = (X - constant[1]) * (Z - constant[2]) / (constant[4] * constant[5]);
    }
}

void sm_selfcheck_impedance(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist n = sm_dist_normal(0, 1);
    const double R = 127.7321699, X = 219.8465119, Z = 254.2597019;
    const double u_R = 0.07107141, u_X = 0.29558168, u_Z = 0.23633613;
    const sm_formula f = {"impedance", 3, 6, 0, {n, n, n}, {R, X, Z, u_R, u_X, u_Z}, resistance_reactance_impedance};
    sm_checks_group(t, "Correlated readings of an impedance, ohm", "GUM:1995 (JCGM 100:2008), H.2, table H.4",
                    SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_mean(t, "resistance", r, 0, R, 3.6e-4);
    sm_checks_sd(t, "resistance, uncertainty", r, 0, u_R, 2.6e-4);
    sm_checks_mean(t, "reactance", r, 1, X, 1.5e-3);
    sm_checks_sd(t, "reactance, uncertainty", r, 1, u_X, 1.1e-3);
    sm_checks_mean(t, "impedance", r, 2, Z, 1.2e-3);
    sm_checks_sd(t, "impedance, uncertainty", r, 2, u_Z, 8.4e-4);
    sm_checks_mean(t, "correlation R, X", r, 3, -0.58842978, 6e-3);
    sm_checks_mean(t, "correlation R, Z", r, 4, -0.48525922, 6e-3);
    sm_checks_mean(t, "correlation X, Z", r, 5, 0.99251165, 7.1e-3);
    free(r);
}

static void falling_ball(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double mu_c = c->x[0][i], t_m = c->x[1][i], rho_m = c->x[2][i], rho_c = c->x[3][i], t_c = c->x[4][i],
                     rho_b = c->x[5][i];
        c->y[0][i] = mu_c * t_m * (rho_b - rho_m) / (t_c * (rho_b - rho_c));
    }
}

void sm_selfcheck_viscosity(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_formula f = {"viscosity",
                          6,
                          1,
                          0,
                          {sm_dist_normal(4.63, 0.0463), sm_dist_normal(61, 6.1), sm_dist_normal(1180, 0.5),
                           sm_dist_normal(810, 0.5), sm_dist_normal(36.6, 5.49), sm_dist_normal(2217, 0.5)},
                          {0},
                          falling_ball};
    sm_checks_group(t, "Viscosity by a falling ball, mPa s", "NIST TN 1900, example E3", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_mean(t, "mean", r, 0, 5.825, 0.01);
    sm_checks_sd(t, "standard deviation", r, 0, 1.115, 0.01);
    sm_checks_quantile(t, "2.5 % point", r, 0, 0.025, 4.053, 0.02);
    sm_checks_quantile(t, "97.5 % point", r, 0, 0.975, 8.399, 0.02);
    free(r);
}

/* constant: x1 and the correlation; both standard uncertainties are 0.01. */
static void polar(const double *constant, sm_formula_columns *c)
{
    const double r = constant[1], rest = sqrt(1 - r * r);
    for (int i = 0; i < SM_LANES; i++) {
        double X1 = constant[0] + 0.01 * c->x[0][i], X2 = 0.01 * (r * c->x[0][i] + rest * c->x[1][i]);
        c->y[0][i] = hypot(X1, X2);
        c->y[1][i] = atan2(X2, X1);
    }
}

typedef struct {
    const char *title;
    double x1, r, magnitude, u_magnitude, phase, u_phase;
} polar_answer;

static void check_polar(const sm_selfcheck_size *size, sm_checks *t, const polar_answer *a)
{
    const sm_dist n = sm_dist_normal(0, 1);
    const sm_formula f = {"polar", 2, 2, 0, {n, n}, {a->x1, a->r}, polar};
    sm_checks_group(t, a->title, "JCGM 102:2011, tables 6 and 7", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_mean(t, "magnitude", r, 0, a->magnitude, 5e-3 * a->u_magnitude);
    sm_checks_sd(t, "magnitude, uncertainty", r, 0, a->u_magnitude, 4.5e-3 * a->u_magnitude);
    sm_checks_mean(t, "phase, radian", r, 1, a->phase, 5e-3 * a->u_phase);
    sm_checks_sd(t, "phase, uncertainty", r, 1, a->u_phase, 4.5e-3 * a->u_phase);
    free(r);
}

void sm_selfcheck_magnitude_and_phase(const sm_selfcheck_size *size, sm_checks *t)
{
    static const polar_answer answers[] = {
        {"Magnitude and phase, 0.001, r = 0", 0.001, 0, 0.01256445, 0.00656768, 0, 1.74412735},
        {"Magnitude and phase, 0.001, r = 0.9", 0.001, 0.9, 0.01173281, 0.00795872, -0.55631227, 1.59878713},
        {"Magnitude and phase, 0.010, r = 0.9", 0.010, 0.9, 0.01528908, 0.00813905, -0.34292726, 0.90308019}};
    for (int i = 0; i < 3; i++)
        check_polar(size, t, &answers[i]);
}
