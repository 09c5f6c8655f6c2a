/* cells.c - trials sorted by what a re-check of each source would show.
 *
 * Contents: 1. storage  2. one group of trials  3. tasks  4. the job
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "analysis/cells.h"

#include <stdlib.h>
#include <string.h>

#include "analysis/job.h"

enum { GROUPS = SM_BLOCK / SM_LANES };

/* 1. Storage */

typedef struct {
    const sm_plan *plan;
    const sm_cells_request *request;
    sm_cells *out;
} cells_job;

/* Counts of one task, which lies in one half. gained and lost by root and cell, as in sm_cells; NULL where there is one root. */
typedef struct {
    sm_worker worker;
    int32_t *n, *events, *gained, *lost;
    int32_t (*cell)[SM_LANES]; /* by source: where each trial of the group at hand lies */
    double *unrescued;         /* by root, SM_LANES each */
    int64_t task, task_events;
    double least;
} slot;

static size_t all_cells(const sm_cells *c)
{
    return (size_t)c->first[c->n_sources];
}

/* Places of gained and lost. */
static size_t all_swaps(const sm_cells *c)
{
    return c->n_roots > 1 ? (size_t)c->n_roots * all_cells(c) : 0;
}

static sm_status prepare(const sm_plan *p, const sm_cells_request *request, sm_cells *out)
{
    *out = (sm_cells){.n_sources = p->sources.n_sources, .n_roots = request->n_roots, .now = request->now};
    out->shows = calloc((size_t)out->n_sources, sizeof *out->shows);
    out->first = calloc((size_t)out->n_sources + 1, sizeof *out->first);
    if (!out->shows || !out->first)
        return SM_NO_MEMORY;
    for (int i = 0; i < out->n_sources; i++) {
        out->shows[i] = sm_coordinates_of(p, 0, i);
        bool varies = out->shows[i].shows != SM_SHOWS_NOTHING;
        out->first[i + 1] = out->first[i] + (varies ? sm_grid_cells(&out->shows[i].grid) : 0);
    }
    out->cell = calloc(all_cells(out) + 1, sizeof *out->cell);
    out->swap = calloc(all_swaps(out) + 1, sizeof *out->swap);
    return out->cell && out->swap ? SM_OK : SM_NO_MEMORY;
}

void sm_cells_destroy(sm_cells *c)
{
    free(c->shows);
    free(c->first);
    free(c->cell);
    free(c->swap);
    *c = (sm_cells){0};
}

/* 2. One group of trials */

/* The trials of a group in which root a has an event that `now` has not, and the reverse. */
typedef struct {
    int n_gained, n_lost, gained[SM_LANES], lost[SM_LANES];
} differing;

static void find_differing(const double *a, const double *now, differing *d)
{
    d->n_gained = d->n_lost = 0;
    for (int i = 0; i < SM_LANES; i++) {
        if (a[i] > now[i])
            d->gained[d->n_gained++] = i;
        else if (a[i] < now[i])
            d->lost[d->n_lost++] = i;
    }
}

static void add_swaps(const cells_job *job, slot *s)
{
    const sm_cells *out = job->out;
    differing d;
    for (int a = 0; a < out->n_roots; a++) {
        if (a == out->now)
            continue;
        find_differing(s->unrescued + a * SM_LANES, s->unrescued + out->now * SM_LANES, &d);
        for (int source = 0; source < out->n_sources; source++) {
            if (out->shows[source].shows == SM_SHOWS_NOTHING)
                continue;
            const size_t start = (size_t)a * all_cells(out) + (size_t)out->first[source];
            for (int i = 0; i < d.n_gained; i++)
                s->gained[start + (size_t)s->cell[source][d.gained[i]]]++;
            for (int i = 0; i < d.n_lost; i++)
                s->lost[start + (size_t)s->cell[source][d.lost[i]]]++;
        }
    }
}

static void add_source(const cells_job *job, slot *s, int source, const double *event, int32_t *cell)
{
    const sm_coordinates *shows = &job->out->shows[source];
    if (shows->shows == SM_SHOWS_NOTHING)
        return;
    sm_coordinates_cell(shows, &job->plan->root[0], s->worker.column, &s->worker.first, cell);
    int32_t *n = s->n + job->out->first[source], *events = s->events + job->out->first[source];
    for (int i = 0; i < SM_LANES; i++) {
        n[cell[i]]++;
        events[cell[i]] += (int32_t)event[i];
    }
}

