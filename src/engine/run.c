/* run.c - Monte Carlo over the roots of a plan.
 *
 * Contents: 1. what is gathered  2. where the outputs lie (a short pilot)  3. one group of trials  4. tasks
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/run.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "engine/job.h"

enum { GROUPS = SM_BLOCK / SM_LANES, RANGE_BLOCKS = 4 };

/* 1. What is gathered */

static sm_status tally_create(int n_sides, sm_tally *t)
{
    *t = (sm_tally){.side = calloc((size_t)n_sides, sizeof *t->side)};
    return t->side ? SM_OK : SM_NO_MEMORY;
}

static void tallies_destroy(sm_tally *tally, int n_roots)
{
    for (int r = 0; tally && r < n_roots; r++)
        free(tally[r].side);
    free(tally);
}

static sm_status tallies_create(int n_roots, int n_sides, sm_tally **out)
{
    *out = calloc((size_t)n_roots, sizeof **out);
    sm_status s = *out ? SM_OK : SM_NO_MEMORY;
    for (int r = 0; s == SM_OK && r < n_roots; r++)
        s = tally_create(n_sides, &(*out)[r]);
    return s;
}

static void tallies_clear(sm_tally *tally, int n_roots, int n_sides)
{
    for (int r = 0; r < n_roots; r++) {
        sm_counts *side = tally[r].side;
        memset(side, 0, (size_t)n_sides * sizeof *side);
        tally[r] = (sm_tally){.side = side};
    }
}

void sm_gathered_destroy(sm_gathered *g)
{
    tallies_destroy(g->tally, g->n_roots);
    free(g->spread);
    free(g->crossing);
    sm_pairs_destroy(&g->pairs);
    *g = (sm_gathered){0};
}

static sm_status gathered_allocate(int n_roots, int n_sides, int n_spreads, sm_gathered *g)
{
    *g = (sm_gathered){.n_roots = n_roots, .n_sides = n_sides, .n_spreads = n_spreads};
    g->spread = calloc((size_t)n_spreads + 1, sizeof *g->spread);
    g->crossing = calloc((size_t)n_spreads + 1, sizeof *g->crossing);
    sm_status s = tallies_create(n_roots, n_sides, &g->tally);
    if (s == SM_OK && g->spread && g->crossing)
        return SM_OK;
    sm_gathered_destroy(g);
    return SM_NO_MEMORY;
}

static void counts_add(sm_counts *c, const sm_counts *other)
{
    c->event += other->event;
    for (int g = 0; g < SM_GAPS; g++)
        c->crossed[g] += other->crossed[g];
}

static void tally_merge(sm_tally *t, const sm_tally *other, int n_sides)
{
    counts_add(&t->patient, &other->patient);
    t->unrescued += other->unrescued;
    t->gained += other->gained;
    t->lost += other->lost;
    t->unrescued_gained += other->unrescued_gained;
    t->unrescued_lost += other->unrescued_lost;
    for (int k = 0; k < n_sides; k++)
        counts_add(&t->side[k], &other->side[k]);
}

/* What one task gathers for a sm_gathered. */
typedef struct {
    int64_t n;
    sm_weighted in_population;
    int n_spreads;
    sm_tally *tally;
    sm_spread_part (*spread)[SM_OUTPUTS];
    sm_spread_part (*crossing)[SM_GAPS];
    sm_pairs pairs;
    void *observed; /* the observer's; NULL if there is none */
} task_part;

_Static_assert(SM_TASK_TRIALS <= SM_PART_NUMBERS, "a task's bins hold its trials");

static sm_status part_create(const sm_gathered *of, task_part *p)
{
    p->n_spreads = of->n_spreads;
    p->spread = malloc(((size_t)of->n_spreads + 1) * sizeof *p->spread);
    p->crossing = malloc(((size_t)of->n_spreads + 1) * sizeof *p->crossing);
    sm_status s = tallies_create(of->n_roots, of->n_sides, &p->tally);
    if (s == SM_OK)
        s = sm_pairs_create(of->pairs.n, &p->pairs);
    if (s == SM_OK && of->observer) {
        p->observed = calloc(1, of->observer->part_size);
        s = p->observed ? of->observer->create(of->observer->self, p->observed) : SM_NO_MEMORY;
    }
    return p->spread && p->crossing ? s : SM_NO_MEMORY;
}

