/* policy.h - what should one do, knowing what a re-check would show? A rule learned on one half of the trials, paid on
 * the other.
 *
 * Each action a costs burden_a for certain and 1 if an event follows. The value of knowing g is min_a E[cost_a] -
 * E_g[min_a E[cost_a | g]]; with the two actions "wait" (burden 0) and "act" (burden q, no event) it is min(P, q) -
 * E_g[min(P(event | g), q)]. Estimating E[cost_a | g] in cells and taking the minimum is biased upward: noise looks
 * like knowledge. Here smooth surfaces (logistic regression on polynomials of g's coordinates) only DECIDE what to do
 * in which cells; what that rule costs is counted on trials that it has not seen, and the two halves change places. A
 * source without influence never changes the act and so gets 0; an imperfect surface can only lose a little, in the
 * second order of its error.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_POLICY_H
#define SM_DECISION_POLICY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "engine/sobol.h"
#include "engine/watch.h"
#include "base/status.h"

enum { SM_MAX_DIMS = 3, SM_GRID_LINE = 256 /* cells of a grid of one dimension */ };
#define SM_GRID_REACH 4.5

/* A grid over a source's coordinates. Coordinates run over [-4.5, 4.5] (what lies beyond is taken into the outer
 * cells); if `circular`, the one coordinate is a turn, 0 to 1. */
typedef struct {
    int dims;
    bool circular;
} sm_grid;

/* Cells along one dimension. */
int sm_grid_side(const sm_grid *g);
int sm_grid_cells(const sm_grid *g);
/* The cell of each trial: x[d][i] coordinate d. */
void sm_grid_cell(const sm_grid *g, const double *const *x, int n, int32_t *cell);

/* Trials and events of one cell, by half; with weights, brought to so many of weight 1 as know as much. */
typedef struct {
    double n[2], events[2];
} sm_cell_counts;

void sm_cell_counts_add(sm_cell_counts *to, const sm_cell_counts *from, size_t n);
void sm_cell_counts_scale(sm_cell_counts *cell, size_t n, double by);

/* What following the rule is worth against always doing what is best without it. Without meaning if the status is
 * not SM_OK. */
typedef struct {
    sm_estimate value;  /* never below 0 */
    sm_estimate change; /* probability that the act changes */
    double rule_error;  /* half of what the rules of the two halves differ by in it: where what is shown hardly matters,
                           where the act changes is known far worse than how often a given rule changes it */
} sm_worth;

/* Values below this, in untreated events, are not told from 0. */
#define SM_WORTH_FLOOR 0.001

/* Trials of one cell in which an action has an event that the action `now` has not (gained), and the reverse (lost); by
 * half. */
typedef struct {
    double gained[2], lost[2];
} sm_swap;

void sm_swaps_add(sm_swap *to, const sm_swap *from, size_t n);
void sm_swaps_scale(sm_swap *swap, size_t n, double by);

/* What may be done. A cell's events are those of the action `now`. */
typedef struct {
    int n, now;           /* how many; the one that is done without a re-check */
    const double *burden; /* by action, in untreated events */
    const sm_swap *swap;  /* action a in cell c: swap[a * stride + c]; those of `now` are not read */
    size_t stride;
} sm_actions;

/* What knowing the cell is worth for a choice among actions. cell: sm_grid_cells(g) places. *status: SM_OK,
 * SM_INTERRUPTED or SM_NO_MEMORY. */
sm_worth sm_policy_choice(const sm_grid *g, const sm_cell_counts *cell, const sm_actions *actions, sm_watch watch,
                          sm_status *status);

/* The two actions "wait" and "act" at the action line q, 0 < q < 1, of which the overall probability asks for one; a
 * cell's events are those of waiting. */
sm_worth sm_policy_worth(const sm_grid *g, const sm_cell_counts *cell, double q, sm_watch watch, sm_status *status);

/* The event's probability over the cells of a grid of one dimension that is no circle, by a smooth curve fitted to both
 * halves. SM_INTERRUPTED, SM_NO_MEMORY. */
sm_status sm_policy_curve(const sm_cell_counts *cell, sm_watch watch, double P[SM_GRID_LINE]);

/* What becomes known of a coordinate (dims 1) only in part. dof 0: the coordinate is normal, and the part is normal
 * with correlation rho to it. dof above 0: the coordinate is the normal score of a t with dof degrees of freedom, and
 * the part is another t that shares the unknown scale of the first, rho as if that scale were known. */
typedef struct {
    double rho, dof;
} sm_known_part;

/* The same if only a part becomes known. */
sm_worth sm_policy_partial_worth(const sm_cell_counts *cell, sm_known_part part, double q, sm_status *status);

#endif
