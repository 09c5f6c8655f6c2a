/* sensitivity.h - how much of each output's variance, and of the event's, each source carries.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_SENSITIVITY_H
#define SM_DECISION_SENSITIVITY_H

#include "engine/plan.h"
#include "engine/run_context.h"
#include "engine/sobol.h"

/* One source. outputs: by side and output, SM_OUTPUTS a side; a side's own source has its own side's only. */
typedef struct {
    sm_sobol event; /* of the patient event */
    sm_sobol *output;
    int n_outputs;
    bool first_only; /* second looks tie the sources to each other: event.total and the outputs' indices mean nothing */
} sm_share;

/* What sources are ranked by: the total index on the event, or the first-order one where there is no other. */
const sm_estimate *sm_share_rank(const sm_share *s);

typedef struct {
    int n_sources;
    sm_share *share; /* in the order of the plan's sources */
    /* The event's variance that no re-measurement takes away: the mean variance that remains when every reducible
     * source is known. */
    sm_estimate irreducible_variance;
} sm_sensitivity;

/* context.trials is rounded up to whole blocks in each of SM_BATCHES batches. root[0] of the plan is examined. */
sm_status sm_sensitivity_run(const sm_plan *p, sm_run_context context, sm_sensitivity *out);
void sm_sensitivity_destroy(sm_sensitivity *s);

#endif
