/* obstruction.c - from a limit to an artery: what published series make of the trials' true gaps.
 *
 * Contents: 1. the curve  2. gathering gaps  3. one group of trials  4. what the series leave open  5. results
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/obstruction.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "sampling/rng.h"

/* 1. The curve */

sm_series_curve sm_series_curve_of(double obstructed, double unobstructed, double variance, double rate)
{
    const double b = (unobstructed - obstructed) / variance;
    const double a = log(rate / (1 - rate)) + (gsl_pow_2(unobstructed) - gsl_pow_2(obstructed)) / (2 * variance);
    return (sm_series_curve){a, b};
}

/* The variance that two groups share, each with its degrees of freedom. */
static double pooled_variance(const sm_series *s)
{
    const sm_published_group *o = &s->obstructed, *u = &s->unobstructed;
    return ((o->n - 1) * gsl_pow_2(o->sd) + (u->n - 1) * gsl_pow_2(u->sd)) / (o->n + u->n - 2);
}

sm_series_curve sm_series_curve_published(const sm_series *s)
{
    return sm_series_curve_of(s->obstructed.mean, s->unobstructed.mean,
                              pooled_variance(s) - gsl_pow_2(SM_SERIES_ERROR_SD), s->rate.per_100 / 100);
}

double sm_series_share(const sm_series_curve *c, double t)
{
    return 1 / (1 + exp(c->b * t - c->a));
}

/* 2. Gathering gaps */

static size_t places(const sm_reached *r)
{
    return (size_t)r->n_classes * SM_REACHED_BINS;
}

sm_status sm_reached_create(int n_sides, sm_reached *r)
{
    *r = (sm_reached){.n_classes = n_sides > 0 ? 2 * n_sides : 1};
    r->bin = calloc(places(r), sizeof *r->bin);
    r->factor = malloc((size_t)r->n_classes * sizeof *r->factor);
    for (int i = 0; r->factor && i < r->n_classes; i++)
        r->factor[i] = 1;
    if (r->bin && r->factor)
        return SM_OK;
    sm_reached_destroy(r);
    return SM_NO_MEMORY;
}

void sm_reached_clear(sm_reached *r)
{
    memset(r->bin, 0, places(r) * sizeof *r->bin);
    r->all = r->squares = 0;
}

void sm_reached_merge(sm_reached *r, const sm_reached *other)
{
    for (size_t i = 0; i < places(r); i++)
        r->bin[i] += other->bin[i];
    for (int i = 0; i < r->n_classes; i++)
        r->factor[i] = other->factor[i];
    r->all += other->all;
    r->squares += other->squares;
}

void sm_reached_destroy(sm_reached *r)
{
    free(r->bin);
    free(r->factor);
    *r = (sm_reached){0};
}

/* 3. One group of trials */

#define WIDTH ((SM_REACHED_TO - SM_REACHED_FROM) / SM_REACHED_BINS)

void sm_reached_begin(sm_reached_group *g)
{
    for (int i = 0; i < SM_LANES; i++) {
        g->gap[i] = HUGE_VAL;
        g->share[i] = 0;
        g->place[i] = 0;
    }
}

/* The least gap is the worst where nothing else tells the sides apart. */
SM_WIDE static void take_least(const double *restrict gap, const double *restrict cover, double *restrict least)
{
    for (int i = 0; i < SM_LANES; i++)
        least[i] = ((cover[i] >= 0) & (gap[i] < least[i])) ? gap[i] : least[i];
}

/* What is to be expected of this side, its leaflet laid open or not, and an event there undone or not. */
static void take_worst(sm_reached *r, sm_reached_group *g, int k, const double *gap, const double *cover,
                       const double *opened, const sm_series_curve *curve)
{
    for (int i = 0; i < SM_LANES; i++) {
        const int place = 2 * k + (opened && opened[i] > 0 ? 1 : 0);
        const double share = cover[i] >= 0 ? r->factor[place] * sm_series_share(curve, gap[i]) : 0;
        if (!(share > g->share[i]))
            continue;
        g->share[i] = share;
        g->gap[i] = gap[i];
        g->place[i] = place;
    }
}

void sm_reached_side(sm_reached *r, sm_reached_group *g, int k, const double *gap, const double *cover,
                     const double *opened, double rescue, const sm_series_curve *curve)
{
    if (r->n_classes == 1) {
        take_least(gap, cover, g->gap);
        return;
    }
    r->factor[2 * k] = 1 - rescue;
    r->factor[2 * k + 1] = (1 - rescue) * SM_SERIES_SPLIT_OBSTRUCTED;
    take_worst(r, g, k, gap, cover, opened, curve);
}

static int bin_of(double gap)
{
    const double at = (gap - SM_REACHED_FROM) / WIDTH;
    return at > 0 ? at < SM_REACHED_BINS - 1 ? (int)at : SM_REACHED_BINS - 1 : 0;
}

void sm_reached_add(sm_reached *r, const sm_reached_group *g, const double *weight, int n)
{
    for (int i = 0; i < n; i++) {
        const double w = weight ? weight[i] : 1;
        r->all += w;
        r->squares += w * w;
        if (g->gap[i] < HUGE_VAL)
            r->bin[g->place[i] * SM_REACHED_BINS + bin_of(g->gap[i])] += w;
    }
}

/* 4. What the series leave open */

enum { CURVES = 1000 };

