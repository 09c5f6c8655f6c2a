/* interval.c - what n trials say about a probability, and when they say enough.
 *
 * Contents: 1. the Wilson interval  2. the confidence sequence
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/interval.h"

#include <math.h>

#include <gsl/gsl_sf_gamma.h>

#define Z95 1.959963984540054 /* normal quantile at 0.975 */

/* 1. The Wilson interval */

/* The Wilson score interval (Wilson, J Am Stat Assoc 1927;22:209). */
void sm_wilson_interval(double k, double N, double *low, double *high)
{
    double p = k / N, z = Z95, zz = z * z;
    double centre = (p + zz / (2 * N)) / (1 + zz / N);
    double half = z / (1 + zz / N) * sqrt(p * (1 - p) / N + zz / (4 * N * N));
    *low = k == 0 ? 0 : fmax(0, centre - half);
    *high = k == N ? 1 : fmin(1, centre + half);
}

sm_probability sm_probability_of(int64_t k, int64_t n)
{
    sm_probability r = {.n = n, .k = k, .probability = NAN, .standard_error = NAN, .low = NAN, .high = NAN};
    if (n <= 0)
        return r;
    r.probability = (double)k / (double)n;
    r.standard_error = sqrt(r.probability * (1 - r.probability) / (double)n);
    sm_wilson_interval((double)k, (double)n, &r.low, &r.high);
    return r;
}

sm_estimate sm_paired_difference(int64_t gained, int64_t lost, int64_t n)
{
    double N = (double)n, d = (double)(gained - lost) / N;
    return (sm_estimate){d, sqrt(fmax(0, (double)(gained + lost) / N - d * d) / N)};
}

/* 2. The confidence sequence */

/* log of C(n,k) p^k (1-p)^(n-k) (n+1)/epsilon: above 0 inside the set. */
static double sequence_margin(int64_t k, int64_t n, double p, double epsilon)
{
    double N = (double)n, K = (double)k;
    double log_choose = gsl_sf_lngamma(N + 1) - gsl_sf_lngamma(K + 1) - gsl_sf_lngamma(N - K + 1);
    double log_p = k > 0 ? K * log(p) : 0, log_q = n > k ? (N - K) * log1p(-p) : 0;
    return log_choose + log_p + log_q + log((N + 1) / epsilon);
}

bool sm_sequence_excludes(int64_t k, int64_t n, double p, double epsilon)
{
    return n > 0 && !(sequence_margin(k, n, p, epsilon) > 0);
}

/* Bisects between an inside point and an outside end. */
static double sequence_end(int64_t k, int64_t n, double epsilon, double inside, double outside)
{
    if (!sm_sequence_excludes(k, n, outside, epsilon))
        return outside;
    for (int i = 0; i < 100; i++) {
        double middle = (inside + outside) / 2;
        if (sm_sequence_excludes(k, n, middle, epsilon))
            outside = middle;
        else
            inside = middle;
    }
    return inside;
}

void sm_sequence_interval(int64_t k, int64_t n, double epsilon, double *low, double *high)
{
    double p = n > 0 ? (double)k / (double)n : 0.5;
    *low = k == 0 ? 0 : sequence_end(k, n, epsilon, p, 0);
    *high = k == n ? 1 : sequence_end(k, n, epsilon, p, 1);
}
