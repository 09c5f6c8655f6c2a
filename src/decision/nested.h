/* nested.h - what remains when some sources are known: trials within trials.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_NESTED_H
#define SM_DECISION_NESTED_H

#include "engine/plan.h"
#include "engine/run_context.h"
#include "engine/sobol.h"

/* Which columns are known: held while the others are drawn again `inner` times. */
typedef struct {
    bool (*known)(const void *self, const sm_sources *s, int column);
    const void *self;
    double q;  /* the action line */
    int inner; /* even */
} sm_nested_request;

/* E[min(P(event | known), q)] of root[0], from context.trials outer trials, rounded up to whole blocks. The plain
 * estimate from n inner trials is too low by a term in 1/n; twice it less the mean of the estimates from either half of
 * the inner trials has no such term (Giles and Haji-Ali, SIAM/ASA J Uncertainty Quantification 2019;7:497, the
 * antithetic difference). */
sm_status sm_nested_run(const sm_plan *p, const sm_nested_request *request, sm_run_context context,
                        sm_estimate *expected_cost);

#endif
