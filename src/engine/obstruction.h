/* obstruction.h - from a limit to an artery: what published series make of the trials' true gaps (model.md 7.2). Beside
 * the probability of a crossing, never in its place.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_OBSTRUCTION_H
#define SM_ENGINE_OBSTRUCTION_H

#include <stdint.h>

#include "base/lanes.h"
#include "base/status.h"
#include "measurement/series.h"

/* c(t) = 1/(1 + exp(-(a - b t))), t in mm: the share that was obstructed among readings whose true gap is t. */
typedef struct {
    double a, b;
} sm_series_curve;

/* (7.2) from two groups' means, the variance that they share, less the readings' own, and the base rate. */
sm_series_curve sm_series_curve_of(double obstructed, double unobstructed, double variance, double rate);
/* The one of a series, every number as published and the readings' error as judged. */
sm_series_curve sm_series_curve_published(const sm_series *s);
double sm_series_share(const sm_series_curve *c, double t);

/* True gaps of trials by bins of equal width; what lies beyond goes into the bins at the ends. */
enum { SM_REACHED_BINS = 256 };
#define SM_REACHED_FROM (-10.0)
#define SM_REACHED_TO   25.0

/* The gaps that matter in trials in which the tube reaches an ostium: the side on which most is to be expected. Weights
 * by class and bin; sums of all trials' weights. Where nothing is lacerated or rescued there is one class. */
typedef struct {
    int n_classes;
    double *bin, *factor; /* factor: by class, what becomes of c(t) there */
    double all, squares;
} sm_reached;

/* n_sides: of a root whose sides may be lacerated or rescued, so that each has classes of its own; 0 of any other. */
sm_status sm_reached_create(int n_sides, sm_reached *r);
void sm_reached_clear(sm_reached *r);
void sm_reached_merge(sm_reached *r, const sm_reached *other);
void sm_reached_destroy(sm_reached *r);

/* One group of trials, side by side: what the worst side so far is. */
typedef struct {
    double gap[SM_LANES];   /* HUGE_VAL: the tube reaches no ostium */
    double share[SM_LANES]; /* what is to be expected there; only if there are factors */
    int32_t place[SM_LANES];
} sm_reached_group;

void sm_reached_begin(sm_reached_group *g);
/* A side: its true gap and cover, mm. opened: 1 where its leaflet was laid open, NULL if it is not lacerated; rescue:
 * the probability that an event there is undone. curve decides between sides with factors. */
void sm_reached_side(sm_reached *r, sm_reached_group *g, int k, const double *gap, const double *cover,
                     const double *opened, double rescue, const sm_series_curve *curve);
/* weight: NULL if each is 1. */
void sm_reached_add(sm_reached *r, const sm_reached_group *g, const double *weight, int n);

/* What the series make of it. */
typedef struct {
    bool covered;                  /* false: a sealed sinus, of which the series know nothing, carries too much of P */
    bool exceeds;                  /* it is more than the probability of a crossing */
    double probability;            /* at the published numbers */
    double standard_error;         /* of Monte Carlo */
    double low95, high95;          /* with what the series leave open */
    double share[SM_REACHED_BINS]; /* of all trials, by the true gap that counts */
} sm_obstruction;

/* Above this share of the event that only a sealed sinus makes, no number is given. */
#define SM_SERIES_SEALED 0.1

/* event: the probability of a crossing; crowded: that an ostium is crowded on any side. */
sm_status sm_obstruction_of(const sm_reached *r, const sm_series *series, double event, double crowded, uint64_t seed,
                            sm_obstruction *out);

/* The curve for drawing: at true gaps t, mm, the published one and the ends between which 95 of 100 lie that the series
 * leave open. */
enum { SM_SERIES_POINTS = 33 };

typedef struct {
    double t[SM_SERIES_POINTS], share[SM_SERIES_POINTS], low[SM_SERIES_POINTS], high[SM_SERIES_POINTS];
} sm_series_drawn;

sm_status sm_series_draw(const sm_series *s, uint64_t seed, sm_series_drawn *out);

#endif
