/* nested.c - what remains when some sources are known: trials within trials.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/nested.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "engine/job.h"

enum { GROUPS = SM_BLOCK / SM_LANES };

typedef struct {
    const sm_plan *plan;
    const sm_nested_request *request;
    sm_watch watch;
    double n, sum, sum_sq;
} nested_job;

typedef struct {
    sm_worker worker;
    double *events; /* by half of the inner trials and trial of the block */
    double sum, sum_sq;
} slot;

static double lesser(double a, double b)
{
    return a < b ? a : b;
}

/* Inner trial `inner` of a block: what is not known is drawn again from a stream place of its own. */
static void add_inner(const nested_job *job, slot *s, int64_t block, int inner)
{
    const sm_plan *p = job->plan;
    const sm_nested_request *q = job->request;
    double event[SM_LANES], *counts = s->events + (inner % 2) * SM_BLOCK;
    for (int j = 0; j < p->sources.n_columns; j++)
        if (!q->known(q->self, &p->sources, j))
            sm_worker_redraw(p, &s->worker, j, SM_FOR_REDRAW, (uint32_t)(block * q->inner + inner));
    for (int g = 0; g < GROUPS; g++) {
        sm_worker_point(&s->worker, g);
        sm_evaluate_first(p, s->worker.column, &s->worker.at);
        sm_any_event(s->worker.at.side, p->root[0].n_sides, event);
        for (int i = 0; i < SM_LANES; i++)
            counts[g * SM_LANES + i] += event[i];
    }
}

static void add_block(slot *s, int inner, double q)
{
    const double *a = s->events, *b = s->events + SM_BLOCK, half = inner / 2.0;
    for (int i = 0; i < SM_BLOCK; i++) {
        double cost = 2 * lesser((a[i] + b[i]) / (2 * half), q) - (lesser(a[i] / half, q) + lesser(b[i] / half, q)) / 2;
        s->sum += cost;
        s->sum_sq += cost * cost;
    }
}

static bool task_run(void *self, void *slot_, int64_t block)
{
    const nested_job *job = self;
    slot *s = slot_;
    s->sum = s->sum_sq = 0;
    memset(s->events, 0, 2 * SM_BLOCK * sizeof *s->events);
    sm_worker_draw(job->plan, &s->worker, SM_FOR_RUN, (uint32_t)block);
    for (int inner = 0; inner < job->request->inner; inner++) {
        if (sm_watch_interrupted(job->watch))
            return false;
        add_inner(job, s, block, inner);
    }
    add_block(s, job->request->inner, job->request->q);
    return true;
}

static sm_status task_create(void *self, void *slot_)
{
    const nested_job *job = self;
    slot *s = slot_;
    s->events = malloc(2 * SM_BLOCK * sizeof *s->events);
    return s->events ? sm_worker_create(job->plan, &s->worker) : SM_NO_MEMORY;
}

static void task_destroy(void *self, void *slot_)
{
    slot *s = slot_;
    (void)self;
    sm_worker_destroy(&s->worker);
    free(s->events);
}

static bool task_merge(void *self, const void *slot_)
{
    nested_job *job = self;
    const slot *s = slot_;
    job->n += SM_BLOCK;
    job->sum += s->sum;
    job->sum_sq += s->sum_sq;
    return false;
}

sm_status sm_nested_run(const sm_plan *p, const sm_nested_request *request, sm_run_context context,
                        sm_estimate *expected_cost)
{
    nested_job self = {.plan = p, .request = request, .watch = context.watch};
    sm_job job = {.self = &self,
                  .tasks = (context.trials + SM_BLOCK - 1) / SM_BLOCK,
                  .slot_size = sizeof(slot),
                  .create = task_create,
                  .run = task_run,
                  .merge = task_merge,
                  .destroy = task_destroy};
    sm_status s = sm_job_run(&job, context);
    if (s != SM_OK)
        return s;
    double mean = self.sum / self.n;
    *expected_cost = (sm_estimate){mean, sqrt(fmax(0, self.sum_sq / self.n - mean * mean) / self.n)};
    return SM_OK;
}
