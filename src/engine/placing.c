/* placing.c - well-placed draws for a plan.
 *
 * Contents: 1. which draw is what  2. dimensions  3. the whole  4. the rotation  5. a worker  6. drawing
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/placing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "sampling/normal.h"
#include "sampling/rng.h"

/* 1. Which draw is what */

static bool is_circular(const sm_plan *p, int column)
{
    const sm_root *root = &p->root[0];
    if (root->tube.orientation == column || (root->tube.post_unknown && root->tube.post.column == column))
        return true;
    for (int i = 0; i < sm_plane_phases(&root->frame.plane); i++)
        if (root->frame.phase[i] == column)
            return true;
    return false;
}

/* Of a sinus from which no coronary leaves. */
static bool is_idle(const sm_plan *p, int side)
{
    return side != SM_SHARED && p->root[0].side[side].outputs.model.counts == 0;
}

static bool is_idle_column(const sm_plan *p, int column)
{
    const sm_sources *s = &p->sources;
    return is_idle(p, s->source[s->column[column].source].side);
}

static void sort_columns(sm_placing *c)
{
    const sm_plan *p = c->plan;
    for (int j = 0; j < p->n_own_columns; j++) {
        if (c->smoothing->integrated[j] || is_idle_column(p, j))
            continue;
        if (is_circular(p, j))
            c->circular[c->n_circular++] = j;
        else
            c->column[c->n_columns++] = j;
    }
    for (int j = p->n_own_columns; j < p->sources.n_columns; j++)
        if (!c->smoothing->integrated[j])
            c->extra[c->n_extra++] = j;
    for (int j = 0; j < p->n_own_columns; j++)
        if (!c->smoothing->integrated[j] && is_idle_column(p, j))
            c->extra[c->n_extra++] = j;
}

static void sort_draws(sm_placing *c)
{
    sort_columns(c);
    c->n_axes = c->n_columns;
    c->n_extra_columns = c->n_extra;
    for (int i = 0; i < c->smoothing->n_scores; i++)
        if (is_idle(c->plan, c->smoothing->score_side[i]))
            c->extra[c->n_extra++] = i;
        else
            c->score[c->n_axes++ - c->n_columns] = i;
    c->n_levels = c->smoothing->n_sides * SM_GAPS;
    c->n_dimensions = c->n_axes + c->n_circular + c->n_levels + c->n_extra;
    c->n_points = c->n_dimensions < SM_POINT_DIMENSIONS ? c->n_dimensions : SM_POINT_DIMENSIONS;
}

/* Of a column, or of a score, which is asked for as one behind the columns. Where the draws are steered by second looks
 * everything hangs together. */
static int side_of_axis(const sm_placing *c, int axis)
{
    const sm_sources *s = &c->plan->sources;
    if (sm_plan_weighs(c->plan))
        return SM_SHARED;
    return axis < c->n_columns ? s->source[s->column[c->column[axis]].source].side
                               : c->smoothing->score_side[c->score[axis - c->n_columns]];
}

int sm_placing_side(const sm_placing *c, int draw)
{
    const int level = draw - c->n_axes - c->n_circular;
    if (draw < c->n_axes)
        return side_of_axis(c, draw);
    return level >= 0 && !sm_plan_weighs(c->plan) ? level / SM_GAPS : SM_SHARED;
}

/* 2. Dimensions */

/* As they stand, until the pilot knows better. */
static void number_dimensions(sm_placing *c)
{
    for (int i = 0; i < c->n_dimensions; i++)
        c->dimension[i] = i;
}

/* Those that matter as much keep their order; levels of an idle side come behind all. */
void sm_placing_order(sm_placing *c, double *matters)
{
    for (int i = 0; i < c->n_levels; i++)
        if (is_idle(c->plan, i / SM_GAPS))
            matters[c->n_axes + c->n_circular + i] = -1;
    for (int i = 0; i < c->n_dimensions; i++) {
        c->dimension[i] = 0;
        for (int j = 0; j < c->n_dimensions; j++)
            c->dimension[i] += matters[j] > matters[i] || (matters[j] == matters[i] && j < i);
    }
}

static void name_streams(sm_placing *c)
{
    for (int d = 0; d < c->n_dimensions; d++) {
        char name[40];
        snprintf(name, sizeof name, "points/%d", d);
        c->stream[d] = sm_rng_stream(name, c->purpose);
    }
}

