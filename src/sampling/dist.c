/* dist.c - the families of distributions: names, checks, moments, quantiles.
 *
 * Contents: 1. names  2. makers  3. checks  4. moments  5. quantiles
 * Sources of the formulas: Johnson, Kotz and Balakrishnan, Continuous Univariate Distributions, 2nd ed.; the
 * scaled-shifted t and the arc sine as in JCGM 101:2008, 6.4. tests/unit/test_dist.c compares every family with values
 * computed elsewhere.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/dist.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

/* 1. Names */

#define SM_FAMILY_NAME(id, name, n, a, b, c, d)       name,
#define SM_FAMILY_COUNTS(id, name, n, a, b, c, d)     n,
#define SM_FAMILY_PARAMETERS(id, name, n, a, b, c, d) {a, b, c, d},
static const char *const names[] = {SM_FAMILY_LIST(SM_FAMILY_NAME)};
static const size_t counts[] = {SM_FAMILY_LIST(SM_FAMILY_COUNTS)};
static const char *const parameters[][4] = {SM_FAMILY_LIST(SM_FAMILY_PARAMETERS)};

const char *sm_dist_family_name(sm_family f)
{
    return names[f];
}

bool sm_dist_family_named(const char *name, sm_family *out)
{
    for (int f = 0; f < SM_FAMILY_COUNT; f++)
        if (strcmp(names[f], name) == 0) {
            *out = (sm_family)f;
            return true;
        }
    return false;
}

size_t sm_dist_parameters(sm_family f)
{
    return counts[f];
}

const char *sm_dist_parameter_name(sm_family f, size_t i)
{
    return parameters[f][i];
}

/* 2. Makers */

sm_dist sm_dist_constant(double value)
{
    return (sm_dist){SM_CONSTANT, {value}};
}

sm_dist sm_dist_normal(double mean, double sd)
{
    return (sm_dist){SM_NORMAL, {mean, sd}};
}

sm_dist sm_dist_uniform(double min, double max)
{
    return (sm_dist){SM_UNIFORM, {min, max}};
}

void sm_dist_set(sm_dist *out, const sm_dist *d)
{
    out->family = d->family;
    memcpy(out->p, d->p, sizeof out->p);
}

/* 3. Checks */

/* Of a wider lognormal the far draws, 8.5 SDs out, would in the end be too large for a number. */
#define WIDEST_GSD 100

/* The parent's mass between the ends of a truncated normal, from the tail that loses no digits. */
static double truncated_mass(const double p[4])
{
    double low = (p[2] - p[0]) / p[1], high = (p[3] - p[0]) / p[1];
    return low > 0 ? gsl_cdf_ugaussian_Q(low) - gsl_cdf_ugaussian_Q(high)
                   : gsl_cdf_ugaussian_P(high) - gsl_cdf_ugaussian_P(low);
}

static const char *check_truncated(const double p[4])
{
    if (p[1] < 0)
        return "sd must not be below 0";
    if (!(p[2] < p[3]))
        return "min must be below max";
    if (p[1] == 0)
        return p[0] >= p[2] && p[0] <= p[3] ? NULL : "with sd 0 the mean must lie between min and max";
    if (truncated_mass(p) < 1e-9)
        return "almost nothing of this normal lies between min and max";
    return NULL;
}

static const char *check_beta(const double p[4])
{
    if (!(p[0] >= 0.05 && p[1] >= 0.05 && p[0] <= 1e4 && p[1] <= 1e4))
        return "a and b must lie between 0.05 and 10000";
    return p[2] <= p[3] ? NULL : "min must not be above max";
}

