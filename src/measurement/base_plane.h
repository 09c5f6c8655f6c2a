/* base_plane.h - the error of the reader's base plane and centreline (model.md 2.1 and 2.2).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_BASE_PLANE_H
#define SM_MEASUREMENT_BASE_PLANE_H

#include "base/lanes.h"
#include "measurement/case.h"

/* The constants of the plane's error. Lengths mm. */
typedef struct {
    bool tilt_form;
    double point_sd; /* of the mean over the placements */
    double wave;     /* amplitude of the cuff's wave */
    int placements;
    double cos_3phi[3], sin_3phi[3];
    double solve[3][3];       /* rows c, a, b: (c, a, b) = solve * (e_1, e_2, e_3) */
    double tilt_sd, level_sd; /* tilt form: SD of a and b (slope), of c */
} sm_plane;

/* Sets p from the case's values; equal values make equal bytes. SM_NUMERIC if the three points do not span a plane.
 */
sm_status sm_plane_create(const sm_base_plane *values, sm_plane *p);

/* How many uniforms the plane needs beside its three normals: the wave's phase for each placement; 0 in the tilt form
 * or without a wave. */
int sm_plane_phases(const sm_plane *p);

/* a, b (slopes) and c (mm) from three columns of normals (the points, or a, b, c) and sm_plane_phases columns of
 * uniforms. */
void sm_plane_draw(const sm_plane *p, const double *const normal[3], const double *const *phase, double *restrict a,
                   double *restrict b, double *restrict c);

#endif