static void add_least(const cells_job *job, slot *s)
{
    double least[SM_LANES];
    for (int a = 0; a < job->out->n_roots; a++) {
        const double burden = job->request->burden ? job->request->burden[a] : 0, *event = s->unrescued + a * SM_LANES;
        for (int i = 0; i < SM_LANES; i++) {
            double cost = burden + event[i];
            least[i] = a > 0 && least[i] < cost ? least[i] : cost;
        }
    }
    for (int i = 0; i < SM_LANES; i++)
        s->least += least[i];
}

static void add_group(const cells_job *job, slot *s)
{
    const sm_plan *p = job->plan;
    sm_worker_first(p, &s->worker);
    for (int a = 0; a < job->out->n_roots; a++)
        sm_worker_unrescued(p, &s->worker, a, s->unrescued + a * SM_LANES);
    const double *event = s->unrescued + job->out->now * SM_LANES;
    for (int source = 0; source < job->out->n_sources; source++)
        add_source(job, s, source, event, s->cell[source]);
    add_swaps(job, s);
    add_least(job, s);
    for (int i = 0; i < SM_LANES; i++)
        s->task_events += (int64_t)event[i];
}

/* 3. Tasks */

static void clear(const sm_cells *out, slot *s)
{
    memset(s->n, 0, all_cells(out) * sizeof *s->n);
    memset(s->events, 0, all_cells(out) * sizeof *s->events);
    memset(s->gained, 0, all_swaps(out) * sizeof *s->gained);
    memset(s->lost, 0, all_swaps(out) * sizeof *s->lost);
    s->task_events = 0;
    s->least = 0;
}

static void task_run(void *self, void *slot_, int64_t task)
{
    const cells_job *job = self;
    slot *s = slot_;
    clear(job->out, s);
    s->task = task;
    for (int64_t block = task * SM_TASK_BLOCKS; block < (task + 1) * SM_TASK_BLOCKS; block++) {
        sm_worker_draw(job->plan, &s->worker, SM_FOR_RUN, (uint32_t)block);
        for (int g = 0; g < GROUPS; g++) {
            sm_worker_point(&s->worker, g);
            add_group(job, s);
        }
    }
}

static sm_status task_create(void *self, void *slot_)
{
    const cells_job *job = self;
    slot *s = slot_;
    const size_t cells = all_cells(job->out) + 1, swaps = all_swaps(job->out) + 1;
    s->n = malloc(cells * sizeof *s->n);
    s->events = malloc(cells * sizeof *s->events);
    s->gained = malloc(swaps * sizeof *s->gained);
    s->lost = malloc(swaps * sizeof *s->lost);
    s->cell = malloc((size_t)job->out->n_sources * sizeof *s->cell);
    s->unrescued = malloc((size_t)job->out->n_roots * SM_LANES * sizeof *s->unrescued);
    bool made = s->n && s->events && s->gained && s->lost && s->cell && s->unrescued;
    return made ? sm_worker_create(job->plan, &s->worker) : SM_NO_MEMORY;
}

static void task_destroy(void *self, void *slot_)
{
    slot *s = slot_;
    (void)self;
    sm_worker_destroy(&s->worker);
    free(s->n);
    free(s->events);
    free(s->gained);
    free(s->lost);
    free(s->cell);
    free(s->unrescued);
}

static bool task_merge(void *self, const void *slot_)
{
    const cells_job *job = self;
    const slot *s = slot_;
    sm_cells *out = job->out;
    const int half = (int)(s->task % 2);
    for (size_t c = 0; c < all_cells(out); c++) {
        out->cell[c].n[half] += s->n[c];
        out->cell[c].events[half] += s->events[c];
    }
    for (size_t c = 0; c < all_swaps(out); c++) {
        out->swap[c].gained[half] += s->gained[c];
        out->swap[c].lost[half] += s->lost[c];
    }
    out->n += SM_TASK_TRIALS;
    out->events += s->task_events;
    out->least += s->least;
    return false;
}

/* 4. The job */

static bool interrupted(void *self)
{
    const sm_cells_request *request = ((cells_job *)self)->request;
    return request->interrupted && request->interrupted(request->self);
}

sm_status sm_cells_run(const sm_plan *p, const sm_cells_request *request, const sm_executor *executor, sm_cells *out)
{
    cells_job self = {.plan = p, .request = request, .out = out};
    sm_job job = {.self = &self,
                  .tasks = (request->trials + SM_TASK_TRIALS - 1) / SM_TASK_TRIALS,
                  .slot_size = sizeof(slot),
                  .create = task_create,
                  .run = task_run,
                  .merge = task_merge,
                  .destroy = task_destroy,
                  .interrupted = interrupted};
    job.tasks += job.tasks % 2;
    sm_status s = prepare(p, request, out);
    if (s == SM_OK)
        s = sm_job_run(&job, executor);
    if (s != SM_OK)
        sm_cells_destroy(out);
    return s;
}
