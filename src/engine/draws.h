/* draws.h - numbers that are constant or drawn, and the parts of a case that are drawn before any landmark is placed:
 * readings, the scan, the reader's frame.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_DRAWS_H
#define SM_ENGINE_DRAWS_H

#include "engine/sources.h"
#include "geometry/frame.h"
#include "measurement/base_plane.h"
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

/* The blooming of SM_LANES trials, mm. */
typedef struct {
    double B[SM_LANES];
} sm_scan_draws;

/* Each draws SM_LANES trials. column[j] points at the base draws of column j for these trials. */
void sm_variable_draw(const sm_variable *v, const double *const *column, double *restrict out);
/* (3.1), mm; without the bloom correction if bloom_edges is 0 (then scan may be NULL), without resolution if it is off.
 */
void sm_root_draw_reading(const sm_root_reading *r, const double *const *column, const sm_scan_draws *scan,
                          double *restrict truth);
bool sm_root_reading_blooms(const sm_root_reading *r);
void sm_root_draw_scan(const sm_root_scan *c, const double *const *column, sm_scan_draws *out);
void sm_root_draw_frame(const sm_root_frame *c, const double *const *column, sm_frame *out);

/* (3.1) with every draw at its mean, mm. */
double sm_root_reading_mean(const sm_root_reading *r, double mean_bloom);

#endif