static void part_destroy(const sm_gathered *of, task_part *p)
{
    tallies_destroy(p->tally, of->n_roots);
    sm_pairs_destroy(&p->pairs);
    if (p->observed)
        of->observer->destroy(of->observer->self, p->observed);
    free(p->observed);
    free(p->spread);
    free(p->crossing);
}

static void part_empty(const sm_gathered *of, task_part *p)
{
    p->n = 0;
    p->in_population = (sm_weighted){0};
    sm_pairs_clear(&p->pairs);
    if (p->observed)
        of->observer->empty(of->observer->self, p->observed);
    tallies_clear(p->tally, of->n_roots, of->n_sides);
    for (int k = 0; k < of->n_spreads; k++) {
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_part_init(&p->spread[k][o], &of->spread[k][o]);
        for (int l = 0; l < SM_GAPS; l++)
            sm_spread_part_init(&p->crossing[k][l], &of->crossing[k][l]);
    }
}

static void take(sm_gathered *g, const task_part *p)
{
    g->n += p->n;
    sm_weighted_merge(&g->in_population, &p->in_population);
    sm_pairs_merge(&g->pairs, &p->pairs);
    if (p->observed)
        g->observer->merge(g->observer->self, p->observed);
    for (int r = 0; r < g->n_roots; r++)
        tally_merge(&g->tally[r], &p->tally[r], g->n_sides);
    for (int k = 0; k < g->n_spreads; k++) {
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_take(&g->spread[k][o], &p->spread[k][o]);
        for (int l = 0; l < SM_GAPS; l++)
            sm_spread_take(&g->crossing[k][l], &p->crossing[k][l]);
    }
}

static void gathered_clear(sm_gathered *g)
{
    g->n = 0;
    g->in_population = (sm_weighted){0};
    sm_pairs_clear(&g->pairs);
    tallies_clear(g->tally, g->n_roots, g->n_sides);
    for (int k = 0; k < g->n_spreads; k++) {
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_clear(&g->spread[k][o]);
        for (int l = 0; l < SM_GAPS; l++)
            sm_spread_clear(&g->crossing[k][l]);
    }
}

/* 2. Where the outputs lie */

static void range_group(const sm_plan *p, sm_worker *w, sm_moments (*moments)[SM_OUTPUTS])
{
    sm_evaluate_first(p, w->column, &w->at);
    for (int k = 0; k < p->root[0].n_sides; k++)
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_moments_add(&moments[k][o], w->at.side[k].y[o], SM_LANES);
}

/* Sets the ranges of the histograms from 4,096 trials on streams of their own. */
static sm_status find_ranges(const sm_plan *p, sm_gathered *g)
{
    sm_worker w = {0};
    sm_moments(*moments)[SM_OUTPUTS] = calloc((size_t)g->n_sides, sizeof *moments);
    sm_status s = moments ? sm_worker_create(p, &w) : SM_NO_MEMORY;
    for (uint32_t block = 0; s == SM_OK && block < RANGE_BLOCKS; block++) {
        sm_worker_draw(p, &w, SM_FOR_RANGE, block);
        for (int group = 0; group < GROUPS; group++) {
            sm_worker_point(&w, group);
            range_group(p, &w, moments);
        }
    }
    for (int k = 0; s == SM_OK && k < g->n_sides; k++)
        for (int o = 0; o < SM_OUTPUTS; o++)
            sm_spread_init(&g->spread[k][o], moments[k][o].mean, sm_moments_sd(&moments[k][o]));
    for (int k = 0; s == SM_OK && k < g->n_sides; k++)
        for (int gap = 0; gap < SM_GAPS; gap++)
            g->crossing[k][gap] = g->spread[k][sm_gaps[gap].clearance];
    sm_worker_destroy(&w);
    free(moments);
    return s;
}

