/* draws.c - numbers that are constant or drawn; readings, the scan, the reader's frame.
 *
 * Contents: 1. numbers and readings  2. scan and frame
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/draws.h"

/* 1. Numbers and readings */

bool sm_root_reading_blooms(const sm_root_reading *r)
{
    return r->reading.bloom_edges != 0;
}

void sm_variable_draw(const sm_variable *v, const double *const *column, double *restrict out)
{
    sm_transform_apply(&v->transform, v->column < 0 ? NULL : column[v->column], out, SM_LANES);
}

SM_WIDE static void take_bloom_off(const sm_reading *r, const double *restrict B, double *restrict truth)
{
    const double estimate = r->estimate, edges = r->bloom_edges, reference = r->reference;
    for (int i = 0; i < SM_LANES; i++)
        truth[i] = estimate - edges * (B[i] - reference) + truth[i];
}

/* (3.1) */
SM_WIDE void sm_root_draw_reading(const sm_root_reading *r, const double *const *column, const sm_scan_draws *scan,
                                  double *restrict truth)
{
    sm_variable_draw(&r->error, column, truth);
    if (sm_root_reading_blooms(r))
        take_bloom_off(&r->reading, scan->B, truth);
    else
        for (int i = 0; i < SM_LANES; i++)
            truth[i] = r->reading.estimate + truth[i];
    if (r->resolution >= 0) {
        const double *V = column[r->resolution], width = r->reading.resolution;
        for (int i = 0; i < SM_LANES; i++)
            truth[i] += width * (V[i] - 0.5);
    }
}

double sm_root_reading_mean(const sm_root_reading *r, double mean_bloom)
{
    return r->reading.estimate - r->reading.bloom_edges * (mean_bloom - r->reading.reference) +
           sm_dist_mean(&r->error.transform.dist);
}

/* 2. Scan and frame */

void sm_root_draw_scan(const sm_root_scan *r, const double *const *column, sm_scan_draws *out)
{
    sm_variable_draw(&r->blooming, column, out->B);
}

SM_WIDE void sm_root_draw_frame(const sm_root_frame *r, const double *const *column, sm_frame *frame)
{
    double a[SM_LANES], b[SM_LANES], c[SM_LANES], cx[SM_LANES], cy[SM_LANES];
    const double *normal[3], *phase[SM_MAX_PLACEMENTS];
    for (int i = 0; i < 3; i++)
        normal[i] = column[r->normal[i]];
    for (int i = 0; i < sm_plane_phases(&r->plane); i++)
        phase[i] = column[r->phase[i]];
    sm_plane_draw(&r->plane, normal, phase, a, b, c);
    for (int i = 0; i < SM_LANES; i++) { /* (2.4) */
        cx[i] = r->centreline_sd * column[r->centreline[0]][i];
        cy[i] = r->centreline_sd * column[r->centreline[1]][i];
    }
    sm_frame_place(a, b, c, cx, cy, frame);
}
