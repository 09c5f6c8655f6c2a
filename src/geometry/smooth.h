/* smooth.h - how probable a side's rules are over the private errors of its readings, all else given (model.md section
 * 8).
 *
 * Each landmark's two private errors, of gap and height, are turned so that its height depends on the first alone:
 * whether the tube reaches it is then one number's place, and how near the tube is a quadratic of the second.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_GEOMETRY_SMOOTH_H
#define SM_GEOMETRY_SMOOTH_H

#include "geometry/side.h"
#include "sampling/table.h"

/* One landmark without its private errors: gap and height as in the reader's frame, mm, the SD of the normal error of
 * each, how far above the tube's top it still counts as reached, and where among the heights that are reached it is
 * taken, 0 < u < 1. */
typedef struct {
    double gap[SM_LANES], height[SM_LANES], gap_sd[SM_LANES], height_sd[SM_LANES];
    double margin;
    const double *u;
} sm_private_pair;

/* The tube in front of a side: its top and how far the leaflets stand outside the frame, mm. */
typedef struct {
    double H_t[SM_LANES], stand_off[SM_LANES];
} sm_side_tube;

/* What is left once the height is taken, mm: the landmark as seen from the new valve's axis, how it moves with the
 * second error, the tube's radius (with what (4.7) withholds); and how probable it is that the tube reaches it. */
typedef struct {
    double reached[SM_LANES];
    double dx[SM_LANES], dy[SM_LANES], qx[SM_LANES], qy[SM_LANES], R[SM_LANES];
} sm_level;

/* From the leaflet top as the reader's frame has it, mm. */
void sm_smooth_tube(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const double *H,
                    sm_side_tube *out);

/* The same where the leaflet was laid open: it ends at the skirt and is the bare frame. */
void sm_smooth_open_tube(const sm_tube_model *m, const sm_tube *t, const double *H, sm_side_tube *out);

/* (8.1) to (8.4). phi: the table of the normal distribution function (sm_tables_phi). */
void sm_smooth_level(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_frame *f,
                     const sm_side_tube *tube, const sm_private_pair *pair, const sm_table *phi, sm_level *out);

/* (8.5): p[i] = how probable it is that the tube reaches the landmark and the clearance is below limit[i], mm. */
void sm_smooth_crossed(const sm_level *at, const double *limit, const sm_table *phi, double *restrict p);

/* (8.6): either of two independent things. */
void sm_smooth_either(const double *restrict a, const double *restrict b, double *restrict either);

/* (8.7): p[i] where the leaflet is not laid open, and open[i] where it is, which has the probability success[i]. */
void sm_smooth_mixed(const double *restrict success, const double *restrict p, const double *restrict open,
                     double *restrict mixed);

#endif
