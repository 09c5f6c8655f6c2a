/* root_same.c - which parts of two roots give the same numbers on the same draws.
 *
 * Contents: 1. pieces  2. shared parts  3. sides
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/root_same.h"

/* 1. Pieces */

static bool same_numbers(const double *a, const double *b, int n)
{
    for (int i = 0; i < n; i++)
        if (a[i] != b[i])
            return false;
    return true;
}

static bool same_columns(const int *a, const int *b, int n)
{
    for (int i = 0; i < n; i++)
        if (a[i] != b[i])
            return false;
    return true;
}

static bool same_dist(const sm_dist *a, const sm_dist *b)
{
    return a->family == b->family && same_numbers(a->p, b->p, 4);
}

/* The kind of base draw belongs to the column. */
static bool same_variable(const sm_variable *a, const sm_variable *b)
{
    return a->column == b->column && same_dist(&a->transform.dist, &b->transform.dist);
}

static bool same_reading(const sm_root_reading *a, const sm_root_reading *b)
{
    const sm_reading *x = &a->reading, *y = &b->reading;
    return x->estimate == y->estimate && x->bloom_edges == y->bloom_edges && x->reference == y->reference &&
           x->resolution == y->resolution && a->resolution == b->resolution && same_variable(&a->error, &b->error);
}

static bool blooms(const sm_root_reading *r)
{
    return r->reading.bloom_edges != 0;
}

/* 2. Shared parts */

static bool same_blooming(const sm_root *a, const sm_root *b)
{
    return same_variable(&a->blooming, &b->blooming);
}

bool sm_root_same_scan(const sm_root *a, const sm_root *b)
{
    return same_blooming(a, b) && a->scale == b->scale;
}

static bool same_plane(const sm_plane *a, const sm_plane *b)
{
    if (a->tilt_form != b->tilt_form)
        return false;
    if (a->tilt_form)
        return a->tilt_sd == b->tilt_sd && a->level_sd == b->level_sd;
    return a->point_sd == b->point_sd && a->wave == b->wave && a->placements == b->placements &&
           same_numbers(a->cos_3phi, b->cos_3phi, 3) && same_numbers(a->sin_3phi, b->sin_3phi, 3) &&
           same_numbers(a->solve[0], b->solve[0], 3) && same_numbers(a->solve[1], b->solve[1], 3) &&
           same_numbers(a->solve[2], b->solve[2], 3);
}

bool sm_root_same_frame(const sm_root *a, const sm_root *b)
{
    return same_plane(&a->plane, &b->plane) && same_columns(a->plane_normal, b->plane_normal, 3) &&
           same_columns(a->plane_phase, b->plane_phase, sm_plane_phases(&a->plane)) &&
           a->centreline_sd == b->centreline_sd && same_columns(a->centreline, b->centreline, 2);
}

static bool same_valve_draws(const sm_root *a, const sm_root *b)
{
    return same_reading(&a->inner_diameter, &b->inner_diameter) && same_reading(&a->thickness, &b->thickness) &&
           same_variable(&a->ring_give, &b->ring_give) && same_variable(&a->eccentricity, &b->eccentricity) &&
           a->orientation == b->orientation && same_variable(&a->mount_offset, &b->mount_offset) &&
           same_variable(&a->mid, &b->mid) && same_variable(&a->overhang, &b->overhang) &&
           a->post_unknown == b->post_unknown &&
           (a->post_unknown ? a->post.column == b->post.column : same_variable(&a->post, &b->post));
}

static bool same_implant_draws(const sm_root *a, const sm_root *b)
{
    return a->nominal_diameter == b->nominal_diameter && same_variable(&a->overexpansion, &b->overexpansion) &&
           same_variable(&a->flare, &b->flare) && same_variable(&a->depth, &b->depth) && a->cant_sd == b->cant_sd &&
           a->offset_sd == b->offset_sd && same_columns(a->cant, b->cant, 2) && same_columns(a->offset, b->offset, 2);
}

bool sm_root_same_tube(const sm_root *a, const sm_root *b)
{
    if ((blooms(&a->inner_diameter) || blooms(&a->thickness)) && !same_blooming(a, b))
        return false;
    return a->tube.reference_thickness == b->tube.reference_thickness && same_valve_draws(a, b) &&
           same_implant_draws(a, b);
}

static bool same_tube_model(const sm_tube_model *a, const sm_tube_model *b)
{
    if (a->shape_points != b->shape_points)
        return false;
    for (size_t i = 0; i < a->shape_points; i++)
        if (!same_numbers(a->shape[i], b->shape[i], 2))
            return false;
    return a->frame_height == b->frame_height && a->ring_height == b->ring_height &&
           a->skirt_height == b->skirt_height && a->drawn_circle == b->drawn_circle;
}

/* 3. Sides */

static bool same_look(const sm_root_look *a, const sm_root_look *b)
{
    const sm_look *x = &a->look, *y = &b->look;
    if (!x->present || !y->present)
        return x->present == y->present;
    return x->reading == y->reading && x->error_sd == y->error_sd && x->magnification_sd == y->magnification_sd &&
           x->view_sd == y->view_sd && x->half_circle == y->half_circle && a->error == b->error && a->view == b->view &&
           a->coin == b->coin;
}

bool sm_root_same_readings(const sm_root *a, const sm_root *b, int k)
{
    bool bloomed = false;
    for (int q = 0; q < SM_QUANTITIES; q++) {
        if (!same_reading(&a->side[k].reading[q], &b->side[k].reading[q]))
            return false;
        bloomed = bloomed || blooms(&a->side[k].reading[q]);
    }
    return !bloomed || same_blooming(a, b);
}

bool sm_root_same_looks(const sm_root *a, const sm_root *b, int k)
{
    const sm_side_model *x = &a->side[k].geometry, *y = &b->side[k].geometry;
    bool any = false;
    for (int g = 0; g < SM_GAPS; g++) {
        if (!same_look(&a->side[k].look[g], &b->side[k].look[g]))
            return false;
        any = any || a->side[k].look[g].look.present;
    }
    return (!any || a->scale == b->scale) && x->azimuth == y->azimuth && x->circle == y->circle &&
           sm_root_same_frame(a, b) && sm_root_same_readings(a, b, k);
}

/* What was made of the looks: weights, conflicts, beliefs. */
static bool same_joining(const sm_root_look *a, const sm_root_look *b)
{
    return !a->look.present ||
           (a->belief == b->belief && a->joining.conflict == b->joining.conflict && a->joining.w == b->joining.w);
}

bool sm_root_same_landmarks(const sm_root *a, const sm_root *b, int k)
{
    for (int g = 0; g < SM_GAPS; g++)
        if (!same_joining(&a->side[k].look[g], &b->side[k].look[g]))
            return false;
    return sm_root_same_looks(a, b, k);
}

static bool same_laceration(const sm_root_side *a, const sm_root_side *b)
{
    if (a->lacerate_u < 0 || b->lacerate_u < 0)
        return a->lacerate_u == b->lacerate_u;
    return a->lacerate_u == b->lacerate_u && a->lacerate == b->lacerate;
}

bool sm_root_same_side(const sm_root *a, const sm_root *b, int k)
{
    const sm_side_model *x = &a->side[k].geometry, *y = &b->side[k].geometry;
    return x->ostium_limit == y->ostium_limit && x->stj_limit == y->stj_limit && x->has_posts == y->has_posts &&
           x->cos_post_block == y->cos_post_block && same_laceration(&a->side[k], &b->side[k]) &&
           same_tube_model(&a->tube, &b->tube) && sm_root_same_tube(a, b) && sm_root_same_landmarks(a, b, k);
}
