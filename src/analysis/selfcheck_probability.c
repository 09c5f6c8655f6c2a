/* selfcheck_probability.c - published probabilities of crossing a limit, and intervals for them.
 *
 * Contents: 1. conformity with a limit  2. global risks  3. structural limits  4. proportions  5. sequences
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_math.h>

#include "analysis/interval.h"
#include "analysis/selfcheck_groups.h"

/* 1. Conformity with a limit */

static void within_limits(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        c->event[0][i] = c->x[0][i] <= -5.40;
        c->event[1][i] = c->x[1][i] >= 490;
        c->event[2][i] = c->x[2][i] >= 12.5 && c->x[2][i] <= 16.3;
    }
}

/* Closed form: the limit is the quantile of the quantity at its conformance probability. */
void sm_selfcheck_conformity(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist upper = sm_dist_normal(-5.47, 0.05), lower = sm_dist_normal(509.7, 8.6),
                  both = sm_dist_normal(13.6, 1.8);
    const sm_formula f = {"conformity", 3, 0, 3, {upper, lower, both}, {0}, within_limits};
    const sm_dist unit = sm_dist_normal(0, 1);
    sm_checks_group(t, "Probability of conforming", "closed form; inputs as we recall them from JCGM 106:2012",
                    SM_SEEN_IN_MEMORY);
    sm_checks_exact(t, "limit at 0.91924334", -5.40, sm_dist_quantile(&upper, 0.9192433407662289), 1e-10);
    sm_checks_exact(t, "limit at 1 - 0.98900955", 490, sm_dist_quantile(&lower, 1 - 0.9890095474), 1e-6);
    sm_checks_exact(t, "guard band, 95 % one-sided", 1.644853627, sm_dist_quantile(&unit, 0.95), 1e-9);
    sm_checks_exact(t, "guarded rejection of 100, 99.9 %", 106.5876095,
                    100 / (1 - 0.02 * sm_dist_quantile(&unit, 0.999)), 1e-6);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_event(t, "upper limit", r, 0, 0.9192433408);
    sm_checks_event(t, "lower limit", r, 1, 0.9890095474);
    sm_checks_event(t, "two limits", r, 2, 0.6626297865);
    free(r);
}

/* 2. Global risks: an item, its measured value, and what is decided on it */

/* x: four uniforms make a gamma variate of shape 4 and scale 0.25; x[4]: the error of measurement. Limit 2. */
static void ball_bearing(const double *constant, sm_formula_columns *c)
{
    const double guarded = constant[0];
    for (int i = 0; i < SM_LANES; i++) {
        double X = -0.25 * log(c->x[0][i] * c->x[1][i] * c->x[2][i] * c->x[3][i]), measured = X + c->x[4][i];
        c->event[0][i] = X > 2;
        c->event[1][i] = X > 2 && measured <= 2;
        c->event[2][i] = X <= 2 && measured > 2;
        c->event[3][i] = X > 2 && measured <= guarded;
        c->event[4][i] = X <= 2 && measured > guarded;
    }
}

static void check_ball_bearing(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist u = sm_dist_uniform(0, 1);
    const sm_formula f = {"ball bearing", 5, 0, 5, {u, u, u, u, sm_dist_normal(0, 0.25)}, {1.6718287716}, ball_bearing};
    sm_checks_group(t, "Global risks, ball bearing", "JCGM 106:2012, 9.5.4", SM_SEEN_IN_EXCERPT);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_event(t, "nonconforming", r, 0, 0.0423801120);
    sm_checks_event(t, "consumer's risk", r, 1, 0.0080191119);
    sm_checks_event(t, "producer's risk", r, 2, 0.0174445692);
    sm_checks_event(t, "consumer's risk, guarded", r, 3, 0.001);
    sm_checks_event(t, "producer's risk, guarded", r, 4, 0.0754938761);
    free(r);
}

static void normal_process(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        double X = c->x[0][i], measured = X + c->x[1][i];
        c->event[0][i] = fabs(X) > 0.2;
        c->event[1][i] = fabs(X) > 0.2 && fabs(measured) <= 0.2;
        c->event[2][i] = fabs(X) <= 0.2 && fabs(measured) > 0.2;
    }
}

static void check_normal_process(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_formula f = {"normal process", 2, 0, 3, {sm_dist_normal(0, 0.12), sm_dist_normal(0, 0.04)}, {0},
                          normal_process};
    sm_checks_group(t, "Global risks, normal process", "quadrature", SM_SEEN_COMPUTED);
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_event(t, "nonconforming", r, 0, 0.0955807045);
    sm_checks_event(t, "consumer's risk", r, 1, 0.0189422067);
    sm_checks_event(t, "producer's risk", r, 2, 0.0372078002);
    free(r);
}

void sm_selfcheck_global_risk(const sm_selfcheck_size *size, sm_checks *t)
{
    check_ball_bearing(size, t);
    check_normal_process(size, t);
}

/* 3. Structural limits: benchmarks of the probability that a limit state is crossed */

static void two_normals(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double a = c->x[0][i], b = c->x[1][i], d = a - b, s = (a + b) / M_SQRT2;
        const double curved = 3 + 0.1 * d * d, flat = 7 / M_SQRT2;
        c->event[0][i] = (4 + a) - (2 + b) < 0;
        c->event[1][i] = (7 + a) - (2 + b) < 0;
        c->event[2][i] = 2.5 - s + 0.1 * d * d < 0;
        c->event[3][i] = 3 - a * b < 0;
        c->event[4][i] = fmin(fmin(curved - s, curved + s), fmin(d + flat, -d + flat)) < 0;
        c->event[5][i] = a > 4 || b > 5;
    }
}

