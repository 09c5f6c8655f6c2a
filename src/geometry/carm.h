/* carm.h - the projection in which a C-arm shows a gap (model.md 6.2).
 *
 * Directions are unit vectors in patient coordinates: x to the patient's left, y to the back, z to the head. A view is
 * where the detector stands: primary angle, left of the patient (LAO) positive, and secondary angle, toward the head
 * (cranial) positive.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_GEOMETRY_CARM_H
#define SM_GEOMETRY_CARM_H

#include "measurement/case.h"

/* (6.4): the direction from the patient to the detector, and back. Of d and -d, which show the same picture mirrored,
 * sm_carm_view takes the one it is given. */
void sm_carm_direction(sm_view v, double d[3]);
sm_view sm_carm_view(const double d[3]);

/* (6.5): e(th), the direction of an azimuth in the plane of the ring. */
void sm_carm_azimuth(const sm_patient_axes *axes, double azimuth_deg, double e[3]);

/* Two views in which the ring is seen edge-on give its axis; views nearer to each other than this, or to opposite ones,
 * do not: an error of 5 degrees in one of them would turn the axis by 20 (judgement). */
#define SM_CARM_LEAST_APART_DEG 15.0
/* The angle between the lines of sight, 0 to 90 degrees. */
double sm_carm_apart_deg(sm_view a, sm_view b);

/* (6.6): n from two views in which the ring is edge-on, upward. False if that leaves open which way is up: the axis
 * lies within 3 degrees of the horizontal, or the views are parallel. */
bool sm_carm_axis_of_views(const sm_view edge_on[2], double n[3]);
/* e0 from a view in which the side at azimuth_deg is in profile, at the right of the picture or at the left. False if
 * the view looks along the axis. */
bool sm_carm_zero_of_profile(const double n[3], sm_view profile, bool at_right, double azimuth_deg, double e0[3]);

/* n from three base points, toward a point on the side of the aorta; *centre: of the circle through them. False if they
 * lie on a line or the point in their plane. */
bool sm_carm_axis_of_points(const double base[3][3], const double toward[3], double n[3], double centre[3]);
/* The direction across n from the centre to a point, turned back by its azimuth: e0. False if the point is on the axis.
 */
bool sm_carm_zero_of_point(const double n[3], const double centre[3], const double point[3], double azimuth_deg,
                           double e0[3]);

/* A view and by how much it falls short of what it is for. */
typedef struct {
    bool there; /* false: none lies within the gantry's limits */
    sm_view view;
    double off_deg;
} sm_carm_shot;

/* For the gap at one azimuth. */
typedef struct {
    sm_carm_shot edge_on; /* the ring edge-on; off: by how much the view misses the gap's profile, asin |d . e| */
    sm_carm_shot profile; /* the gap without foreshortening; off: how far the ring is open, asin |d . n| */
} sm_projection;

sm_projection sm_carm_projection(const sm_patient_axes *axes, double azimuth_deg, const sm_gantry *gantry);

/* (6.7): what a view that misses by an angle takes off a gap T beside a circle, mm. */
double sm_carm_foreshortening(double T, double circle_mm, double miss_deg);

#endif
