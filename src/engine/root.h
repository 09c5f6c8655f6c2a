/* root.h - a case as a constant model: numbers, and where each draw comes from.
 *
 * A root is made once from a case and stays as it is while trials run. Several roots (the case as planned,
 * alternatives, what a look alone would say, the steps of a sweep) share the same sources and so the same draws.
 *
 * It is a composition of parts: scan, frame, tube, shape; of each side readings, landmarks, outputs. All constants of a
 * part, numbers of columns included, stand in one struct of zeroed storage that is filled member by member: parts.c
 * compares it as bytes. What evaluates a part is given this struct, the columns and the results of lower parts, and no
 * root: it cannot read what was not compared.
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

/* A reading: one of the five of a side, the inner diameter, the leaflet thickness. */
typedef struct {
    sm_reading reading;
    sm_variable error;
    int resolution; /* column, -1: none */
} sm_root_reading;

/* Something that succeeds in a share of the trials. */
typedef struct {
    double probability;
    int column; /* of a uniform; -1: not done */
} sm_chance;

/* The blooming of the scan. */
typedef struct {
    sm_variable blooming;
} sm_root_scan;

/* The reader's frame: base plane and centreline. */
typedef struct {
    sm_plane plane;
    int normal[3], phase[SM_MAX_PLACEMENTS];
    double centreline_sd;
    int centreline[2];
} sm_root_frame;

/* What is drawn of the old valve and of the new one. */
typedef struct {
    bool blooms; /* one of the two readings moves with the blooming: else the scan is not looked at */
    sm_root_reading inner_diameter, thickness;
    double nominal_diameter, reference_thickness;
    sm_variable overexpansion, ring_give, eccentricity, flare, depth, mount_offset, mid, overhang;
    int orientation; /* column of psi */
    bool post_unknown;
    sm_variable post; /* degrees if stated, else the column of a uniform turn */
    double cant_sd, offset_sd;
    int cant[2], offset[2];
} sm_root_tube;

/* The five readings of a side. */
typedef struct {
    bool blooms; /* as of the tube */
    sm_root_reading reading[SM_QUANTITIES];
} sm_root_readings;

/* The other look at a gap. */
typedef struct {
    sm_look look;
    int error, view, coin, scale; /* columns; the last is common to the case */
} sm_root_look;

/* All that both looks at the gaps of a side show, readings and frame given: whether they agree rests on this. */
typedef struct {
    sm_side_place place;
    sm_root_look look[SM_GAPS];
} sm_root_looks;

/* What a trial makes of the two looks at a gap: their mean (3.7), one of them by a fair coin, or one alone. */
typedef enum { SM_BELIEVE_JOINED, SM_BELIEVE_COIN, SM_BELIEVE_CT, SM_BELIEVE_OTHER } sm_belief;

typedef struct {
    sm_belief belief; /* SM_BELIEVE_CT if there is no other look */
    double w;         /* of the CT look if joined, else 0 */
} sm_root_joined;

/* The landmarks of a side, the other looks taken in. */
typedef struct {
    sm_root_looks looks;
    sm_root_joined joined[SM_GAPS];
} sm_root_landmarks;

/* What the tube leaves of the room beside the landmarks. */
typedef struct {
    sm_side_model model;
    sm_chance laceration;
} sm_root_outputs;

typedef struct {
    sm_root_readings readings;
    sm_root_landmarks landmarks;
    sm_root_outputs outputs;
    sm_joining joining[SM_GAPS]; /* how the looks agree, for the result: evaluated is what became of it, `joined` */
    sm_chance rescue;
} sm_root_side;

typedef struct {
    sm_root_scan scan;
    sm_root_frame frame;
    sm_root_tube tube;
    sm_tube_model shape; /* of the new valve */
    int scale;           /* column of the cross-checks' common calibration, -1 */
    int n_sides;
    sm_root_side *side;
    bool rescues; /* some side's event may be undone by a rescue */
} sm_root;

/* What is asked of a root beyond the case itself. Zero: the case as planned. */
typedef struct {
    const sm_case *c;               /* NULL: the plan's; else a variant of it with the same coronaries */
    const sm_surgical_valve *valve; /* NULL: the case's own */
    const sm_implant *implant;
    const double *lacerate, *rescue; /* by side, SM_NOT_DONE if not done; NULL: none */
    bool without_bloom_correction;   /* both gaps' bloom_edges taken as 0 */
    int belief_side;                 /* with belief: of which side and gap only one look is believed */
    sm_gap_id belief_gap;
    sm_belief belief;
} sm_root_request;

/* plane_variance: mm^2 by side and quantity, see sm_reading_create; NULL if no quantity asks for it. SM_NUMERIC
 * if a distribution or the base points cannot be used, SM_NO_MEMORY. Destroy out in every case. */
sm_status sm_root_create(sm_sources *sources, sm_tables *tables, const sm_case *c, const sm_root_request *request,
                         const double (*plane_variance)[SM_QUANTITIES], sm_root *out);
void sm_root_destroy(sm_root *r);

/* Adds every source of the case in the order of the result, whether it is drawn or not. SM_NO_MEMORY. */
sm_status sm_root_add_sources(sm_sources *sources, const sm_case *c);

/* Takes in how the looks at one gap agree; what is believed of them follows, unless the request said it. */
void sm_root_join(sm_root_side *side, sm_gap_id gap, const sm_joining *joining);

/* A side of which one gap reads `mm` more, all else being the same: the mean of its CT look moves by as much. */
sm_root_side sm_root_side_shifted(const sm_root_side *side, sm_gap_id gap, double mm);

/* What a part is in SM_LANES trials: the blooming, mm; the true readings of a side in the reader's frame, mm. Those of
 * the other parts are sm_frame, sm_tube, sm_landmarks and sm_side_out. */
typedef struct {
    double B[SM_LANES];
} sm_scan_draws;

typedef struct {
    double mm[SM_QUANTITIES][SM_LANES];
} sm_true_readings;

/* Each evaluates one part for SM_LANES trials. column[j] points at the base draws of column j for these trials. scan
 * may be NULL if nothing blooms. */
void sm_root_draw_scan(const sm_root_scan *c, const double *const *column, sm_scan_draws *out);
void sm_root_draw_frame(const sm_root_frame *c, const double *const *column, sm_frame *out);
void sm_root_draw_tube(const sm_root_tube *c, const double *const *column, const sm_scan_draws *scan, sm_tube *out);
/* W at the ring, (4.1) and (4.2) with every draw at its mean, mm. */
double sm_root_mean_waist(const sm_root *r);
void sm_root_draw_readings(const sm_root_readings *c, const double *const *column, const sm_scan_draws *scan,
                           sm_true_readings *out);
void sm_root_place_landmarks(const sm_root_landmarks *c, const double *const *column, const sm_frame *frame,
                             const sm_true_readings *readings, sm_landmarks *out);
void sm_root_evaluate_outputs(const sm_root_outputs *c, const double *const *column, const sm_tube_model *shape,
                              const sm_tube *tube, const sm_landmarks *landmarks, sm_side_out *out);

/* The landmarks as the CT look alone has them. */
void sm_root_ct_landmarks(const sm_side_place *place, const sm_frame *frame, const sm_true_readings *readings,
                          sm_landmarks *out);

/* out[i] is 1 if it succeeds in trial i. */
void sm_chance_draw(const sm_chance *c, const double *const *column, double *restrict out);

#endif
