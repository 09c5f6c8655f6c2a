/* fit.h - how far a sample lies from the distribution that it should come from.
 *
 * Critical values of a fully specified distribution at 0.1 %: Kolmogorov-Smirnov asymptotic sqrt(n) D 1.949475,
 * Anderson-Darling case 0 asymptotic 5.96940 (both computed for this project from their series).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_FIT_H
#define SM_TESTS_FIT_H

#include "check.h"

#define KS_LIMIT 1.949475
#define AD_LIMIT 5.96940

static inline int fit_compare(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* sqrt(n) D of p, which should be uniform on (0, 1). Sorts p. */
static inline double fit_ks(double *p, int n)
{
    double d = 0;
    qsort(p, (size_t)n, sizeof *p, fit_compare);
    for (int i = 0; i < n; i++)
        d = fmax(d, fmax((i + 1.0) / n - p[i], p[i] - (double)i / n));
    return d * sqrt(n);
}

/* A^2 of sorted p. */
static inline double fit_ad(const double *p, int n)
{
    double sum = 0;
    for (int i = 0; i < n; i++)
        sum += (2 * i + 1) * (log(p[i]) + log1p(-p[n - 1 - i]));
    return -n - sum / n;
}

#endif
