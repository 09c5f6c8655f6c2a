/* nested.c - what remains when some sources are known: trials within trials.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/nested.h"

#include <stdlib.h>
#include <string.h>

#include "engine/job.h"
#include "engine/weighted.h"

enum { GROUPS = SM_BLOCK / SM_LANES };

typedef struct {
    const sm_plan *plan;
    const sm_nested_request *request;
    sm_watch watch;
    sm_weighted cost;
} nested_job;

typedef struct {
    sm_worker worker;
    double *events, *weights; /* sums by half of the inner trials and trial of the block */
    sm_weighted cost;
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
    double event[SM_LANES], weight[SM_LANES];
    double *events = s->events + (inner % 2) * SM_BLOCK, *weights = s->weights + (inner % 2) * SM_BLOCK;
    for (int j = 0; j < p->sources.n_columns; j++)
        if (!q->known(q->self, &p->sources, j))
            sm_worker_redraw(p, &s->worker, j, SM_FOR_REDRAW, (uint32_t)(block * q->inner + inner));
    for (int g = 0; g < GROUPS; g++) {
        sm_worker_point(&s->worker, g);
        sm_evaluate_first(p, s->worker.column, &s->worker.at);
        sm_any_event(s->worker.at.side, p->root[0].n_sides, event);
        sm_evaluate_weights(p, 0, &s->worker.at, weight);
        for (int i = 0; i < SM_LANES; i++) {
            events[g * SM_LANES + i] += weight[i] * event[i];
            weights[g * SM_LANES + i] += weight[i];
        }
    }
}

static double share(double part, double whole)
{
    return whole > 0 ? part / whole : 0;
}

/* What is known weighs a trial: its inner trials' mean weight. */
static void add_block(slot *s, double q)
{
    const double *a = s->events, *b = a + SM_BLOCK, *wa = s->weights, *wb = wa + SM_BLOCK;
    double weight[SM_BLOCK], cost[SM_BLOCK];
    for (int i = 0; i < SM_BLOCK; i++) {
        weight[i] = wa[i] + wb[i];
        cost[i] = 2 * lesser(share(a[i] + b[i], weight[i]), q) -
                  (lesser(share(a[i], wa[i]), q) + lesser(share(b[i], wb[i]), q)) / 2;
    }
    sm_weighted_add(&s->cost, weight, cost, SM_BLOCK);
}

static bool task_run(void *self, void *slot_, int64_t block)
{
    const nested_job *job = self;
    slot *s = slot_;
    s->cost = (sm_weighted){0};
    memset(s->events, 0, 2 * SM_BLOCK * sizeof *s->events);
    memset(s->weights, 0, 2 * SM_BLOCK * sizeof *s->weights);
    sm_worker_draw(job->plan, &s->worker, SM_FOR_RUN, (uint32_t)block);
    for (int inner = 0; inner < job->request->inner; inner++) {
        if (sm_watch_interrupted(job->watch))
            return false;
        add_inner(job, s, block, inner);
    }
    add_block(s, job->request->q);
    return true;
}

static sm_status task_create(void *self, void *slot_)
{
    const nested_job *job = self;
    slot *s = slot_;
    s->events = malloc(2 * SM_BLOCK * sizeof *s->events);
    s->weights = malloc(2 * SM_BLOCK * sizeof *s->weights);
    return s->events && s->weights ? sm_worker_create(job->plan, &s->worker) : SM_NO_MEMORY;
}

static void task_destroy(void *self, void *slot_)
{
    slot *s = slot_;
    (void)self;
    sm_worker_destroy(&s->worker);
    free(s->events);
    free(s->weights);
}

static bool task_merge(void *self, const void *slot_)
{
    nested_job *job = self;
    const slot *s = slot_;
    sm_weighted_merge(&job->cost, &s->cost);
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
    *expected_cost = sm_weighted_mean(&self.cost);
    return SM_OK;
}
