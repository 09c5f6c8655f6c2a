/* guarded.c - how much a gap must read for the case to fall below the action line.
 *
 * Contents: 1. probabilities at a list of readings  2. a coarse scan, then a fine one  3. why there is none  4. all sides
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "analysis/guarded.h"

#include <math.h>
#include <stdio.h>

#include <gsl/gsl_cdf.h>

/* 1. Probabilities at a list of readings */

#define LOWEST (-5.0) /* the domain of a gap, mm (docs/case-format.md) */
#define HIGHEST 30.0
enum { COARSE = 12, FINE = 7, MAX_POINTS = 12 };
#define COARSE_TRIALS 65536
#define FINE_TRIALS 131072

typedef struct {
    int n;
    double at[SM_LOOKS][MAX_POINTS];            /* readings of each gap of the side */
    sm_tally tally[SM_LOOKS][MAX_POINTS];       /* side is not kept */
    sm_counts side[SM_LOOKS][MAX_POINTS];       /* of the side itself */
    int64_t others[SM_LOOKS][SM_MAX_CORONARIES]; /* events of each side at the last point */
    int64_t trials;
} scan;

static double reading_of(const sm_case *c, int k, int gap)
{
    return sm_quantity_estimate(&c->coronary[k].quantity[sm_look_quantity[gap]]);
}

static void keep_tallies(const sm_gathered *g, int k, scan *s)
{
    int root = 1;
    s->trials = g->n;
    for (int gap = 0; gap < SM_LOOKS; gap++)
        for (int i = 0; i < s->n; i++, root++) {
            s->tally[gap][i] = g->tally[root];
            s->side[gap][i] = g->tally[root].side[k];
            for (int j = 0; i == s->n - 1 && j < g->n_sides; j++)
                s->others[gap][j] = g->tally[root].side[j].event;
        }
}

/* Roots 1 .. 2n of a plan: the side's two gaps at each of n readings. */
static sm_status run_scan(const sm_case *c, uint64_t seed, int k, int64_t trials, const sm_executor *executor, scan *s)
{
    sm_plan p;
    sm_gathered g;
    sm_status status = sm_plan_create(c, seed, &p);
    if (status != SM_OK)
        return status;
    for (int gap = 0; gap < SM_LOOKS; gap++)
        for (int i = 0; status == SM_OK && i < s->n; i++)
            status = sm_plan_add(&p, &(sm_root_request){.shift_side = k, .shift_gap = (sm_look_id)gap, .shift_mm = s->at[gap][i] - reading_of(c, k, gap)}, NULL);
    if (status == SM_OK)
        status = sm_gathered_create(&p, &g);
    if (status == SM_OK) {
        status = sm_run(&p, trials, executor, &(sm_watch){0}, &g);
        keep_tallies(&g, k, s);
        sm_gathered_destroy(&g);
    }
    sm_plan_destroy(&p);
    return status;
}

static double probability_at(const scan *s, int gap, int i)
{
    return (double)s->tally[gap][i].patient.event / (double)s->trials;
}

/* 2. A coarse scan, then a fine one */

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

/* The last point with P >= q; -1 if there is none. */
static int last_above(const scan *s, int gap, double q)
{
    for (int i = s->n - 1; i >= 0; i--)
        if (probability_at(s, gap, i) >= q)
            return i;
    return -1;
}

/* The crossing of q between points i and i + 1, linear in the normal score of the probability; its error is that of P there over the slope. */
static sm_estimate crossing(const scan *s, int gap, int i, double q)
{
    double n = (double)s->trials, a = s->at[gap][i], b = s->at[gap][i + 1];
    double pa = fmin(1 - 0.5 / n, probability_at(s, gap, i)), pb = fmax(0.5 / n, probability_at(s, gap, i + 1));
    double za = gsl_cdf_ugaussian_Pinv(pa), zb = gsl_cdf_ugaussian_Pinv(pb), zq = gsl_cdf_ugaussian_Pinv(q);
    double slope = (pa - pb) / (b - a);
    return (sm_estimate){a + (b - a) * (za - zq) / (za - zb), sqrt(q * (1 - q) / n) / slope};
}

/* 3. Why there is none */

static void explain(const scan *s, int k, int gap, int n_sides, double q, sm_guard *g)
{
    const int top = s->n - 1;
    const double n = (double)s->trials;
    const sm_counts *own = &s->side[gap][top];
    g->kind = SM_GUARD_TOGETHER;
    if ((double)(gap == SM_LOOK_OSTIUM ? own->sealed : own->crowded) / n >= q)
        g->kind = SM_GUARD_OTHER_RULE;
    for (int j = 0; j < n_sides; j++)
        if (j != k && (double)s->others[gap][j] / n >= q) {
            g->kind = SM_GUARD_OTHER_SIDE;
            g->other_side = j;
        }
}

void sm_guard_words(const sm_guard *g, sm_look_id gap, const char *other, char *out, size_t size)
{
    const char *rule = gap == SM_LOOK_OSTIUM ? "the sealed sinus" : "the crowded ostium";
    switch (g->kind) {
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
        snprintf(out, size, "%s on this side alone keeps the case at or above your line", rule);
        break;
    case SM_GUARD_TOGETHER:
        snprintf(out, size, "%s and the other sides together keep the case at or above your line", rule);
        break;
    default:
        out[0] = '\0';
        break;
    }
}

/* 4. All sides */

static sm_status guard_side(const sm_case *c, uint64_t seed, int k, double q, const sm_executor *executor, sm_guard out[SM_LOOKS])
{
    scan coarse = {.n = COARSE}, fine = {.n = FINE};
    int last[SM_LOOKS];
    for (int gap = 0; gap < SM_LOOKS; gap++)
        coarse_points(reading_of(c, k, gap), coarse.at[gap]);
    sm_status s = run_scan(c, seed, k, COARSE_TRIALS, executor, &coarse);
    if (s != SM_OK)
        return s;
    for (int gap = 0; gap < SM_LOOKS; gap++) {
        last[gap] = last_above(&coarse, gap, q);
        bool inside = last[gap] >= 0 && last[gap] < COARSE - 1;
        int from = inside ? last[gap] : 0;
        fine_points(coarse.at[gap][from], coarse.at[gap][from + 1], fine.at[gap]);
    }
    s = run_scan(c, seed, k, FINE_TRIALS, executor, &fine);
    for (int gap = 0; s == SM_OK && gap < SM_LOOKS; gap++) {
        sm_guard *g = &out[gap];
        *g = (sm_guard){.reading = reading_of(c, k, gap)};
        int i = last_above(&fine, gap, q);
        if (!c->coronary[k].quantity[sm_look_quantity[gap]].is_read)
            g->kind = SM_GUARD_NOT_READ;
        else if (last[gap] < 0)
            g->kind = SM_GUARD_ALWAYS_BELOW;
        else if (last[gap] == COARSE - 1)
            explain(&coarse, k, gap, (int)c->n_coronaries, q, g);
        else
            g->at = crossing(&fine, gap, i < 0 ? 0 : i > FINE - 2 ? FINE - 2 : i, q);
    }
    return s;
}

sm_status sm_guarded_run(const sm_case *c, uint64_t seed, double q, const sm_executor *executor, sm_guard (*out)[SM_LOOKS])
{
    sm_status s = SM_OK;
    for (int k = 0; s == SM_OK && k < (int)c->n_coronaries; k++)
        s = guard_side(c, seed, k, q, executor, out[k]);
    return s;
}