sm_status sm_gathered_create(const sm_plan *p, sm_gathered *g)
{
    const int n_sides = (int)p->c->n_coronaries;
    sm_status s = gathered_allocate(p->n_roots, n_sides, n_sides, g);
    if (s == SM_OK)
        s = find_ranges(p, g);
    if (s != SM_OK)
        sm_gathered_destroy(g);
    return s;
}

sm_status sm_gathered_create_counts(const sm_plan *p, int n_roots, sm_gathered *g)
{
    return gathered_allocate(n_roots, (int)p->c->n_coronaries, 0, g);
}

/* 3. One group of trials */

/* On how many sides of one root something happens, for each trial. */
typedef struct {
    double event[SM_LANES], crossed[SM_GAPS][SM_LANES], unrescued[SM_LANES];
} side_counts;

/* In how many of the first n trials a flag or a number of sides is above 0. Eight sums side by side, which the compiler
 * can then keep in vectors; sums of 0 and 1 are exact in any order. */
SM_WIDE static int64_t total(const double *sides, int n)
{
    enum { WIDE = 8 };
    double part[WIDE] = {0}, sum = 0;
    int i = 0;
    for (; i + WIDE <= n; i += WIDE)
        for (int j = 0; j < WIDE; j++)
            part[j] += sides[i + j] > 0 ? 1 : 0;
    for (; i < n; i++)
        sum += sides[i] > 0 ? 1 : 0;
    for (int j = 0; j < WIDE; j++)
        sum += part[j];
    return (int64_t)sum;
}

/* Adds a side's crossings to the numbers of sides (times 1) or takes them off (times -1). */
SM_WIDE static void count_side(const sm_side_out *out, double times, side_counts *f)
{
    for (int i = 0; i < SM_LANES; i++) {
        f->crossed[SM_GAP_OSTIUM][i] += times * out->crowded[i];
        f->crossed[SM_GAP_STJ][i] += times * out->sealed[i];
        f->event[i] += times * out->event[i];
    }
}

static void tally_side(const sm_side_out *out, int n, sm_counts *counts)
{
    counts->event += total(out->event, n);
    for (int g = 0; g < SM_GAPS; g++)
        counts->crossed[g] += total(out->crossed[g], n);
}

SM_WIDE static void count_unrescued(const sm_root *r, int k, const sm_worker *w, const sm_side_out *out, side_counts *f)
{
    double saved[SM_LANES];
    sm_chance_draw(&r->side[k].rescue, w->column, saved);
    for (int i = 0; i < SM_LANES; i++)
        f->unrescued[i] += out->event[i] * (1 - saved[i]);
}

SM_WIDE static void add_pairs(const double *here, const double *first, int n, int64_t *gained, int64_t *lost)
{
    double more[SM_LANES], less[SM_LANES];
    for (int i = 0; i < SM_LANES; i++) {
        more[i] = ((here[i] > 0) & (first[i] <= 0)) ? 1 : 0;
        less[i] = ((here[i] <= 0) & (first[i] > 0)) ? 1 : 0;
    }
    *gained += total(more, n);
    *lost += total(less, n);
}

static void tally_patient(const side_counts *f, const side_counts *first, int n, sm_tally *t)
{
    t->patient.event += total(f->event, n);
    for (int g = 0; g < SM_GAPS; g++)
        t->patient.crossed[g] += total(f->crossed[g], n);
    t->unrescued += total(f->unrescued, n);
    add_pairs(f->event, first->event, n, &t->gained, &t->lost);
    add_pairs(f->unrescued, first->unrescued, n, &t->unrescued_gained, &t->unrescued_lost);
}

/* Adds the values of those trials whose flag is set. */
static void add_flagged(sm_spread_part *s, const double *y, const double *flag, int n)
{
    double set[SM_LANES];
    int m = 0;
    for (int i = 0; i < n; i++)
        if (flag[i] > 0)
            set[m++] = y[i];
    sm_spread_part_add(s, set, m);
}

