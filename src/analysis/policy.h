/* policy.h - when should one act, knowing what a re-check would show? A rule learned on one half of the trials, paid on the other.
 *
 * The value of knowing g is min(P, q) - E_g[min(P(event | g), q)]. Estimating P(event | g) in cells and taking the minimum is biased upward: noise looks
 * like knowledge. Here a smooth surface (logistic regression on polynomials of g's coordinates) only DECIDES in which cells to act; what that rule costs
 * is counted on trials that it has not seen, and the two halves change places. A source without influence never changes the act and so gets 0; an
 * imperfect surface can only lose a little, in the second order of its error.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ANALYSIS_POLICY_H
#define SM_ANALYSIS_POLICY_H

#include <stdbool.h>
#include <stdint.h>

#include "analysis/sobol.h"
#include "base/status.h"

enum { SM_MAX_DIMS = 3 };

/* A grid over a source's coordinates. Coordinates run over [-4.5, 4.5] (what lies beyond is taken into the outer cells); where `circular`, the one
 * coordinate is a turn, 0 to 1; `coin` doubles the grid by a two-valued coordinate. */
typedef struct {
    int dims;
    bool circular, coin;
} sm_grid;

/* Cells along one dimension. */
int sm_grid_side(const sm_grid *g);
int sm_grid_cells(const sm_grid *g);
/* The cell of each trial: x[d][i] coordinate d, coin[i] in (0, 1) or NULL. */
void sm_grid_cell(const sm_grid *g, const double *const *x, const double *coin, int n, int32_t *cell);

/* Trials and events of one cell, by half. */
typedef struct {
    int64_t n[2], events[2];
} sm_cell;

/* The event's probability over the cells as a smooth surface, fitted to one half (0 or 1) or to both (2). P has a place for every cell. Falls back to the
 * half's overall proportion where the fit does not exist. SM_NO_MEMORY. */
sm_status sm_policy_surface(const sm_grid *g, const sm_cell *cell, int half, double *P);

/* What acting where P >= q is worth against always doing what the overall probability asks for. */
typedef struct {
    sm_estimate value;  /* never below 0 */
    sm_estimate change; /* probability that the act changes */
} sm_worth;

sm_worth sm_policy_worth(const sm_grid *g, const sm_cell *cell, double q, sm_status *status);

/* The same where only a part of a standard normal coordinate (dims 1) becomes known: a part with correlation rho to it. */
sm_worth sm_policy_partial_worth(const sm_cell *cell, double rho, double q, sm_status *status);

#endif
