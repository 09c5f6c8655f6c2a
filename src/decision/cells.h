/* cells.h - trials sorted by what a re-check of each source would show: the events of one root in each cell, and how
 * other roots differ from it there.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_CELLS_H
#define SM_DECISION_CELLS_H

#include "decision/coordinates.h"
#include "engine/run.h"

/* The first n_roots roots of the plan are what may be done; an event is an unrescued patient event. */
typedef struct {
    int n_roots, now;     /* now: the root whose events are counted and with which the others are compared */
    const double *burden; /* by root, for `least`; NULL: all 0 */
} sm_cells_request;

/* The halves are the trials at even and at odd places. */
typedef struct {
    const sm_plan *plan;
    sm_cells_request request;
    int n_sources, n_cells;
    sm_coordinates *shows; /* by source */
    int *first;            /* where a source's cells start; one more at the end: n_cells */
    sm_cell_counts *cell;
    sm_swap *swap;     /* root a in cell c: swap[a * n_cells + c]; without meaning if there is one root */
    sm_weighted event; /* of the root `now` */
    double least; /* weighted sum over trials of the least cost, burden and event, that any root has in that very trial;
                     without meaning if there is one root */
} sm_cells;

/* Empty cells for a run of p, which must stay in place while they are used. */
sm_status sm_cells_create(const sm_plan *p, const sm_cells_request *request, sm_cells *c);
/* Fills c from a run of its plan; sm_cells_level ends it. c must stay in place. */
sm_observer sm_cells_observer(sm_cells *c);
void sm_cells_level(sm_cells *c);
/* Fills c by a run of its own, of at least SM_CELLS_TRIALS trials: with fewer, halves of cells say too little. */
#define SM_CELLS_TRIALS (2 * SM_TASK_TRIALS)
sm_status sm_cells_run(sm_cells *c, sm_run_context context);
void sm_cells_destroy(sm_cells *c);

#endif
