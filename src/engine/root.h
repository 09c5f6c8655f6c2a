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

#include "engine/steer.h"
#include "geometry/gap.h"
#include "geometry/side.h"

/* Something that succeeds in a share of the trials. */
typedef struct {
    double probability;
    int column; /* of a uniform; -1: not done */
} sm_chance;

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
    int look_inner_diameter, look_thickness; /* which look of the steering is at it; -1: none */
} sm_root_tube;

/* The five readings of a side. */
typedef struct {
    bool blooms; /* as of the tube */
    sm_root_reading reading[SM_QUANTITIES];
} sm_root_readings;

/* The landmarks of a side. look: by sm_looked, which look of the steering is at it; -1: none. */
typedef struct {
    sm_side_place place;
    int look[SM_LOOKED_OF_SIDE];
} sm_root_landmarks;

/* What the tube leaves of the room beside the landmarks. */
typedef struct {
    sm_side_model model;
    sm_variable limit[SM_GAPS];
    sm_chance laceration;
} sm_root_outputs;

typedef struct {
    sm_root_readings readings;
    sm_root_landmarks landmarks;
    sm_root_outputs outputs;
    sm_chance rescue;
} sm_root_side;

typedef struct {
    sm_steering steering; /* of the draws by the second looks */
    sm_choices choices;   /* follows from it */
    sm_root_scan scan;
    sm_root_frame frame;
    sm_root_tube tube;
    sm_tube_model shape; /* of the new valve */
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
    double more_mm;                  /* one gap reads so much more: */
    int more_side;
    sm_gap_id more_gap;
} sm_root_request;

/* plane_variance: mm^2 by side and quantity, see sm_reading_create; NULL if no quantity asks for it. SM_NUMERIC
 * if a distribution or the base points cannot be used, SM_NO_MEMORY. Destroy out in every case. */
sm_status sm_root_create(sm_sources *sources, sm_tables *tables, const sm_case *c, const sm_root_request *request,
                         const double (*plane_variance)[SM_QUANTITIES], sm_root *out);
void sm_root_destroy(sm_root *r);

/* Adds every source of the case in the order of the result, whether it is drawn or not. SM_NO_MEMORY. */
sm_status sm_root_add_sources(sm_sources *sources, const sm_case *c);

/* A side of which one gap reads `mm` more, all else being the same. The steering is not touched: a gap that has a
 * second look takes a root of its own. */
sm_root_side sm_root_side_shifted(const sm_root_side *side, sm_gap_id gap, double mm);

/* What a part is in SM_LANES trials: the true readings of a side in the reader's frame, mm. Those of the other parts
 * are sm_steered, sm_scan_draws, sm_frame, sm_tube, sm_landmarks and sm_side_out. */
typedef struct {
    double mm[SM_QUANTITIES][SM_LANES];
} sm_true_readings;

/* The true values that are looked at a second time, as the tube has them, mm. */
typedef struct {
    double inner_diameter[SM_LANES], thickness[SM_LANES];
} sm_tube_readings;

/* Each evaluates one part for SM_LANES trials. column[j] points at the base draws of column j for these trials, as the
 * steering left them. scan may be NULL if nothing blooms; steered may be NULL if the root is not steered, readings if
 * nobody asks. */
void sm_root_draw_tube(const sm_root_tube *c, const double *const *column, const sm_scan_draws *scan,
                       const sm_steering *steering, const sm_steered *steered, sm_tube_readings *readings,
                       sm_tube *out);
/* W at the ring, (4.1) and (4.2) with every draw at its mean, mm. */
double sm_root_mean_waist(const sm_root *r);
void sm_root_draw_readings(const sm_root_readings *c, const double *const *column, const sm_scan_draws *scan,
                           sm_true_readings *out);
void sm_root_place_landmarks(const sm_root_landmarks *c, const sm_frame *frame, const sm_true_readings *readings,
                             const sm_steering *steering, const sm_steered *steered, sm_landmarks *out);
void sm_root_evaluate_outputs(const sm_root_outputs *c, const double *const *column, const sm_tube_model *shape,
                              const sm_tube *tube, const sm_landmarks *landmarks, sm_side_out *out);

/* A side of which one gap reads otherwise again and again: what does not hang on that reading. */
typedef struct {
    double limit[SM_GAPS][SM_LANES];
    sm_side_cover cover;
    sm_landmarks landmarks;
    sm_side_out out;
} sm_side_kept;

/* Keeps a side as it was evaluated. */
void sm_root_keep_side(const sm_root_outputs *c, const double *const *column, const sm_tube_model *shape,
                       const sm_tube *tube, const sm_landmarks *landmarks, const sm_side_out *out, sm_side_kept *kept);
/* Evaluates it anew where `gap` reads as in `shifted` (sm_root_side_shifted): the gap's landmark, clearance and rule.
 * readings: of the side as kept. A gap that has a second look takes a root of its own. */
void sm_root_shift_gap(const sm_root_side *shifted, sm_gap_id gap, const double *const *column,
                       const sm_scan_draws *scan, const sm_frame *frame, const sm_true_readings *readings,
                       const sm_tube_model *shape, const sm_tube *tube, sm_side_kept *kept);

/* out[i] is 1 if it succeeds in trial i. */
void sm_chance_draw(const sm_chance *c, const double *const *column, double *restrict out);

#endif
