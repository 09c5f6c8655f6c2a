/* weighted_shares.h - how much of the event's variance each source carries, where second looks weigh the trials.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_WEIGHTED_SHARES_H
#define SM_DECISION_WEIGHTED_SHARES_H

#include "engine/plan.h"
#include "engine/run_context.h"
#include "engine/sobol.h"

/* Second looks tie the sources to each other: redrawing one alone would leave what the looks allow, so that a total
 * index means nothing. The first-order share, the variance of P(event | source) over that of the event, still does. It
 * is counted in cells of what a re-check would show; first has a place for each of root[0]'s own sources. remaining:
 * the mean variance of the event that is left when every reducible source is known. context.trials is rounded up to
 * whole blocks in each of SM_BATCHES batches. */
sm_status sm_weighted_shares_run(const sm_plan *p, sm_run_context context, sm_estimate *first, sm_estimate *remaining);

#endif
