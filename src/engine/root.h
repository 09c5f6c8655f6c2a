/* root.h - a case as a constant model: numbers, and where each draw comes from.
 *
 * A root is made once from a case and stays as it is while trials run. Several roots (the case as planned,
 * alternatives, what a look alone would say, the steps of a sweep) share the same sources and so the same draws.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_ROOT_H
#define SM_ENGINE_ROOT_H

#include "engine/sources.h"
#include "geometry/gap.h"
#include "geometry/side.h"
#include "measurement/base_plane.h"
#include "measurement/cross_check.h"
#include "measurement/reading.h"

/* A number that is constant or drawn. */
typedef struct {
    int column; /* -1: constant */
    sm_transform transform;
} sm_variable;

/* Which look of a cross-checked gap a trial believes. */
typedef enum { SM_BELIEVE_JOINED, SM_BELIEVE_CT, SM_BELIEVE_OTHER } sm_belief;

/* One of the five readings of a side. */
typedef struct {
    sm_reading reading;
    sm_variable error;
    int resolution; /* column, -1: none */
} sm_root_reading;

/* The other look at a gap. */
typedef struct {
    sm_look look;
    sm_joining joining;
    sm_belief belief;
    int error, view, coin; /* columns */
} sm_root_look;

typedef struct {
    sm_side_model geometry;
    sm_root_reading reading[SM_QUANTITIES];
    sm_root_look look[SM_GAPS];
    double lacerate, rescue;  /* success probabilities, 0: not done or cannot succeed */
    int lacerate_u, rescue_u; /* columns, -1 where not done */
} sm_root_side;

typedef struct {
    sm_plane plane;
    int plane_normal[3], plane_phase[SM_MAX_PLACEMENTS];
    double centreline_sd;
    int centreline[2];
    sm_variable blooming;
    sm_root_reading inner_diameter, thickness;
    sm_tube_model tube;
    double nominal_diameter;
    sm_variable overexpansion, ring_give, eccentricity, flare, depth, mount_offset, mid, overhang;
    int orientation; /* column of psi */
    bool post_unknown;
    sm_variable post; /* degrees where stated, else the column of a uniform turn */
    double cant_sd, offset_sd;
    int cant[2], offset[2];
    int scale; /* column of the cross-checks' common calibration, -1 */
    int n_sides;
    sm_root_side *side;
    bool rescues; /* some side's event may be undone by a rescue */
} sm_root;

/* What is asked of a root beyond the case itself. Zero: the case as planned. */
typedef struct {
    const sm_case *c;               /* NULL: the plan's; else a variant of it with the same coronaries */
    const sm_surgical_valve *valve; /* NULL: the case's own */
    const sm_implant *implant;
    const double *lacerate, *rescue; /* by side, SM_NOT_DONE where not done; NULL: none */
    bool without_bloom_correction;   /* both gaps' bloom_edges taken as 0 */
    int belief_side;                 /* with belief: of which side and gap only one look is believed */
    sm_gap_id belief_gap;
    sm_belief belief;
    double shift_mm; /* unless 0: added to the estimate of one gap of one side */
    int shift_side;
    sm_gap_id shift_gap;
} sm_root_request;

/* The draws of the parts that all sides share. */
typedef struct {
    sm_frame frame;
    sm_tube tube;
    double B[SM_LANES];
    double scale[SM_LANES]; /* standard normal of the calibration */
} sm_shared;

/* plane_variance: mm^2 by side and quantity, see sm_reading_create; NULL where no quantity asks for it. SM_NUMERIC
 * where a distribution or the base points cannot be used, SM_NO_MEMORY. Destroy out in every case. */
sm_status sm_root_create(sm_sources *sources, sm_tables *tables, const sm_case *c, const sm_root_request *request,
                         const double (*plane_variance)[SM_QUANTITIES], sm_root *out);
void sm_root_destroy(sm_root *r);

/* Adds every source of the case in the order of the result, whether it is drawn or not. SM_NO_MEMORY. */
sm_status sm_root_add_sources(sm_sources *sources, const sm_case *c);

/* Evaluates SM_LANES trials. column[j] points at the base draws of column j for these trials. First what all sides
 * share. */
void sm_root_evaluate_shared(const sm_root *r, const double *const *column, sm_shared *out);
/* Side k's landmarks as the CT look alone has them. */
void sm_root_side_landmarks(const sm_root *r, int k, const double *const *column, const sm_shared *s,
                            sm_landmarks *out);
/* The same with the other looks taken in (3.7): where the model has the landmarks in each trial. */
void sm_root_joined_landmarks(const sm_root *r, int k, const double *const *column, const sm_shared *s,
                              sm_landmarks *out);
/* All outputs of side k. */
void sm_root_evaluate_side(const sm_root *r, int k, const double *const *column, const sm_shared *s, sm_side_out *out);
/* The same in pieces, for who has some of them from another root already (parts.h). */

/* The true readings of a side, in the reader's frame. */
typedef struct {
    double mm[SM_QUANTITIES][SM_LANES];
} sm_true_readings;

void sm_root_draw_scan(const sm_root *r, const double *const *column, double *restrict B, double *restrict scale);
void sm_root_draw_frame(const sm_root *r, const double *const *column, sm_frame *out);
void sm_root_draw_tube(const sm_root *r, const double *const *column, const double *restrict B, sm_tube *out);
void sm_root_draw_readings(const sm_root *r, int k, const double *const *column, const double *restrict B,
                           sm_true_readings *out);
/* Side k's landmarks, the other looks taken in; then what the tube leaves beside them. scale: of sm_shared. */
void sm_root_place_landmarks(const sm_root *r, int k, const double *const *column, const sm_frame *frame,
                             const double *scale, const sm_true_readings *readings, sm_landmarks *out);
void sm_root_side_from(const sm_root *r, int k, const double *const *column, const sm_tube *t, const sm_landmarks *p,
                       sm_side_out *out);

/* saved[i] is 1 where the rescue of side k succeeds in trial i. */
void sm_root_rescue(const sm_root *r, int k, const double *const *column, double *restrict saved);

#endif
