/* curve.c - a probability along a quantity.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/curve.h"

#include <math.h>

#include <gsl/gsl_cdf.h>

/* A proportion of 0 or 1 as if half a trial had gone the other way: the normal score stays finite. */
static double score(const sm_probability *p)
{
    const double half = 0.5 / (double)p->n;
    return gsl_cdf_ugaussian_Pinv(fmin(1 - half, fmax(half, p->probability)));
}

double sm_curve_height(const sm_probability *p, double line)
{
    const double height = score(p) - gsl_cdf_ugaussian_Pinv(line);
    return p->probability >= line ? fmax(height, 0) : fmin(height, -1e-12);
}

static sm_estimate meeting_between(const sm_curve_point *a, const sm_curve_point *b, double line)
{
    const double za = score(&a->p), zb = score(&b->p), zq = gsl_cdf_ugaussian_Pinv(line);
    const double share = (zq - za) / (zb - za);
    const double at = a->x + (b->x - a->x) * fmin(1, fmax(0, share));
    const double slope = fabs(b->p.probability - a->p.probability) / (b->x - a->x);
    return (sm_estimate){at, sqrt(line * (1 - line) / (double)a->p.n) / slope};
}

int sm_curve_meetings(const sm_curve_point *point, int n, double line, sm_meeting *out, int most)
{
    int found = 0;
    for (int i = 0; i + 1 < n && found < most; i++) {
        const bool above = point[i].p.probability >= line, next = point[i + 1].p.probability >= line;
        if (above != next)
            out[found++] = (sm_meeting){i, next, meeting_between(&point[i], &point[i + 1], line)};
    }
    return found;
}

sm_estimate sm_curve_range(const sm_curve_point *point, int n, int *low, int *high)
{
    *low = *high = 0;
    for (int i = 1; i < n; i++) {
        if (point[i].p.probability < point[*low].p.probability)
            *low = i;
        if (point[i].p.probability > point[*high].p.probability)
            *high = i;
    }
    const sm_curve_point *a = &point[*low], *b = &point[*high];
    return (sm_estimate){b->p.probability - a->p.probability,
                         a->difference.standard_error + b->difference.standard_error};
}

bool sm_curve_moves(const sm_estimate *range)
{
    return range->value > 2 * range->standard_error;
}