static void add_spreads(const sm_side_out *out, int n, sm_spread_part spread[SM_OUTPUTS],
                        sm_spread_part crossing[SM_GAPS])
{
    for (int o = 0; o < SM_OUTPUTS; o++)
        sm_spread_part_add(&spread[o], out->y[o], n);
    for (int g = 0; g < SM_GAPS; g++)
        add_flagged(&crossing[g], out->y[sm_gaps[g].clearance], out->crossed[g], n);
}

/* (7.1) for a normal population, but for a constant factor: its logarithms add up. */
SM_WIDE static void add_squares(const double *x, const sm_dist *d, double *squares)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double z = (x[i] - d->p[0]) / d->p[1];
        squares[i] += z * z;
    }
}

/* (7.1): how common the true conventional ostium gaps of all sides are, taken together. */
static void weigh_group(const sm_dist *population, const sm_worker *w, int n_sides, double *weight)
{
    double squares[SM_LANES] = {0};
    for (int i = 0; i < SM_LANES; i++)
        weight[i] = 1;
    for (int k = 0; k < n_sides; k++) {
        const double *gap = w->at.side[k].y[SM_CONVENTIONAL_OSTIUM];
        if (population->family == SM_NORMAL)
            add_squares(gap, population, squares);
        else
            for (int i = 0; i < SM_LANES; i++)
                weight[i] *= sm_dist_density(population, gap[i]);
    }
    for (int i = 0; i < SM_LANES; i++)
        weight[i] *= exp(-squares[i] / 2);
}

static void add_in_population(const sm_plan *p, const sm_worker *w, int n, const side_counts *f, sm_weighted *sum)
{
    double weight[SM_LANES], event[SM_LANES];
    weigh_group(&p->c->population.ostium_gap_mm, w, p->root[0].n_sides, weight);
    for (int i = 0; i < n; i++) {
        event[i] = f->event[i] > 0 ? 1 : 0;
        weight[i] = weight[i] > 0 ? weight[i] : 0; /* what is not a number has no weight */
    }
    sm_weighted_add(sum, weight, event, n);
}

/* root[0] is evaluated once, before all others. */
static void group_first(const sm_plan *p, sm_worker *w, int n, side_counts *f, task_part *g)
{
    memset(f, 0, sizeof *f);
    sm_evaluate_first(p, w->column, &w->at);
    for (int k = 0; k < p->root[0].n_sides; k++) {
        if (k < g->n_spreads)
            add_spreads(&w->at.side[k], n, g->spread[k], g->crossing[k]);
        count_side(&w->at.side[k], 1, f);
        tally_side(&w->at.side[k], n, &g->tally[0].side[k]);
    }
    memcpy(f->unrescued, f->event, sizeof f->unrescued);
    tally_patient(f, f, n, &g->tally[0]);
    if (g->n_spreads > 0)
        add_in_population(p, w, n, f, &g->in_population);
}

/* The sides that differ from root[0] take the place of root[0]'s. The tallies of the others are root[0]'s too:
 * share_tallies copies them at the end. */
static void group_root(const sm_plan *p, int index, sm_worker *w, int n, const side_counts *first, side_counts *f,
                       sm_tally *t)
{
    const sm_root *r = &p->root[index];
    *f = *first;
    memset(f->unrescued, 0, sizeof f->unrescued);
    sm_evaluate_shared(p, index, w->column, &w->at);
    for (int k = 0; k < r->n_sides; k++) {
        const sm_side_out *out = sm_evaluate_side(p, index, k, w->column, &w->at);
        if (out != &w->at.side[k]) {
            count_side(&w->at.side[k], -1, f);
            count_side(out, 1, f);
            tally_side(out, n, &t->side[k]);
        }
        if (r->rescues)
            count_unrescued(r, k, w, out, f);
    }
    if (!r->rescues)
        memcpy(f->unrescued, f->event, sizeof f->unrescued);
    tally_patient(f, first, n, t);
}

/* Of how many roots the unrescued events are asked for. */
static int paired(const sm_gathered *of)
{
    const int looked_at = of->observer ? of->observer->n_roots : 0;
    return of->pairs.n > looked_at ? of->pairs.n : looked_at;
}

