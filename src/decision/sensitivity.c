/* sensitivity.c - how much of each output's variance, and of the event's, each source carries.
 *
 * Contents: 1. groups of columns  2. sums of a batch  3. one group of trials  4. the job  5. results
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/sensitivity.h"

#include <stdlib.h>
#include <string.h>

#include "decision/two_samples.h"
#include "decision/weighted_shares.h"
#include "engine/job.h"

/* 1. Groups of columns */

/* Whether redrawing `source` redraws column j. Beyond the last source stands the group of all deployment sources. */
static bool redraws(const sm_sources *s, int source, int j)
{
    int of = s->column[j].source;
    return source < s->n_sources ? of == source : !s->source[of].reducible;
}

/* The side whose outputs alone a group can move, or SM_SHARED. */
static int side_of(const sm_sources *s, int source)
{
    return source < s->n_sources ? s->source[source].side : SM_SHARED;
}

/* 2. Sums of a batch */

/* event and output sums by group; moments of what they are compared with. */
typedef struct {
    sm_sobol_sums *event, *output;
    sm_moments event_f, *output_f;
} batch_sums;

typedef struct {
    const sm_plan *plan;
    int groups, n_sides;
    int *first_output; /* where a group's outputs start in batch_sums.output; one more at the end */
    int64_t blocks;    /* a batch */
    sm_watch watch;
    batch_sums batch[SM_BATCHES];
} sensitivity_job;

static void sums_destroy(batch_sums *b)
{
    free(b->event);
    free(b->output);
    free(b->output_f);
    *b = (batch_sums){0};
}

static sm_status sums_create(const sensitivity_job *job, batch_sums *b)
{
    b->event = calloc((size_t)job->groups, sizeof *b->event);
    b->output = calloc((size_t)job->first_output[job->groups] + 1, sizeof *b->output);
    b->output_f = calloc((size_t)job->n_sides * SM_OUTPUTS, sizeof *b->output_f);
    return b->event && b->output && b->output_f ? SM_OK : SM_NO_MEMORY;
}

static void sums_empty(const sensitivity_job *job, batch_sums *b)
{
    memset(b->event, 0, (size_t)job->groups * sizeof *b->event);
    memset(b->output, 0, (size_t)job->first_output[job->groups] * sizeof *b->output);
    memset(b->output_f, 0, (size_t)job->n_sides * SM_OUTPUTS * sizeof *b->output_f);
    b->event_f = (sm_moments){0};
}

static void sums_copy(const sensitivity_job *job, const batch_sums *from, batch_sums *to)
{
    memcpy(to->event, from->event, (size_t)job->groups * sizeof *to->event);
    memcpy(to->output, from->output, (size_t)job->first_output[job->groups] * sizeof *to->output);
    memcpy(to->output_f, from->output_f, (size_t)job->n_sides * SM_OUTPUTS * sizeof *to->output_f);
    to->event_f = from->event_f;
}

/* 3. One group of trials */

typedef struct {
    sm_two_samples two; /* redrawn: a group of columns */
    double event_A[SM_LANES], event_B[SM_LANES], event_AB[SM_LANES];
    double sides_A[SM_LANES]; /* on how many sides A has an event */
    batch_sums sums;
} slot;

static void evaluate(const sensitivity_job *job, const double *const *column, sm_places *at, double *event)
{
    sm_evaluate_first(job->plan, column, at);
    sm_any_event(at->side, job->n_sides, event);
}

static void add_reference(const sensitivity_job *job, slot *s)
{
    sm_moments_add(&s->sums.event_f, s->event_A, SM_LANES);
    sm_moments_add(&s->sums.event_f, s->event_B, SM_LANES);
    for (int k = 0; k < job->n_sides; k++)
        for (int o = 0; o < SM_OUTPUTS; o++) {
            sm_moments_add(&s->sums.output_f[k * SM_OUTPUTS + o], s->two.A.at.side[k].y[o], SM_LANES);
            sm_moments_add(&s->sums.output_f[k * SM_OUTPUTS + o], s->two.B.at.side[k].y[o], SM_LANES);
        }
}

/* On how many sides of sample A there is an event. */
static void count_sides(const sensitivity_job *job, slot *s)
{
    memset(s->sides_A, 0, sizeof s->sides_A);
    for (int k = 0; k < job->n_sides; k++)
        for (int i = 0; i < SM_LANES; i++)
            s->sides_A[i] += s->two.A.at.side[k].event[i];
}

/* The patient event when only side k's outcome is replaced. */
static void event_with_side(slot *s, int k)
{
    const sm_side_out *old = &s->two.A.at.side[k], *new = &s->two.redrawn.side[k];
    for (int i = 0; i < SM_LANES; i++) {
        double others = s->sides_A[i] - old->event[i];
        s->event_AB[i] = others + new->event[i] > 0 ? 1 : 0;
    }
}

