/* worth.c - what a re-check of each reducible source is worth at the action line.
 *
 * Contents: 1. cells of every source  2. the job  3. results
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "analysis/worth.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analysis/coordinates.h"
#include "analysis/job.h"
#include "analysis/nested.h"
#include "analysis/run.h"

enum { GROUPS = SM_BLOCK / SM_LANES };

/* 1. Cells of every source */

typedef struct {
    const sm_plan *plan;
    int n_sources;
    sm_coordinates *shows; /* by source */
    int *first;            /* where a source's cells start; one more at the end */
    sm_cell *cell;
    int64_t n, events;
} worth_job;

typedef struct {
    sm_worker worker;
    int32_t *n, *events;   /* by cell: one task lies in one half */
    int64_t task, task_events;
} slot;

static sm_status prepare(worth_job *job)
{
    job->shows = calloc((size_t)job->n_sources, sizeof *job->shows);
    job->first = calloc((size_t)job->n_sources + 1, sizeof *job->first);
    if (!job->shows || !job->first)
        return SM_NO_MEMORY;
    for (int i = 0; i < job->n_sources; i++) {
        job->shows[i] = sm_coordinates_of(job->plan, i);
        bool varies = job->shows[i].shows != SM_SHOWS_NOTHING;
        job->first[i + 1] = job->first[i] + (varies ? sm_grid_cells(&job->shows[i].grid) : 0);
    }
    job->cell = calloc((size_t)job->first[job->n_sources] + 1, sizeof *job->cell);
    return job->cell ? SM_OK : SM_NO_MEMORY;
}

static void release(worth_job *job)
{
    free(job->shows);
    free(job->first);
    free(job->cell);
}

/* 2. The job */

static void add_group(const worth_job *job, slot *s, const double *event)
{
    int32_t cell[SM_LANES];
    for (int source = 0; source < job->n_sources; source++) {
        if (job->shows[source].shows == SM_SHOWS_NOTHING)
            continue;
        sm_coordinates_cell(&job->shows[source], &job->plan->root[0], s->worker.column, &s->worker.first, cell);
        int32_t *n = s->n + job->first[source], *events = s->events + job->first[source];
        for (int i = 0; i < SM_LANES; i++) {
            n[cell[i]]++;
            events[cell[i]] += (int32_t)event[i];
        }
    }
    for (int i = 0; i < SM_LANES; i++)
        s->task_events += (int64_t)event[i];
}

static void task_run(void *self, void *slot_, int64_t task)
{
    const worth_job *job = self;
    slot *s = slot_;
    const size_t cells = (size_t)job->first[job->n_sources];
    double event[SM_LANES];
    memset(s->n, 0, cells * sizeof *s->n);
    memset(s->events, 0, cells * sizeof *s->events);
    s->task = task;
    s->task_events = 0;
    for (int64_t block = task * SM_TASK_BLOCKS; block < (task + 1) * SM_TASK_BLOCKS; block++) {
        sm_worker_draw(job->plan, &s->worker, SM_FOR_RUN, (uint32_t)block);
        for (int g = 0; g < GROUPS; g++) {
            sm_worker_point(&s->worker, g);
            sm_evaluate(&job->plan->root[0], s->worker.column, &s->worker.first, s->worker.first_side, event);
            add_group(job, s, event);
        }
    }
}

static sm_status task_create(void *self, void *slot_)
{
    const worth_job *job = self;
    slot *s = slot_;
    const size_t cells = (size_t)job->first[job->n_sources] + 1;
    s->n = malloc(cells * sizeof *s->n);
    s->events = malloc(cells * sizeof *s->events);
    return s->n && s->events ? sm_worker_create(job->plan, &s->worker) : SM_NO_MEMORY;
}

static void task_destroy(void *self, void *slot_)
{
    slot *s = slot_;
    (void)self;
    sm_worker_destroy(&s->worker);
    free(s->n);
    free(s->events);
}

static bool task_merge(void *self, const void *slot_)
{
    worth_job *job = self;
    const slot *s = slot_;
    const int half = (int)(s->task % 2);
    for (int c = 0; c < job->first[job->n_sources]; c++) {
        job->cell[c].n[half] += s->n[c];
        job->cell[c].events[half] += s->events[c];
    }
    job->n += SM_TASK_TRIALS;
    job->events += s->task_events;
    return false;
}

