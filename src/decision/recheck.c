/* recheck.c - which measurement to check again, and what that is worth.
 *
 * Contents: 1. ranking  2. ties  3. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/recheck.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const sm_recheck_options sm_recheck_defaults = {.redraws = 131072, .nested = 16384};

/* 1. Ranking */

static double value_of(const sm_recheck *r, int source)
{
    return r->source[source].worth.perfect.value.value;
}

static double total_of(const sm_recheck *r, int source)
{
    return sm_share_rank(&r->source[source].share)->value;
}

/* Whether source a comes before source b. Values that cannot be told from 0 do not rank. */
static bool before(const sm_recheck *r, int a, int b)
{
    double va = value_of(r, a) < SM_WORTH_FLOOR ? 0 : value_of(r, a),
           vb = value_of(r, b) < SM_WORTH_FLOOR ? 0 : value_of(r, b);
    if (va != vb)
        return va > vb;
    return total_of(r, a) > total_of(r, b);
}

static void rank(sm_recheck *r)
{
    for (int i = 0; i < r->n_sources; i++) {
        if (!r->source[i].reducible)
            continue;
        int place = r->n_reducible++;
        for (; place > 0 && before(r, i, r->order[place - 1]); place--)
            r->order[place] = r->order[place - 1];
        r->order[place] = i;
    }
}

/* 2. Ties */

/* What two neighbours are ranked by, and its error: the value, or the total index if neither value can be told from 0.
 */
static sm_estimate ranked_by(const sm_recheck *r, int source, bool by_value)
{
    const sm_recheck_source *s = &r->source[source];
    return by_value ? s->worth.perfect.value : *sm_share_rank(&s->share);
}

static bool settled(const sm_recheck *r, int upper, int lower)
{
    bool by_value = value_of(r, upper) >= SM_WORTH_FLOOR;
    sm_estimate a = ranked_by(r, upper, by_value), b = ranked_by(r, lower, by_value);
    double error = sqrt(a.standard_error * a.standard_error + b.standard_error * b.standard_error);
    return a.value - b.value > 1.96 * error || (a.value == b.value && error == 0);
}

/* Runs of neighbours that are not settled. */
static void tie(sm_recheck *r)
{
    for (int from = 0; from < r->n_reducible;) {
        int to = from;
        while (to + 1 < r->n_reducible && !settled(r, r->order[to], r->order[to + 1]))
            to++;
        for (int i = from; i <= to; i++) {
            r->source[r->order[i]].tied_from = from;
            r->source[r->order[i]].tied_to = to;
        }
        from = to + 1;
    }
}

/* 3. The whole */

static sm_status take_sources(const sm_plan *p, sm_recheck *r)
{
    r->n_sources = p->n_own_sources; /* what an alternative alone draws is none of the case's */
    r->source = calloc((size_t)r->n_sources, sizeof *r->source);
    r->order = calloc((size_t)r->n_sources, sizeof *r->order);
    if (!r->source || !r->order)
        return SM_NO_MEMORY;
    for (int i = 0; i < r->n_sources; i++) {
        const sm_source *s = &p->sources.source[i];
        memcpy(r->source[i].name, s->name, sizeof r->source[i].name);
        r->source[i].id = s->id;
        r->source[i].reducible = s->reducible;
        r->source[i].side = s->side;
        r->source[i].share = r->sensitivity.share[i];
        if (r->has_line)
            r->source[i].worth = r->worths.source[i];
    }
    return SM_OK;
}

/* What the parts of a recheck share. */
typedef struct {
    sm_plan *plan;
    sm_extra_roots extra; /* of the assessment */
    const sm_recheck_options *options;
    sm_run_context context;
} work;

static sm_status assess(const work *w, const sm_observer *observer, sm_recheck *r)
{
    sm_extra_roots extra = w->extra;
    extra.observer = observer;
    return sm_assess_plan(w->plan, &extra, w->context, &r->assessment);
}

/* The worths from the assessment's own trials. */
static sm_status assess_and_sort(const work *w, sm_recheck *r)
{
    sm_cells cells;
    sm_status s = sm_cells_create(w->plan, &sm_worth_sorts, &cells);
    if (s != SM_OK)
        return s;
    const sm_observer observer = sm_cells_observer(&cells);
    s = assess(w, &observer, r);
    sm_cells_level(&cells);
    if (s == SM_OK)
        s = sm_worth_of(&cells, w->plan->c->action_line, w->options->nested, w->context, &r->worths);
    sm_cells_destroy(&cells);
    return s;
}

/* If there is no line, or the assessment's trials are too few to sort. */
static sm_status assess_alone(const work *w, sm_recheck *r)
{
    sm_status s = assess(w, NULL, r);
    if (s == SM_OK && r->has_line)
        s = sm_worth_run(w->plan, w->plan->c->action_line, w->options->nested, w->context, &r->worths);
    return s;
}

