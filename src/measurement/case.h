/* case.h - one planning case in plain values: what was read, what is assumed, what is asked.
 *
 * Filled by the casefile floor after every check of docs/case-format.md; in the units of the files, mm and degrees.
 * Nothing here refers to JSON. The floors above turn it into a model (engine/root.h).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_CASE_H
#define SM_MEASUREMENT_CASE_H

#include <stdbool.h>
#include <stddef.h>

#include "sampling/dist.h"

#define SM_MAX_CORONARIES   100
#define SM_MAX_ALTERNATIVES 50
#define SM_MAX_PLACEMENTS   20
#define SM_MAX_SHAPE_POINTS 32
#define SM_MAX_LOOKS        8
#define SM_NAME_SIZE        33 /* a coronary's name: at most 32 characters */

/* Readings of one quantity: one row a reader, 1 to 50 readings in each, mm. */
typedef struct {
    char *reader;
    size_t n;
    double *mm;
} sm_reader_row;

typedef struct {
    size_t n;
    sm_reader_row *row;
} sm_readings;

typedef enum { SM_FLUOROSCOPY, SM_ECHO, SM_BENCH, SM_CT } sm_modality;

/* A second look at a quantity, a likelihood beside its first reading. At a gap it is a projection (fluoroscopy, echo):
 * magnification and view have errors of their own. At the leaflet height, the inner diameter and the leaflet thickness
 * it is direct (bench value, echo, another scan): reader_sd_mm alone, the other two are 0. */
typedef struct {
    bool present;
    sm_modality modality;
    sm_readings readings;
    double reader_sd_mm, magnification_sd, view_error_sd_deg;
    double spoiled; /* probability that one of the two readings is about something else */
} sm_cross_check;

/* A quantity that is read (is_read) or known as a distribution (value). SDs, dof and the rest are already resolved:
 * stated, profile or default. */
typedef struct {
    bool is_read;
    sm_dist value;
    sm_readings readings;
    double between_reader_sd_mm, repeat_sd_mm;
    double dof; /* 0: none stated, the error is normal */
    bool sd_from_readings, sd_includes_plane;
    double bloom_edges, resolution_mm;
    sm_cross_check cross_check; /* never on the heights of ostium and STJ, nor on an exact number */
} sm_quantity;

typedef enum {
    SM_OSTIUM_HEIGHT,
    SM_OSTIUM_GAP,
    SM_STJ_HEIGHT,
    SM_STJ_GAP,
    SM_LEAFLET_HEIGHT,
    SM_QUANTITIES
} sm_quantity_id;

/* The two gaps of a side, each between the drawn circle and the wall: beside the ostium and at the sinotubular junction
 * (STJ). What belongs to each stands in geometry/gap.h. */
typedef enum { SM_GAP_OSTIUM, SM_GAP_STJ, SM_GAPS } sm_gap_id;

/* "ostium_height" and so on. */
const char *sm_quantity_name(sm_quantity_id id);

typedef struct {
    char name[SM_NAME_SIZE];
    double azimuth_deg, circle_mm;
    bool has_ostium;          /* false: no coronary leaves this sinus. It has no ostium height and gap, and no event */
    double leaflet_length_mm; /* 0: not stated. Its top is then in quantity[SM_LEAFLET_HEIGHT], from the ring */
    double sinus_width_mm;    /* wall to wall at the ostium; 0: not stated. Bounds the gap (casefile/read_unusual.c) */
    sm_quantity quantity[SM_QUANTITIES];
} sm_coronary;

/* Whether a quantity of an ostium is one that this side does not have. */
bool sm_coronary_lacks(const sm_coronary *o, sm_quantity_id id);

typedef struct {
    bool tilt_form;   /* tilt_sd_deg and level_sd_mm instead of the points */
    double radius_mm; /* points form; default: half the mean inner diameter of the unpatched case */
    double azimuths_deg[3];
    double point_sd_mm, cuff_wave_mm;
    size_t placements;
    double tilt_sd_deg, level_sd_mm;
} sm_base_plane;

typedef enum { SM_ENERGY_INTEGRATING, SM_PHOTON_COUNTING, SM_PHOTON_COUNTING_HIGH } sm_detector;
typedef enum { SM_KERNEL_SOFT, SM_KERNEL_SHARP } sm_kernel;

typedef struct {
    sm_detector detector;
    sm_kernel kernel;
    sm_dist blooming_mm;
    sm_base_plane base_plane;
    double centreline_sd_mm;
} sm_scan;

typedef enum { SM_MOUNT_INTERNAL, SM_MOUNT_EXTERNAL, SM_STENTLESS } sm_leaflet_mount;

typedef struct {
    sm_leaflet_mount leaflet_mount;
    sm_quantity inner_diameter, leaflet_thickness; /* may be read */
    double ring_height_mm;
    sm_dist ring_give_mm, eccentricity, mount_offset_mm, mid_fraction, leaflet_overhang_mm;
    bool post_azimuth_unknown; /* then uniform over 120 degrees */
    sm_dist post_azimuth_deg;
    double post_block_deg;
} sm_surgical_valve;

typedef enum { SM_BALLOON, SM_SELF_EXPANDING } sm_expansion;

