/* variants.h - other versions of a case on the same draws, compared with it trial by trial.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_VARIANTS_H
#define SM_ENGINE_VARIANTS_H

#include "engine/run.h"
#include "engine/sobol.h"

/* The patient event of a variant, and how it differs from the case itself. */
typedef struct {
    sm_probability event;
    sm_estimate difference; /* paired: variant less case */
} sm_variant;

/* The paired difference of two probabilities: trials that gained an event less trials that lost one. */
sm_estimate sm_paired_difference(int64_t gained, int64_t lost, int64_t n);

/* n variants (same coronaries as c) in one run. base receives the case's own probability from these trials. */
sm_status sm_variants_run(const sm_case *c, const sm_case *const *variant, int n, sm_run_context context,
                          sm_probability *base, sm_variant *out);

#endif