/* Only side k is redrawn: what all sides share is A's. */
static void redraw_side(const sensitivity_job *job, int k, slot *s)
{
    sm_places at = s->two.redrawn;
    at.scan = s->two.A.at.scan;
    at.frame = s->two.A.at.frame;
    at.tube = s->two.A.at.tube;
    sm_evaluate_side(job->plan, 0, k, s->two.column, &at);
    event_with_side(s, k);
}

static void redraw_shared(const sensitivity_job *job, unsigned feeds, slot *s)
{
    sm_evaluate_moved(job->plan, feeds, s->two.column, &s->two.A.at, &s->two.redrawn);
    sm_any_event(s->two.redrawn.side, job->n_sides, s->event_AB);
}

/* What the columns of a group feed; *any: whether it has one. */
static unsigned point_redrawn(const sm_sources *sources, int group, slot *s, bool *any)
{
    unsigned feeds = 0;
    *any = false;
    for (int j = 0; j < sources->n_columns; j++) {
        const bool redrawn = redraws(sources, group, j);
        s->two.column[j] = redrawn ? s->two.B.column[j] : s->two.A.column[j];
        feeds |= redrawn ? sources->column[j].feeds : 0;
        *any = *any || redrawn;
    }
    return feeds;
}

static void add_group(const sensitivity_job *job, int group, slot *s)
{
    const sm_sources *sources = &job->plan->sources;
    const int side = side_of(sources, group);
    bool any;
    const unsigned feeds = point_redrawn(sources, group, s, &any);
    if (!any)
        return;
    if (side == SM_SHARED)
        redraw_shared(job, feeds, s);
    else
        redraw_side(job, side, s);
    sm_sobol_add(&s->sums.event[group], s->event_A, s->event_B, s->event_AB, SM_LANES);
    sm_sobol_sums *out = &s->sums.output[job->first_output[group]];
    for (int k = side == SM_SHARED ? 0 : side; k < (side == SM_SHARED ? job->n_sides : side + 1); k++)
        for (int o = 0; o < SM_OUTPUTS && group < sources->n_sources; o++)
            sm_sobol_add(out++, s->two.A.at.side[k].y[o], s->two.B.at.side[k].y[o], s->two.redrawn.side[k].y[o],
                         SM_LANES);
}

static void run_group(const void *job_, void *slot_)
{
    const sensitivity_job *job = job_;
    slot *s = slot_;
    evaluate(job, s->two.A.column, &s->two.A.at, s->event_A);
    evaluate(job, s->two.B.column, &s->two.B.at, s->event_B);
    add_reference(job, s);
    count_sides(job, s);
    for (int group = 0; group < job->groups; group++)
        add_group(job, group, s);
}

/* 4. The job */

static bool task_run(void *self, void *slot_, int64_t task)
{
    const sensitivity_job *job = self;
    slot *s = slot_;
    sums_empty(job, &s->sums);
    return sm_two_samples_each(job->plan, &s->two, task, job->blocks, job->watch, run_group, job, s);
}

static sm_status task_create(void *self, void *slot_)
{
    const sensitivity_job *job = self;
    slot *s = slot_;
    const sm_status status = sm_two_samples_create(job->plan, &s->two);
    return status == SM_OK ? sums_create(job, &s->sums) : status;
}

static void task_destroy(void *self, void *slot_)
{
    slot *s = slot_;
    (void)self;
    sm_two_samples_destroy(&s->two);
    sums_destroy(&s->sums);
}

static bool task_merge(void *self, const void *slot_)
{
    sensitivity_job *job = self;
    const slot *s = slot_;
    int b = 0;
    while (job->batch[b].event_f.n > 0) /* merged in order: the next empty batch is this task's */
        b++;
    sums_copy(job, &s->sums, &job->batch[b]);
    return false;
}

/* 5. Results */

static sm_sobol indices_of(const sensitivity_job *job, int group, int output)
{
    sm_sobol_sums sums[SM_BATCHES];
    sm_moments f[SM_BATCHES];
    const int side = side_of(&job->plan->sources, group);
    const int reference = output + (side == SM_SHARED ? 0 : side * SM_OUTPUTS);
    for (int b = 0; b < SM_BATCHES; b++) {
        sums[b] = output < 0 ? job->batch[b].event[group] : job->batch[b].output[job->first_output[group] + output];
        f[b] = output < 0 ? job->batch[b].event_f : job->batch[b].output_f[reference];
    }
    return sm_sobol_of(sums, f);
}

