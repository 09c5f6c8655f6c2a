/* plan.h - the roots that one run evaluates on the same draws, and what must be known before it (pilots).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_PLAN_H
#define SM_ENGINE_PLAN_H

#include "engine/parts.h"

typedef struct sm_plan sm_plan;

/* Fixed while trials run. root[0] is the case as planned. */
struct sm_plan {
    const sm_case *c; /* borrowed */
    uint64_t seed;
    bool brief; /* short pilots */
    sm_sources sources;
    int n_own_sources; /* how many of them, the first, are root[0]'s: further ones only other roots draw */
    int n_own_columns; /* the same of their columns */
    sm_tables *tables;
    int n_roots, cap_roots;
    sm_root *root;
    sm_parts *parts; /* by root: what it shares with those before it */
    sm_part_counts kept;
    /* Only if a reader SD contains the plane's: the cases held still, as the roots of a plan of their own, and what
     * the plane adds to each reading there, mm^2. */
    sm_plan *still;
    double (*plane_variance)[SM_QUANTITIES]; /* by root of `still` and side */
};

/* Makes a plan with root[0]. c must outlive it. On any status but SM_OK the plan is empty. */
sm_status sm_plan_create(const sm_case *c, uint64_t seed, sm_plan *p);
/* Adds a root; *index, unless NULL, receives its place. What the request points at must outlive the plan. */
sm_status sm_plan_add(sm_plan *p, const sm_root_request *request, int *index);
/* The same with short pilots, of 2,048 points: their error is alike for all roots of the plan and so hardly in their
 * differences. */
sm_status sm_plan_create_brief(const sm_case *c, uint64_t seed, sm_plan *p);
/* Another plan of the same case, which takes the tables that the first has from there: it must outlive p, and may serve
 * many at a time. */
sm_status sm_plan_create_beside(const sm_plan *first, sm_plan *p);
void sm_plan_destroy(sm_plan *p);

/* What the roots' parts are in the trials at hand, by kind and slot (parts.h): side[k] is root[0]'s side k. */
typedef struct {
    int n_steered;
    sm_steered *steered;
    sm_scan_draws *scan;
    sm_frame *frame;
    sm_tube *tube;
    sm_tube_readings *tube_readings; /* beside the tube; filled where they are looked at */
    sm_true_readings *readings;
    sm_landmarks *landmarks;
    sm_side_out *side;
} sm_places;

sm_status sm_places_create(const sm_plan *p, sm_places *at);
void sm_places_destroy(sm_places *at);

/* Evaluates what root `index` has as the first: the parts that all sides share, then side k. Roots and sides in rising
 * order, none left out: what an earlier root has the same is taken from there. Returns the outputs of the side, valid
 * until the next side is evaluated, where the root is steered until the next root. */
void sm_evaluate_shared(const sm_plan *p, int index, const double *const *column, sm_places *at);
const sm_side_out *sm_evaluate_side(const sm_plan *p, int index, int k, const double *const *column, sm_places *at);
/* The columns of root `index` as its second looks steered them; `column` if it has none. Valid once its shared parts
 * are evaluated, until those of the next root are. */
const double *const *sm_columns_of(const sm_plan *p, int index, const double *const *column, const sm_places *at);
/* Whether the trials of some root have weights; whether root[0]'s have. */
bool sm_plan_weighs(const sm_plan *p);
bool sm_plan_weighs_first(const sm_plan *p);
/* The true X of look l of root[0] in each trial, once it is evaluated, mm. room: for what is not kept. */
const double *sm_looked_at(const sm_plan *p, int l, const sm_places *at, double *room);
/* The weights of the trials of root `index`, once it is evaluated: 1 if it has no second look. */
void sm_evaluate_weights(const sm_plan *p, int index, const sm_places *at, double *restrict weight);
/* The whole of root[0]. */
void sm_evaluate_first(const sm_plan *p, const double *const *column, sm_places *at);
/* The same where only some columns have other draws than those that `kept` was evaluated on: what they feed (sm_feeds,
 * added by `or`), and what hangs on that, is evaluated anew into `at`, of which only `side` has a meaning afterwards. A
 * root with second looks is evaluated whole. */
void sm_evaluate_moved(const sm_plan *p, unsigned feeds, const double *const *column, const sm_places *kept,
                       sm_places *at);
/* event[i] is 1 if any of n sides has an event in trial i. */
void sm_any_event(const sm_side_out *side, int n, double *restrict event);

/* A workspace for one worker: base draws of one block and all that an evaluation needs. Nothing is allocated while
 * running. */
typedef struct {
    gsl_rng *rng;
    int n_columns;
    double *base;          /* n_columns x SM_BLOCK */
    const double **column; /* pointers into base for one group of SM_LANES trials */
    uint32_t block;        /* that is drawn, and the group of it that column points at: for what draws beside it */
    int group;
    sm_places at;
} sm_worker;

sm_status sm_worker_create(const sm_plan *p, sm_worker *w);
void sm_worker_destroy(sm_worker *w);
/* Draws block `block` of every column. */
void sm_worker_draw(const sm_plan *p, sm_worker *w, sm_purpose purpose, uint32_t block);
/* Draws block `block` of one column into its place. */
void sm_worker_redraw(const sm_plan *p, sm_worker *w, int column, sm_purpose purpose, uint32_t block);
/* Points column[] at group g (0 .. SM_BLOCK/SM_LANES - 1) of the block. */
void sm_worker_point(sm_worker *w, int g);

#endif
