/* sobol.c - first-order and total indices of a group of draws, by redrawing it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/sobol.h"

#include <math.h>

#include "base/lanes.h"
#include "base/sum.h"

typedef struct {
    double product[SM_LANES], difference[SM_LANES], square[SM_LANES];
} terms;

SM_WIDE static void terms_of(const double *restrict f_A, const double *restrict f_B, const double *restrict f_AB, int n,
                             terms *restrict t)
{
    for (int i = 0; i < n; i++) {
        double d = f_AB[i] - f_A[i];
        t->product[i] = f_B[i] * d;
        t->difference[i] = d;
        t->square[i] = d * d / 2;
    }
}

void sm_sobol_add(sm_sobol_sums *s, const double *f_A, const double *f_B, const double *f_AB, int n)
{
    terms t;
    for (int start = 0; start < n; start += SM_LANES) {
        const int m = n - start < SM_LANES ? n - start : SM_LANES;
        terms_of(f_A + start, f_B + start, f_AB + start, m, &t);
        s->product += sm_sum(t.product, m);
        s->difference += sm_sum(t.difference, m);
        s->square += sm_sum(t.square, m);
    }
}

double sm_jackknife_error(const double *left_out)
{
    double mean = 0, sum_sq = 0;
    for (int b = 0; b < SM_BATCHES; b++)
        mean += left_out[b] / SM_BATCHES;
    for (int b = 0; b < SM_BATCHES; b++)
        sum_sq += (left_out[b] - mean) * (left_out[b] - mean);
    return sqrt(sum_sq * (SM_BATCHES - 1) / SM_BATCHES);
}

/* Both indices from all batches but `without` (-1: all). False if f does not vary. */
static bool indices(const sm_sobol_sums *batch, const sm_moments *f, int without, double *first, double *total)
{
    sm_sobol_sums sum = {0};
    sm_moments all = {0};
    for (int b = 0; b < SM_BATCHES; b++) {
        if (b == without)
            continue;
        sum.product += batch[b].product;
        sum.difference += batch[b].difference;
        sum.square += batch[b].square;
        sm_moments_merge(&all, &f[b]);
    }
    double n = (double)all.n / 2, variance = all.sum_sq / (double)(all.n - 1); /* n trials: f holds A and B */
    if (!(variance > 1e-24 * (1 + all.mean * all.mean)))
        return false;
    *first = (sum.product - all.mean * sum.difference) / n / variance;
    *total = sum.square / n / variance;
    return true;
}

sm_sobol sm_sobol_of(const sm_sobol_sums *batch, const sm_moments *f)
{
    sm_sobol s = {{0, 0}, {0, 0}};
    double first[SM_BATCHES], total[SM_BATCHES];
    if (!indices(batch, f, -1, &s.first.value, &s.total.value))
        return s;
    for (int b = 0; b < SM_BATCHES; b++)
        if (!indices(batch, f, b, &first[b], &total[b]))
            return (sm_sobol){{0, 0}, {0, 0}};
    s.first.standard_error = sm_jackknife_error(first);
    s.total.standard_error = sm_jackknife_error(total);
    return s;
}
