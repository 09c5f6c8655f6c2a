/* two_samples.c - two independent samples of all base draws. SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/two_samples.h"

#include <stdlib.h>

sm_status sm_two_samples_create(const sm_plan *p, sm_two_samples *two)
{
    sm_status s = sm_worker_create(p, &two->A);
    if (s == SM_OK)
        s = sm_worker_create(p, &two->B);
    if (s == SM_OK)
        s = sm_places_create(p, &two->redrawn);
    two->column = malloc(((size_t)p->sources.n_columns + 1) * sizeof *two->column);
    return s == SM_OK && two->column ? SM_OK : SM_NO_MEMORY;
}

void sm_two_samples_destroy(sm_two_samples *two)
{
    sm_worker_destroy(&two->A);
    sm_worker_destroy(&two->B);
    sm_places_destroy(&two->redrawn);
    free(two->column);
}

enum { GROUPS = SM_BLOCK / SM_LANES };

static void draw(const sm_plan *p, sm_two_samples *two, int64_t block)
{
    sm_worker_draw(p, &two->A, SM_FOR_RUN, (uint32_t)block);
    sm_worker_draw(p, &two->B, SM_FOR_REDRAW, (uint32_t)block);
}

bool sm_two_samples_each(const sm_plan *p, sm_two_samples *two, int64_t task, int64_t blocks, sm_watch watch,
                         sm_two_samples_look look, const void *job, void *slot)
{
    for (int64_t block = task * blocks; block < (task + 1) * blocks; block++) {
        draw(p, two, block);
        for (int g = 0; g < GROUPS; g++) {
            if (sm_watch_interrupted(watch))
                return false;
            sm_worker_point(&two->A, g);
            sm_worker_point(&two->B, g);
            look(job, slot);
        }
    }
    return true;
}
