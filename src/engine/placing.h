/* placing.h - well-placed draws for a plan: Sobol's points in the place of random numbers, the directions that matter
 * most first.
 *
 * All normals, and the uniforms that are no angle as normals, are coordinates along axes; a rotation, made of few
 * mirrors, puts the first axes where a pilot saw the answer change most; the earliest dimensions of the points, which
 * are the best spread, go to what it saw matter most. A draw is a pure function of seed, purpose,
 * task and index (docs/numerics.md, "Sharp points").
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_PLACING_H
#define SM_ENGINE_PLACING_H

#include "engine/smoothing.h"
#include "sampling/points.h"

enum { SM_LEADING = 5, SM_WIDENED = 4 };

/* How much wider the first axes are drawn if the event is rare; the weights undo it. */
#define SM_WIDER 1.7

typedef struct {
    const sm_plan *plan;
    const sm_smoothing *smoothing;
    uint64_t seed;
    sm_purpose purpose;
    int n_axes;     /* first those that are columns of the plan, then scores */
    int *column;    /* by axis, of the former */
    int n_columns;  /* how many those are */
    int *score;     /* of the latter */
    int n_circular; /* columns that are angles: of the ring's outline, the posts, the cuff's wave */
    int *circular;
    int n_levels;
    int n_extra; /* what root[0]'s patient event does not hang on, of other roots or of a sinus without a coronary: they
                    come last, so that its draws are what they are alone */
    int *extra;  /* columns, then scores (n_extra_columns) */
    int n_extra_columns;
    int n_dimensions, n_points; /* n_points: of the points; the others are random */
    int *dimension;             /* by draw: axes, circular columns, levels, extra draws */
    sm_point_axis *point;
    uint64_t *stream; /* by dimension */
    int n_mirrors;
    double *mirror; /* n_mirrors times n_axes, none longer than 1 */
    bool widened;   /* SM_WIDENED axes are drawn SM_WIDER times as wide */
} sm_placing;

/* What belongs to one worker. */
typedef struct {
    gsl_rng *rng;
    uint32_t *seed;                 /* of each dimension's scramble */
    double *axis;                   /* coordinates, by axis and trial */
    double *base, *room, *u, *idle; /* idle: the extra scores */
    const double **column, **level, **score;
    double weight[SM_LANES]; /* undoes the widening; 1 without it */
} sm_placed;

/* p and s must outlive it. Destroy in every case. */
sm_status sm_placing_create(const sm_plan *p, const sm_smoothing *s, uint64_t seed, sm_purpose purpose,
                            sm_placing *out);
void sm_placing_destroy(sm_placing *c);
/* Turns the first n axes to these directions: unit vectors across each other, n times n_axes, at most SM_LEADING. */
sm_status sm_placing_turn(sm_placing *c, const double *direction, int n);

/* The one side that a draw (axes, circular columns, levels; before any turn) bears on; SM_SHARED: several may. */
int sm_placing_side(const sm_placing *c, int draw);
/* The direction of an axis in the coordinates before the turn. */
void sm_placing_direction(const sm_placing *c, int axis, double *out);
/* Turns and orders the draws as those of `from`, of the same plan or one of the case as planned alone, are: false, and
 * nothing done, if root[0]'s draws are not the same ones here. */
bool sm_placing_take(sm_placing *c, const sm_placing *from);
/* Gives the dimensions out by how much each draw matters (axes, circular columns, levels, extra), most first. */
void sm_placing_order(sm_placing *c, double *matters);

sm_status sm_placed_create(const sm_placing *c, sm_placed *out);
void sm_placed_destroy(sm_placed *d);
/* Begins a task: a randomisation of its own. */
void sm_placed_begin(const sm_placing *c, sm_placed *d, uint32_t task);
/* Draws trials index to index + SM_LANES - 1 of a task of n; both are multiples of SM_LANES. */
void sm_placed_draw(const sm_placing *c, sm_placed *d, uint32_t task, uint32_t index, uint32_t n);
/* The uniforms of circular column or level i (levels after the columns), which may be changed before they are spread.
 */
double *sm_placed_uniforms(const sm_placing *c, const sm_placed *d, int i);
/* Makes columns and scores of the coordinates. */
void sm_placed_spread(const sm_placing *c, sm_placed *d);
/* The same where only this axis has changed and nothing is turned. */
void sm_placed_spread_axis(const sm_placing *c, sm_placed *d, int axis);

#endif