const char *sm_dist_check(const sm_dist *d)
{
    const double *p = d->p;
    for (size_t i = 0; i < sm_dist_parameters(d->family); i++)
        if (!isfinite(p[i]))
            return "every parameter must be a finite number";
    switch (d->family) {
    case SM_CONSTANT:
        return NULL;
    case SM_NORMAL:
        return p[1] >= 0 ? NULL : "sd must not be below 0";
    case SM_UNIFORM:
    case SM_ARCSINE:
        return p[0] <= p[1] ? NULL : "min must not be above max";
    case SM_TRIANGULAR:
        return p[0] <= p[1] && p[1] <= p[2] ? NULL : "min, mode and max must rise";
    case SM_LOGNORMAL:
        return p[0] > 0 && p[1] >= 1 && p[1] <= WIDEST_GSD
                   ? NULL
                   : "median must be above 0 and gsd (geometric standard deviation) from 1 to 100";
    case SM_HALF_NORMAL:
        return p[0] >= 0 ? NULL : "sd must not be below 0";
    case SM_STUDENT_T:
        return p[1] >= 0 && p[2] >= 3 ? NULL : "scale must not be below 0 and dof must be at least 3";
    case SM_TRUNCATED_NORMAL:
        return check_truncated(p);
    case SM_BETA:
        return check_beta(p);
    default:
        return "unknown family";
    }
}

bool sm_dist_is_constant(const sm_dist *d)
{
    const double *p = d->p;
    switch (d->family) {
    case SM_CONSTANT:
        return true;
    case SM_NORMAL:
    case SM_STUDENT_T:
    case SM_TRUNCATED_NORMAL:
        return p[1] == 0;
    case SM_UNIFORM:
    case SM_ARCSINE:
        return p[0] == p[1];
    case SM_TRIANGULAR:
        return p[0] == p[2];
    case SM_LOGNORMAL:
        return p[1] == 1;
    case SM_HALF_NORMAL:
        return p[0] == 0;
    case SM_BETA:
        return p[2] == p[3];
    default:
        return false;
    }
}

/* 4. Moments */

/* Mean and sd of the parent's standard normal cut to [low, high]. */
static void truncated_moments(const double p[4], double *mean, double *sd)
{
    double low = (p[2] - p[0]) / p[1], high = (p[3] - p[0]) / p[1], mass = truncated_mass(p);
    double f_low = gsl_ran_ugaussian_pdf(low), f_high = gsl_ran_ugaussian_pdf(high);
    double shift = (f_low - f_high) / mass;
    double bend = (f_low > 0 ? low * f_low : 0) - (f_high > 0 ? high * f_high : 0); /* an end may be infinite */
    *mean = p[0] + p[1] * shift;
    *sd = p[1] * sqrt(fmax(0, 1 + bend / mass - shift * shift));
}

double sm_dist_mean(const sm_dist *d)
{
    const double *p = d->p;
    double mean = NAN, sd = NAN;
    switch (d->family) {
    case SM_CONSTANT:
    case SM_NORMAL:
    case SM_STUDENT_T:
        return p[0];
    case SM_UNIFORM:
    case SM_ARCSINE:
        return (p[0] + p[1]) / 2;
    case SM_TRIANGULAR:
        return (p[0] + p[1] + p[2]) / 3;
    case SM_LOGNORMAL:
        return p[0] * exp(gsl_pow_2(log(p[1])) / 2);
    case SM_HALF_NORMAL:
        return p[0] * sqrt(2 / M_PI);
    case SM_TRUNCATED_NORMAL:
        if (p[1] == 0)
            return p[0];
        truncated_moments(p, &mean, &sd);
        return mean;
    case SM_BETA:
        return p[2] + (p[3] - p[2]) * p[0] / (p[0] + p[1]);
    default:
        return NAN;
    }
}

