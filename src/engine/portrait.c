/* portrait.c - where the parts of the root stand, as the model has them.
 *
 * Contents: 1. samples and their ranges  2. drawing the roots  3. one side  4. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/portrait.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_sort_double.h>
#include <gsl/gsl_statistics_double.h>

/* Enough for a line of a drawing: the 2.5 % quantile of 16,384 normal draws errs by 0.02 standard deviations. */
enum { BLOCKS = 16, GROUPS = SM_BLOCK / SM_LANES, TRIALS = BLOCKS * SM_BLOCK };

/* 1. Samples and their ranges */

/* What is drawn once for all sides, and of one side; by trial. */
typedef struct {
    double frame_bottom[TRIALS], frame_top[TRIALS], skirt_top[TRIALS], ring_radius[TRIALS];
} shared_samples;

typedef struct {
    double ostium_radius[TRIALS], ostium_height[TRIALS], stj_radius[TRIALS], stj_height[TRIALS], leaflet_top[TRIALS],
        tube_top[TRIALS], wall[SM_PORTRAIT_HEIGHTS][TRIALS];
} side_samples;

/* The weights of the trials, and room to sort in. */
typedef struct {
    double weight[TRIALS], value[TRIALS], some[TRIALS];
    size_t at[TRIALS];
} weights;

/* The value below which a share of the weight lies; the values are sorted by `at`. */
static double weighted_quantile(const weights *w, double share)
{
    double all = 0, below = 0;
    for (size_t i = 0; i < TRIALS; i++)
        all += w->some[i];
    for (size_t i = 0; i < TRIALS; i++) {
        below += w->some[w->at[i]];
        if (below >= share * all && w->some[w->at[i]] > 0)
            return w->value[w->at[i]];
    }
    return NAN;
}

/* What is no number has no weight here. */
static sm_range weighted_range_of(const double *y, weights *w)
{
    for (int i = 0; i < TRIALS; i++) {
        w->value[i] = isfinite(y[i]) ? y[i] : 0;
        w->some[i] = isfinite(y[i]) ? w->weight[i] : 0;
    }
    gsl_sort_index(w->at, w->value, 1, TRIALS);
    return (sm_range){weighted_quantile(w, 0.025), weighted_quantile(w, 0.5), weighted_quantile(w, 0.975)};
}

/* Values that are not numbers are left out. Three of the rest are wanted, so that they are selected and not sorted.
 * w: NULL if there are no weights. */
static sm_range range_of(double *y, weights *w)
{
    size_t n = 0;
    if (w)
        return weighted_range_of(y, w);
    for (size_t i = 0; i < TRIALS; i++)
        if (isfinite(y[i]))
            y[n++] = y[i];
    if (n == 0)
        return (sm_range){NAN, NAN, NAN};
    const size_t end = (n - 1) / 40;
    return (sm_range){gsl_stats_select(y, 1, n, end), gsl_stats_select(y, 1, n, (n - 1) / 2),
                      gsl_stats_select(y, 1, n, n - 1 - end)};
}

/* 2. Drawing the roots */

typedef struct {
    const sm_plan *plan;
    sm_worker worker;
    weights *weights; /* NULL if there are none */
} easel;

/* Calls each(self, worker, first trial) for every group of trials. */
static void each_group(easel *e, void (*each)(void *self, const sm_plan *p, sm_worker *w, int at), void *self)
{
    for (uint32_t block = 0; block < BLOCKS; block++) {
        sm_worker_draw(e->plan, &e->worker, SM_FOR_PILOT, block);
        for (int g = 0; g < GROUPS; g++) {
            sm_worker_point(&e->worker, g);
            sm_evaluate_shared(e->plan, 0, e->worker.column, &e->worker.at);
            each(self, e->plan, &e->worker, (int)block * SM_BLOCK + g * SM_LANES);
        }
    }
}

static void weights_group(void *self, const sm_plan *p, sm_worker *w, int at)
{
    weights *to = self;
    for (int k = 0; k < p->root[0].n_sides; k++)
        sm_evaluate_side(p, 0, k, w->column, &w->at);
    sm_evaluate_weights(p, 0, &w->at, to->weight + at);
}

static sm_status run_weights(easel *e)
{
    e->weights = malloc(sizeof *e->weights);
    if (!e->weights)
        return SM_NO_MEMORY;
    each_group(e, weights_group, e->weights);
    return SM_OK;
}

static void shared_group(void *self, const sm_plan *p, sm_worker *w, int at)
{
    shared_samples *s = self;
    const sm_root *r = &p->root[0];
    const sm_direction d = sm_direction_at(0);
    double z[SM_LANES], R[SM_LANES], W[SM_LANES];
    for (int i = 0; i < SM_LANES; i++) {
        z[i] = r->shape.ring_height;
        s->frame_bottom[at + i] = -w->at.tube->depth[i];
        s->frame_top[at + i] = r->shape.frame_height - w->at.tube->depth[i];
        s->skirt_top[at + i] = r->shape.skirt_height - w->at.tube->depth[i];
    }
    sm_tube_frame_radius(&r->shape, w->at.tube, &d, z, R, W);
    for (int i = 0; i < SM_LANES; i++)
        s->ring_radius[at + i] = W[i] / 2;
}

static sm_status run_shared(easel *e, sm_portrait *out)
{
    shared_samples *s = malloc(sizeof *s);
    if (!s)
        return SM_NO_MEMORY;
    each_group(e, shared_group, s);
    out->frame_bottom = range_of(s->frame_bottom, e->weights);
    out->frame_top = range_of(s->frame_top, e->weights);
    out->skirt_top = range_of(s->skirt_top, e->weights);
    out->ring_radius = range_of(s->ring_radius, e->weights);
    free(s);
    return SM_OK;
}

