/* weighted_shares.c - how much of the event's variance each source carries, where second looks weigh the trials.
 *
 * Contents: 1. cells  2. a group of trials  3. the job  4. results
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/weighted_shares.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "decision/coordinates.h"
#include "decision/two_samples.h"
#include "engine/job.h"
#include "engine/weighted.h"

enum { COARSER = 4 /* cells of a grid along a side that make one here */ };

/* 1. Cells */

/* Sums of one cell. */
typedef struct {
    double w, ww, we;
} cell;

/* One batch: cells of all sources; all trials; the squared differences of the event when the deployment is drawn again.
 */
typedef struct {
    cell *at;
    sm_weighted event;
    double differences, weight;
} batch;

typedef struct {
    const sm_plan *plan;
    sm_watch watch;
    int n_sources;
    sm_coordinates *shows;
    int *first; /* where a source's cells start; one more at the end */
    int64_t blocks;
    int merged;
    batch batches[SM_BATCHES];
} shares_job;

static int side_of(const sm_grid *g)
{
    return g->dims == 0 ? 1 : sm_grid_side(g) / COARSER;
}

static int cells_of(const sm_grid *g)
{
    int cells = 1;
    for (int d = 0; d < g->dims; d++)
        cells *= side_of(g);
    return cells;
}

/* The coarser cell that a cell of the grid lies in. */
static int coarser(const sm_grid *g, int fine)
{
    const int side = sm_grid_side(g);
    int at[SM_MAX_DIMS], coarse = 0;
    for (int d = g->dims - 1; d >= 0; d--, fine /= side)
        at[d] = fine % side / COARSER;
    for (int d = 0; d < g->dims; d++)
        coarse = coarse * side_of(g) + at[d];
    return coarse;
}

static sm_status batch_create(const shares_job *job, batch *b)
{
    b->at = calloc((size_t)job->first[job->n_sources] + 1, sizeof *b->at);
    return b->at ? SM_OK : SM_NO_MEMORY;
}

static void batch_empty(const shares_job *job, batch *b)
{
    cell *at = b->at;
    memset(at, 0, (size_t)job->first[job->n_sources] * sizeof *at);
    *b = (batch){.at = at};
}

static void batch_add(const shares_job *job, batch *to, const batch *from, double times)
{
    for (int i = 0; i < job->first[job->n_sources]; i++) {
        to->at[i].w += times * from->at[i].w;
        to->at[i].ww += times * from->at[i].ww;
        to->at[i].we += times * from->at[i].we;
    }
    to->event.w += times * from->event.w;
    to->event.we += times * from->event.we;
    to->differences += times * from->differences;
    to->weight += times * from->weight;
}

/* 2. A group of trials */

typedef struct {
    sm_two_samples two; /* redrawn: the deployment */
    batch sums;
} slot;

static void add_cells(const shares_job *job, slot *s, const double *weight, const double *event)
{
    int32_t at[SM_LANES];
    const double *const *column = sm_columns_of(job->plan, 0, s->two.A.column, &s->two.A.at);
    for (int source = 0; source < job->n_sources; source++) {
        const sm_coordinates *c = &job->shows[source];
        if (c->shows == SM_SHOWS_NOTHING)
            continue;
        sm_coordinates_cell(c, job->plan, column, &s->two.A.at, at);
        for (int i = 0; i < SM_LANES; i++) {
            cell *to = &s->sums.at[job->first[source] + coarser(&c->grid, at[i])];
            to->w += weight[i];
            to->ww += weight[i] * weight[i];
            to->we += weight[i] * event[i];
        }
    }
}

static void add_redrawn(const shares_job *job, slot *s, const double *weight, const double *event)
{
    const sm_sources *sources = &job->plan->sources;
    double again[SM_LANES];
    for (int j = 0; j < sources->n_columns; j++)
        s->two.column[j] =
            sources->source[sources->column[j].source].reducible ? s->two.A.column[j] : s->two.B.column[j];
    sm_evaluate_first(job->plan, s->two.column, &s->two.redrawn);
    sm_any_event(s->two.redrawn.side, job->plan->root[0].n_sides, again);
    for (int i = 0; i < SM_LANES; i++) {
        s->sums.differences += weight[i] * fabs(event[i] - again[i]) / 2;
        s->sums.weight += weight[i];
    }
}

static void run_group(const void *job_, void *slot_)
{
    const shares_job *job = job_;
    slot *s = slot_;
    double weight[SM_LANES], event[SM_LANES];
    sm_evaluate_first(job->plan, s->two.A.column, &s->two.A.at);
    sm_evaluate_weights(job->plan, 0, &s->two.A.at, weight);
    sm_any_event(s->two.A.at.side, job->plan->root[0].n_sides, event);
    sm_weighted_add(&s->sums.event, weight, event, SM_LANES);
    add_cells(job, s, weight, event);
    add_redrawn(job, s, weight, event);
}

