/* weighted.c - events counted with weights.
 *
 * Contents: 1. one event  2. two events
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/weighted.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include <gsl/gsl_math.h>

#include "base/lanes.h"
#include "base/sum.h"

/* 1. One event */

/* Sums of a group of at most SM_LANES trials. */
SM_WIDE static sm_weighted group_of(const double *restrict w, const double *restrict e, int n)
{
    double ww[SM_LANES], we[SM_LANES], wwe[SM_LANES], wwee[SM_LANES];
    for (int i = 0; i < n; i++) {
        ww[i] = w[i] * w[i];
        we[i] = w[i] * e[i];
        wwe[i] = ww[i] * e[i];
        wwee[i] = we[i] * we[i];
    }
    return (sm_weighted){sm_sum(w, n), sm_sum(ww, n), sm_sum(we, n), sm_sum(wwe, n), sm_sum(wwee, n)};
}

void sm_weighted_add(sm_weighted *s, const double *w, const double *e, int n)
{
    for (int start = 0; start < n; start += SM_LANES) {
        const sm_weighted group = group_of(w + start, e + start, n - start < SM_LANES ? n - start : SM_LANES);
        sm_weighted_merge(s, &group);
    }
}

void sm_weighted_count(sm_weighted *s, int64_t k, int64_t n)
{
    const sm_weighted counts = {(double)n, (double)n, (double)k, (double)k, (double)k};
    sm_weighted_merge(s, &counts);
}

void sm_weighted_merge(sm_weighted *s, const sm_weighted *other)
{
    s->w += other->w;
    s->ww += other->ww;
    s->we += other->we;
    s->wwe += other->wwe;
    s->wwee += other->wwee;
}

double sm_weighted_effective(const sm_weighted *s)
{
    return s->ww > 0 ? s->w * s->w / s->ww : 0;
}

double sm_weighted_share(const sm_weighted *s)
{
    return s->w > 0 ? fmin(1, s->we / s->w) : NAN;
}

/* Every weight is 1 and every event whole. */
static bool counts(const sm_weighted *s)
{
    return s->w == s->ww && s->wwee == s->we;
}

/* sum w^2 (e - p)^2. */
static double squares_about(const sm_weighted *s, double p)
{
    return fmax(0, s->wwee - 2 * p * s->wwe + p * p * s->ww);
}

sm_estimate sm_weighted_mean(const sm_weighted *s)
{
    const double mean = s->we / s->w;
    return (sm_estimate){mean, sqrt(squares_about(s, mean)) / s->w};
}

sm_probability sm_weighted_probability(const sm_weighted *s)
{
    const double p = sm_weighted_share(s);
    sm_probability r = {.probability = p, .standard_error = NAN, .low = NAN, .high = NAN};
    if (!(s->w > 0))
        return r;
    if (counts(s))
        return sm_probability_of((int64_t)s->we, (int64_t)s->w);
    const double squares = squares_about(s, p);
    const double alike = squares > 0 ? p * (1 - p) * gsl_pow_2(s->w) / squares : sm_weighted_effective(s);
    const double n = p * alike < 0.5 ? sm_weighted_effective(s) : alike; /* a rare event that none or few trials had */
    r.n = llround(n);
    r.k = llround(p * alike);
    r.standard_error = sqrt(squares) / s->w;
    sm_wilson_interval(p * alike, alike, &r.low, &r.high);
    return r;
}

/* 2. Two events */

SM_WIDE static sm_joint_sums joint_of_group(const double *restrict va, const double *restrict a,
                                            const double *restrict vb, const double *restrict b, int n)
{
    double ww[SM_LANES], wwa[SM_LANES], wwb[SM_LANES], wwab[SM_LANES];
    for (int i = 0; i < n; i++) {
        ww[i] = va ? va[i] * vb[i] : 1;
        wwa[i] = ww[i] * a[i];
        wwb[i] = ww[i] * b[i];
        wwab[i] = wwa[i] * b[i];
    }
    return (sm_joint_sums){sm_sum(ww, n), sm_sum(wwa, n), sm_sum(wwb, n), sm_sum(wwab, n)};
}

void sm_joint_add(sm_joint_sums *s, const double *va, const double *a, const double *vb, const double *b, int n)
{
    for (int i = 0; i < n; i += SM_LANES) {
        const sm_joint_sums group =
            joint_of_group(va ? va + i : NULL, a + i, vb ? vb + i : NULL, b + i, n - i < SM_LANES ? n - i : SM_LANES);
        sm_joint_merge(s, &group);
    }
}

sm_joint_sums sm_joint_of_one(const sm_weighted *s)
{
    return (sm_joint_sums){s->ww, s->wwe, s->wwe, s->wwee};
}

void sm_joint_merge(sm_joint_sums *s, const sm_joint_sums *other)
{
    s->ww += other->ww;
    s->wwa += other->wwa;
    s->wwb += other->wwb;
    s->wwab += other->wwab;
}

sm_estimate sm_joint_difference(const sm_weighted *a, const sm_weighted *b, const sm_joint_sums *both)
{
    if (counts(a) && counts(b))
        return sm_paired_difference((int64_t)(a->we - both->wwab), (int64_t)(b->we - both->wwab), (int64_t)a->w);
    const double pa = sm_weighted_share(a), pb = sm_weighted_share(b);
    const double covariance = both->wwab - pa * both->wwb - pb * both->wwa + pa * pb * both->ww;
    const double variance = squares_about(a, pa) / gsl_pow_2(a->w) + squares_about(b, pb) / gsl_pow_2(b->w) -
                            2 * covariance / (a->w * b->w);
    return (sm_estimate){pa - pb, sqrt(fmax(0, variance))};
}