/* A curve that these series may have come from: the variance by chi-square, means normal given that, the base rate by
 * beta with Jeffreys' prior, the readings' own error anywhere in its range. What leaves no variance is drawn again. */
static sm_series_curve draw_curve(gsl_rng *r, const sm_series *s)
{
    const sm_published_group *o = &s->obstructed, *u = &s->unobstructed;
    const sm_published_class *rate = &s->rate;
    const int dof = o->n + u->n - 2;
    double all, error;
    do {
        all = pooled_variance(s) * dof / gsl_ran_chisq(r, dof);
        error = gsl_ran_flat(r, SM_SERIES_ERROR_LOW, SM_SERIES_ERROR_HIGH);
    } while (all <= 2 * error * error);
    const double obstructed = o->mean + sqrt(all / o->n) * gsl_ran_ugaussian(r);
    const double unobstructed = u->mean + sqrt(all / u->n) * gsl_ran_ugaussian(r);
    const double base = gsl_ran_beta(r, rate->events + 0.5, rate->patients - rate->events + 0.5);
    return sm_series_curve_of(obstructed, unobstructed, all - error * error, base);
}

static gsl_rng *series_rng(uint64_t seed)
{
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    if (r)
        sm_rng_seek(r, seed, sm_rng_stream("series", 0), 0);
    return r;
}

/* The ends between which 95 of 100 lie; sorts. */
static void ends_of(double *p, double *low, double *high)
{
    gsl_sort(p, 1, CURVES);
    *low = gsl_stats_quantile_from_sorted_data(p, 1, CURVES, 0.025);
    *high = gsl_stats_quantile_from_sorted_data(p, 1, CURVES, 0.975);
}

/* From -2 mm on, every half of a millimetre. */
sm_status sm_series_draw(const sm_series *s, uint64_t seed, sm_series_drawn *out)
{
    const sm_series_curve published = sm_series_curve_published(s);
    sm_series_curve curve[CURVES];
    double p[CURVES];
    gsl_rng *r = series_rng(seed);
    if (!r)
        return SM_NO_MEMORY;
    for (int i = 0; i < CURVES; i++)
        curve[i] = draw_curve(r, s);
    gsl_rng_free(r);
    for (int j = 0; j < SM_SERIES_POINTS; j++) {
        out->t[j] = -2 + 0.5 * j;
        out->share[j] = sm_series_share(&published, out->t[j]);
        for (int i = 0; i < CURVES; i++)
            p[i] = sm_series_share(&curve[i], out->t[j]);
        ends_of(p, &out->low[j], &out->high[j]);
    }
    return SM_OK;
}

/* 5. Results */

/* Means over all trials, of c(t) and its square; 0 where the tube reaches no ostium. */
typedef struct {
    double mean, square;
} share_means;

/* The bins in which any trial lies, of whatever class. */
typedef struct {
    int n, bin[SM_REACHED_BINS];
} met_bins;

static void find_met(const sm_reached *r, met_bins *met)
{
    met->n = 0;
    for (int i = 0; i < SM_REACHED_BINS; i++) {
        bool any = false;
        for (int j = 0; j < r->n_classes; j++)
            any = any || r->bin[j * SM_REACHED_BINS + i] != 0;
        if (any)
            met->bin[met->n++] = i;
    }
}

static share_means means_of(const sm_reached *r, const met_bins *met, const sm_series_curve *curve)
{
    share_means m = {0, 0};
    for (int l = 0; l < met->n; l++) {
        const int i = met->bin[l];
        const double share = sm_series_share(curve, SM_REACHED_FROM + (i + 0.5) * WIDTH);
        for (int j = 0; j < r->n_classes; j++) {
            const double c = r->factor[j] * share, w = r->bin[j * SM_REACHED_BINS + i];
            m.mean += w * c;
            m.square += w * c * c;
        }
    }
    return (share_means){m.mean / r->all, m.square / r->all};
}

static sm_status leave_open(const sm_reached *r, const met_bins *met, const sm_series *series, uint64_t seed,
                            sm_obstruction *out)
{
    double p[CURVES];
    gsl_rng *rng = series_rng(seed);
    if (!rng)
        return SM_NO_MEMORY;
    for (int i = 0; i < CURVES; i++) {
        const sm_series_curve curve = draw_curve(rng, series);
        const double error = out->standard_error * gsl_ran_ugaussian(rng);
        p[i] = fmin(1, fmax(0, means_of(r, met, &curve).mean + error));
    }
    gsl_rng_free(rng);
    ends_of(p, &out->low95, &out->high95);
    return SM_OK;
}

sm_status sm_obstruction_of(const sm_reached *r, const sm_series *series, double event, double crowded, uint64_t seed,
                            sm_obstruction *out)
{
    const sm_series_curve curve = sm_series_curve_published(series);
    met_bins met;
    *out = (sm_obstruction){.covered = !(event - crowded > SM_SERIES_SEALED * event)};
    out->probability = out->standard_error = out->low95 = out->high95 = NAN;
    if (!(r->all > 0))
        return SM_OK;
    find_met(r, &met);
    const share_means m = means_of(r, &met, &curve);
    for (int i = 0; i < r->n_classes * SM_REACHED_BINS; i++)
        out->share[i % SM_REACHED_BINS] += r->bin[i] / r->all;
    out->probability = m.mean;
    out->standard_error = sqrt(fmax(0, m.square - m.mean * m.mean) * r->squares) / r->all;
    out->exceeds = out->probability > event;
    return leave_open(r, &met, series, seed, out);
}