/* 3. The whole */

sm_status sm_placing_create(const sm_plan *p, const sm_smoothing *s, uint64_t seed, sm_purpose purpose, sm_placing *c)
{
    const size_t scores = (size_t)s->n_scores + 1, n = (size_t)p->sources.n_columns + scores;
    *c = (sm_placing){.plan = p, .smoothing = s, .seed = seed, .purpose = purpose};
    c->column = calloc(n, sizeof *c->column);
    c->circular = calloc(n, sizeof *c->circular);
    c->extra = calloc(n, sizeof *c->extra);
    c->score = calloc(scores, sizeof *c->score);
    if (!c->column || !c->circular || !c->extra || !c->score)
        return SM_NO_MEMORY;
    sort_draws(c);
    c->dimension = calloc((size_t)c->n_dimensions + 1, sizeof *c->dimension);
    c->point = malloc((size_t)c->n_points * sizeof *c->point);
    c->stream = malloc((size_t)c->n_dimensions * sizeof *c->stream);
    c->mirror = calloc(SM_LEADING * (size_t)c->n_axes + 1, sizeof *c->mirror);
    if (!c->dimension || !c->point || !c->stream || !c->mirror)
        return SM_NO_MEMORY;
    for (int d = 0; d < c->n_points; d++)
        sm_point_axis_create(d, &c->point[d]);
    number_dimensions(c);
    name_streams(c);
    return SM_OK;
}

void sm_placing_destroy(sm_placing *c)
{
    free(c->column);
    free(c->circular);
    free(c->extra);
    free(c->score);
    free(c->dimension);
    free(c->point);
    free(c->stream);
    free(c->mirror);
    *c = (sm_placing){0};
}

/* 4. The rotation */

/* x less twice its part along the mirror's normal, which has length 1 (or is 0: no mirror). */
static void mirror_vector(const double *mirror, int n, double *x)
{
    double along = 0;
    for (int j = 0; j < n; j++)
        along += mirror[j] * x[j];
    for (int j = 0; j < n; j++)
        x[j] -= 2 * along * mirror[j];
}

/* The mirror between x and the axis i, on the side that loses no digits. x is mirrored. */
static void make_mirror(double *x, int n, int i, double *mirror)
{
    double length = 0;
    const double sign = x[i] > 0 ? 1 : -1;
    for (int j = 0; j < n; j++) {
        mirror[j] = j < i ? 0 : x[j] + (j == i ? sign : 0);
        length += mirror[j] * mirror[j];
    }
    for (int j = 0; j < n; j++)
        mirror[j] /= sqrt(length);
}

/* Householder's reflections, one after the other: each brings the next direction, as the earlier ones left it, to its
 * axis, whichever way round. */
sm_status sm_placing_turn(sm_placing *c, const double *direction, int n)
{
    double *x = calloc((size_t)c->n_axes + 1, sizeof *x);
    if (!x)
        return SM_NO_MEMORY;
    for (int i = 0; i < n && i < SM_LEADING; i++) {
        memcpy(x, direction + (size_t)i * (size_t)c->n_axes, (size_t)c->n_axes * sizeof *x);
        for (int m = 0; m < i; m++)
            mirror_vector(c->mirror + (size_t)m * (size_t)c->n_axes, c->n_axes, x);
        make_mirror(x, c->n_axes, i, c->mirror + (size_t)i * (size_t)c->n_axes);
        c->n_mirrors = i + 1;
    }
    free(x);
    return SM_OK;
}

void sm_placing_direction(const sm_placing *c, int axis, double *out)
{
    for (int j = 0; j < c->n_axes; j++)
        out[j] = j == axis ? 1 : 0;
    for (int m = c->n_mirrors - 1; m >= 0; m--)
        mirror_vector(c->mirror + (size_t)m * (size_t)c->n_axes, c->n_axes, out);
}

/* Whether the same columns, and as many scores and levels, are drawn, as wide. */
static bool draws_alike(const sm_placing *a, const sm_placing *b)
{
    const size_t columns = (size_t)a->n_columns * sizeof *a->column;
    return (b->n_extra == 0 || a->plan == b->plan) && a->widened == b->widened && a->n_axes == b->n_axes &&
           a->n_columns == b->n_columns && a->n_circular == b->n_circular && a->n_levels == b->n_levels &&
           memcmp(a->column, b->column, columns) == 0;
}