double sm_dist_sd(const sm_dist *d)
{
    const double *p = d->p;
    double mean = NAN, sd = NAN, v = NAN;
    switch (d->family) {
    case SM_CONSTANT:
        return 0;
    case SM_NORMAL:
        return p[1];
    case SM_UNIFORM:
        return (p[1] - p[0]) / sqrt(12);
    case SM_ARCSINE:
        return (p[1] - p[0]) / sqrt(8);
    case SM_TRIANGULAR:
        v = gsl_pow_2(p[0] - p[1]) + gsl_pow_2(p[1] - p[2]) + gsl_pow_2(p[2] - p[0]);
        return sqrt(v / 36);
    case SM_LOGNORMAL:
        v = gsl_pow_2(log(p[1]));
        return p[0] * exp(v / 2) * sqrt(expm1(v));
    case SM_HALF_NORMAL:
        return p[0] * sqrt(1 - 2 / M_PI);
    case SM_STUDENT_T:
        return p[2] > 2 ? p[1] * sqrt(p[2] / (p[2] - 2)) : NAN;
    case SM_TRUNCATED_NORMAL:
        if (p[1] == 0)
            return 0;
        truncated_moments(p, &mean, &sd);
        return sd;
    case SM_BETA:
        return (p[3] - p[2]) / (p[0] + p[1]) * sqrt(p[0] * p[1] / (p[0] + p[1] + 1));
    default:
        return NAN;
    }
}

double sm_dist_lower_end(const sm_dist *d)
{
    switch (d->family) {
    case SM_CONSTANT:
    case SM_UNIFORM:
    case SM_TRIANGULAR:
    case SM_ARCSINE:
        return d->p[0];
    case SM_LOGNORMAL:
    case SM_HALF_NORMAL:
        return 0;
    case SM_TRUNCATED_NORMAL:
    case SM_BETA:
        return d->p[2];
    default:
        return sm_dist_is_constant(d) ? d->p[0] : -INFINITY;
    }
}

static double triangular_density(const double p[4], double x)
{
    if (x < p[0] || x > p[2])
        return 0;
    if (x < p[1])
        return 2 * (x - p[0]) / ((p[2] - p[0]) * (p[1] - p[0]));
    return p[1] < p[2] ? 2 * (p[2] - x) / ((p[2] - p[0]) * (p[2] - p[1])) : 2 / (p[2] - p[0]);
}

double sm_dist_density(const sm_dist *d, double x)
{
    const double *p = d->p;
    if (sm_dist_is_constant(d))
        return NAN;
    switch (d->family) {
    case SM_NORMAL:
        return gsl_ran_gaussian_pdf(x - p[0], p[1]);
    case SM_UNIFORM:
        return gsl_ran_flat_pdf(x, p[0], p[1]);
    case SM_TRIANGULAR:
        return triangular_density(p, x);
    case SM_LOGNORMAL:
        return gsl_ran_lognormal_pdf(x, log(p[0]), log(p[1]));
    case SM_HALF_NORMAL:
        return x < 0 ? 0 : 2 * gsl_ran_gaussian_pdf(x, p[0]);
    case SM_STUDENT_T:
        return gsl_ran_tdist_pdf((x - p[0]) / p[1], p[2]) / p[1];
    case SM_ARCSINE:
        return x > p[0] && x < p[1] ? 1 / (M_PI * sqrt((x - p[0]) * (p[1] - x))) : 0;
    case SM_TRUNCATED_NORMAL:
        return x < p[2] || x > p[3] ? 0 : gsl_ran_gaussian_pdf(x - p[0], p[1]) / truncated_mass(p);
    case SM_BETA:
        return gsl_ran_beta_pdf((x - p[2]) / (p[3] - p[2]), p[0], p[1]) / (p[3] - p[2]);
    default:
        return NAN;
    }
}

/* 5. Quantiles */

/* The beta quantile. GSL's own search gives up on some skewed shapes; then the cumulative function is bisected. */
static double beta_quantile(double a, double b, double p)
{
    double x = gsl_cdf_beta_Pinv(p, a, b);
    if (x >= 0 && x <= 1 && fabs(gsl_cdf_beta_P(x, a, b) - p) <= 1e-10 * p)
        return x;
    double low = 0, high = 1;
    for (int i = 0; i < 1100 && low < high; i++) {
        x = (low + high) / 2;
        if (x == low || x == high)
            break;
        if (gsl_cdf_beta_P(x, a, b) < p)
            low = x;
        else
            high = x;
    }
    return x;
}

/* The upper-tail form of the same: b and a change places. */
static double beta_upper_quantile(double a, double b, double q)
{
    return 1 - beta_quantile(b, a, q);
}

