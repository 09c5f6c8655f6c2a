/* smoothing.h - a root's probabilities in each trial: what its landmarks' own errors leave open is integrated (model.md
 * section 8), all else is drawn.
 *
 * A landmark is smoothed if it is in every root of the run: the errors of its gap and height are normal, a t or none,
 * and nobody looked at the gap a second time. The others stay drawn. Whether a lacerated leaflet opens is integrated
 * too, on sides of which nothing is drawn; whether a rescue succeeds, always.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_SMOOTHING_H
#define SM_ENGINE_SMOOTHING_H

#include "engine/plan.h"
#include "geometry/smooth.h"
#include "measurement/series.h"

/* A normal error of its own, mm; with degrees of freedom its SD is times a drawn scale. */
typedef struct {
    sm_root_reading still; /* the reading without it */
    double sd;
    const sm_table *scales; /* NULL: known */
    int score;              /* which normal score draws the scale; -1: none */
} sm_private_error;

typedef struct {
    sm_private_error gap, height;
} sm_smooth_landmark;

/* What a root's side has of its own. */
typedef struct {
    sm_smooth_landmark at[SM_GAPS];
} sm_smooth_side;

/* Which of a worker's places hold a root's side, its leaflet whole or laid open (-1: it is not lacerated), and whether
 * this root is the first that has it so: the others take what it found. */
typedef struct {
    int whole, open;
    bool first_whole, first_open;
} sm_smooth_places;

typedef struct {
    int n_roots, n_sides;
    bool (*smooth)[SM_GAPS]; /* by side */
    bool *whole;             /* by side: the side is evaluated as it is drawn, too */
    sm_smooth_side *side;    /* by root and side */
    sm_smooth_places *places;
    int n_places;
    bool *integrated; /* by column of the plan: nobody draws it */
    int n_scores;
    int *score_side; /* by score */
    const sm_table *phi;
} sm_smoothing;

/* p must outlive it. Destroy in every case. */
sm_status sm_smoothing_create(const sm_plan *p, sm_smoothing *out);
void sm_smoothing_destroy(sm_smoothing *s);

/* What is drawn beside the plan's columns: a uniform for each landmark (side times SM_GAPS plus gap), a normal for each
 * score. */
typedef struct {
    const double *const *u, *const *score;
} sm_smooth_draws;

/* How probable each rule and the event are on a side, in each trial. by_limits: the event, if it is asked for. */
typedef struct {
    double crossed[SM_GAPS][SM_LANES], event[SM_LANES];
    double by_limits[SM_PUBLISHED_LIMITS][SM_LANES];
} sm_side_chances;

/* After sm_evaluate_shared of the same root; roots and sides in rising order, of a steered root after sm_evaluate_side
 * of those that are evaluated whole. kept: the worker's n_places; root[0]'s side k is in place k. mixed: room for a
 * lacerated side. Returns one of them. by_limits: ask for that too; of no lacerated side. */
const sm_side_chances *sm_smoothing_side(const sm_smoothing *s, const sm_plan *p, int index, int k,
                                         const double *const *column, sm_places *at, const sm_smooth_draws *draws,
                                         bool by_limits, sm_side_chances *kept, sm_side_chances *mixed);

#endif
