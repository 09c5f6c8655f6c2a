/* published.c - what published series of the same operation say of a conventional reading like this one.
 *
 * Contents: 1. what was published  2. the case
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/published.h"

#include <math.h>

#include <gsl/gsl_cdf.h>

/* 1. What was published (docs/facts.md) */

double sm_published_auc(void)
{
    return gsl_cdf_ugaussian_P((sm_published_unobstructed.mean - sm_published_obstructed.mean) /
                               hypot(sm_published_unobstructed.sd, sm_published_obstructed.sd));
}

double sm_published_sensitivity(double cut)
{
    return gsl_cdf_ugaussian_P((cut - sm_published_obstructed.mean) / sm_published_obstructed.sd);
}

double sm_published_specificity(double cut)
{
    return gsl_cdf_ugaussian_Q((cut - sm_published_unobstructed.mean) / sm_published_unobstructed.sd);
}

/* 2. The case */

/* Below the obstructed, or above the unobstructed, by more than 2.5 SDs: the densities there are extrapolation. */
static bool is_beyond(double x)
{
    return x < sm_published_obstructed.mean - 2.5 * sm_published_obstructed.sd ||
           x > sm_published_unobstructed.mean + 2.5 * sm_published_unobstructed.sd;
}

void sm_published_of(const sm_case *c, sm_published *out)
{
    *out = (sm_published){.reading = HUGE_VAL, .rate = sm_published_class_of(c->valve.leaflet_mount)};
    for (int k = 0; k < (int)c->n_coronaries; k++) {
        const double gap = sm_quantity_estimate(&c->coronary[k].quantity[SM_OSTIUM_GAP]);
        if (c->coronary[k].has_ostium && gap < out->reading) {
            out->reading = gap;
            out->side = k;
        }
    }
    out->beyond = is_beyond(out->reading);
}
