/* beside.h - how versions of a case differ from it, from few sharp points that all of them share.
 *
 * The axes are turned once, for the case as planned, and hold for every run of versions beside it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_BESIDE_H
#define SM_WHATIF_BESIDE_H

#include "whatif/versions.h"

/* The case by itself. It can be read by many runs at a time. */
typedef struct {
    sm_plan plan;
    sm_sharp_axes axes;
    bool gains; /* the points are worth it: no second look, whose weights undo what they gain. Else do not run */
} sm_beside;

/* c must outlive it. Destroy in every case. */
sm_status sm_beside_create(const sm_case *c, sm_run_context context, sm_beside *out);
void sm_beside_destroy(sm_beside *b);

/* Runs versions of the case in the caller's thread. out: by version; that of one that is left out (NULL) is not
 * touched. */
sm_status sm_beside_run(const sm_beside *b, const sm_versions *v, sm_sharp_size size, sm_variant *out);

#endif
