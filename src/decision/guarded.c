/* guarded.c - how much a gap must read for the case to fall below the action line.
 *
 * Contents: 1. probabilities at a list of readings  2. the same of a gap with a second look  3. the same from sharp
 *           points  4. a coarse scan, then a fine one  5. why there is none  6. all sides
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/guarded.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>

#include "base/sum.h"
#include "engine/job.h"
#include "engine/sharp.h"

/* 1. Probabilities at a list of readings */

#define LOWEST  (-5.0) /* the domain of a gap, mm (docs/case-format.md) */
#define HIGHEST 30.0
enum { COARSE = 12, FINE = 7, NEAR = 4, MAX_POINTS = 12 };
#define COARSE_TRIALS 65536
#define FINE_TRIALS   131072

/* What of a side crossed: sums of weights. */
typedef struct {
    double event, crossed[SM_GAPS];
} sums;

/* What is found for one side; sums of weights. */
typedef struct {
    int n;
    bool idle[SM_GAPS];                    /* no crossing of this gap is looked for */
    double at[SM_GAPS][MAX_POINTS];        /* readings of each gap */
    double all[SM_GAPS][MAX_POINTS];       /* of all trials */
    double events[SM_GAPS][MAX_POINTS];    /* of those with a patient event */
    double effective[SM_GAPS][MAX_POINTS]; /* so many counted trials of weight 1 would know as much */
    sums own[SM_GAPS][MAX_POINTS];         /* of the side itself */
    double planned, total;                 /* with the reading as it is: of the side's events, of all trials */
} scan;

static double reading_of(const sm_case *c, int k, int gap)
{
    return sm_quantity_estimate(&c->coronary[k].quantity[sm_gaps[gap].quantity]);
}

/* The patient's event hangs on a side through its own event alone: each side is evaluated by itself at each of its
 * readings, the others once, so that the work grows as the number of sides. */
typedef struct {
    const sm_plan *plan;
    sm_watch watch;
    double ww;  /* sum of the squared weights */
    scan *side; /* by side */
} scan_job;

typedef struct {
    sm_worker worker;
    sm_side_kept kept;
    double sides[SM_LANES]; /* on how many sides there is an event */
    double weight[SM_LANES];
    double ww; /* sum of the squared weights */
    scan *side;
} slot;

