/* coordinates.c - what a re-check of a source would show, as at most three numbers.
 *
 * Contents: 1. kinds  2. which kind a source is  3. cells
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/coordinates.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_math.h>

/* 1. Kinds */

static sm_coordinates nothing(void)
{
    return (sm_coordinates){.shows = SM_SHOWS_NOTHING, .one_more = -1};
}

/* One or two base draws; -1 leaves one out. */
static sm_coordinates columns(const sm_sources *s, int first, int second)
{
    sm_coordinates c = nothing();
    const int j[2] = {first, second};
    for (int i = 0; i < 2; i++)
        if (j[i] >= 0) {
            c.uniform[c.grid.dims] = s->column[j[i]].base == SM_BASE_UNIFORM;
            c.column[c.grid.dims++] = j[i];
            c.shows = SM_SHOWS_COLUMNS;
        }
    return c;
}

static sm_coordinates of_reading(const sm_sources *s, const sm_root_reading *r)
{
    sm_coordinates c = columns(s, r->error.column, r->resolution);
    if (r->reading.one_more && r->error.column >= 0 && r->reading.reread_variance > 0) {
        c.one_more = r->error.column;
        c.part.rho = sqrt(r->reading.variance / (r->reading.variance + r->reading.reread_variance));
        c.part.dof = r->reading.dof;
    }
    return c;
}

/* The SD of row r of (c, a, b): points and wave. */
static double plane_sd(const sm_plane *p, int row)
{
    double points = 0, with_cos = 0, with_sin = 0;
    if (p->tilt_form)
        return row == 0 ? p->level_sd : p->tilt_sd;
    for (int i = 0; i < 3; i++) {
        points += gsl_pow_2(p->solve[row][i] * p->point_sd);
        with_cos += p->solve[row][i] * p->cos_3phi[i];
        with_sin += p->solve[row][i] * p->sin_3phi[i];
    }
    return sqrt(points + gsl_pow_2(p->wave) / p->placements * (gsl_pow_2(with_cos) + gsl_pow_2(with_sin)) / 2);
}

static sm_coordinates of_plane(const sm_root *r)
{
    sm_coordinates c = nothing();
    static const int row[SM_MAX_DIMS] = {1, 2, 0}; /* a, b, c */
    double largest = 0;
    for (int d = 0; d < SM_MAX_DIMS; d++) {
        double sd = plane_sd(&r->frame.plane, row[d]);
        c.scale[d] = sd > 0 ? 1 / sd : 0;
        largest = fmax(largest, sd);
    }
    if (largest == 0)
        return c;
    c.shows = SM_SHOWS_PLANE;
    c.grid.dims = 3;
    return c;
}

static sm_coordinates of_outline(const sm_root *r)
{
    sm_coordinates c = nothing();
    const sm_dist *ecc = &r->tube.eccentricity.transform.dist;
    double mean_sq = gsl_pow_2(sm_dist_mean(ecc)) + gsl_pow_2(sm_dist_sd(ecc));
    if (!(mean_sq > 0))
        return c;
    c.shows = SM_SHOWS_OUTLINE;
    c.grid.dims = 2;
    c.scale[0] = c.scale[1] = 1 / sqrt(mean_sq / 8); /* the mean square of (ecc/2) cos 2 psi */
    return c;
}

/* Between the two readings, and as wide as both: X may follow either. */
static sm_coordinates of_truth(const sm_steering *steering, int look)
{
    sm_coordinates c = nothing();
    const sm_steered_look *l = &steering->look[look];
    const double bloom = sm_dist_mean(&steering->scan.blooming.transform.dist);
    const double first = sm_root_reading_mean(&l->first, bloom);
    const double alone = sm_look_alone(&l->look, 0, 1, 1);
    const sm_transform *error = &l->first.error.transform;
    double variance = error->constant ? 0 : gsl_pow_2(sm_dist_sd(&error->dist));
    for (int j = 0; j < SM_FRAME_DRAWS; j++)
        variance += gsl_pow_2(l->by_draw[j]);
    variance = fmax(variance, gsl_pow_2(l->look.error_sd)) + gsl_pow_2((alone - first) / 4);
    c.shows = SM_SHOWS_TRUTH;
    c.grid.dims = 1;
    c.centre[0] = (first + alone) / 2;
    c.scale[0] = 1 / sqrt(variance);
    c.look = look;
    return c;
}

/* Which look of root[0]'s steering is at what the source reads, -1 if none is. */
static int look_at(const sm_root *r, const sm_source *source)
{
    for (int l = 0; l < r->steering.n; l++)
        if (sm_looked_table[r->steering.look[l].at].first == source->id && r->steering.look[l].side == source->side)
            return l;
    return -1;
}

/* 2. Which kind a source is */

static sm_coordinates of_variable(const sm_sources *s, const sm_variable *v)
{
    return columns(s, v->column, -1);
}

static sm_coordinates of_posts(const sm_sources *s, const sm_root *r)
{
    sm_coordinates c = of_variable(s, &r->tube.post);
    c.grid.circular = r->tube.post_unknown;
    return c;
}

