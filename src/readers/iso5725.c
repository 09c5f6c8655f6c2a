/* iso5725.c - repeatability and reproducibility, pooled over levels (cases).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/iso5725.h"

#include <math.h>

/* Sums of one level, in the symbols of the standard. */
typedef struct {
    double p, n, n2;   /* laboratories; sum of n_i; sum of n_i^2 */
    double ss, dof;    /* inside the cells */
    double mean;       /* less the grand mean */
    double s_r2, s_l2; /* s_L^2 before it is cut at 0 */
} level_sums;

static level_sums sum_level(const sm_crossed *d, size_t first, size_t last)
{
    level_sums s = {0};
    for (size_t k = first; k < last; k++) {
        double n = (double)d->cell[k].n;
        s.p += 1.0;
        s.n += n;
        s.n2 += n * n;
        s.ss += d->cell[k].ss;
        s.dof += n - 1.0;
        s.mean += n * d->cell[k].mean;
    }
    s.mean /= s.n;
    double between = 0.0;
    for (size_t k = first; k < last; k++)
        between += (double)d->cell[k].n * pow(d->cell[k].mean - s.mean, 2.0);
    s.s_r2 = s.dof > 0.0 ? s.ss / s.dof : NAN;
    double s_d2 = between / (s.p - 1.0), n_mean = (s.n - s.n2 / s.n) / (s.p - 1.0);
    s.s_l2 = s.p > 1.0 ? (s_d2 - s.s_r2) / n_mean : NAN;
    return s;
}

sm_iso5725 sm_iso5725_fit(const sm_crossed *d)
{
    double ss = 0.0, dof = 0.0, s_l2 = 0.0, weight = 0.0;
    sm_iso5725 out = {0};
    for (size_t i = 0; i < d->n_cases; i++) {
        level_sums s = sum_level(d, d->row_start[i], d->row_start[i + 1]);
        ss += s.ss;
        dof += s.dof;
        if (isnan(s.s_l2))
            continue;
        out.levels++;
        s_l2 += (s.p - 1.0) * s.s_l2;
        weight += s.p - 1.0;
    }
    double s_r2 = dof > 0.0 ? ss / dof : NAN;
    double between2 = weight > 0.0 ? fmax(0.0, s_l2 / weight) : NAN;
    out.s_r = sqrt(s_r2);
    out.s_l = sqrt(between2);
    out.s_big_r = sqrt(s_r2 + between2);
    out.r_limit = 2.8 * out.s_r;
    out.big_r_limit = 2.8 * out.s_big_r;
    return out;
}