/* The standard normal cut to [s1, s2], at lower and upper probability p and q: by the tail in which the cut lies, or
 * else by the nearer one, so that a cut far out keeps its digits. */
static double truncated_quantile(double s1, double s2, double p, double q)
{
    const double below = gsl_cdf_ugaussian_P(s1), above = gsl_cdf_ugaussian_Q(s2);
    double x;
    if (s1 > 0) {
        x = gsl_cdf_ugaussian_Qinv(above + q * (gsl_cdf_ugaussian_Q(s1) - above));
    } else if (s2 < 0) {
        x = gsl_cdf_ugaussian_Pinv(below + p * (gsl_cdf_ugaussian_P(s2) - below));
    } else {
        double mass = 1 - below - above, lower = below + p * mass, upper = above + q * mass;
        x = lower < 0.5 ? gsl_cdf_ugaussian_Pinv(lower) : gsl_cdf_ugaussian_Qinv(upper);
    }
    return fmin(s2, fmax(s1, x));
}

/* Beyond, the t is the normal to 2e-10 at 8.5 SDs (its next term is z^3/(4 dof)); from 1e16 on GSL's quantile is wrong
 * without a word. */
#define T_IS_NORMAL 1e12

double sm_dist_standard_quantile(sm_family f, double s1, double s2, double z)
{
    switch (f) {
    case SM_LOGNORMAL:
        return exp(log(s1) * z);
    case SM_HALF_NORMAL: /* P(|X| > x) = 2 Q(x) */
        return gsl_cdf_ugaussian_Qinv(gsl_cdf_ugaussian_Q(z) / 2);
    case SM_STUDENT_T:
        if (s1 > T_IS_NORMAL)
            return z;
        return z < 0 ? gsl_cdf_tdist_Pinv(gsl_cdf_ugaussian_P(z), s1) : gsl_cdf_tdist_Qinv(gsl_cdf_ugaussian_Q(z), s1);
    case SM_TRUNCATED_NORMAL:
        return truncated_quantile(s1, s2, gsl_cdf_ugaussian_P(z), gsl_cdf_ugaussian_Q(z));
    case SM_BETA:
        return z < 0 ? beta_quantile(s1, s2, gsl_cdf_ugaussian_P(z))
                     : beta_upper_quantile(s1, s2, gsl_cdf_ugaussian_Q(z));
    default:
        return NAN;
    }
}

static double triangular_quantile(const double p[4], double u)
{
    double span = p[2] - p[0], left = p[1] - p[0], right = p[2] - p[1];
    if (u * span < left)
        return p[0] + sqrt(u * span * left);
    return p[2] - sqrt((1 - u) * span * right);
}

double sm_dist_quantile(const sm_dist *d, double u)
{
    const double *p = d->p, z = gsl_cdf_ugaussian_Pinv(u);
    if (sm_dist_is_constant(d))
        return sm_dist_mean(d);
    switch (d->family) {
    case SM_NORMAL:
        return p[0] + p[1] * z;
    case SM_UNIFORM:
        return p[0] + (p[1] - p[0]) * u;
    case SM_ARCSINE:
        return (p[0] + p[1]) / 2 - (p[1] - p[0]) / 2 * cos(M_PI * u);
    case SM_TRIANGULAR:
        return triangular_quantile(p, u);
    case SM_LOGNORMAL:
        return p[0] * sm_dist_standard_quantile(d->family, p[1], 0, z);
    case SM_HALF_NORMAL:
        return p[0] * sm_dist_standard_quantile(d->family, 0, 0, z);
    case SM_STUDENT_T:
        return p[0] + p[1] * sm_dist_standard_quantile(d->family, p[2], 0, z);
    case SM_TRUNCATED_NORMAL:
        return p[0] + p[1] * sm_dist_standard_quantile(d->family, (p[2] - p[0]) / p[1], (p[3] - p[0]) / p[1], z);
    case SM_BETA:
        return p[2] + (p[3] - p[2]) * sm_dist_standard_quantile(d->family, p[0], p[1], z);
    default:
        return NAN;
    }
}