/* The weights of the trials that have the flag, added up. */
SM_WIDE static double weigh(const double *restrict flag, const double *restrict weight)
{
    double here[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        here[i] = flag[i] > 0 ? weight[i] : 0;
    return sm_sum(here, SM_LANES);
}

static void count_sides(const scan_job *job, slot *s)
{
    double total = sm_sum(s->weight, SM_LANES);
    memset(s->sides, 0, sizeof s->sides);
    for (int i = 0; i < SM_LANES; i++)
        s->ww += s->weight[i] * s->weight[i];
    for (int k = 0; k < job->plan->root[0].n_sides; k++) {
        const double *event = s->worker.at.side[k].event;
        for (int i = 0; i < SM_LANES; i++)
            s->sides[i] += event[i];
        s->side[k].planned += weigh(event, s->weight);
        s->side[k].total += total;
    }
}

/* Which look is at a gap, -1 if none is. */
static int look_at(const sm_root *r, int k, int gap)
{
    return r->side[k].landmarks.look[gap == SM_GAP_OSTIUM ? SM_LOOKED_OSTIUM_GAP : SM_LOOKED_STJ_GAP];
}

/* Side k where one gap reads as at point i. */
static void evaluate(const scan_job *job, slot *s, int k, sm_gap_id gap, int i)
{
    const sm_plan *p = job->plan;
    const sm_places *at = &s->worker.at;
    const sm_root *r = &p->root[0];
    const double more = s->side[k].at[gap][i] - reading_of(p->c, k, (int)gap);
    const sm_root_side shifted = sm_root_side_shifted(&r->side[k], gap, more);
    const double *const *column = sm_columns_of(p, 0, s->worker.column, at);
    sm_root_shift_gap(&shifted, gap, column, at->scan, at->frame, &at->readings[k], &r->shape, at->tube, &s->kept);
}

static void add_point(slot *s, int k, int gap, int point)
{
    const double *planned = s->worker.at.side[k].event, *now = s->kept.out.event;
    double any[SM_LANES];
    sums *own = &s->side[k].own[gap][point];
    for (int i = 0; i < SM_LANES; i++)
        any[i] = s->sides[i] - planned[i] + now[i];
    s->side[k].events[gap][point] += weigh(any, s->weight);
    own->event += weigh(now, s->weight);
    for (int g = 0; g < SM_GAPS; g++)
        own->crossed[g] += weigh(s->kept.out.crossed[g], s->weight);
}

/* Side k at all readings of one gap. */
static void scan_gap(const scan_job *job, slot *s, int k, sm_gap_id gap)
{
    const sm_root *r = &job->plan->root[0];
    const sm_places *at = &s->worker.at;
    sm_root_keep_side(&r->side[k].outputs, sm_columns_of(job->plan, 0, s->worker.column, at), &r->shape, at->tube,
                      &at->landmarks[k], &at->side[k], &s->kept);
    for (int i = 0; i < s->side[k].n; i++) {
        evaluate(job, s, k, gap, i);
        add_point(s, k, (int)gap, i);
    }
}

static bool is_scanned(const sm_root *r, int k, int gap)
{
    return r->side[k].outputs.model.counts != 0 && look_at(r, k, gap) < 0;
}

/* False if it was interrupted. */
static bool scan_group(const scan_job *job, slot *s, int g)
{
    sm_worker_point(&s->worker, g);
    sm_evaluate_first(job->plan, s->worker.column, &s->worker.at);
    sm_evaluate_weights(job->plan, 0, &s->worker.at, s->weight);
    count_sides(job, s);
    for (int k = 0; k < job->plan->root[0].n_sides; k++) {
        if (sm_watch_interrupted(job->watch))
            return false;
        for (int gap = 0; gap < SM_GAPS; gap++)
            if (is_scanned(&job->plan->root[0], k, gap))
                scan_gap(job, s, k, (sm_gap_id)gap);
    }
    return true;
}

static bool scan_run(void *self, void *slot_, int64_t block)
{
    const scan_job *job = self;
    slot *s = slot_;
    bool whole = true;
    s->ww = 0;
    for (int k = 0; k < job->plan->root[0].n_sides; k++) {
        scan *here = &s->side[k];
        *here = (scan){.n = job->side[k].n};
        memcpy(here->at, job->side[k].at, sizeof here->at);
    }
    sm_worker_draw(job->plan, &s->worker, SM_FOR_RUN, (uint32_t)block);
    for (int g = 0; whole && g < SM_BLOCK / SM_LANES; g++)
        whole = scan_group(job, s, g);
    return whole;
}

static void merge_points(scan *all, const scan *part)
{
    for (int gap = 0; gap < SM_GAPS; gap++)
        for (int i = 0; i < all->n; i++) {
            all->all[gap][i] = all->total;
            all->events[gap][i] += part->events[gap][i];
            all->own[gap][i].event += part->own[gap][i].event;
            for (int g = 0; g < SM_GAPS; g++)
                all->own[gap][i].crossed[g] += part->own[gap][i].crossed[g];
        }
}

static bool scan_merge(void *self, const void *slot_)
{
    scan_job *job = self;
    const slot *s = slot_;
    job->ww += s->ww;
    for (int k = 0; k < job->plan->root[0].n_sides; k++) {
        job->side[k].planned += s->side[k].planned;
        job->side[k].total += s->side[k].total;
        merge_points(&job->side[k], &s->side[k]);
    }
    return false;
}

static sm_status scan_create(void *self, void *slot_)
{
    const scan_job *job = self;
    slot *s = slot_;
    s->side = malloc((size_t)job->plan->root[0].n_sides * sizeof *s->side);
    return s->side ? sm_worker_create(job->plan, &s->worker) : SM_NO_MEMORY;
}

static void scan_destroy(void *self, void *slot_)
{
    slot *s = slot_;
    (void)self;
    sm_worker_destroy(&s->worker);
    free(s->side);
}

/* Every side at each reading of those of its gaps that have no second look. trials: whole blocks. */
static sm_status run_plain(const sm_plan *p, sm_run_context context, int64_t trials, scan *side)
{
    scan_job self = {.plan = p, .watch = context.watch, .side = side};
    const sm_job job = {.self = &self,
                        .tasks = trials / SM_BLOCK,
                        .slot_size = sizeof(slot),
                        .create = scan_create,
                        .run = scan_run,
                        .merge = scan_merge,
                        .destroy = scan_destroy};
    sm_status s = sm_job_run(&job, sm_run_context_auxiliary(context, "how much each gap must read", trials));
    for (int k = 0; k < p->root[0].n_sides; k++)
        for (int gap = 0; gap < SM_GAPS; gap++)
            for (int i = 0; i < side[k].n; i++)
                side[k].effective[gap][i] = self.ww > 0 ? side[k].total * side[k].total / self.ww : 0;
    return s;
}

/* 2. The same of a gap with a second look */

/* Another reading is another case: the look then says something else of every trial. */
static sm_status add_readings(sm_plan *p, int k, int gap, const scan *s)
{
    sm_status status = SM_OK;
    for (int i = 0; status == SM_OK && i < s->n; i++) {
        const sm_root_request request = {
            .more_mm = s->at[gap][i] - reading_of(p->c, k, gap), .more_side = k, .more_gap = (sm_gap_id)gap};
        status = sm_plan_add(p, &request, NULL);
    }
    return status;
}

static void take_readings(const sm_gathered *g, int k, int gap, scan *s)
{
    for (int i = 0; i < s->n; i++) {
        const sm_tally *t = &g->tally[i + 1];
        s->all[gap][i] = t->patient.event.w;
        s->events[gap][i] = t->patient.event.we;
        s->own[gap][i].event = t->side[k].event.we;
        for (int j = 0; j < SM_GAPS; j++)
            s->own[gap][i].crossed[j] = t->side[k].crossed[j].we;
    }
}

static sm_status run_looked(const sm_case *c, sm_run_context context, int64_t trials, int k, int gap, scan *s)
{
    sm_plan p;
    sm_gathered g = {0};
    sm_status status = sm_plan_create(c, context.seed, &p);
    if (status != SM_OK)
        return status;
    status = add_readings(&p, k, gap, s);
    if (status == SM_OK)
        status = sm_gathered_create_counts(&p, p.n_roots, &g);
    if (status == SM_OK)
        status = sm_run(&p, sm_run_context_auxiliary(context, "how much each gap must read", trials), &g);
    if (status == SM_OK)
        take_readings(&g, k, gap, s);
    sm_gathered_destroy(&g);
    sm_plan_destroy(&p);
    return status;
}

/* Every side at each reading of each of its two gaps. */
static sm_status run_scan(const sm_plan *p, sm_run_context context, int64_t trials, scan *side)
{
    sm_status s = run_plain(p, context, trials, side);
    for (int k = 0; k < p->root[0].n_sides; k++)
        for (int gap = 0; s == SM_OK && gap < SM_GAPS; gap++)
            if (look_at(&p->root[0], k, gap) >= 0)
                s = run_looked(p->c, context, trials, k, gap, &side[k]);
    return s;
}

/* 3. The same from sharp points */

/* Points in 16 tasks; so many sides a plan, as the memory of the roots grows with the sides times those in a plan. */
#define COARSE_POINTS ((sm_sharp_size){16, 256, false})
#define FINE_POINTS   ((sm_sharp_size){16, 2048, false})
#define EVERY_EVENT   ((sm_sharp_size){16, 256, true})
enum { SIDES_A_PLAN = 4 };

/* The case as planned, and its axes. */
typedef struct {
    const sm_plan *plan;
    sm_sharp_axes axes;
    sm_run_context context;
} sharp_run;

/* At how many readings of a gap of side k. */
static int n_asked(const sm_plan *p, const scan *s, int k, int gap)
{
    const bool read = p->c->coronary[k].quantity[sm_gaps[gap].quantity].is_read;
    return is_scanned(&p->root[0], k, gap) && read && !s->idle[gap] ? s->n : 0;
}

/* Sides from to end - 1 at each of their readings are the roots of a plan, in this order. */
static sm_status add_sides(const sm_plan *first, int from, int end, const scan *side, sm_plan *p)
{
    sm_status s = SM_OK;
    for (int k = from; k < end; k++)
        for (int gap = 0; s == SM_OK && gap < SM_GAPS; gap++)
            if (n_asked(first, &side[k], k, gap) > 0)
                s = add_readings(p, k, gap, &side[k]);
    return s;
}

static void take_point(sm_task_series event, int gap, int i, scan *s)
{
    const sm_probability P = sm_task_means_probability(event);
    s->all[gap][i] = 1;
    s->events[gap][i] = P.probability;
    s->effective[gap][i] = (double)P.n;
}

static void take_sides(const sm_plan *first, int from, int end, const sm_sharp *found, scan *side)
{
    int root = 0;
    for (int k = from; k < end; k++)
        for (int gap = 0; gap < SM_GAPS; gap++)
            for (int i = 0; i < n_asked(first, &side[k], k, gap); i++)
                take_point(sm_sharp_event(found, ++root, SM_SHARED), gap, i, &side[k]);
}

static sm_status run_sides(const sharp_run *r, sm_sharp_size size, int from, int end, scan *side)
{
    sm_plan p;
    sm_sharp found = {.sums = NULL};
    sm_status s = sm_plan_create_beside(r->plan, &p);
    if (s != SM_OK)
        return s;
    s = add_sides(r->plan, from, end, side, &p);
    if (s == SM_OK && p.n_roots > 1)
        s = sm_sharp_run_beside(&p, size, &r->axes, r->context, &found);
    if (s == SM_OK && p.n_roots > 1)
        take_sides(r->plan, from, end, &found, side);
    sm_sharp_destroy(&found);
    sm_plan_destroy(&p);
    return s;
}

static sm_status run_points(const sharp_run *r, sm_sharp_size size, scan *side)
{
    const int n = r->plan->root[0].n_sides;
    sm_status s = SM_OK;
    for (int k = 0; s == SM_OK && k < n; k += SIDES_A_PLAN)
        s = run_sides(r, size, k, k + SIDES_A_PLAN < n ? k + SIDES_A_PLAN : n, side);
    return s;
}

/* The gap of the same side's other rule. */
static sm_gap_id other_of(sm_gap_id gap)
{
    return gap == SM_GAP_OSTIUM ? SM_GAP_STJ : SM_GAP_OSTIUM;
}

/* What no reading of a gap moves: each side's event as planned, and the other rule's, which is what it is at the last
 * reading too. */
static sm_status run_planned(const sharp_run *r, scan *side)
{
    sm_sharp found = {.sums = NULL};
    const sm_status s = sm_sharp_run_beside(r->plan, EVERY_EVENT, &r->axes, r->context, &found);
    for (int k = 0; s == SM_OK && k < r->plan->root[0].n_sides; k++) {
        side[k].total = 1;
        side[k].planned = sm_task_means_probability(sm_sharp_event(&found, 0, k)).probability;
        for (int gap = 0; gap < SM_GAPS; gap++)
            side[k].own[gap][side[k].n - 1].crossed[other_of((sm_gap_id)gap)] =
                sm_task_means_probability(sm_sharp_crossed(&found, 0, k, other_of((sm_gap_id)gap))).probability;
    }
    sm_sharp_destroy(&found);
    return s;
}

static double probability_at(const scan *s, int gap, int i)
{
    return s->events[gap][i] / s->all[gap][i];
}

/* 4. A coarse scan, then a fine one */

/* Every 2 mm about the reading, and the ends of the domain. */
static void coarse_points(double reading, double at[MAX_POINTS])
{
    at[0] = LOWEST;
    for (int i = 1; i < COARSE - 1; i++)
        at[i] = fmin(HIGHEST, fmax(LOWEST, reading + 2.0 * i - 11));
    at[COARSE - 1] = HIGHEST;
}

static void fine_points(double low, double high, double at[MAX_POINTS])
{
    for (int i = 0; i < FINE; i++)
        at[i] = low + (high - low) * i / (FINE - 1);
}

/* The last point up to `from` with P >= q; -1 if there is none. */
static int last_above(const scan *s, int gap, double q, int from)
{
    for (int i = from; i >= 0; i--)
        if (probability_at(s, gap, i) >= q)
            return i;
    return -1;
}

/* From which coarse point on the crossing is looked for, downward. A gap that reads more and more comes to contradict
 * its second look, and the case may rise again: where it lies below the line as the gap reads, on both sides of that,
 * what is beyond is not asked. */
static int start_of(const scan *coarse, int gap, double q, double reading, bool looked)
{
    int above = 0;
    while (above < COARSE - 1 && coarse->at[gap][above] < reading)
        above++;
    const bool below =
        above > 0 && probability_at(coarse, gap, above) < q && probability_at(coarse, gap, above - 1) < q;
    return looked && below ? above : COARSE - 1;
}

/* Between what the gap can move: P runs from `most`, where it reads as little as it can, to `least`, what all else
 * leaves where it reads as much as it can. */
typedef struct {
    double most, least;
} span;

static span span_of(const scan *coarse, int gap, double q)
{
    const span all = {1, 0}, found = {probability_at(coarse, gap, 0), probability_at(coarse, gap, coarse->n - 1)};
    return found.least < q && q < found.most ? found : all;
}

/* The normal score of where P lies in the span; of n trials no share is known to be 0 or 1. */
static double score_in(span of, double P, double n)
{
    return gsl_cdf_ugaussian_Pinv(fmin(1 - 0.5 / n, fmax(0.5 / n, (P - of.least) / (of.most - of.least))));
}

/* The crossing of q between points i and i + 1, linear in the normal score of P within its span: a reading's error is
 * normal, and what does not hang on the reading is no part of that. The error is that of P there over the slope. */
static sm_estimate crossing(const scan *s, int gap, int i, double q, span of)
{
    const double n = s->effective[gap][i], a = s->at[gap][i], b = s->at[gap][i + 1];
    const double pa = probability_at(s, gap, i), pb = probability_at(s, gap, i + 1);
    const double za = score_in(of, pa, n), zb = score_in(of, pb, n), zq = score_in(of, q, n);
    const double slope = (pa - pb) / (b - a);
    return (sm_estimate){a + (b - a) * (za - zq) / (za - zb), sqrt(q * (1 - q) / n) / slope};
}

/* From which of the fine points to the next the crossing lies. */
static int interval_of(const scan *fine, int gap, double q)
{
    const int i = last_above(fine, gap, q, fine->n - 1);
    return i < 0 ? 0 : i > fine->n - 2 ? fine->n - 2 : i;
}

/* The ends of that interval, and a sixth of it to both sides of the crossing: where the errors are smooth it lies
 * between these, over which the normal score is as good as straight; where they are not, it still lies between the
 * ends. No two are alike. */
static void near_points(const scan *few, int gap, double q, span of, double at[MAX_POINTS])
{
    const int i = interval_of(few, gap, q);
    const double low = few->at[gap][i], high = few->at[gap][i + 1], step = (high - low) / 6;
    const double found = crossing(few, gap, i, q, of).value;
    const double middle = found > low && found < high ? found : (low + high) / 2;
    at[0] = fmin(low, middle - 2 * step);
    at[1] = middle - step;
    at[2] = middle + step;
    at[3] = fmax(high, middle + 2 * step);
}

/* 5. Why there is none */

/* Whether the case would be below the line but for the gap itself, which can only be crossed at its last point if the
 * reading there is off. */
static bool look_keeps(const scan *s, int gap, double q)
{
    const int last = s->n - 1;
    return probability_at(s, gap, last) - s->own[gap][last].crossed[gap] / s->all[gap][last] < q;
}

/* all: the scans of all sides; at its last point the gap reads as much as it can. looked: it has a second look. */
static void explain(const scan *all, int k, sm_gap_id gap, bool looked, int n_sides, double q, sm_guard *g)
{
    const scan *s = &all[k];
    const sums *own = &s->own[gap][s->n - 1];
    g->kind = looked && look_keeps(s, (int)gap, q) ? SM_GUARD_LOOK : SM_GUARD_TOGETHER;
    if (own->crossed[other_of(gap)] / s->all[gap][s->n - 1] >= q)
        g->kind = SM_GUARD_OTHER_RULE;
    for (int j = 0; j < n_sides; j++)
        if (j != k && all[j].planned / all[j].total >= q) {
            g->kind = SM_GUARD_OTHER_SIDE;
            g->other_side = j;
        }
}

void sm_guard_words(const sm_guard *g, sm_gap_id gap, const char *other, char *out, size_t size)
{
    const sm_gap *rule = &sm_gaps[other_of(gap)];
    switch (g->kind) {
    case SM_GUARD_NO_OSTIUM:
        snprintf(out, size, "no coronary leaves this sinus, so that it does not count");
        break;
    case SM_GUARD_NOT_READ:
        snprintf(out, size, "this gap is given as a distribution, not as a reading");
        break;
    case SM_GUARD_ALWAYS_BELOW:
        snprintf(out, size, "the case stays below your line whatever this gap reads: the height of the tube decides");
        break;
    case SM_GUARD_OTHER_SIDE:
        snprintf(out, size, "the %s side alone keeps the case at or above your line", other);
        break;
    case SM_GUARD_OTHER_RULE:
        snprintf(out, size, "the %s %s on this side alone keeps the case at or above your line", rule->crossed,
                 rule->place);
        break;
    case SM_GUARD_BELOW_WITH_LOOK:
        snprintf(out, size, "the case stays below your line as long as this gap agrees with its second look");
        break;
    case SM_GUARD_LOOK:
        snprintf(out, size,
                 "the more this gap reads, the less it agrees with its second look, which keeps the case at or above "
                 "your line");
        break;
    case SM_GUARD_TOGETHER:
        snprintf(out, size, "the %s %s and the other sides together keep the case at or above your line", rule->crossed,
                 rule->place);
        break;
    default:
        out[0] = '\0';
        break;
    }
}

/* 6. All sides */

/* The bracket of a gap's crossing among the coarse points, or some interval if there is none. */
static void refine(const sm_case *c, int k, double q, const scan *coarse, scan *fine)
{
    *fine = (scan){.n = FINE};
    for (int gap = 0; gap < SM_GAPS; gap++) {
        const bool looked = c->coronary[k].quantity[sm_gaps[gap].quantity].cross_check.present;
        const int start = start_of(coarse, gap, q, reading_of(c, k, gap), looked);
        const int last = last_above(coarse, gap, q, start), from = last >= 0 && last < COARSE - 1 ? last : 0;
        fine->idle[gap] = last < 0 || last == COARSE - 1;
        fine_points(coarse->at[gap][from], coarse->at[gap][from + 1], fine->at[gap]);
    }
}

/* The SD of the reading's own error, a plane that it contains not taken off. */
static double error_of(const sm_quantity *q)
{
    sm_reading r;
    sm_reading_create(q, 0, 0, &r);
    return q->is_read ? sm_dist_sd(&r.error) : 0;
}

/* coarse: of all sides. */
static void conclude(const sm_case *c, int k, double q, const scan *coarse, const scan *fine, sm_guard out[SM_GAPS])
{
    for (int gap = 0; gap < SM_GAPS; gap++) {
        const sm_quantity *read = &c->coronary[k].quantity[sm_gaps[gap].quantity];
        sm_guard *g = &out[gap];
        const int start = start_of(&coarse[k], gap, q, reading_of(c, k, gap), read->cross_check.present);
        const int last = last_above(&coarse[k], gap, q, start);
        *g = (sm_guard){.reading = reading_of(c, k, gap), .sd = error_of(read)};
        if (!c->coronary[k].has_ostium)
            g->kind = SM_GUARD_NO_OSTIUM;
        else if (!read->is_read)
            g->kind = SM_GUARD_NOT_READ;
        else if (last < 0)
            g->kind = last_above(&coarse[k], gap, q, COARSE - 1) < 0 ? SM_GUARD_ALWAYS_BELOW : SM_GUARD_BELOW_WITH_LOOK;
        else if (last == COARSE - 1)
            explain(coarse, k, (sm_gap_id)gap, read->cross_check.present, (int)c->n_coronaries, q, g);
        else
            g->at = crossing(fine, gap, interval_of(fine, gap, q), q, span_of(&coarse[k], gap, q));
    }
}

static void begin(const sm_plan *p, scan *coarse)
{
    for (int k = 0; k < (int)p->c->n_coronaries; k++) {
        coarse[k].n = COARSE;
        for (int gap = 0; gap < SM_GAPS; gap++)
            coarse_points(reading_of(p->c, k, gap), coarse[k].at[gap]);
    }
}

static sm_status run_counted(const sm_plan *p, double q, sm_run_context context, scan *coarse, scan *fine)
{
    sm_status s = run_scan(p, context, COARSE_TRIALS, coarse);
    for (int k = 0; s == SM_OK && k < (int)p->c->n_coronaries; k++)
        refine(p->c, k, q, &coarse[k], &fine[k]);
    return s == SM_OK ? run_scan(p, context, FINE_TRIALS, fine) : s;
}

/* Once more, about where the few points of `fine` have the crossing. coarse: its span. */
static void refine_again(double q, const scan *coarse, scan *fine)
{
    const scan few = *fine;
    *fine = (scan){.n = NEAR};
    for (int gap = 0; gap < SM_GAPS; gap++) {
        fine->idle[gap] = few.idle[gap];
        if (!few.idle[gap])
            near_points(&few, gap, q, span_of(coarse, gap, q), fine->at[gap]);
    }
}

static sm_status run_passes(const sharp_run *r, double q, scan *coarse, scan *fine)
{
    const sm_case *c = r->plan->c;
    sm_status s = run_planned(r, coarse);
    if (s == SM_OK)
        s = run_points(r, COARSE_POINTS, coarse);
    for (int k = 0; s == SM_OK && k < (int)c->n_coronaries; k++)
        refine(c, k, q, &coarse[k], &fine[k]);
    if (s == SM_OK)
        s = run_points(r, COARSE_POINTS, fine);
    for (int k = 0; s == SM_OK && k < (int)c->n_coronaries; k++)
        refine_again(q, &coarse[k], &fine[k]);
    return s == SM_OK ? run_points(r, FINE_POINTS, fine) : s;
}

static sm_status run_sharp(const sm_plan *p, double q, sm_run_context context, scan *coarse, scan *fine)
{
    sharp_run r = {.plan = p, .context = sm_run_context_auxiliary(context, "how much each gap must read", 1)};
    sm_status s = sm_sharp_axes_create(p, &r.axes);
    if (s == SM_OK)
        s = run_passes(&r, q, coarse, fine);
    sm_sharp_axes_destroy(&r.axes);
    return s;
}

static sm_status guard_all(const sm_plan *p, double q, sm_run_context context, scan *coarse, scan *fine,
                           sm_guard (*out)[SM_GAPS])
{
    const bool sharp = context.points == SM_POINTS_SHARP && !sm_plan_weighs(p);
    begin(p, coarse);
    const sm_status s = (sharp ? run_sharp : run_counted)(p, q, context, coarse, fine);
    for (int k = 0; s == SM_OK && k < (int)p->c->n_coronaries; k++)
        conclude(p->c, k, q, coarse, &fine[k], out[k]);
    return s;
}

sm_status sm_guarded_run(const sm_case *c, double q, sm_run_context context, sm_guard (*out)[SM_GAPS])
{
    sm_plan p;
    scan *coarse = calloc(c->n_coronaries, sizeof *coarse), *fine = calloc(c->n_coronaries, sizeof *fine);
    sm_status s = coarse && fine ? sm_plan_create(c, context.seed, &p) : SM_NO_MEMORY;
    if (s == SM_OK) {
        s = guard_all(&p, q, context, coarse, fine, out);
        sm_plan_destroy(&p);
    }
    free(coarse);
    free(fine);
    return s;
}