bool sm_placing_take(sm_placing *c, const sm_placing *from)
{
    if (!draws_alike(c, from))
        return false;
    c->n_mirrors = from->n_mirrors;
    memcpy(c->mirror, from->mirror, (size_t)from->n_mirrors * (size_t)from->n_axes * sizeof *c->mirror);
    /* what other roots alone draw stays behind */
    memcpy(c->dimension, from->dimension, (size_t)from->n_dimensions * sizeof *c->dimension);
    return true;
}

/* 5. A worker */

sm_status sm_placed_create(const sm_placing *c, sm_placed *d)
{
    const size_t columns = (size_t)c->plan->sources.n_columns + 1, axes = (size_t)c->n_axes + 1,
                 levels = (size_t)c->n_levels + 1, scores = (size_t)c->smoothing->n_scores + 1;
    *d = (sm_placed){.rng = gsl_rng_alloc(sm_rng_philox)};
    d->seed = calloc((size_t)c->n_dimensions + 1, sizeof *d->seed);
    d->axis = calloc(axes * SM_LANES, sizeof *d->axis);
    d->room = calloc(axes * SM_LANES, sizeof *d->room);
    d->base = calloc(columns * SM_LANES, sizeof *d->base); /* what is integrated stays 0 */
    d->u = calloc(levels * SM_LANES, sizeof *d->u);
    d->idle = calloc(scores * SM_LANES, sizeof *d->idle);
    d->column = calloc(columns, sizeof *d->column);
    d->level = calloc(levels, sizeof *d->level);
    d->score = calloc(scores, sizeof *d->score);
    if (!d->rng || !d->seed || !d->axis || !d->room || !d->base || !d->u || !d->idle || !d->column || !d->level ||
        !d->score)
        return SM_NO_MEMORY;
    for (int j = 0; j < c->plan->sources.n_columns; j++)
        d->column[j] = d->base + (size_t)j * SM_LANES;
    for (int i = 0; i < c->n_levels; i++)
        d->level[i] = d->u + (size_t)i * SM_LANES;
    for (int a = c->n_columns; a < c->n_axes; a++)
        d->score[c->score[a - c->n_columns]] = d->room + (size_t)a * SM_LANES;
    for (int i = c->n_extra_columns; i < c->n_extra; i++)
        d->score[c->extra[i]] = d->idle + (size_t)(i - c->n_extra_columns) * SM_LANES;
    return SM_OK;
}

void sm_placed_destroy(sm_placed *d)
{
    if (d->rng)
        gsl_rng_free(d->rng);
    free(d->seed);
    free(d->axis);
    free(d->room);
    free(d->base);
    free(d->u);
    free(d->idle);
    free(d->column);
    free(d->level);
    free(d->score);
    *d = (sm_placed){0};
}

/* 6. Drawing */

double *sm_placed_uniforms(const sm_placing *c, const sm_placed *d, int i)
{
    return i < c->n_circular ? d->base + (size_t)c->circular[i] * SM_LANES
                             : d->u + (size_t)(i - c->n_circular) * SM_LANES;
}

void sm_placed_begin(const sm_placing *c, sm_placed *d, uint32_t task)
{
    sm_rng_seek(d->rng, c->seed, sm_rng_stream("points/scramble", c->purpose), task);
    for (int i = 0; i < c->n_points; i++)
        d->seed[i] = (uint32_t)gsl_rng_get(d->rng);
}

static void draw_dimension(const sm_placing *c, sm_placed *d, int dimension, uint32_t group, uint32_t index,
                           double *out)
{
    if (dimension < c->n_points) {
        sm_points_fill(&c->point[dimension], d->seed[dimension], index, out);
        return;
    }
    sm_rng_seek(d->rng, c->seed, c->stream[dimension], group);
    sm_rng_uniforms(d->rng, out, SM_LANES);
}

