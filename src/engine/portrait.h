/* portrait.h - where the parts of the root stand, as the model has them: what a drawing to scale needs.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_PORTRAIT_H
#define SM_ENGINE_PORTRAIT_H

#include "engine/plan.h"

/* The middle and the ends between which 95 of 100 roots have it. mm or degrees. */
typedef struct {
    double low, median, high;
} sm_range;

enum { SM_PORTRAIT_HEIGHTS = 25 };

/* One side. Radii are from the surgical valve's axis, heights from its base plane; z[] are the heights at which the
 * tube's wall is asked, from the bottom of the new frame to the top of the tube, both at their median. */
typedef struct {
    double z[SM_PORTRAIT_HEIGHTS];
    sm_range wall[SM_PORTRAIT_HEIGHTS];
    sm_range ostium_radius, ostium_height, stj_radius, stj_height, leaflet_top, tube_top;
} sm_portrait_side;

typedef struct {
    int n_sides;
    sm_portrait_side *side;
    sm_range frame_bottom, frame_top, skirt_top, ring_radius; /* ring_radius: of W at the ring */
    bool has_posts, post_unknown;
    sm_range post; /* degrees; if known */
} sm_portrait;

/* Draws 16,384 roots on the streams of the pilots. SM_NO_MEMORY. */
sm_status sm_portrait_run(const sm_case *c, uint64_t seed, sm_portrait *out);
void sm_portrait_destroy(sm_portrait *p);

#endif
