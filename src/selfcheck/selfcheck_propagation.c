/* selfcheck_propagation.c - published examples of the propagation of distributions.
 *
 * The expected values are closed forms or quadratures computed for this project; the printed values of the sources are
 * rounded versions of them. `widest` is 5 standard errors at 1,000,000 trials, but for the ends and lengths of shortest
 * intervals: there it is 5 standard deviations over 24 seeds, ends being several times as noisy as quantiles.
 *
 * Contents: 1. additive models  2. mass calibration  3. microwave mismatch  4. gauge block  5. others  6. the table
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include "selfcheck/selfcheck_example.h"

/* 1. Additive models (JCGM 101:2008, 9.2) */

static void sum_of_four(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++) {
        c->y[0][i] = c->x[0][i] + c->x[1][i] + c->x[2][i] + c->x[3][i];
        c->event[0][i] = c->y[0][i] > constant[0];
    }
}

/* 2. Mass calibration (JCGM 101:2008, 9.3), mg and kg/m3 */

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

/* 3. Microwave mismatch (JCGM 101:2008, 9.4): Y = X1^2 + X2^2 in units of 1e-6 */

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

/* 4. Gauge block, nm: as in JCGM 101:2008, 9.5, and as in GUM H.1 */

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

/* As in the GUM, with theta in one: the length's deviation from 50 mm. */
static void length_deviation_gum(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double l_s = c->x[0][i], d = c->x[1][i], d_alpha = c->x[2][i], theta = c->x[3][i];
        const double alpha_s = c->x[4][i], d_theta = c->x[5][i];
        c->y[0][i] = (l_s - 5e7) + d - l_s * (d_alpha * theta + alpha_s * d_theta);
    }
}

/* 5. Others */

static void natural_logarithm(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = log(c->x[0][i]);
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

static void falling_ball(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double mu_c = c->x[0][i], t_m = c->x[1][i], rho_m = c->x[2][i], rho_c = c->x[3][i], t_c = c->x[4][i],
                     rho_b = c->x[5][i];
        c->y[0][i] = mu_c * t_m * (rho_b - rho_m) / (t_c * (rho_b - rho_c));
    }
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

/* Activity after 2.73 days: x[0] at the start, x[1] the half-life in days. */
static void decay(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = c->x[0][i] * exp(-constant[0] * log(2) / c->x[1][i]);
}

/* What is known before, x[0], is kept in proportion to the density of the reading that was made of it: a trial is kept
 * where the uniform x[1] lies below the normal density over its peak. constant: the reading, its sd, the limit. */
static void known_before_and_read(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double z = (constant[0] - c->x[0][i]) / constant[1];
        c->event[0][i] = c->x[1][i] < exp(-z * z / 2);
        c->event[1][i] = c->event[0][i] != 0 && c->x[0][i] <= constant[2];
    }
}

/* Distance from a point 1 away, and from the centre itself, of a point that errs normally along either axis. */
static void distances(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++) {
        c->y[0][i] = hypot(c->x[0][i], c->x[1][i]);
        c->y[1][i] = hypot(constant[0] + c->x[0][i], c->x[1][i]);
    }
}

/* 6. The table */

#define ROOT3 1.7320508075688772
/* clang-format off */
#define FLAT {SM_UNIFORM, {-ROOT3, ROOT3}} /* of SD 1 */
#define MISMATCH(x1, r, threshold)                                                                                     \
    {.name = "mismatch", .n_inputs = 2, .n_outputs = 1, .n_events = 1, .input = {SM_UNIT, SM_UNIT},                    \
     .constant = {x1, r, threshold}, .evaluate = squared_magnitude}
/* clang-format on */

/* Of the impedance: R, X, Z in ohm and their standard uncertainties. */
#define R_OHM 127.7321699
#define X_OHM 219.8465119
#define Z_OHM 254.2597019
#define U_R   0.07107141
#define U_X   0.29558168
#define U_Z   0.23633613