/* 3. Results */

/* Theory orders them: 0 <= one more reading <= perfect re-check <= bound. What exceeds by Monte Carlo error is brought back. */
static void keep_order(sm_source_worth *w, double bound)
{
    w->perfect.value.value = fmin(w->perfect.value.value, bound);
    w->one_more.value.value = fmin(w->one_more.value.value, w->perfect.value.value);
}

/* The cells of a two-column source added up along its second coordinate: what the reader error alone shows. */
static const sm_cell *first_coordinate(const sm_grid *g, const sm_cell *cell, sm_cell sum[256])
{
    if (g->dims == 1)
        return cell;
    const int side = sm_grid_side(g), repeat = 256 / side;
    memset(sum, 0, 256 * sizeof *sum);
    for (int c = 0; c < side * side; c++)
        for (int h = 0; h < 2; h++) {
            sum[c / side * repeat + repeat / 2].n[h] += cell[c].n[h];
            sum[c / side * repeat + repeat / 2].events[h] += cell[c].events[h];
        }
    return sum;
}

static sm_status source_worth(const worth_job *job, int source, double q, double bound, sm_source_worth *out)
{
    const sm_coordinates *shows = &job->shows[source];
    const sm_cell *cell = job->cell + job->first[source];
    sm_cell sum[256];
    sm_status s = SM_OK;
    *out = (sm_source_worth){.varies = shows->shows != SM_SHOWS_NOTHING};
    if (!out->varies)
        return SM_OK;
    out->perfect = sm_policy_worth(&shows->grid, cell, q, &s);
    if (s == SM_OK && shows->one_more >= 0) {
        out->one_more_defined = true;
        out->one_more = sm_policy_partial_worth(first_coordinate(&shows->grid, cell, sum), shows->rho, q, &s);
    }
    keep_order(out, bound);
    return s;
}

static bool is_reducible(const void *self, const sm_sources *s, int column)
{
    (void)self;
    return s->source[s->column[column].source].reducible;
}

static sm_status fill(const worth_job *job, double q, sm_worths *out)
{
    out->n_sources = job->n_sources;
    out->source = calloc((size_t)job->n_sources, sizeof *out->source);
    if (!out->source)
        return SM_NO_MEMORY;
    out->event = sm_probability_of(job->events, job->n);
    double P = out->event.probability, slope = P < q ? 1 - q : q; /* of min(P, q) - q P in P */
    out->bound = (sm_estimate){fmin(P, q) - q * P, slope * out->event.standard_error};
    for (int i = 0; i < job->n_sources; i++) {
        sm_status s = source_worth(job, i, q, out->bound.value, &out->source[i]);
        if (s != SM_OK)
            return s;
    }
    return SM_OK;
}

enum { INNER = 64 };

sm_status sm_worth_run(const sm_plan *p, double q, int64_t trials, int64_t nested_trials, const sm_executor *executor, sm_worths *out)
{
    worth_job self = {.plan = p, .n_sources = p->sources.n_sources};
    sm_job job = {.self = &self,
                  .tasks = (trials + SM_TASK_TRIALS - 1) / SM_TASK_TRIALS,
                  .slot_size = sizeof(slot),
                  .create = task_create,
                  .run = task_run,
                  .merge = task_merge,
                  .destroy = task_destroy};
    sm_nested_request known = {.known = is_reducible, .q = q, .outer = nested_trials, .inner = INNER};
    *out = (sm_worths){0};
    job.tasks += job.tasks % 2; /* both halves alike */
    sm_status s = prepare(&self);
    if (s == SM_OK)
        s = sm_job_run(&job, executor);
    if (s == SM_OK)
        s = fill(&self, q, out);
    if (s == SM_OK)
        s = sm_nested_run(p, &known, executor, &out->expected_cost);
    if (s != SM_OK)
        sm_worths_destroy(out);
    release(&self);
    return s;
}

void sm_worths_destroy(sm_worths *w)
{
    free(w->source);
    *w = (sm_worths){0};
}
