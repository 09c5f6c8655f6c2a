/* weighted.c - events counted with weights.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/weighted.h"

#include <math.h>

#include <gsl/gsl_math.h>

void sm_weighted_add(sm_weighted *s, const double *w, const double *e, int n)
{
    for (int i = 0; i < n; i++) {
        const double ww = w[i] * w[i];
        s->w += w[i];
        s->ww += ww;
        s->we += w[i] * e[i];
        s->wwe += ww * e[i];
        s->wwee += ww * e[i] * e[i];
    }
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

sm_probability sm_weighted_probability(const sm_weighted *s)
{
    const double n = sm_weighted_effective(s), p = s->we / s->w;
    sm_probability r = {.probability = NAN, .standard_error = NAN, .low = NAN, .high = NAN};
    if (!(s->w > 0))
        return r;
    const double squares = fmax(0, s->wwee - 2 * p * s->wwe + p * p * s->ww);
    r.n = llround(n);
    r.k = llround(p * n);
    r.probability = fmin(p, 1);
    r.standard_error = sqrt(squares) / s->w;
    const double alike = squares > 0 ? p * (1 - p) * gsl_pow_2(s->w) / squares : n;
    sm_wilson_interval(p * alike, alike, &r.low, &r.high);
    return r;
}
