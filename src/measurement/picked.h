/* picked.h - points picked in a scan -> heights, azimuths and distances as a reader records them (model.md 2.4).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_PICKED_H
#define SM_MEASUREMENT_PICKED_H

/* A point or a direction in patient coordinates, mm: x to the patient's left, y to the back, z to the head. */
typedef struct {
    double x, y, z;
} sm_vector;

/* The reader frame of model.md 2, in patient coordinates: n up the aorta, u toward azimuth 0, v = n x u. */
typedef struct {
    sm_vector origin, u, v, n;
    double radius_mm;           /* of the circle through the base points */
    double base_azimuth_deg[3]; /* of each, 0 to 360 */
    double centre_off_mm;       /* from the centre of that circle to the axis */
} sm_picked_frame;

/* Why points make no frame. */
typedef enum {
    SM_PICKED_OK,
    SM_PICKED_NO_PLANE, /* the base points lie on a line, or two of them together */
    SM_PICKED_NO_UP,    /* the point that shows the way up lies in the base plane */
    SM_PICKED_NO_ZERO   /* the point of azimuth 0 lies on the axis */
} sm_picked_fault;

/* centre: a point on the axis; NULL: the axis passes through the centre of the circle through the base points. up: any
 * point on the side of the aorta. zero: azimuth 0 is toward it. */
sm_picked_fault sm_picked_frame_create(const sm_vector base[3], const sm_vector *centre, const sm_vector *up,
                                       const sm_vector *zero, sm_picked_frame *out);

/* What a reader records of a point; the gap is radius_mm less half the circle's diameter. */
typedef struct {
    double height_mm, radius_mm, azimuth_deg; /* azimuth 0 to 360 */
} sm_picked;

sm_picked sm_picked_measure(const sm_picked_frame *f, const sm_vector *p);

/* How the root lies in the patient, judged by the side from which the aorta comes and by where the left and the right
 * ostium lie. Where the points do not settle it, it is taken as PLAIN. */
typedef enum {
    SM_LIES_PLAIN,
    SM_LIES_UPSIDE_DOWN, /* the aorta leads to the feet */
    SM_LIES_TURNED,      /* by half a turn about the body's length, as lps taken for ras does */
    SM_LIES_MIRRORED,
    SM_LIES_EXCHANGED /* left and right have each other's place */
} sm_picked_lie;

/* left, right: NULL if that ostium was not picked. */
sm_picked_lie sm_picked_lies(const sm_picked_frame *f, const sm_vector *left, const sm_vector *right);

#endif
