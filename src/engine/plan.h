/* plan.h - the roots that one run evaluates on the same draws, and what must be known before it (pilots).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_PLAN_H
#define SM_ENGINE_PLAN_H

#include "engine/parts.h"

/* Fixed while trials run. root[0] is the case as planned. */
typedef struct {
    const sm_case *c; /* borrowed */
    uint64_t seed;
    sm_sources sources;
    int n_own_sources; /* how many of them, the first, are root[0]'s: further ones only other roots draw */
    sm_tables *tables;
    int n_roots, cap_roots;
    sm_root *root;
    sm_parts *parts; /* by root: what it shares with those before it */
    sm_part_counts kept;
    double (*plane_variance)[SM_QUANTITIES]; /* what the plane adds to each reading of root[0]'s case; NULL: not asked
                                                for */
} sm_plan;

/* Makes a plan with root[0]. c must outlive it. On any status but SM_OK the plan is empty. */
sm_status sm_plan_create(const sm_case *c, uint64_t seed, sm_plan *p);
/* Adds a root; *index, unless NULL, receives its place. What the request points at must outlive the plan. */
sm_status sm_plan_add(sm_plan *p, const sm_root_request *request, int *index);
void sm_plan_destroy(sm_plan *p);

/* What is drawn of the scan: blooming, mm, and the standard normal of the cross-checks' scale. */
typedef struct {
    double B[SM_LANES], scale[SM_LANES];
} sm_scan_draws;

/* A workspace for one worker: base draws of one block and all that an evaluation needs. Nothing is allocated while
 * running. */
typedef struct {
    gsl_rng *rng;
    int n_columns;
    double *base;            /* n_columns x SM_BLOCK */
    const double **column;   /* pointers into base for one group of SM_LANES trials */
    sm_shared first;         /* of root[0] */
    sm_side_out *first_side; /* root[0]'s sides */
    sm_true_readings *first_readings;
    sm_landmarks *first_landmarks;
    bool first_is_whole; /* first_readings and first_landmarks belong to the group at hand */
    /* Of the other roots: the scratch place, then those that are kept. */
    sm_scan_draws *scan;
    sm_frame *frame;
    sm_tube *tube;
    sm_true_readings *readings;
    sm_landmarks *landmarks;
    sm_side_out *side;
} sm_worker;

sm_status sm_worker_create(const sm_plan *p, sm_worker *w);
void sm_worker_destroy(sm_worker *w);
/* Draws block `block` of every column. */
void sm_worker_draw(const sm_plan *p, sm_worker *w, sm_purpose purpose, uint32_t block);
/* Draws block `block` of one column into its place. */
void sm_worker_redraw(const sm_plan *p, sm_worker *w, int column, sm_purpose purpose, uint32_t block);
/* Points column[] at group g (0 .. SM_BLOCK/SM_LANES - 1) of the block. */
void sm_worker_point(sm_worker *w, int g);

/* Evaluates root[0] on the group at hand into w->first and w->first_side. */
void sm_worker_first(const sm_plan *p, sm_worker *w);
/* Side k of root `index` on the group at hand, w->first and w->first_side being root[0]'s. Roots and sides in rising
 * order, none left out: what an earlier root has the same is taken from there. Valid until the next call. */
const sm_side_out *sm_worker_side(const sm_plan *p, sm_worker *w, int index, int k);

/* Evaluates root r on the given columns: its sides go to `sides` (n_sides of them), and event[i] is 1 where any side
 * has an event in trial i. */
void sm_evaluate(const sm_root *r, const double *const *column, sm_shared *shared, sm_side_out *sides,
                 double *restrict event);

#endif
