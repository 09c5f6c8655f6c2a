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

void sm_two_samples_draw(const sm_plan *p, sm_two_samples *two, int64_t block)
{
    sm_worker_draw(p, &two->A, SM_FOR_RUN, (uint32_t)block);
    sm_worker_draw(p, &two->B, SM_FOR_REDRAW, (uint32_t)block);
}

void sm_two_samples_point(sm_two_samples *two, int g)
{
    sm_worker_point(&two->A, g);
    sm_worker_point(&two->B, g);
}
