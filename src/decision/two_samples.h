/* two_samples.h - two independent samples of all base draws, and the first with some columns from the second.
 *
 * What a source carries is found by drawing it again while the rest is kept; a worker holds here what that needs.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TWO_SAMPLES_H
#define SM_TWO_SAMPLES_H

#include <stdbool.h>
#include <stdint.h>

#include "engine/plan.h"
#include "engine/watch.h"

typedef struct {
    sm_worker A, B;
    sm_places redrawn;     /* A with columns from B: its parts, */
    const double **column; /* its columns */
} sm_two_samples;

/* SM_NO_MEMORY if there is none; destroy in any case. `two` starts as zero bytes. */
sm_status sm_two_samples_create(const sm_plan *p, sm_two_samples *two);
void sm_two_samples_destroy(sm_two_samples *two);

typedef void (*sm_two_samples_look)(const void *job, void *slot);

/* Draws the blocks of a task, `blocks` a task, and calls look for each group of trials with both samples pointed to it.
 * False if it was interrupted. */
bool sm_two_samples_each(const sm_plan *p, sm_two_samples *two, int64_t task, int64_t blocks, sm_watch watch,
                         sm_two_samples_look look, const void *job, void *slot);

#endif