/* 3. The job */

static bool task_run(void *self, void *slot_, int64_t task)
{
    const shares_job *job = self;
    slot *s = slot_;
    batch_empty(job, &s->sums);
    return sm_two_samples_each(job->plan, &s->two, task, job->blocks, job->watch, run_group, job, s);
}

static sm_status task_create(void *self, void *slot_)
{
    const shares_job *job = self;
    slot *s = slot_;
    const sm_status status = sm_two_samples_create(job->plan, &s->two);
    return status == SM_OK ? batch_create(job, &s->sums) : status;
}

static void task_destroy(void *self, void *slot_)
{
    slot *s = slot_;
    (void)self;
    sm_two_samples_destroy(&s->two);
    free(s->sums.at);
}

static bool task_merge(void *self, const void *slot_)
{
    shares_job *job = self;
    const slot *s = slot_;
    batch_add(job, &job->batches[job->merged++], &s->sums, 1);
    return false;
}

static sm_status prepare(shares_job *job)
{
    job->shows = calloc((size_t)job->n_sources, sizeof *job->shows);
    job->first = calloc((size_t)job->n_sources + 1, sizeof *job->first);
    if (!job->shows || !job->first)
        return SM_NO_MEMORY;
    for (int i = 0; i < job->n_sources; i++) {
        job->shows[i] = sm_coordinates_of_any(job->plan, i);
        const bool varies = job->shows[i].shows != SM_SHOWS_NOTHING;
        job->first[i + 1] = job->first[i] + (varies ? cells_of(&job->shows[i].grid) : 0);
    }
    sm_status s = SM_OK;
    for (int b = 0; s == SM_OK && b < SM_BATCHES; b++)
        s = batch_create(job, &job->batches[b]);
    return s;
}

static void destroy(shares_job *job)
{
    for (int b = 0; b < SM_BATCHES; b++)
        free(job->batches[b].at);
    free(job->shows);
    free(job->first);
}

/* 4. Results */

/* The variance of the event within a cell. Too few trials do not show it: then that of all. */
static double within(const cell *c, double P)
{
    const double p = c->we / c->w, of_one = c->ww / (c->w * c->w); /* 1 over the effective number */
    return of_one > 0.5 ? P * (1 - P) : p * (1 - p) / (1 - of_one);
}

/* What cells differ by beyond what their trials' number lets them. */
static double share_of(const shares_job *job, const batch *b, int source)
{
    const double P = b->event.we / b->event.w;
    double between = 0;
    for (int i = job->first[source]; i < job->first[source + 1]; i++) {
        const cell *c = &b->at[i];
        if (!(c->w > 0))
            continue;
        const double p = c->we / c->w;
        between += c->w * (p - P) * (p - P) - within(c, P) * c->ww / c->w * (1 - c->w / b->event.w);
    }
    return P > 0 && P < 1 ? between / (b->event.w * P * (1 - P)) : 0;
}

/* By the jackknife: each statistic without one batch in turn. */
static void conclude(const shares_job *job, batch *all, sm_estimate *first, sm_estimate *remaining)
{
    double left_out[SM_BATCHES];
    for (int b = 0; b < SM_BATCHES; b++)
        batch_add(job, all, &job->batches[b], 1);
    for (int source = 0; source < job->n_sources; source++) {
        for (int b = 0; b < SM_BATCHES; b++) {
            batch_add(job, all, &job->batches[b], -1);
            left_out[b] = share_of(job, all, source);
            batch_add(job, all, &job->batches[b], 1);
        }
        first[source] = (sm_estimate){share_of(job, all, source), sm_jackknife_error(left_out)};
    }
    for (int b = 0; b < SM_BATCHES; b++)
        left_out[b] = (all->differences - job->batches[b].differences) / (all->weight - job->batches[b].weight);
    *remaining = (sm_estimate){all->differences / all->weight, sm_jackknife_error(left_out)};
}

sm_status sm_weighted_shares_run(const sm_plan *p, sm_run_context context, sm_estimate *first, sm_estimate *remaining)
{
    const int64_t per_batch = SM_BLOCK * (int64_t)SM_BATCHES;
    shares_job self = {.plan = p,
                       .watch = context.watch,
                       .n_sources = p->n_own_sources,
                       .blocks = (context.trials + per_batch - 1) / per_batch};
    const sm_job job = {.self = &self,
                        .tasks = SM_BATCHES,
                        .slot_size = sizeof(slot),
                        .create = task_create,
                        .run = task_run,
                        .merge = task_merge,
                        .destroy = task_destroy};
    batch all = {.at = NULL};
    sm_status s = prepare(&self);
    if (s == SM_OK)
        s = batch_create(&self, &all);
    if (s == SM_OK)
        s = sm_job_run(&job, context);
    if (s == SM_OK)
        conclude(&self, &all, first, remaining);
    free(all.at);
    destroy(&self);
    return s;
}