/* The mean of (f_A - f_AB)^2/2 with every deployment source redrawn. */
static sm_estimate remaining_variance(const sensitivity_job *job)
{
    double sum = 0, n = 0, left_out[SM_BATCHES];
    for (int b = 0; b < SM_BATCHES; b++) {
        sum += job->batch[b].event[job->groups - 1].square;
        n += (double)job->batch[b].event_f.n / 2;
    }
    for (int b = 0; b < SM_BATCHES; b++)
        left_out[b] = (sum - job->batch[b].event[job->groups - 1].square) / (n - (double)job->batch[b].event_f.n / 2);
    return (sm_estimate){sum / n, sm_jackknife_error(left_out)};
}

static sm_status fill(const sensitivity_job *job, sm_sensitivity *out)
{
    out->n_sources = job->groups - 1;
    out->share = calloc((size_t)out->n_sources, sizeof *out->share);
    if (!out->share)
        return SM_NO_MEMORY;
    out->irreducible_variance = remaining_variance(job);
    for (int i = 0; i < out->n_sources; i++) {
        sm_share *share = &out->share[i];
        share->n_outputs = job->first_output[i + 1] - job->first_output[i];
        share->output = calloc((size_t)share->n_outputs, sizeof *share->output);
        if (!share->output)
            return SM_NO_MEMORY;
        share->event = indices_of(job, i, -1);
        for (int o = 0; o < share->n_outputs; o++)
            share->output[o] = indices_of(job, i, o);
    }
    return SM_OK;
}

static sm_status prepare(sensitivity_job *job)
{
    const sm_sources *sources = &job->plan->sources;
    job->first_output = calloc((size_t)job->groups + 1, sizeof *job->first_output);
    if (!job->first_output)
        return SM_NO_MEMORY;
    for (int g = 0; g < job->groups; g++) {
        int sides = g == sources->n_sources ? 0 : side_of(sources, g) == SM_SHARED ? job->n_sides : 1;
        job->first_output[g + 1] = job->first_output[g] + sides * SM_OUTPUTS;
    }
    for (int b = 0; b < SM_BATCHES; b++)
        if (sums_create(job, &job->batch[b]) != SM_OK)
            return SM_NO_MEMORY;
    return SM_OK;
}

const sm_estimate *sm_share_rank(const sm_share *s)
{
    return s->first_only ? &s->event.first : &s->event.total;
}

/* What is left of it where second looks weigh the trials. */
static sm_status run_weighted(const sm_plan *p, sm_run_context context, sm_sensitivity *out)
{
    const size_t n = (size_t)p->n_own_sources;
    sm_estimate *first = calloc(n, sizeof *first);
    out->share = calloc(n, sizeof *out->share);
    out->n_sources = (int)n;
    sm_status s =
        first && out->share ? sm_weighted_shares_run(p, context, first, &out->irreducible_variance) : SM_NO_MEMORY;
    for (size_t i = 0; s == SM_OK && i < n; i++)
        out->share[i] = (sm_share){.event.first = first[i], .first_only = true};
    free(first);
    if (s != SM_OK)
        sm_sensitivity_destroy(out);
    return s;
}

static sm_status run_plain(const sm_plan *p, sm_run_context context, sm_sensitivity *out)
{
    const int64_t per_batch = SM_BLOCK * (int64_t)SM_BATCHES;
    sensitivity_job self = {.plan = p,
                            .watch = context.watch,
                            .groups = p->sources.n_sources + 1,
                            .n_sides = p->root[0].n_sides,
                            .blocks = (context.trials + per_batch - 1) / per_batch};
    sm_job job = {.self = &self,
                  .tasks = SM_BATCHES,
                  .slot_size = sizeof(slot),
                  .create = task_create,
                  .run = task_run,
                  .merge = task_merge,
                  .destroy = task_destroy};
    sm_status s = prepare(&self);
    if (s == SM_OK)
        s = sm_job_run(&job, context);
    if (s == SM_OK)
        s = fill(&self, out);
    if (s != SM_OK)
        sm_sensitivity_destroy(out);
    for (int b = 0; b < SM_BATCHES; b++)
        sums_destroy(&self.batch[b]);
    free(self.first_output);
    return s;
}

sm_status sm_sensitivity_run(const sm_plan *p, sm_run_context context, sm_sensitivity *out)
{
    *out = (sm_sensitivity){0};
    return (sm_plan_weighs_first(p) ? run_weighted : run_plain)(p, context, out);
}

void sm_sensitivity_destroy(sm_sensitivity *s)
{
    for (int i = 0; s->share && i < s->n_sources; i++)
        free(s->share[i].output);
    free(s->share);
    *s = (sm_sensitivity){0};
}
