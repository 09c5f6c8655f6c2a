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

SM_WIDE static void within(const double *u, double *z, int n)
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

static double lower_tail(double u)
{
    const double q = sqrt(-2 * log(u < LEAST ? LEAST : u));
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
    return above / below;
}

void sm_normal_quantiles(const double *u, double *z, int n)
{
    double p[SM_LANES];
    for (int start = 0; start < n; start += SM_LANES) {
        const int m = n - start < SM_LANES ? n - start : SM_LANES;
        for (int i = 0; i < m; i++)
            p[i] = u[start + i] < MOST ? u[start + i] : MOST;
        within(p, z + start, m);
        for (int i = 0; i < m; i++)
            if (p[i] < TAIL)
                z[start + i] = lower_tail(p[i]);
            else if (p[i] > 1 - TAIL)
                z[start + i] = -lower_tail(1 - p[i]);
    }
}
