/* worth.h - what a re-check of each reducible source is worth at the action line (model.md section 6).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_WORTH_H
#define SM_DECISION_WORTH_H

#include "decision/cells.h"

/* One source of the plan. Sources of the deployment, and sources that do not vary in this case, have worth 0. */
typedef struct {
    bool varies; /* it has a draw that the case lets vary */
    sm_worth perfect;
    bool one_more_defined;
    sm_worth one_more; /* one more reading by another reader; not defined for a type A error */
} sm_source_worth;

typedef struct {
    int n_sources;
    sm_source_worth *source;
    sm_probability event;      /* from the same trials */
    sm_estimate bound;         /* of perfect information: min(P, q) - q P */
    sm_estimate expected_cost; /* irreducible: E[min(P(event | all reducible), q)] */
} sm_worths;

/* What the cells must sort: waiting, the case as planned, is the one thing that may be done. */
extern const sm_cells_request sm_worth_sorts;

/* q: the action line, 0 < q < 1. nested_trials: outer draws of the irreducible part, rounded up to whole blocks. cells:
 * filled. */
sm_status sm_worth_of(const sm_cells *cells, double q, int64_t nested_trials, sm_run_context context, sm_worths *out);
/* The same with cells of its own, from at least SM_CELLS_TRIALS trials. */
sm_status sm_worth_run(const sm_plan *p, double q, int64_t nested_trials, sm_run_context context, sm_worths *out);
void sm_worths_destroy(sm_worths *w);

#endif