static sm_coordinates of_shared(const sm_sources *s, const sm_root *r, sm_source_id id)
{
    switch (id) {
    case SM_SOURCE_BASE_PLANE:
        return of_plane(r);
    case SM_SOURCE_CENTRELINE:
        return r->frame.centreline_sd > 0 ? columns(s, r->frame.centreline[0], r->frame.centreline[1]) : nothing();
    case SM_SOURCE_BLOOMING:
        return of_variable(s, &r->scan.blooming);
    case SM_SOURCE_INNER_DIAMETER:
        return of_reading(s, &r->tube.inner_diameter);
    case SM_SOURCE_LEAFLET_THICKNESS:
        return of_reading(s, &r->tube.thickness);
    case SM_SOURCE_MOUNT_OFFSET:
        return of_variable(s, &r->tube.mount_offset);
    case SM_SOURCE_POST_AZIMUTH:
        return of_posts(s, r);
    case SM_SOURCE_ECCENTRICITY:
        return of_outline(r);
    case SM_SOURCE_LOOK_SCALE:
        return columns(s, r->steering.n > 0 ? r->steering.scale : -1, -1);
    default:
        return nothing();
    }
}

/* Two draws, if they move anything. */
static sm_coordinates of_pair(const sm_sources *s, double sd, const int column[2])
{
    return sd > 0 ? columns(s, column[0], column[1]) : nothing();
}

static sm_coordinates of_deployment(const sm_sources *s, const sm_root *r, sm_source_id id)
{
    switch (id) {
    case SM_SOURCE_OVEREXPANSION:
        return of_variable(s, &r->tube.overexpansion);
    case SM_SOURCE_RING_GIVE:
        return of_variable(s, &r->tube.ring_give);
    case SM_SOURCE_FLARE:
        return of_variable(s, &r->tube.flare);
    case SM_SOURCE_IMPLANT_DEPTH:
        return of_variable(s, &r->tube.depth);
    case SM_SOURCE_CANTING:
        return of_pair(s, r->tube.cant_sd, r->tube.cant);
    case SM_SOURCE_OFFSET:
        return of_pair(s, r->tube.offset_sd, r->tube.offset);
    case SM_SOURCE_MID:
        return of_variable(s, &r->tube.mid);
    case SM_SOURCE_LEAFLET_OVERHANG:
        return of_variable(s, &r->tube.overhang);
    default:
        return nothing();
    }
}

static sm_coordinates of_side(const sm_sources *s, const sm_root *r, const sm_source *source)
{
    for (int q = 0; q < SM_QUANTITIES; q++)
        if (sm_source_of_quantity((sm_quantity_id)q) == source->id)
            return of_reading(s, &r->side[source->side].readings.reading[q]);
    return nothing();
}

sm_coordinates sm_coordinates_of(const sm_plan *p, int root, int source)
{
    const sm_source *s = &p->sources.source[source];
    const sm_root *r = &p->root[root];
    const int look = root == 0 ? look_at(r, s) : -1;
    if (!s->reducible)
        return nothing();
    if (look >= 0)
        return of_truth(&r->steering, look);
    return s->side == SM_SHARED ? of_shared(&p->sources, r, s->id) : of_side(&p->sources, r, s);
}

sm_coordinates sm_coordinates_of_any(const sm_plan *p, int source)
{
    const sm_source *s = &p->sources.source[source];
    return s->reducible ? sm_coordinates_of(p, 0, source) : of_deployment(&p->sources, &p->root[0], s->id);
}

/* 3. Cells */

static void show_columns(const sm_coordinates *c, const double *const *column, double (*x)[SM_LANES])
{
    for (int d = 0; d < c->grid.dims; d++) {
        const double *z = column[c->column[d]];
        const bool stretch = c->uniform[d] && !c->grid.circular;
        for (int i = 0; i < SM_LANES; i++)
            x[d][i] = stretch ? (z[i] - 0.5) * 9 : z[i];
    }
}

static void show_plane(const sm_root_frame *r, const double *const *column, double (*x)[SM_LANES])
{
    const double *normal[3], *phase[SM_MAX_PLACEMENTS];
    for (int i = 0; i < 3; i++)
        normal[i] = column[r->normal[i]];
    for (int i = 0; i < sm_plane_phases(&r->plane); i++)
        phase[i] = column[r->phase[i]];
    sm_plane_draw(&r->plane, normal, phase, x[0], x[1], x[2]);
}

void sm_coordinates_cell(const sm_coordinates *c, const sm_plan *p, const double *const *column, const sm_places *at,
                         int32_t *cell)
{
    const sm_root *r = &p->root[0];
    double x[SM_MAX_DIMS][SM_LANES];
    if (c->shows == SM_SHOWS_COLUMNS)
        show_columns(c, column, x);
    else if (c->shows == SM_SHOWS_PLANE)
        show_plane(&r->frame, column, x);
    else if (c->shows == SM_SHOWS_OUTLINE) {
        memcpy(x[0], at->tube->ecc_c, sizeof x[0]);
        memcpy(x[1], at->tube->ecc_s, sizeof x[1]);
    } else if (c->shows == SM_SHOWS_TRUTH) {
        double room[SM_LANES];
        memcpy(x[0], sm_looked_at(p, c->look, at, room), sizeof x[0]);
    }
    if (c->shows != SM_SHOWS_COLUMNS)
        for (int d = 0; d < c->grid.dims; d++)
            for (int i = 0; i < SM_LANES; i++)
                x[d][i] = (x[d][i] - c->centre[d]) * c->scale[d];
    const double *where[SM_MAX_DIMS] = {x[0], x[1], x[2]};
    sm_grid_cell(&c->grid, where, SM_LANES, cell);
}