static void run_group(const sm_plan *p, sm_worker *w, int n, const sm_gathered *of, task_part *g)
{
    side_counts first, f;
    sm_mask unrescued[SM_MAX_PAIRED];
    const int n_paired = paired(of);
    group_first(p, w, n, &first, g);
    if (n_paired > 0)
        unrescued[0] = sm_mask_of(first.unrescued, n);
    for (int index = 1; index < of->n_roots; index++) {
        group_root(p, index, w, n, &first, &f, &g->tally[index]);
        if (index < n_paired)
            unrescued[index] = sm_mask_of(f.unrescued, n);
    }
    sm_pairs_add(&g->pairs, unrescued);
    if (g->observed)
        of->observer->look(of->observer->self, g->observed, w, unrescued, n);
    g->n += n;
}

static void share_tallies(const sm_plan *p, sm_gathered *g)
{
    for (int index = 1; index < g->n_roots; index++)
        for (int k = 0; k < g->n_sides; k++)
            if (p->parts[index].side[k].outputs.owner == 0)
                g->tally[index].side[k] = g->tally[0].side[k];
}

/* 4. Tasks */

typedef struct {
    sm_worker worker;
    task_part part;
} slot;

typedef struct {
    const sm_plan *plan;
    sm_run_context context;
    sm_gathered *out;
} run_job;

/* False if it was interrupted; at least one group is gathered. */
static bool run_block(const run_job *job, slot *s, uint32_t block, int64_t left)
{
    const sm_plan *p = job->plan;
    if (left <= 0)
        return true;
    sm_worker_draw(p, &s->worker, SM_FOR_RUN, block);
    for (int g = 0; g < GROUPS && left > 0; g++) {
        int n = left < SM_LANES ? (int)left : SM_LANES;
        sm_worker_point(&s->worker, g);
        run_group(p, &s->worker, n, job->out, &s->part);
        left -= n;
        if (left > 0 && sm_watch_interrupted(job->context.watch))
            return false;
    }
    return true;
}

static bool task_run(void *self, void *slot_, int64_t task)
{
    const run_job *job = self;
    slot *s = slot_;
    const int64_t first = task * SM_TASK_BLOCKS;
    part_empty(job->out, &s->part);
    for (int64_t block = first; block < first + SM_TASK_BLOCKS; block++)
        if (!run_block(job, s, (uint32_t)block, job->context.trials - block * SM_BLOCK))
            return false;
    return true;
}

static sm_status task_create(void *self, void *slot_)
{
    const run_job *job = self;
    slot *s = slot_;
    sm_status status = part_create(job->out, &s->part);
    return status == SM_OK ? sm_worker_create(job->plan, &s->worker) : status;
}

static void task_destroy(void *self, void *slot_)
{
    const run_job *job = self;
    slot *s = slot_;
    sm_worker_destroy(&s->worker);
    part_destroy(job->out, &s->part);
}

static bool task_merge(void *self, const void *slot_)
{
    const run_job *job = self;
    const sm_watch *watch = &job->context.watch;
    const slot *s = slot_;
    take(job->out, &s->part);
    return watch->enough && watch->enough(watch->self, job->out);
}

static void wave_done(void *self)
{
    const run_job *job = self;
    const sm_watch *watch = &job->context.watch;
    if (watch->progress)
        watch->progress(watch->self, job->out, job->context.trials);
}

sm_status sm_run(const sm_plan *p, sm_run_context context, sm_gathered *out)
{
    run_job self = {.plan = p, .context = context, .out = out};
    sm_job job = {.self = &self,
                  .tasks = (context.trials + SM_TASK_TRIALS - 1) / SM_TASK_TRIALS,
                  .slot_size = sizeof(slot),
                  .create = task_create,
                  .run = task_run,
                  .merge = task_merge,
                  .destroy = task_destroy,
                  .between = wave_done};
    gathered_clear(out);
    sm_status s = sm_job_run(&job, context);
    share_tallies(p, out);
    return s;
}
