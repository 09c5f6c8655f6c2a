/* side.h - one coronary's clearances, cover, reach and crossings (model.md section 5).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_GEOMETRY_SIDE_H
#define SM_GEOMETRY_SIDE_H

#include "geometry/frame.h"
#include "geometry/output.h"
#include "geometry/tube.h"

/* The constants of one side: doubles and nothing else, so that they are compared as bytes (engine/parts.c). mm. */

/* Where it lies, and the circle that the reader drew. */
typedef struct {
    double circle, cos_az, sin_az;
} sm_side_place;

typedef struct {
    sm_side_place place;
    sm_direction direction;
    double reach_margin;   /* so far below the STJ a tube may end and still seal */
    double counts;         /* 1; 0 where no coronary leaves the sinus: it can be sealed, and that is no event */
    double cos_post_block; /* cos(3 post_block): a post stands in the way if cos 3(th - post) is at least this; 2
                              without posts */
} sm_side_model;

/* The true landmarks of a side, mm, valve frame: the wall at each gap, and the leaflet top. */
typedef struct {
    double x[SM_LANES], y[SM_LANES], h[SM_LANES];
} sm_landmark;

typedef struct {
    sm_landmark at[SM_GAPS];
    double H[SM_LANES];
} sm_landmarks;

/* crowded (at the ostium), sealed (at the STJ) and the event are 1 or 0. */
typedef struct {
    double y[SM_OUTPUTS][SM_LANES];
    union {
        struct {
            double crowded[SM_LANES], sealed[SM_LANES];
        };
        double crossed[SM_GAPS][SM_LANES]; /* the same by gap */
    };
    double event[SM_LANES]; /* any rule is crossed */
    /* Only if the leaflet is lacerated: 1 where it was laid open, and the cover as if it had not been, mm. */
    double opened[SM_LANES], uncut_cover[SM_LANES];
} sm_side_out;

/* What stands in front of a side: the top of the tube, and how far the leaflets stand outside the frame. mm. */
typedef struct {
    double H_t[SM_LANES], stand_off[SM_LANES];
} sm_side_cover;

/* azimuth in degrees from 0; circle: its diameter, mm. */
sm_side_model sm_side_create(double azimuth_deg, double circle_mm, const sm_limits *limits,
                             const sm_surgical_valve *valve);

/* A side from which no coronary leaves: never crowded, no event; what is computed beside its ostium says nothing. */
void sm_side_without_ostium(sm_side_model *k);

/* Places the landmarks of section 5 from the five true readings (reader frame, mm; order of sm_quantity_id). */
void sm_side_landmarks(const sm_side_place *k, const sm_frame *f, const double (*reading)[SM_LANES], sm_landmarks *out);
/* The wall at one gap, of two of these readings. */
void sm_side_landmark(const sm_side_place *k, const sm_frame *f, const double *restrict gap, const double *height,
                      sm_landmark *p);

/* (5.1): the radial gap hypot(x, y) - circle/2 of a landmark. */
void sm_side_gap(const sm_side_place *k, const sm_landmark *restrict p, double *restrict T);

/* Moves a landmark to the radius T + circle/2, azimuth and height kept. */
void sm_side_move(const sm_side_place *k, const double *restrict T, sm_landmark *restrict p);

/* W of (4.2) at the height of the ostium, mm. */
void sm_side_waist(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_landmarks *p,
                   double *restrict W);

/* clear[i]: 1 where no post stands in front of this side, so that its leaflet can be laid open; else 0. */
void sm_side_clear_of_posts(const sm_side_model *k, const sm_tube *t, double *restrict clear);

/* (5.1) to (5.5). limit[g][i]: below which the clearance at gap g crosses it, mm. split[i] is 1 if the leaflet in front
 * of this side was lacerated with success (before posts are asked), NULL for none. */
void sm_side_evaluate(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_landmarks *p,
                      const double (*limit)[SM_LANES], const double *split, sm_side_out *out);

/* Its parts, for who moves one landmark of a side and keeps the rest. (4.5), (4.6), (4.9); where the leaflet is
 * lacerated, also out's `opened` and `uncut_cover`. */
void sm_side_find_cover(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_landmarks *p,
                        const double *split, sm_side_cover *cover, sm_side_out *out);
/* (5.2), (5.3) of one landmark. */
void sm_side_clearance(const sm_side_model *k, const sm_tube_model *m, const sm_tube *restrict t,
                       const sm_side_cover *restrict cover, const sm_landmark *restrict p, double *restrict out);
/* (5.4), (5.5) from the clearances in out. */
void sm_side_cross(const sm_side_model *k, const sm_landmarks *restrict p, const sm_side_cover *restrict tube,
                   const double (*restrict limit)[SM_LANES], sm_side_out *restrict out);

#endif
