/* swing.h - how far the answer moves when an assumption takes the ends of its range (docs/facts.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_SWING_H
#define SM_WHATIF_SWING_H

#include "whatif/versions.h"

/* The patient event with one default number at either end of its range. */
typedef struct {
    bool applies; /* a default number with a range in docs/facts.md, and both ends make a valid case. The same default
                   * on several sides, and the two SDs of a reading, move as one; the first of them stands for all */
    sm_variant low, high;
} sm_swing;

/* All default numbers of grade judgement moved together to the ends that lower, or raise, the probability. */
typedef struct {
    int n_assumptions;
    sm_swing *swing;     /* in the order of sm_casefile_assumptions */
    sm_probability base; /* the case itself on these trials */
    bool any_judgement;
    sm_variant lowest, highest;
    int largest; /* the assumption of grade judgement that moves the probability most, -1 */
} sm_swings;

/* Trials for each end of each range: the swings are paired with the case, so that their error is small. */
enum { SM_SWING_TRIALS = 65536 };

sm_status sm_swings_run(const sm_casefile *f, sm_run_context context, sm_swings *out);
void sm_swings_destroy(sm_swings *s);

#endif