typedef struct {
    sm_expansion expansion;
    double nominal_diameter_mm, frame_height_mm, skirt_height_mm;
    sm_dist implant_depth_mm, overexpansion, flare;
    double canting_sd_deg, offset_sd_mm;
    size_t shape_points; /* 0: straight */
    double shape[SM_MAX_SHAPE_POINTS][2];
} sm_implant;

typedef enum { SM_BASIS_TUBE, SM_BASIS_DRAWN_CIRCLE } sm_basis;

typedef enum { SM_LIMITS_PLANNING, SM_LIMITS_AFTER_IMPLANT } sm_limits_set;

typedef struct {
    sm_limits_set published_set;                   /* where limits that are not stated come from */
    sm_dist ostium_clearance_mm, stj_clearance_mm; /* where a limit lies may itself be uncertain */
    double reach_margin_mm;                        /* sealed needs reach >= -reach_margin_mm */
    double reference_thickness_mm, reference_blooming_mm;
    sm_basis basis;
} sm_limits;

/* How common true gaps are among patients, for comparison (model.md 7.1). */
typedef struct {
    sm_dist ostium_gap_mm;
} sm_population;

/* A view of a C-arm: primary angle, LAO positive, and secondary, cranial positive. */
typedef struct {
    double primary_deg, secondary_deg;
} sm_view;

/* How far the gantry reaches, each from the patient's front. */
typedef struct {
    double rao_deg, lao_deg, caudal_deg, cranial_deg;
} sm_gantry;

/* How the valve lies in the patient (x to the left, y to the back, z to the head): its axis toward the ascending aorta,
 * and the direction of azimuth 0 across it. Unit vectors. */
typedef struct {
    bool present;
    double n[3], e0[3];
} sm_patient_axes;

#define SM_MAX_PLANNED         24 /* looks that a case may list */
#define SM_MAX_PLANNED_READERS 20

/* What a look not yet made could be (model.md 6.1). */
typedef enum {
    SM_PLANNED_AGAIN,   /* the same scan read again by others */
    SM_PLANNED_RESCAN,  /* another scan, read by others */
    SM_PLANNED_PROJECT, /* a projection of a gap */
    SM_PLANNED_DIRECT,  /* a bench value, echo */
    SM_PLANNED_BUNDLE   /* several together */
} sm_planned_kind;

/* What is looked at: a quantity of a side, or one of the valve's (side -1). */
enum { SM_TARGET_INNER_DIAMETER = SM_QUANTITIES, SM_TARGET_THICKNESS, SM_TARGETS };
typedef struct {
    int side, what;
} sm_look_target;

typedef struct {
    char *name;
    sm_planned_kind kind;
    size_t readers;
    double burden;          /* in untreated events; of a bundle that states none, those of its parts */
    double minutes;         /* 0: not stated */
    bool all;               /* again: everything that was read */
    bool own_plane;         /* each reader places plane and centreline anew */
    size_t n_targets;       /* of a projection and of a direct measurement: one */
    sm_look_target *target; /* of a rescan: everything that was read */
    sm_scan scan;           /* of a rescan; of the others the case's */
    double reader_sd_mm;    /* of a projection, of a direct measurement */
    double magnification_sd, view_error_sd_deg;
    double miss_deg;       /* by how much the view that can be had misses the gap's profile; 0 in a case */
    size_t n_parts, *part; /* of a bundle: places of earlier looks in the list */
} sm_planned_look;

/* The errors of a projection of a gap where a look does not state them. */
typedef struct {
    double reader_sd_mm, magnification_sd, view_error_sd_deg;
} sm_picture_errors;

#define SM_NOT_DONE (-1.0) /* in lacerate[] and rescue[] */

/* An alternative as it would be done: the valve and the implant after its patches. */
typedef struct {
    char *name;
    bool patches_implant, patches_valve;
    sm_implant implant;
    sm_surgical_valve valve;
    double lacerate[SM_MAX_CORONARIES]; /* success probability by side, or SM_NOT_DONE */
    double rescue[SM_MAX_CORONARIES];
    double burden;
    bool burden_stated; /* else 0, and every output says so */
} sm_alternative;

typedef struct {
    char *name, *note; /* note may be NULL */
    sm_scan scan;
    sm_surgical_valve valve;
    sm_implant implant;
    size_t n_coronaries;
    sm_coronary *coronary;
    sm_limits limits;
    sm_population population;
    double action_line; /* 0: none */
    size_t n_alternatives;
    sm_alternative *alternative;
    size_t n_planned; /* looks that could be made: as listed, or the standard ones */
    sm_planned_look *planned;
    bool planned_standard; /* none were listed */
    sm_picture_errors picture[SM_GAPS];
    sm_patient_axes axes;
    sm_gantry gantry;
} sm_case;

/* The estimate of a quantity, mm: mean over readers of each reader's mean, or the mean of all readings for type A
 * (sd_from_readings), or the mean of its distribution. */
double sm_quantity_estimate(const sm_quantity *q);
/* Whether any SD of readers enters: of readings, and of type A by one reader, who cannot show what readers differ by.
 */
bool sm_quantity_uses_reader_sds(const sm_quantity *q);
/* The mean of one reader's readings, mm. */
double sm_reader_mean(const sm_reader_row *row);
/* Mean over readers of each reader's mean; NaN if there is none. */
double sm_readings_mean(const sm_readings *r);

/* Frees what c holds, not c itself. A zeroed case is fine. */
void sm_case_destroy(sm_case *c);
void sm_quantity_destroy(sm_quantity *q);

#endif