/* Draws the first axes wider; the weight is the density of what was asked for over that of what was drawn. */
static void widen(const sm_placing *c, sm_placed *d)
{
    double squares[SM_LANES] = {0}, factor = 1;
    for (int j = 0; j < SM_WIDENED && j < c->n_axes; j++) {
        double *z = d->axis + (size_t)j * SM_LANES;
        factor *= SM_WIDER;
        for (int i = 0; i < SM_LANES; i++) {
            squares[i] += z[i] * z[i];
            z[i] *= SM_WIDER;
        }
    }
    for (int i = 0; i < SM_LANES; i++)
        d->weight[i] = factor * exp(-squares[i] * (SM_WIDER * SM_WIDER - 1) / 2);
}

/* As they are: nothing turns them. */
static void draw_extra(const sm_placing *c, sm_placed *d, uint32_t group, uint32_t index)
{
    for (int i = 0; i < c->n_extra; i++) {
        const bool score = i >= c->n_extra_columns;
        double *out =
            score ? d->idle + (size_t)(i - c->n_extra_columns) * SM_LANES : d->base + (size_t)c->extra[i] * SM_LANES;
        draw_dimension(c, d, c->dimension[c->n_axes + c->n_circular + c->n_levels + i], group, index, out);
        if (score || c->plan->sources.column[c->extra[i]].base == SM_BASE_NORMAL)
            sm_normal_quantiles(out, out, SM_LANES);
    }
}

void sm_placed_draw(const sm_placing *c, sm_placed *d, uint32_t task, uint32_t index, uint32_t n)
{
    const uint32_t group = task * (n / SM_LANES) + index / SM_LANES;
    for (int a = 0; a < c->n_axes; a++)
        draw_dimension(c, d, c->dimension[a], group, index, d->axis + (size_t)a * SM_LANES);
    sm_normal_quantiles(d->axis, d->axis, c->n_axes * SM_LANES);
    for (int i = 0; i < c->n_circular + c->n_levels; i++)
        draw_dimension(c, d, c->dimension[c->n_axes + i], group, index, sm_placed_uniforms(c, d, i));
    draw_extra(c, d, group, index);
    for (int i = 0; i < SM_LANES; i++)
        d->weight[i] = 1;
    if (c->widened)
        widen(c, d);
}

SM_WIDE static void mirror_columns(const double *restrict mirror, int n, double *restrict x)
{
    double along[SM_LANES] = {0};
    for (int j = 0; j < n; j++)
        for (int i = 0; mirror[j] != 0 && i < SM_LANES; i++)
            along[i] += mirror[j] * x[(size_t)j * SM_LANES + (size_t)i];
    for (int j = 0; j < n; j++)
        for (int i = 0; mirror[j] != 0 && i < SM_LANES; i++)
            x[(size_t)j * SM_LANES + (size_t)i] -= 2 * mirror[j] * along[i];
}

/* Phi of a normal, as far as a uniform column may go. */
static void as_uniforms(const sm_placing *c, const double *z, double *out)
{
    double within[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        within[i] = z[i] < -6.3 ? -6.3 : z[i] > 6.3 ? 6.3 : z[i]; /* Phi is 2^-32.6 */
    sm_table_apply(c->smoothing->phi, 0, 1, within, out, SM_LANES);
}

/* A column of the plan from its turned coordinates; a score is read where they are. */
static void make_column(const sm_placing *c, sm_placed *d, int axis)
{
    const double *z = d->room + (size_t)axis * SM_LANES;
    if (axis >= c->n_columns)
        return;
    double *out = d->base + (size_t)c->column[axis] * SM_LANES;
    if (c->plan->sources.column[c->column[axis]].base == SM_BASE_NORMAL)
        memcpy(out, z, SM_LANES * sizeof *out);
    else
        as_uniforms(c, z, out);
}

/* The last mirror first: the product takes axis i to direction i. */
void sm_placed_spread(const sm_placing *c, sm_placed *d)
{
    memcpy(d->room, d->axis, (size_t)c->n_axes * SM_LANES * sizeof *d->room);
    for (int m = c->n_mirrors - 1; m >= 0; m--)
        mirror_columns(c->mirror + (size_t)m * (size_t)c->n_axes, c->n_axes, d->room);
    for (int a = 0; a < c->n_columns; a++)
        make_column(c, d, a);
}

void sm_placed_spread_axis(const sm_placing *c, sm_placed *d, int axis)
{
    memcpy(d->room + (size_t)axis * SM_LANES, d->axis + (size_t)axis * SM_LANES, SM_LANES * sizeof *d->room);
    make_column(c, d, axis);
}
