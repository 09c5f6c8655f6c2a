/* two_samples.h - two independent samples of all base draws, and the first with some columns from the second.
 *
 * What a source carries is found by drawing it again while the rest is kept; a worker holds here what that needs.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TWO_SAMPLES_H
#define SM_TWO_SAMPLES_H

#include "engine/plan.h"

typedef struct {
    sm_worker A, B;
    sm_places redrawn;     /* A with columns from B: its parts, */
    const double **column; /* its columns */
} sm_two_samples;

/* SM_NO_MEMORY if there is none; destroy in any case. `two` starts as zero bytes. */
sm_status sm_two_samples_create(const sm_plan *p, sm_two_samples *two);
void sm_two_samples_destroy(sm_two_samples *two);

/* Draws one block of each. */
void sm_two_samples_draw(const sm_plan *p, sm_two_samples *two, int64_t block);
/* Points both to group g of the block. */
void sm_two_samples_point(sm_two_samples *two, int g);

#endif
