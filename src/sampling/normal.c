/* normal.c - quantiles of the standard normal distribution.
 *
 * Two rational functions by P. J. Acklam (2003; coefficients from memory, held to GSL's quantile by test_sobol_points).
 * The inner 95 of 100 need no logarithm and go through a loop that the compiler can keep in vectors.
 *
 * Contents: 1. within  2. the tails
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/normal.h"

#include <math.h>

#include "base/lanes.h"

#define TAIL  0.02425
#define LEAST 1e-300
#define MOST  (1 - 0x1p-53)

/* 1. Within */

SM_WIDE static void within(const double *restrict u, double *restrict z, int n)
{
    for (int i = 0; i < n; i++) {
        const double q = u[i] - 0.5, r = q * q;
        const double above = (((((-3.969683028665376e+01 * r + 2.209460984245205e+02) * r - 2.759285104469687e+02) * r +
                                1.383577518672690e+02) *
                                   r -
                               3.066479806614716e+01) *
                                  r +
                              2.506628277459239e+00) *
                             q;
        const double below = ((((-5.447609879822406e+01 * r + 1.615858368580409e+02) * r - 1.556989798598866e+02) * r +
                               6.680131188771972e+01) *
                                  r -
                              1.328068155288572e+01) *
                                 r +
                             1;
        z[i] = above / below;
    }
}

/* 2. The tails */

/* Of a column of lower tails' logarithms. */
SM_WIDE static void lower_tails(const double *restrict log_u, double *restrict z, int n)
{
    for (int i = 0; i < n; i++) {
        const double q = sqrt(-2 * log_u[i]);
        const double above = ((((-7.784894002430293e-03 * q - 3.223964580411365e-01) * q - 2.400758277161838e+00) * q -
                               2.549732539343734e+00) *
                                  q +
                              4.374664141464968e+00) *
                                 q +
                             2.938163982698783e+00;
        const double below = (((7.784695709041462e-03 * q + 3.224671290700398e-01) * q + 2.445134137142996e+00) * q +
                              3.754408661907416e+00) *
                                 q +
                             1;
        z[i] = above / below;
    }
}

/* Probabilities below 1, and 1 where one lies in a tail, 0 within. */
SM_WIDE static void find_tails(const double *restrict u, double *restrict p, int64_t *restrict in_tail, int n)
{
    for (int i = 0; i < n; i++) {
        const double below = u[i] < MOST ? u[i] : MOST;
        p[i] = below;
        in_tail[i] = ((below < TAIL) | (below > 1 - TAIL)) ? 1 : 0;
    }
}

/* Puts the quantiles of what lies in a tail in their places. These are listed without a jump, which could not be
 * foretold. */
static void fill_tails(const double *restrict p, const int64_t *restrict in_tail, int n, double *restrict z)
{
    int64_t place[SM_LANES + 1], tails = 0;
    double log_u[SM_LANES], tail[SM_LANES];
    for (int i = 0; i < n; i++) {
        place[tails] = i;
        tails += in_tail[i];
    }
    for (int j = 0; j < tails; j++) {
        const double u = p[place[j]] < 0.5 ? p[place[j]] : 1 - p[place[j]];
        log_u[j] = log(u < LEAST ? LEAST : u);
    }
    lower_tails(log_u, tail, (int)tails);
    for (int j = 0; j < tails; j++)
        z[place[j]] = p[place[j]] < 0.5 ? tail[j] : -tail[j];
}

void sm_normal_quantiles(const double *u, double *z, int n)
{
    double p[SM_LANES];
    int64_t in_tail[SM_LANES];
    for (int start = 0; start < n; start += SM_LANES) {
        const int m = n - start < SM_LANES ? n - start : SM_LANES;
        find_tails(u + start, p, in_tail, m);
        within(p, z + start, m);
        fill_tails(p, in_tail, m, z + start);
    }
}