static void check_two_normals(const sm_selfcheck_size *size, sm_checks *t)
{
    const sm_dist n = sm_dist_normal(0, 1);
    const sm_formula f = {"two normals", 2, 0, 6, {n, n}, {0}, two_normals};
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_event(t, "R - S, means 4 and 2", r, 0, 0.0786496035);
    sm_checks_event(t, "R - S, means 7 and 2", r, 1, 2.034760087e-4);
    sm_checks_event(t, "RP22", r, 2, 0.00420730551130);
    sm_checks_event(t, "RP75", r, 3, 0.00981929872155);
    sm_checks_event(t, "four branches", r, 4, 0.00222279506619);
    sm_checks_event(t, "RP110", r, 5, 3.19578843e-5);
    free(r);
}

/* x: strength (mean 300, sd 30), load, and two uniforms on [-1, 1]. */
static void beam_and_branches(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double d = c->x[2][i] - c->x[3][i], curved = 0.2 + 0.6 * d * d * d * d, flat = 5 / M_SQRT2 - 2.2;
        c->event[0][i] = c->x[0][i] - c->x[1][i] / (100 * M_PI) < 0;
        c->event[1][i] = fmin(fmin(curved - d / M_SQRT2, curved + d / M_SQRT2), fmin(d + flat, -d + flat)) < 0;
    }
}

static void check_beam(const sm_selfcheck_size *size, sm_checks *t)
{
    const double log_variance = log1p(0.01);
    const sm_dist strength = sm_dist_lognormal(300 / sqrt(1.01), exp(sqrt(log_variance)));
    const sm_dist u = sm_dist_uniform(-1, 1);
    const sm_formula f = {"beam", 4, 0, 2, {strength, sm_dist_normal(75000, 5000), u, u}, {0}, beam_and_branches};
    sm_formula_result *r = sm_selfcheck_formula(&f, size, t);
    if (!r)
        return;
    sm_checks_event(t, "axially stressed beam", r, 0, 0.0291981946248);
    sm_checks_event(t, "RP55", r, 1, 0.5600144282864);
    free(r);
}

void sm_selfcheck_structures(const sm_selfcheck_size *size, sm_checks *t)
{
    sm_checks_group(t, "Structural limit states", "definitions as in otbenchmark", SM_SEEN_IN_EXCERPT);
    check_two_normals(size, t);
    check_beam(size, t);
}

/* 4. Proportions */

static void check_wilson(sm_checks *t, const char *low_name, const char *high_name, int64_t k, int64_t n, double low,
                         double high, double tolerance)
{
    const sm_probability p = sm_probability_of(k, n);
    sm_checks_exact(t, low_name, low, p.low, tolerance);
    sm_checks_exact(t, high_name, high, p.high, tolerance);
}

void sm_selfcheck_proportions(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    sm_checks_group(t, "Wilson 95 % intervals", "cases of Newcombe, Stat Med 1998;17:857", SM_SEEN_IN_MEMORY);
    check_wilson(t, "81 of 263, low end", "81 of 263, high end", 81, 263, 0.2552885, 0.3662096, 1e-7);
    check_wilson(t, "15 of 148, low end", "15 of 148, high end", 15, 148, 0.0623864, 0.1604872, 1e-7);
    check_wilson(t, "0 of 20, low end", "0 of 20, high end", 0, 20, 0, 0.1611252, 1e-7);
    check_wilson(t, "1 of 29, low end", "1 of 29, high end", 1, 29, 0.0061132, 0.1717552, 1e-7);
    sm_checks_group(t, "Wilson 95 % intervals of many trials", "closed form", SM_SEEN_COMPUTED);
    check_wilson(t, "490 of 10000, low end", "490 of 10000, high end", 490, 10000, 0.044940, 0.053407, 1e-6);
    check_wilson(t, "0 of 10000, low end", "0 of 10000, high end", 0, 10000, 0, 0.000384, 1e-6);
}

/* 5. Sequences */

/* The first n after which p is left out when no event has been seen; 0: none up to 1000. */
static double first_excluding(double p, double epsilon)
{
    for (int64_t n = 1; n <= 1000; n++)
        if (sm_sequence_excludes(0, n, p, epsilon))
            return (double)n;
    return 0;
}

void sm_selfcheck_sequences(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    double low, high;
    sm_checks_group(t, "Confidence sequence of Robbins and Lai", "closed form", SM_SEEN_COMPUTED);
    sm_checks_exact(t, "no event: 0.05 out at, 0.001", 242, first_excluding(0.05, 0.001), 0);
    sm_checks_exact(t, "no event: 0.05 out at, 0.05", 158, first_excluding(0.05, 0.05), 0);
    sm_checks_exact(t, "no event: 0.1 out at, 0.01", 87, first_excluding(0.1, 0.01), 0);
    sm_checks_exact(t, "no event: 0.5 out at, 0.001", 14, first_excluding(0.5, 0.001), 0);
    sm_sequence_interval(30, 1000, 0.001, &low, &high);
    sm_checks_exact(t, "30 of 1000, low end", 0.0110421126, low, 1e-9);
    sm_checks_exact(t, "30 of 1000, high end", 0.0628085569, high, 1e-9);
    sm_sequence_interval(300, 10000, 0.001, &low, &high);
    sm_checks_exact(t, "300 of 10000, low end", 0.0222787756, low, 1e-9);
    sm_checks_exact(t, "300 of 10000, high end", 0.0392681961, high, 1e-9);
}
