/* guarded.c - how much a gap must read for the case to fall below the action line.
 *
 * Contents: 1. probabilities at a list of readings  2. a coarse scan, then a fine one  3. why there is none
 *           4. all sides
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/guarded.h"

#include <math.h>
#include <stdio.h>

#include <gsl/gsl_cdf.h>

/* 1. Probabilities at a list of readings */

#define LOWEST  (-5.0) /* the domain of a gap, mm (docs/case-format.md) */
#define HIGHEST 30.0
enum { COARSE = 12, FINE = 7, MAX_POINTS = 12, SIDES_A_RUN = 8 };
#define COARSE_TRIALS 65536
#define FINE_TRIALS   131072

/* What every run is made of. */
typedef struct {
    const sm_case *c;
    double q;
    sm_run_context context;
} ground;

/* What is found for one side. */
typedef struct {
    int n;
    double at[SM_GAPS][MAX_POINTS];             /* readings of each gap */
    int64_t events[SM_GAPS][MAX_POINTS];        /* patient events */
    sm_counts own[SM_GAPS];                     /* of the side itself at the last point */
    int64_t others[SM_GAPS][SM_MAX_CORONARIES]; /* events of each side at the last point */
    int64_t trials;
} scan;

static double reading_of(const sm_case *c, int k, int gap)
{
    return sm_quantity_estimate(&c->coronary[k].quantity[sm_gaps[gap].quantity]);
}

/* root: the first of this side's roots. */
static void keep_tallies(const sm_gathered *g, int root, int k, scan *s)
{
    s->trials = g->n;
    for (int gap = 0; gap < SM_GAPS; gap++)
        for (int i = 0; i < s->n; i++, root++) {
            s->events[gap][i] = g->tally[root].patient.event;
            s->own[gap] = g->tally[root].side[k];
            for (int j = 0; j < g->n_sides; j++)
                s->others[gap][j] = g->tally[root].side[j].event;
        }
}

static sm_status add_roots(const sm_case *c, int k, const scan *s, sm_plan *p)
{
    sm_status status = SM_OK;
    for (int gap = 0; gap < SM_GAPS; gap++)
        for (int i = 0; status == SM_OK && i < s->n; i++) {
            sm_root_request shifted = {
                .shift_side = k, .shift_gap = (sm_gap_id)gap, .shift_mm = s->at[gap][i] - reading_of(c, k, gap)};
            status = sm_plan_add(p, &shifted, NULL);
        }
    return status;
}

/* One run for `sides` sides from `first` on: each has its two gaps at each of its readings. */
static sm_status run_scan(const ground *r, int first, int sides, int64_t trials, scan *s)
{
    sm_plan p;
    sm_gathered g;
    sm_status status = sm_plan_create(r->c, r->context.seed, &p);
    if (status != SM_OK)
        return status;
    for (int k = 0; status == SM_OK && k < sides; k++)
        status = add_roots(r->c, first + k, &s[k], &p);
    if (status == SM_OK)
        status = sm_gathered_create_counts(&p, p.n_roots, &g);
    if (status == SM_OK) {
        status = sm_run(&p, sm_run_context_auxiliary(r->context, trials), &g);
        for (int k = 0; status == SM_OK && k < sides; k++)
            keep_tallies(&g, 1 + k * SM_GAPS * s[k].n, first + k, &s[k]);
        sm_gathered_destroy(&g);
    }
    sm_plan_destroy(&p);
    return status;
}

