/* published.c - what published series of the same operation say of a conventional reading like this one.
 *
 * Contents: 1. what was published  2. Bayes' rule  3. what so few patients leave open  4. the case
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/published.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "sampling/rng.h"

/* 1. What was published (docs/facts.md) */

const sm_published_group sm_published_obstructed = {3.24, 2.22, 20}, sm_published_unobstructed = {6.30, 2.34, 90};

sm_published_class sm_published_class_of(sm_leaflet_mount mount)
{
    static const sm_published_class rates[] = {
        [SM_MOUNT_INTERNAL] = {0.8, 8, 965}, [SM_MOUNT_EXTERNAL] = {6.1, 13, 213}, [SM_STENTLESS] = {3.7, 16, 434}};
    return rates[mount];
}

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

/* 2. Bayes' rule */

/* Logarithm of a normal density, but for the constant. */
static double log_density(const sm_published_group *g, double x)
{
    double z = (x - g->mean) / g->sd;
    return -z * z / 2 - log(g->sd);
}

/* Bayes' rule with two normal densities and a base rate. */
static double posterior(const sm_published_group *obstructed, const sm_published_group *unobstructed, double rate,
                        double reading)
{
    double log_odds = log(rate / (1 - rate)) + log_density(obstructed, reading) - log_density(unobstructed, reading);
    return 1 / (1 + exp(-log_odds));
}

/* 3. What so few patients leave open */

enum { DRAWS = 65536 };

/* What the group might truly be: (n-1) s^2 over chi-square for the variance, the mean normal about its estimate given
 * that. */
static sm_published_group draw_group(gsl_rng *r, const sm_published_group *g)
{
    double sd = g->sd * sqrt((g->n - 1) / gsl_ran_chisq(r, g->n - 1));
    return (sm_published_group){g->mean + sd / sqrt(g->n) * gsl_ran_ugaussian(r), sd, g->n};
}

static double draw_probability(gsl_rng *r, const sm_published_class *rate, double reading)
{
    sm_published_group obstructed = draw_group(r, &sm_published_obstructed),
                       unobstructed = draw_group(r, &sm_published_unobstructed);
    double base = gsl_ran_beta(r, rate->events + 0.5, rate->patients - rate->events + 0.5);
    return posterior(&obstructed, &unobstructed, base, reading);
}

static sm_status leave_open(uint64_t seed, sm_published *out)
{
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    double *p = malloc(DRAWS * sizeof *p);
    sm_status s = r && p ? SM_OK : SM_NO_MEMORY;
    if (s == SM_OK) {
        sm_rng_seek(r, seed, sm_rng_stream("context", 0), 0);
        for (int i = 0; i < DRAWS; i++)
            p[i] = draw_probability(r, &out->rate, out->reading);
        gsl_sort(p, 1, DRAWS);
        out->low = gsl_stats_quantile_from_sorted_data(p, 1, DRAWS, 0.025);
        out->high = gsl_stats_quantile_from_sorted_data(p, 1, DRAWS, 0.975);
    }
    if (r)
        gsl_rng_free(r);
    free(p);
    return s;
}

/* 4. The case */

/* Below the obstructed, or above the unobstructed, by more than 2.5 SDs: the densities there are extrapolation. */
static bool is_beyond(double x)
{
    return x < sm_published_obstructed.mean - 2.5 * sm_published_obstructed.sd ||
           x > sm_published_unobstructed.mean + 2.5 * sm_published_unobstructed.sd;
}

sm_status sm_published_of(const sm_case *c, uint64_t seed, sm_published *out)
{
    *out = (sm_published){.reading = HUGE_VAL, .rate = sm_published_class_of(c->valve.leaflet_mount)};
    for (int k = 0; k < (int)c->n_coronaries; k++) {
        double gap = sm_quantity_estimate(&c->coronary[k].quantity[SM_OSTIUM_GAP]);
        if (gap < out->reading) {
            out->reading = gap;
            out->side = k;
        }
    }
    out->beyond = is_beyond(out->reading);
    out->probability =
        posterior(&sm_published_obstructed, &sm_published_unobstructed, out->rate.per_100 / 100, out->reading);
    return leave_open(seed, out);
}
