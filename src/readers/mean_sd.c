/* mean_sd.c - mean and standard deviation that keep their digits when the spread is small beside the mean.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/mean_sd.h"

#include <math.h>

void sm_sum_add(sm_sum *s, double x)
{
    double t = s->sum + x;
    s->carry += fabs(s->sum) >= fabs(x) ? (s->sum - t) + x : (x - t) + s->sum;
    s->sum = t;
}

double sm_sum_value(const sm_sum *s)
{
    return s->sum + s->carry;
}

/* Deviations are taken from the first value, not from 0: readings of 10000000.1 and 10000000.3 then lose nothing
 * (NIST StRD NumAcc4, on which the one-pass formula returns 0). */
static double mean_of(const double *x, size_t n)
{
    sm_sum from_first = {0};
    for (size_t i = 0; i < n; i++)
        sm_sum_add(&from_first, x[i] - x[0]);
    return x[0] + sm_sum_value(&from_first) / (double)n;
}

sm_mean_sd sm_mean_sd_of(const double *x, size_t n)
{
    sm_mean_sd m = {.n = n, .mean = NAN, .ss = 0.0, .sd = NAN};
    if (n == 0)
        return m;
    m.mean = mean_of(x, n);
    sm_sum square = {0}, left = {0};
    for (size_t i = 0; i < n; i++) {
        double d = x[i] - m.mean;
        sm_sum_add(&square, d * d);
        sm_sum_add(&left, d); /* what rounding of the mean left over */
    }
    double rest = sm_sum_value(&left);
    m.ss = fmax(0.0, sm_sum_value(&square) - rest * rest / (double)n);
    if (n > 1)
        m.sd = sqrt(m.ss / (double)(n - 1));
    return m;
}
