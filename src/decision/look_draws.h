/* look_draws.h - what looks not yet made would show, y*, simulated in every trial from its own truth (model.md 6.1).
 *
 * The draws of a look have streams of their own, named after its place in the list: they are none of the plan's, and a
 * look that is added at the end changes nothing of those before.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_LOOK_DRAWS_H
#define SM_DECISION_LOOK_DRAWS_H

#include "engine/plan.h"

/* One coordinate of what a look shows. */
typedef struct {
    sm_look_target target;
    double noise_sd; /* of the mean over its readers, mm */
    double bloom_edges, reference;
    int noise;   /* column */
    int steered; /* which look of the steering is at it: its true value is kept there; -1: none */
} sm_shown;

/* The plane and centre of one new reader. */
typedef struct {
    sm_root_frame frame; /* columns are those of the looks */
} sm_new_reader;

/* One look that is no bundle. */
typedef struct {
    const sm_planned_look *look; /* borrowed */
    int dims, first;             /* its coordinates among all */
    sm_shown *shown;
    int n_frames; /* readers who place a plane of their own; 0: the plane of the case */
    sm_new_reader *reader;
    sm_variable blooming; /* of a new scan */
    sm_variable view, scale;
    double half_circle;
} sm_simulated;

/* All looks of a list. A bundle shows what its parts show. */
typedef struct {
    const sm_plan *plan;
    int n;
    const sm_planned_look *look; /* borrowed */
    sm_simulated *simulated;     /* by look; a bundle has none of its own */
    int dims;                    /* coordinates in all */
    sm_sources sources;
    sm_tables *tables;
} sm_look_draws;

/* look: n of them, a bundle's parts being places among them; they and the plan must outlive out. SM_NUMERIC,
 * SM_NO_MEMORY. */
sm_status sm_look_draws_create(const sm_plan *p, const sm_planned_look *look, int n, sm_look_draws *out);
void sm_look_draws_destroy(sm_look_draws *d);

/* A worker's room. */
typedef struct {
    gsl_rng *rng;
    int64_t block; /* that is drawn; -1: none */
    sm_purpose purpose;
    double *base; /* of all columns, SM_BLOCK each */
    const double **column;
    double (*y)[SM_LANES]; /* by coordinate: what is shown, mm */
} sm_look_room;

sm_status sm_look_room_create(const sm_look_draws *d, sm_look_room *r);
void sm_look_room_destroy(sm_look_room *r);

/* Fills r->y for the group that w has evaluated root[0] on, column as root[0] has them. Two workers at the same group
 * of the same block get the same. */
void sm_look_draws_show(const sm_look_draws *d, const sm_worker *w, sm_purpose purpose, const double *const *column,
                        sm_look_room *r);

/* The coordinates of a look, those of a bundle's parts one after the other; returns how many. which: d->dims places. */
int sm_look_draws_of(const sm_look_draws *d, int look, int *which);
/* What a coordinate is at. */
sm_look_target sm_look_draws_target(const sm_look_draws *d, int coordinate);

#endif
