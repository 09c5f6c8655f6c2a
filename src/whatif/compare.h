/* compare.h - two cases on the same draws: how far each difference alone moved the answer, and what is left.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_COMPARE_H
#define SM_WHATIF_COMPARE_H

#include "whatif/difference.h"
#include "engine/assess.h"

/* What one difference does alone, put into the old case. */
typedef struct {
    bool stands_alone; /* false: by itself it makes no valid case, and what it does is in what is left */
    sm_probability event;
    sm_estimate difference; /* paired: less the old case */
    sm_call call; /* by Monte Carlo interval and second looks; against the new line if the line is the difference */
    sm_call_reason reason;
} sm_alone;

typedef struct {
    sm_assessment old, now;
    sm_differences differences;
    sm_alone *alone;   /* by difference */
    sm_estimate moved; /* new less old, paired */
    sm_estimate left;  /* moved less the sum of what each does alone; its error is at most this */
} sm_compare;

/* SM_REFUSED with the faults in d; SM_INTERRUPTED: `old` holds what is known of the old case and is marked as not
 * complete, all else is empty. Destroy out in every case. */
sm_status sm_compare_run(const sm_casefile *old, const sm_casefile *now, sm_run_context context, sm_diag *d,
                         sm_compare *out);
void sm_compare_destroy(sm_compare *c);

#endif
