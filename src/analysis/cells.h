/* cells.h - trials sorted by what a re-check of each source would show: the events of one root in each cell, and how other roots differ from it there.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ANALYSIS_CELLS_H
#define SM_ANALYSIS_CELLS_H

#include "analysis/coordinates.h"
#include "analysis/executor.h"
#include "analysis/run.h"

/* The first n_roots roots of the plan are what may be done; an event is an unrescued patient event. */
typedef struct {
    int n_roots, now;     /* now: the root whose events are counted and with which the others are compared */
    const double *burden; /* by root, for `least`; NULL: all 0 */
    int64_t trials;       /* rounded up to an even number of whole tasks, so that both halves are alike */
} sm_cells_request;

typedef struct {
    int n_sources, n_roots, now;
    sm_coordinates *shows; /* by source */
    int *first;            /* where a source's cells start; one more at the end: their number */
    sm_cell *cell;
    sm_swap *swap;         /* root a in cell c: swap[a * first[n_sources] + c]; NULL where there is one root */
    int64_t n, events;     /* of the root `now` */
    double least;          /* sum over trials of the least cost, burden and event, that any root has in that very trial */
} sm_cells;

/* Empties out on any status but SM_OK. */
sm_status sm_cells_run(const sm_plan *p, const sm_cells_request *request, const sm_executor *executor, const sm_watch *watch, sm_cells *out);
void sm_cells_destroy(sm_cells *c);

#endif
