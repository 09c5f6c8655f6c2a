/* frame.h - from the reader's frame to the valve's frame (model.md 2.3).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_GEOMETRY_FRAME_H
#define SM_GEOMETRY_FRAME_H

#include "base/lanes.h"

/* (2.5) for a group of trials: the reader's origin and unit vectors in the valve frame. u_y is 0. */
typedef struct {
    double ox[SM_LANES], oy[SM_LANES], oz[SM_LANES]; /* origin, mm */
    double ux[SM_LANES], uz[SM_LANES];
    double vx[SM_LANES], vy[SM_LANES], vz[SM_LANES];
    double nx[SM_LANES], ny[SM_LANES], nz[SM_LANES];
} sm_frame;

/* a, b slopes of the reader's plane, c its level (mm), cx, cy where the reader's axis pierces the base plane (mm). */
void sm_frame_place(const double *restrict a, const double *restrict b, const double *restrict c,
                    const double *restrict cx, const double *restrict cy, sm_frame *restrict f);

/* (2.6): landmarks at radius r, height z (mm, reader frame) and one azimuth, to (x, y) and height h (mm, valve frame).
 */
void sm_frame_point(const sm_frame *restrict f, double cos_az, double sin_az, const double *restrict r,
                    const double *restrict z, double *restrict x, double *restrict y, double *restrict h);

#endif