static sm_status run_parts(const work *w, sm_recheck *r)
{
    const bool together = r->has_line && w->context.trials >= SM_CELLS_TRIALS;
    sm_status s = together ? assess_and_sort(w, r) : assess_alone(w, r);
    if (s == SM_OK)
        s = sm_sensitivity_run(w->plan,
                               sm_run_context_auxiliary(w->context, "what each source carries", w->options->redraws),
                               &r->sensitivity);
    return s == SM_OK ? take_sources(w->plan, r) : s;
}

static sm_status run_plan(const sm_case *c, const sm_recheck_options *o, sm_run_context context, sm_recheck *r)
{
    sm_plan plan;
    sm_status s = sm_plan_create(c, context.seed, &plan);
    if (s != SM_OK)
        return s;
    s = run_parts(&(work){.plan = &plan, .options = o, .context = context}, r);
    sm_plan_destroy(&plan);
    return s;
}

static sm_status run_weighing(const sm_case *c, const sm_recheck_options *o, sm_run_context context, sm_recheck *r)
{
    sm_weighing *weighing;
    sm_status s = sm_weighing_create(c, context.seed, o->weigh, &weighing);
    if (s != SM_OK)
        return s;
    s = run_parts(&(work){sm_weighing_plan(weighing), sm_weighing_extra_roots(weighing), o, context}, r);
    sm_weighing_destroy(weighing);
    o->weigh->complete = s == SM_OK;
    return s;
}

/* Sharp points say how probable the event is, and nothing of worths: what follows from it alone takes their number. */
static void take_bound(double q, sm_recheck *r)
{
    const sm_probability *p = &r->assessment.patient.event;
    const double P = p->probability, slope = P < q ? 1 - q : q; /* of min(P, q) - q P in P */
    if (r->has_line && r->assessment.sharp_points > 0)
        r->worths.bound = (sm_estimate){fmin(P, q) - q * P, slope * p->standard_error};
}

static sm_status run_guards(const sm_case *c, sm_run_context context, sm_recheck *r)
{
    if (!r->has_line)
        return SM_OK;
    r->guard = calloc(c->n_coronaries, sizeof *r->guard);
    return r->guard ? sm_guarded_run(c, c->action_line, context, r->guard) : SM_NO_MEMORY;
}

/* Empties all but the assessment, which rests on all its trials while the rest is missing. */
static void keep_assessment(sm_recheck *r)
{
    sm_assessment known = sm_assessment_take_unfinished(&r->assessment);
    sm_recheck_destroy(r);
    r->assessment = known;
}

/* What an act costs is told once: as its row of weigh has it. */
static sm_status take_cost(const sm_case *c, const sm_weigh *weigh, sm_run_context context, sm_look_worths *w)
{
    if (!w->has_choice)
        return SM_OK;
    if (!weigh)
        return sm_weigh_cost(c, w->now, sm_run_context_auxiliary(context, "what an act costs", context.trials),
                             &w->cost_now);
    w->cost_now = weigh->row[w->now].cost.value;
    return SM_OK;
}

static sm_status run(const sm_case *c, const sm_recheck_options *options, sm_run_context context, sm_recheck *out)
{
    *out = (sm_recheck){.has_line = c->action_line > 0};
    sm_run_context counted = context;
    counted.points = SM_POINTS_PLAIN;
    sm_status s = (options->weigh ? run_weighing : run_plan)(c, options, context, out);
    if (s == SM_OK) {
        take_bound(c->action_line, out);
        s = run_guards(c, context, out);
    }
    if (s == SM_OK)
        s = sm_look_worths_run(c, counted, &out->looks);
    if (s == SM_OK)
        s = take_cost(c, options->weigh, context, &out->looks);
    if (s == SM_OK) {
        rank(out);
        tie(out);
    } else if (s == SM_INTERRUPTED)
        keep_assessment(out);
    else
        sm_recheck_destroy(out);
    return s;
}

sm_status sm_recheck_run(const sm_case *c, const sm_recheck_options *options, sm_run_context context, sm_recheck *out)
{
    sm_weigh rows = {.n_rows = 0};
    sm_recheck_options o = *options;
    if (!o.weigh && context.points == SM_POINTS_PLAIN && sm_look_worths_have_choice(c))
        o.weigh = &rows;
    const sm_status s = run(c, &o, context, out);
    sm_weigh_destroy(&rows);
    return s;
}

void sm_recheck_destroy(sm_recheck *r)
{
    sm_assessment_destroy(&r->assessment);
    sm_worths_destroy(&r->worths);
    sm_look_worths_destroy(&r->looks);
    sm_sensitivity_destroy(&r->sensitivity);
    free(r->source);
    free(r->order);
    free(r->guard);
    *r = (sm_recheck){0};
}

bool sm_recheck_can_change(const sm_recheck *r)
{
    return r->n_reducible > 0 && value_of(r, r->order[0]) >= SM_WORTH_FLOOR;
}