/* 3. One side */

typedef struct {
    int k;
    side_samples *s;
    const double *z; /* NULL in the first pass, which finds how high the tube stands */
} side_pass;

static void landmark_group(side_pass *pass, const sm_plan *p, sm_worker *w, int at)
{
    side_samples *s = pass->s;
    const sm_landmarks *l = &w->at.landmarks[pass->k];
    const sm_landmark *ostium = &l->at[SM_GAP_OSTIUM], *stj = &l->at[SM_GAP_STJ];
    double H_t[SM_LANES], skirt_top[SM_LANES];
    sm_evaluate_side(p, 0, pass->k, w->column, &w->at);
    sm_tube_top(&p->root[0].shape, w->at.tube, l->H, H_t, skirt_top);
    for (int i = 0; i < SM_LANES; i++) {
        s->ostium_radius[at + i] = hypot(ostium->x[i], ostium->y[i]);
        s->ostium_height[at + i] = ostium->h[i];
        s->stj_radius[at + i] = hypot(stj->x[i], stj->y[i]);
        s->stj_height[at + i] = stj->h[i];
        s->leaflet_top[at + i] = l->H[i];
        s->tube_top[at + i] = H_t[i];
    }
}

/* The wall at one height: R_tube and how far the new valve's axis lies toward this side there, (4.6) and (4.8). */
static void wall_group(side_pass *pass, const sm_plan *p, sm_worker *w, int at, int j)
{
    const sm_side_model *g = &p->root[0].side[pass->k].outputs.model;
    const sm_tube *t = w->at.tube;
    double z[SM_LANES], R[SM_LANES], W[SM_LANES], off[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        z[i] = pass->z[j];
    sm_tube_frame_radius(&p->root[0].shape, t, &g->direction, z, R, W);
    sm_tube_stand_off(t, &g->direction, off);
    for (int i = 0; i < SM_LANES; i++) {
        double toward = (t->off_x[i] + t->cant_x[i] * z[i]) * g->place.cos_az +
                        (t->off_y[i] + t->cant_y[i] * z[i]) * g->place.sin_az;
        pass->s->wall[j][at + i] = R[i] + off[i] + toward;
    }
}

static void side_group(void *self, const sm_plan *p, sm_worker *w, int at)
{
    side_pass *pass = self;
    if (!pass->z)
        landmark_group(pass, p, w, at);
    for (int j = 0; pass->z && j < SM_PORTRAIT_HEIGHTS; j++)
        wall_group(pass, p, w, at, j);
}

static void run_side(easel *e, int k, side_samples *s, double bottom, sm_portrait_side *out)
{
    side_pass pass = {k, s, NULL};
    each_group(e, side_group, &pass);
    out->ostium_radius = range_of(s->ostium_radius, e->weights);
    out->ostium_height = range_of(s->ostium_height, e->weights);
    out->stj_radius = range_of(s->stj_radius, e->weights);
    out->stj_height = range_of(s->stj_height, e->weights);
    out->leaflet_top = range_of(s->leaflet_top, e->weights);
    out->tube_top = range_of(s->tube_top, e->weights);
    for (int j = 0; j < SM_PORTRAIT_HEIGHTS; j++)
        out->z[j] = bottom + (out->tube_top.median - bottom) * j / (SM_PORTRAIT_HEIGHTS - 1);
    pass.z = out->z;
    each_group(e, side_group, &pass);
    for (int j = 0; j < SM_PORTRAIT_HEIGHTS; j++)
        out->wall[j] = range_of(s->wall[j], e->weights);
}

/* 4. The whole */

static sm_status run_sides(easel *e, sm_portrait *out)
{
    side_samples *s = malloc(sizeof *s);
    out->side = calloc((size_t)out->n_sides, sizeof *out->side);
    sm_status status = s && out->side ? SM_OK : SM_NO_MEMORY;
    for (int k = 0; status == SM_OK && k < out->n_sides; k++)
        run_side(e, k, s, out->frame_bottom.median, &out->side[k]);
    free(s);
    return status;
}

static void take_posts(const sm_case *c, sm_portrait *out)
{
    const sm_dist *d = &c->valve.post_azimuth_deg;
    out->has_posts = c->valve.leaflet_mount != SM_STENTLESS;
    out->post_unknown = c->valve.post_azimuth_unknown;
    if (out->post_unknown)
        return;
    out->post.median = sm_dist_is_constant(d) ? sm_dist_mean(d) : sm_dist_quantile(d, 0.5);
    out->post.low = sm_dist_is_constant(d) ? out->post.median : sm_dist_quantile(d, 0.025);
    out->post.high = sm_dist_is_constant(d) ? out->post.median : sm_dist_quantile(d, 0.975);
}

sm_status sm_portrait_run(const sm_case *c, uint64_t seed, sm_portrait *out)
{
    sm_plan p;
    *out = (sm_portrait){.n_sides = (int)c->n_coronaries};
    sm_status s = sm_plan_create(c, seed, &p);
    if (s != SM_OK)
        return s;
    easel e = {.plan = &p};
    s = sm_worker_create(&p, &e.worker);
    if (s == SM_OK && sm_plan_weighs_first(&p))
        s = run_weights(&e);
    if (s == SM_OK)
        s = run_shared(&e, out);
    if (s == SM_OK)
        s = run_sides(&e, out);
    take_posts(c, out);
    free(e.weights);
    sm_worker_destroy(&e.worker);
    sm_plan_destroy(&p);
    if (s != SM_OK)
        sm_portrait_destroy(out);
    return s;
}

void sm_portrait_destroy(sm_portrait *p)
{
    free(p->side);
    *p = (sm_portrait){0};
}