const sm_example sm_examples_of_propagation[] = {
    {.title = "Sum of four normals",
     .source = "JCGM 101:2008, 9.2.2",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "sum of normals",
                 .n_inputs = 4,
                 .n_outputs = 1,
                 .n_events = 0,
                 .input = {SM_UNIT, SM_UNIT, SM_UNIT, SM_UNIT},
                 .evaluate = sum_of_four},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 0, .widest = 0.010},
                {SM_ASK_SD, "standard deviation", .expected = 2, .widest = 0.007},
                {SM_ASK_POINT, "2.5 % point", .expected = -3.919927969, .widest = 0.027, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 3.919927969, .widest = 0.027, .p = 0.975},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = -3.919927969, .widest = 0.12},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 3.919927969, .widest = 0.12},
                {SM_ASK_SHORTEST_LENGTH, "shortest 95 %, length", .expected = 2 * 3.919927969, .widest = 0.03}}},
    /* P(Y > 3): Irwin and Hall, (x^4 - 4 (x - 1)^4)/24 at x = 2 - sqrt(3)/2. */
    {.title = "Sum of four rectangles",
     .source = "JCGM 101:2008, 9.2.3",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "sum of rectangles",
                 .n_inputs = 4,
                 .n_outputs = 1,
                 .n_events = 1,
                 .input = {FLAT, FLAT, FLAT, FLAT},
                 .constant = {3},
                 .evaluate = sum_of_four},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 0, .widest = 0.010},
                {SM_ASK_SD, "standard deviation", .expected = 2, .widest = 0.007},
                {SM_ASK_POINT, "2.5 % point", .expected = -3.879406741, .widest = 0.025, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 3.879406741, .widest = 0.025, .p = 0.975},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = -3.879406741, .widest = 0.10},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 3.879406741, .widest = 0.10},
                {SM_ASK_EVENT, "P(Y > 3)", .expected = 0.0688435818}}},
    {.title = "Four rectangles, one ten times as wide",
     .source = "JCGM 101:2008, 9.2.4",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "one wide rectangle",
                 .n_inputs = 4,
                 .n_outputs = 1,
                 .n_events = 0,
                 .input = {FLAT, FLAT, FLAT, {SM_UNIFORM, {-10 * ROOT3, 10 * ROOT3}}},
                 .evaluate = sum_of_four},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 0, .widest = 0.051},
                {SM_ASK_SD, "standard deviation", .expected = 10.14889157, .widest = 0.027},
                {SM_ASK_POINT, "2.5 % point", .expected = -17.015814100, .widest = 0.06, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 17.015814100, .widest = 0.06, .p = 0.975},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = -17.015814100, .widest = 0.27},
                {SM_ASK_SHORTEST_LENGTH, "shortest 95 %, length", .expected = 2 * 17.015814100, .widest = 0.075}}},
    {.title = "Mass calibration, mg",
     .source = "JCGM 101:2008, 9.3",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "mass calibration",
                 .n_inputs = 5,
                 .n_outputs = 1,
                 .n_events = 3,
                 .input = {{SM_NORMAL, {100000, 0.050}},
                           {SM_NORMAL, {1.234, 0.020}},
                           {SM_UNIFORM, {1.10, 1.30}},
                           {SM_UNIFORM, {7000, 9000}},
                           {SM_UNIFORM, {7950, 8050}}},
                 .evaluate = mass_deviation},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 1.234, .widest = 4e-4},
                {SM_ASK_SD, "standard deviation", .expected = 0.0754797400, .widest = 3e-4},
                {SM_ASK_POINT, "2.5 % point", .expected = 1.0844332988, .widest = 1.2e-3, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 1.3835667793, .widest = 1.2e-3, .p = 0.975},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = 1.0844332988, .widest = 5e-3},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 1.3835667793, .widest = 5e-3},
                {SM_ASK_SHORTEST_LENGTH, "shortest 95 %, length", .expected = 0.2991334805, .widest = 1.5e-3},
                {SM_ASK_EVENT, "P(Y > 1.30)", .expected = 0.1871030229},
                {SM_ASK_EVENT, "P(Y > 1.35)", .expected = 0.0623875316, .of = 1},
                {SM_ASK_EVENT, "P(Y > 1.40)", .expected = 0.0150711542, .of = 2}}},
    /* x1 at 0: the shortest interval starts at the hard edge. */
    {.title = "Mismatch, x1 = 0, r = 0",
     .source = "JCGM 101:2008, 9.4.2",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = MISMATCH(0, 0, 100),
     .answer = {{SM_ASK_MEAN, "mean", .expected = 50, .widest = 0.27},
                {SM_ASK_SD, "standard deviation", .expected = 50, .widest = 0.38},
                {SM_ASK_POINT, "2.5 % point", .expected = 1.26589040, .widest = 0.041, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 184.443973, .widest = 1.6, .p = 0.975},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = 0, .widest = 0.05},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 149.786614, .widest = 1.2},
                {SM_ASK_EVENT, "P(Y > 100) = exp(-2)", .expected = 0.1353352832366127}}},
    {.title = "Mismatch, x1 = 0.010, r = 0",
     .source = "JCGM 101:2008, 9.4.2",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = MISMATCH(0.010, 0, 200),
     .answer = {{SM_ASK_MEAN, "mean", .expected = 150, .widest = 0.6},
                {SM_ASK_SD, "standard deviation", .expected = 111.803399, .widest = 0.57},
                {SM_ASK_POINT, "2.5 % point", .expected = 8.54684492, .widest = 0.26, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 427.123282, .widest = 2.6, .p = 0.975},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 366.005290, .widest = 2.1},
                {SM_ASK_EVENT, "P(Y > 200)", .expected = 0.2700394539}}},
    {.title = "Mismatch, x1 = 0.050, r = 0",
     .source = "JCGM 101:2008, 9.4.2",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = MISMATCH(0.050, 0, 0),
     .answer = {{SM_ASK_MEAN, "mean", .expected = 2550, .widest = 1.9},
                {SM_ASK_SD, "standard deviation", .expected = 502.493781, .widest = 2.3},
                {SM_ASK_POINT, "2.5 % point", .expected = 1638.47707, .widest = 6.5, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 3603.35805, .widest = 9, .p = 0.975},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = 1593.5697, .widest = 33},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 3548.5698, .widest = 33},
                {SM_ASK_SHORTEST_LENGTH, "shortest 95 %, length", .expected = 1955.0001, .widest = 9}}},
    {.title = "Mismatch, x1 = 0, r = 0.9",
     .source = "JCGM 101:2008, 9.4.3",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = MISMATCH(0, 0.9, 0),
     .answer = {{SM_ASK_MEAN, "mean", .expected = 50, .widest = 0.45},
                {SM_ASK_SD, "standard deviation", .expected = 67.2681202, .widest = 0.8},
                {SM_ASK_POINT, "2.5 % point", .expected = 0.56097772, .widest = 0.0185, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 241.217187, .widest = 2.7, .p = 0.975},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 185.056461, .widest = 2.4}}},
    {.title = "Mismatch, x1 = 0.050, r = 0.9",
     .source = "JCGM 101:2008, 9.4.3",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = MISMATCH(0.050, 0.9, 0),
     .answer = {{SM_ASK_MEAN, "mean", .expected = 2550, .widest = 2.6},
                {SM_ASK_SD, "standard deviation", .expected = 504.504708, .widest = 2.1},
                {SM_ASK_POINT, "2.5 % point", .expected = 1696.85798, .widest = 6, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 3659.79628, .widest = 9, .p = 0.975},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = 1624.4186, .widest = 19},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 3554.6825, .widest = 19}}},
    /* Points: from the characteristic function, inverted. */
    {.title = "Gauge block, nm",
     .source = "JCGM 101:2008, 9.5",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "gauge block",
                 .n_inputs = 11,
                 .n_outputs = 1,
                 .n_events = 0,
                 .input = {{SM_STUDENT_T, {50000623, 25, 18}},
                           {SM_STUDENT_T, {215, 6, 24}},
                           {SM_STUDENT_T, {0, 4, 5}},
                           {SM_STUDENT_T, {0, 7, 8}},
                           {SM_UNIFORM, {9.5e-6, 13.5e-6}},
                           {SM_NORMAL, {-0.1, 0.2}},
                           {SM_ARCSINE, {-0.5, 0.5}},
                           SM_DRAW,
                           SM_DRAW,
                           SM_DRAW,
                           SM_DRAW},
                 .evaluate = length_deviation},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 838, .widest = 0.25},
                {SM_ASK_SD, "standard deviation", .expected = 35.80807860, .widest = 0.14},
                {SM_ASK_POINT, "0.5 % point", .expected = 744.348356, .widest = 1.3, .p = 0.005},
                {SM_ASK_POINT, "99.5 % point", .expected = 931.651644, .widest = 1.3, .p = 0.995}}},
    /* The standard uncertainties of H.1, in any shape: with second-order terms 31.71 nm become what is asked. */
    {.title = "Gauge block, nm, second order",
     .source = "GUM:1995 (JCGM 100:2008), H.1",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "gauge block of the GUM",
                 .n_inputs = 6,
                 .n_outputs = 1,
                 .n_events = 0,
                 .input = {{SM_NORMAL, {50000623, 25}},
                           {SM_NORMAL, {215, 9.7}},
                           {SM_UNIFORM, {-0.58e-6 * ROOT3, 0.58e-6 * ROOT3}},
                           {SM_NORMAL, {-0.1, 0.41}},
                           {SM_UNIFORM, {11.5e-6 - 1.2e-6 * ROOT3, 11.5e-6 + 1.2e-6 * ROOT3}},
                           {SM_UNIFORM, {-0.029 * ROOT3, 0.029 * ROOT3}}},
                 .evaluate = length_deviation_gum},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 838, .widest = 0.17},
                {SM_ASK_SD, "standard deviation", .expected = 33.91114953, .widest = 0.12}}},
    /* Its shortest interval starts at ln 0.15 and ends at the upper edge: far from the symmetric one. */
    {.title = "Logarithm of a rectangle",
     .source = "NPL report DEM-ES-011, table 9.2",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "logarithm",
                 .n_inputs = 1,
                 .n_outputs = 1,
                 .n_events = 0,
                 .input = {{SM_UNIFORM, {0.1, 1.1}}},
                 .evaluate = natural_logarithm},
     .answer = {{SM_ASK_MEAN, "mean", .expected = -0.664900293, .widest = 0.0031},
                {SM_ASK_SD, "standard deviation", .expected = 0.606226697, .widest = 0.003},
                {SM_ASK_SHORTEST_LOW, "shortest 95 %, low end", .expected = -1.897119985, .widest = 0.01},
                {SM_ASK_SHORTEST_HIGH, "shortest 95 %, high end", .expected = 0.095310180, .widest = 0.001}}},
    {.title = "Correlated readings of an impedance, ohm",
     .source = "GUM:1995 (JCGM 100:2008), H.2, table H.4",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "impedance",
                 .n_inputs = 3,
                 .n_outputs = 6,
                 .n_events = 0,
                 .input = {SM_UNIT, SM_UNIT, SM_UNIT},
                 .constant = {R_OHM, X_OHM, Z_OHM, U_R, U_X, U_Z},
                 .evaluate = resistance_reactance_impedance},
     .answer = {{SM_ASK_MEAN, "resistance", .expected = R_OHM, .widest = 3.6e-4},
                {SM_ASK_SD, "resistance, uncertainty", .expected = U_R, .widest = 2.6e-4},
                {SM_ASK_MEAN, "reactance", .expected = X_OHM, .widest = 1.5e-3, .of = 1},
                {SM_ASK_SD, "reactance, uncertainty", .expected = U_X, .widest = 1.1e-3, .of = 1},
                {SM_ASK_MEAN, "impedance", .expected = Z_OHM, .widest = 1.2e-3, .of = 2},
                {SM_ASK_SD, "impedance, uncertainty", .expected = U_Z, .widest = 8.4e-4, .of = 2},
                {SM_ASK_MEAN, "correlation R, X", .expected = -0.58842978, .widest = 6e-3, .of = 3},
                {SM_ASK_MEAN, "correlation R, Z", .expected = -0.48525922, .widest = 6e-3, .of = 4},
                {SM_ASK_MEAN, "correlation X, Z", .expected = 0.99251165, .widest = 7.1e-3, .of = 5}}},
    /* Moments to 6 SD of the time below the line: beyond, the ratio has none. */
    {.title = "Viscosity by a falling ball, mPa s",
     .source = "NIST TN 1900, example E3",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "viscosity",
                 .n_inputs = 6,
                 .n_outputs = 1,
                 .n_events = 0,
                 .input = {{SM_NORMAL, {4.63, 0.0463}},
                           {SM_NORMAL, {61, 6.1}},
                           {SM_NORMAL, {1180, 0.5}},
                           {SM_NORMAL, {810, 0.5}},
                           {SM_NORMAL, {36.6, 5.49}},
                           {SM_NORMAL, {2217, 0.5}}},
                 .evaluate = falling_ball},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 5.825180, .widest = 0.01},
                {SM_ASK_SD, "standard deviation", .expected = 1.115373, .widest = 0.01},
                {SM_ASK_POINT, "2.5 % point", .expected = 4.052676, .widest = 0.02, .p = 0.025},
                {SM_ASK_POINT, "97.5 % point", .expected = 8.399303, .widest = 0.02, .p = 0.975}}},
    {.title = "Magnitude and phase, 0.001, r = 0",
     .source = "JCGM 102:2011, tables 6 and 7",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "polar",
                 .n_inputs = 2,
                 .n_outputs = 2,
                 .n_events = 0,
                 .input = {SM_UNIT, SM_UNIT},
                 .constant = {0.001, 0},
                 .evaluate = polar},
     .answer = {{SM_ASK_MEAN, "magnitude", .expected = 0.01256445, .widest = 5e-3 * 0.00656768},
                {SM_ASK_SD, "magnitude, uncertainty", .expected = 0.00656768, .widest = 4.5e-3 * 0.00656768},
                {SM_ASK_MEAN, "phase, radian", .expected = 0, .widest = 5e-3 * 1.74412735, .of = 1},
                {SM_ASK_SD, "phase, uncertainty", .expected = 1.74412735, .widest = 4.5e-3 * 1.74412735, .of = 1}}},
    {.title = "Magnitude and phase, 0.001, r = 0.9",
     .source = "JCGM 102:2011, tables 6 and 7",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "polar",
                 .n_inputs = 2,
                 .n_outputs = 2,
                 .n_events = 0,
                 .input = {SM_UNIT, SM_UNIT},
                 .constant = {0.001, 0.9},
                 .evaluate = polar},
     .answer = {{SM_ASK_MEAN, "magnitude", .expected = 0.01173281, .widest = 5e-3 * 0.00795872},
                {SM_ASK_SD, "magnitude, uncertainty", .expected = 0.00795872, .widest = 4.5e-3 * 0.00795872},
                {SM_ASK_MEAN, "phase, radian", .expected = -0.55631227, .widest = 5e-3 * 1.59878713, .of = 1},
                {SM_ASK_SD, "phase, uncertainty", .expected = 1.59878713, .widest = 4.5e-3 * 1.59878713, .of = 1}}},
    {.title = "Magnitude and phase, 0.010, r = 0.9",
     .source = "JCGM 102:2011, tables 6 and 7",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "polar",
                 .n_inputs = 2,
                 .n_outputs = 2,
                 .n_events = 0,
                 .input = {SM_UNIT, SM_UNIT},
                 .constant = {0.010, 0.9},
                 .evaluate = polar},
     .answer = {{SM_ASK_MEAN, "magnitude", .expected = 0.01528908, .widest = 5e-3 * 0.00813905},
                {SM_ASK_SD, "magnitude, uncertainty", .expected = 0.00813905, .widest = 4.5e-3 * 0.00813905},
                {SM_ASK_MEAN, "phase, radian", .expected = -0.34292726, .widest = 5e-3 * 0.90308019, .of = 1},
                {SM_ASK_SD, "phase, uncertainty", .expected = 0.90308019, .widest = 4.5e-3 * 0.90308019, .of = 1}}},
    /* Quadrature; to first order, and as printed there, 10.810 with 0.054. */
    {.title = "Decay over 2.73 days",
     .source = "JCGM GUM-5:2026, example 14",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "decay",
                 .n_inputs = 2,
                 .n_outputs = 1,
                 .n_events = 0,
                 .input = {{SM_NORMAL, {11.450, 0.05}}, {SM_NORMAL, {32.9, 1.4}}},
                 .constant = {2.73},
                 .evaluate = decay},
     .answer = {{SM_ASK_MEAN, "mean", .expected = 10.8089184970, .widest = 2.8e-4},
                {SM_ASK_SD, "standard deviation", .expected = 0.0541997661, .widest = 2e-4}}},
    /* Before: lognormal of logarithms -2.325, 0.434. The share is a quadrature; printed there as 0.11. */
    {.title = "Known before, read, held to a limit",
     .source = "JCGM GUM-5:2026, example 10",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "known before",
                 .n_inputs = 2,
                 .n_outputs = 0,
                 .n_events = 2,
                 .input = {{SM_LOGNORMAL, {0.09778344405135005, 1.543418868116487}}, SM_DRAW},
                 .constant = {0.225, 0.07 * 0.225, 0.2},
                 .evaluate = known_before_and_read},
     .answer = {{SM_ASK_SHARE, "P(at most 0.2, given the reading)", .expected = 0.1133404, .of = 1, .given = 0}}},
    {.title = "Distances of Rayleigh and Rice",
     .source = "closed form",
     .seen = SM_SEEN_COMPUTED,
     .formula = {.name = "distances",
                 .n_inputs = 2,
                 .n_outputs = 2,
                 .n_events = 0,
                 .input = {SM_UNIT, SM_UNIT},
                 .constant = {1},
                 .evaluate = distances},
     .answer = {{SM_ASK_MEAN, "Rayleigh, mean", .expected = 1.2533141373, .widest = 0.0033},
                {SM_ASK_SD, "Rayleigh, standard deviation", .expected = 0.6551363776, .widest = 0.0025},
                {SM_ASK_POINT, "Rayleigh, median", .expected = 1.17741002252, .widest = 0.0043, .p = 0.5},
                {SM_ASK_POINT, "Rayleigh, 95 % point", .expected = 2.44774683068, .widest = 0.009, .p = 0.95},
                {SM_ASK_MEAN, "Rice, 1 away, mean", .expected = 1.54857246055, .widest = 0.0039, .of = 1},
                {SM_ASK_SD, "Rice, 1 away, sd", .expected = 0.775837182934, .widest = 0.0027, .of = 1}}}};

const int sm_n_examples_of_propagation = sizeof sm_examples_of_propagation / sizeof *sm_examples_of_propagation;