static double probability_at(const scan *s, int gap, int i)
{
    return (double)s->events[gap][i] / (double)s->trials;
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

/* The crossing of q between points i and i + 1, linear in the normal score of the probability; its error is that of P
 * there over the slope. */
static sm_estimate crossing(const scan *s, int gap, int i, double q)
{
    double n = (double)s->trials, a = s->at[gap][i], b = s->at[gap][i + 1];
    double pa = fmin(1 - 0.5 / n, probability_at(s, gap, i)), pb = fmax(0.5 / n, probability_at(s, gap, i + 1));
    double za = gsl_cdf_ugaussian_Pinv(pa), zb = gsl_cdf_ugaussian_Pinv(pb), zq = gsl_cdf_ugaussian_Pinv(q);
    double slope = (pa - pb) / (b - a);
    return (sm_estimate){a + (b - a) * (za - zq) / (za - zb), sqrt(q * (1 - q) / n) / slope};
}

/* 3. Why there is none */

/* The gap of the same side's other rule. */
static sm_gap_id other_of(sm_gap_id gap)
{
    return gap == SM_GAP_OSTIUM ? SM_GAP_STJ : SM_GAP_OSTIUM;
}

static void explain(const scan *s, int k, sm_gap_id gap, int n_sides, double q, sm_guard *g)
{
    const double n = (double)s->trials;
    const sm_counts *own = &s->own[gap];
    g->kind = SM_GUARD_TOGETHER;
    if ((double)own->crossed[other_of(gap)] / n >= q)
        g->kind = SM_GUARD_OTHER_RULE;
    for (int j = 0; j < n_sides; j++)
        if (j != k && (double)s->others[gap][j] / n >= q) {
            g->kind = SM_GUARD_OTHER_SIDE;
            g->other_side = j;
        }
}

void sm_guard_words(const sm_guard *g, sm_gap_id gap, const char *other, char *out, size_t size)
{
    const sm_gap *rule = &sm_gaps[other_of(gap)];
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
        snprintf(out, size, "the %s %s on this side alone keeps the case at or above your line", rule->crossed,
                 rule->place);
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

/* 4. All sides */

/* The bracket of a gap's crossing among the coarse points, or some interval where there is none. */
static void refine(const scan *coarse, double q, scan *fine)
{
    *fine = (scan){.n = FINE};
    for (int gap = 0; gap < SM_GAPS; gap++) {
        int last = last_above(coarse, gap, q), from = last >= 0 && last < COARSE - 1 ? last : 0;
        fine_points(coarse->at[gap][from], coarse->at[gap][from + 1], fine->at[gap]);
    }
}

static void conclude(const sm_case *c, int k, double q, const scan *coarse, const scan *fine, sm_guard out[SM_GAPS])
{
    for (int gap = 0; gap < SM_GAPS; gap++) {
        sm_guard *g = &out[gap];
        int last = last_above(coarse, gap, q), i = last_above(fine, gap, q);
        *g = (sm_guard){.reading = reading_of(c, k, gap)};
        if (!c->coronary[k].quantity[sm_gaps[gap].quantity].is_read)
            g->kind = SM_GUARD_NOT_READ;
        else if (last < 0)
            g->kind = SM_GUARD_ALWAYS_BELOW;
        else if (last == COARSE - 1)
            explain(coarse, k, (sm_gap_id)gap, (int)c->n_coronaries, q, g);
        else
            g->at = crossing(fine, gap, i < 0 ? 0 : i > FINE - 2 ? FINE - 2 : i, q);
    }
}

static sm_status guard_sides(const ground *r, int first, int sides, sm_guard (*out)[SM_GAPS])
{
    scan coarse[SIDES_A_RUN], fine[SIDES_A_RUN];
    for (int k = 0; k < sides; k++) {
        coarse[k] = (scan){.n = COARSE};
        for (int gap = 0; gap < SM_GAPS; gap++)
            coarse_points(reading_of(r->c, first + k, gap), coarse[k].at[gap]);
    }
    sm_status s = run_scan(r, first, sides, COARSE_TRIALS, coarse);
    for (int k = 0; s == SM_OK && k < sides; k++)
        refine(&coarse[k], r->q, &fine[k]);
    if (s == SM_OK)
        s = run_scan(r, first, sides, FINE_TRIALS, fine);
    for (int k = 0; s == SM_OK && k < sides; k++)
        conclude(r->c, first + k, r->q, &coarse[k], &fine[k], out[first + k]);
    return s;
}

sm_status sm_guarded_run(const sm_case *c, double q, sm_run_context context, sm_guard (*out)[SM_GAPS])
{
    const ground r = {.c = c, .q = q, .context = context};
    const int n = (int)c->n_coronaries;
    sm_status s = SM_OK;
    for (int first = 0; s == SM_OK && first < n; first += SIDES_A_RUN)
        s = guard_sides(&r, first, n - first < SIDES_A_RUN ? n - first : SIDES_A_RUN, out);
    return s;
}
