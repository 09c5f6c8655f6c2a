/* tube.h - the tube that the new valve makes of the old leaflets (model.md section 4).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_GEOMETRY_TUBE_H
#define SM_GEOMETRY_TUBE_H

#include <stdbool.h>
#include <stddef.h>

#include "base/lanes.h"
#include "measurement/case.h"

/* The constants of the tube. mm. */
typedef struct {
    double frame_height, ring_height, skirt_height;
    size_t shape_points; /* 0: straight */
    double shape[SM_MAX_SHAPE_POINTS][2];
    bool drawn_circle; /* limits.basis */
} sm_tube_model;

/* What is drawn of the tube for a group of trials. mm unless said. */
typedef struct {
    double D0[SM_LANES];                     /* nominal_diameter * (1 + overexpansion) */
    double hold[SM_LANES];                   /* inner_diameter + ring_give */
    double ecc_c[SM_LANES], ecc_s[SM_LANES]; /* ecc/2 cos 2 psi, ecc/2 sin 2 psi */
    double flare[SM_LANES];                  /* fraction */
    double depth[SM_LANES];                  /* implant_depth */
    double off_x[SM_LANES], off_y[SM_LANES], cant_x[SM_LANES], cant_y[SM_LANES]; /* (4.8); slopes without unit */
    double mount_offset[SM_LANES], mid[SM_LANES];
    double post_c[SM_LANES], post_s[SM_LANES]; /* cos and sin of 3 post_azimuth */
    double excess[SM_LANES];                   /* max(0, leaflet_thickness - reference_thickness) */
    double overhang[SM_LANES];
} sm_tube;

/* A direction th at which the tube is asked, by what the formulas need of it. */
typedef struct {
    double cos_2th, sin_2th, cos_3th, sin_3th;
} sm_direction;

/* th: radians. */
sm_direction sm_direction_at(double th);

/* (4.1) to (4.4): R_frame and W at heights z in one direction. mm. */
void sm_tube_frame_radius(const sm_tube_model *m, const sm_tube *restrict t, const sm_direction *d,
                          const double *restrict z, double *restrict R_frame, double *restrict W);

/* (4.5), (4.6): how far the leaflets stand outside the frame in one direction, R_tube - R_frame. */
void sm_tube_stand_off(const sm_tube *restrict t, const sm_direction *d, double *restrict stand_off);

/* (4.9): the top of the tube from the leaflet top H, and the top of the skirt. */
void sm_tube_top(const sm_tube_model *m, const sm_tube *restrict t, const double *restrict H, double *restrict H_t,
                 double *restrict skirt_top);

#endif
