/* check_table.c - what the engine gives beside what it ought to give.
 *
 * Contents: 1. verdicts  2. groups and checks  3. checks of a formula's outputs
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "selfcheck/check_table.h"

#include <math.h>
#include <stdlib.h>

#include "engine/interval.h"
#include "base/grow.h"

#define STANDARD_ERRORS 5.0 /* a correct program with another seed fails one check in 2 million */
#define SLACK           1.5 /* how far 5 standard errors may lie above the tolerance of 1,000,000 trials */
#define TRIALS          1e6

/* 1. Verdicts */

#define SM_SEEN_WORDS(id, words) words,
static const char *const seen_words[] = {SM_SEEN_LIST(SM_SEEN_WORDS)};

const char *sm_seen_words(sm_seen s)
{
    return (unsigned)s < SM_SEEN_COUNT ? seen_words[s] : "unknown";
}

bool sm_check_passes(double expected, double got, double tolerance)
{
    return fabs(got - expected) <= tolerance; /* false if anything is not a number */
}

/* 2. Groups and checks */

static void fail_memory(sm_checks *t)
{
    if (t->status == SM_OK)
        t->status = SM_NO_MEMORY;
}

void sm_checks_group(sm_checks *t, const char *title, const char *source, sm_seen seen)
{
    sm_check_group *more = sm_grow(t->group, (size_t)t->n_groups, &t->cap_groups, 8, sizeof *more);
    if (!more) {
        fail_memory(t);
        return;
    }
    t->group = more;
    t->group[t->n_groups++] = (sm_check_group){.title = title, .source = source, .seen = seen, .first = t->n};
}

static void add(sm_checks *t, sm_check c)
{
    sm_check *more = sm_grow(t->check, (size_t)t->n, &t->cap, 64, sizeof *more);
    if (!more) {
        fail_memory(t);
        return;
    }
    t->check = more;
    if (t->n_groups == 0)
        return;
    c.group = t->n_groups - 1;
    t->failures += !c.pass;
    t->check[t->n++] = c;
    t->group[c.group].n++;
}

void sm_checks_exact(sm_checks *t, const char *name, double expected, double got, double tolerance)
{
    add(t, (sm_check){.name = name,
                      .expected = expected,
                      .got = got,
                      .tolerance = tolerance,
                      .pass = sm_check_passes(expected, got, tolerance)});
}

void sm_checks_simulated(sm_checks *t, const char *name, double expected, double got, double standard_error,
                         double widest)
{
    const double five = STANDARD_ERRORS * standard_error, tolerance = five < widest ? five : widest;
    const bool large_enough = five <= SLACK * widest;
    add(t, (sm_check){.name = name,
                      .expected = expected,
                      .got = got,
                      .tolerance = tolerance,
                      .pass = large_enough && sm_check_passes(expected, got, tolerance)});
}

void sm_checks_append(sm_checks *t, const sm_checks *other)
{
    if (t->status == SM_OK)
        t->status = other->status;
    for (int g = 0; g < other->n_groups; g++) {
        const sm_check_group *from = &other->group[g];
        sm_checks_group(t, from->title, from->source, from->seen);
        for (int i = from->first; i < from->first + from->n; i++)
            add(t, other->check[i]);
    }
}

void sm_checks_destroy(sm_checks *t)
{
    free(t->check);
    free(t->group);
    *t = (sm_checks){0};
}

/* 3. Checks of a formula's outputs */

/* Kurtosis from the histogram's bins; what lies outside counts at the ends of the range. */
static double kurtosis(const sm_spread *s)
{
    const double width = (s->span.high - s->span.low) / SM_BINS, n = (double)s->span.moments.n;
    double second = 0, fourth = 0;
    for (int i = 0; i < SM_BINS + 2; i++) {
        double d = s->span.low + width * (i - 0.5) - s->span.moments.mean, dd = d * d;
        second += (double)s->bin[i] * dd / n;
        fourth += (double)s->bin[i] * dd * dd / n;
    }
    return fourth / (second * second);
}

void sm_checks_mean(sm_checks *t, const char *name, const sm_formula_result *r, int output, double expected,
                    double widest)
{
    const sm_moments *m = &r->spread[output].span.moments;
    sm_checks_simulated(t, name, expected, m->mean, sm_moments_sd(m) / sqrt((double)m->n), widest);
}

void sm_checks_sd(sm_checks *t, const char *name, const sm_formula_result *r, int output, double expected,
                  double widest)
{
    const sm_moments *m = &r->spread[output].span.moments;
    const double sd = sm_moments_sd(m);
    double error = sd * sqrt((kurtosis(&r->spread[output]) - 1) / (4 * (double)m->n));
    sm_checks_simulated(t, name, expected, sd, error, widest);
}

void sm_checks_quantile(sm_checks *t, const char *name, const sm_formula_result *r, int output, double p,
                        double expected, double widest)
{
    const sm_spread *s = &r->spread[output];
    const double step =
        0.2 * fmin(p, 1 - p); /* wide enough to hold thousands of trials, narrow enough for the density */
    double rise = (sm_spread_quantile(s, p + step) - sm_spread_quantile(s, p - step)) / (2 * step);
    double error = rise * sqrt(p * (1 - p) / (double)s->span.moments.n);
    sm_checks_simulated(t, name, expected, sm_spread_quantile(s, p), error, widest);
}

void sm_checks_shortest(sm_checks *t, const char *name, const sm_formula_result *r, int output, int end,
                        double expected, double widest)
{
    const double got = sm_spread_summary(&r->spread[output]).shortest95[end];
    sm_checks_exact(t, name, expected, (double)r->n >= TRIALS ? got : NAN, widest);
}

void sm_checks_shortest_length(sm_checks *t, const char *name, const sm_formula_result *r, int output, double expected,
                               double widest)
{
    const sm_continuous c = sm_spread_summary(&r->spread[output]);
    const double got = c.shortest95[1] - c.shortest95[0];
    sm_checks_exact(t, name, expected, (double)r->n >= TRIALS ? got : NAN, widest);
}

/* k of n, when of TRIALS trials so many would have counted. */
static void check_proportion(sm_checks *t, const char *name, double expected, int64_t k, int64_t n, double of_trials)
{
    const double variance = expected * (1 - expected);
    sm_checks_simulated(t, name, expected, sm_probability_of(k, n).probability, sqrt(variance / (double)n),
                        STANDARD_ERRORS * sqrt(variance / of_trials));
}

void sm_checks_event(sm_checks *t, const char *name, const sm_formula_result *r, int event, double expected)
{
    check_proportion(t, name, expected, r->event[event], r->n, TRIALS);
}

void sm_checks_share(sm_checks *t, const char *name, const sm_formula_result *r, int event, int given, double expected)
{
    const double share = (double)r->event[given] / (double)r->n;
    check_proportion(t, name, expected, r->event[event], r->event[given], TRIALS * share);
}
