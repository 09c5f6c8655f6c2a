/* recheck_json.c - what to measure again, as parts of the result file.
 *
 * Contents: 1. one source  2. the whole result's parts  3. looks, policies, projections
 *           4. the whole result's parts: written  5. a coronary's guarded limits
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/recheck_json.h"

#include <stdio.h>

/* 1. One source */

static void estimate(sm_json *w, const char *key, const sm_estimate *e)
{
    sm_result_json_estimate(w, key, e->value, e->standard_error);
}

static void sobol(sm_json *w, const char *key, const sm_sobol *s)
{
    sm_json_open(w, key, SM_JSON_LINE);
    estimate(w, "first_order", &s->first);
    estimate(w, "total", &s->total);
    sm_json_close(w);
}

/* Of the patient event. A total index asks for sources that vary apart from each other. */
static void event(sm_json *w, const sm_share *s)
{
    if (!s->first_only) {
        sobol(w, "event", &s->event);
        return;
    }
    sm_json_open(w, "event", SM_JSON_LINE);
    estimate(w, "first_order", &s->event.first);
    sm_json_null(w, "total");
    sm_json_string(w, "total_reason",
                   "second looks tie what they look at, plane and centre to each other: a share together with others "
                   "is not defined");
    sm_json_close(w);
}

/* By "SIDE.output": a side's own source has its own side's outputs only. */
static void outputs(sm_json *w, const sm_recheck_part *p, const sm_recheck_source *s)
{
    sm_json_open(w, "outputs", SM_JSON_LINES);
    for (int i = 0; i < s->share.n_outputs; i++) {
        int side = s->side == SM_SHARED ? i / SM_OUTPUTS : s->side;
        sm_text key = {0};
        if (!sm_gap_is_there(&p->c->coronary[side], sm_outputs[i % SM_OUTPUTS].gap))
            continue;
        sm_text_addf(&key, "%s.%s", p->c->coronary[side].name, sm_outputs[i % SM_OUTPUTS].name);
        sobol(w, sm_text_string(&key), &s->share.output[i]);
        sm_text_done(&key, w->out);
    }
    sm_json_close(w);
}

static void worth(sm_json *w, const sm_recheck *r, const sm_recheck_source *s)
{
    const bool valued = r->has_line && s->reducible;
    if (valued) {
        estimate(w, "value", &s->worth.perfect.value);
        estimate(w, "call_change", &s->worth.perfect.change);
    } else {
        sm_json_null(w, "value");
        sm_json_null(w, "call_change");
    }
    if (valued && s->worth.one_more_defined)
        estimate(w, "one_more_reading", &s->worth.one_more.value);
    else
        sm_json_null(w, "one_more_reading");
}

static void tied_with(sm_json *w, const sm_recheck *r, const sm_recheck_source *s)
{
    sm_json_open_list(w, "tied_with", SM_JSON_LINE);
    for (int i = s->tied_from; s->reducible && i <= s->tied_to; i++)
        if (&r->source[r->order[i]] != s)
            sm_json_string(w, NULL, r->source[r->order[i]].name);
    sm_json_close(w);
}

static void source(sm_json *w, const sm_recheck_part *p, const sm_recheck_source *s)
{
    sm_json_open(w, NULL, SM_JSON_LINES);
    sm_json_string(w, "source", s->name);
    sm_json_truth(w, "reducible", s->reducible);
    worth(w, p->recheck, s);
    event(w, &s->share);
    outputs(w, p, s);
    tied_with(w, p->recheck, s);
    sm_json_close(w);
}

/* 2. The whole result's parts */

/* Reducible sources in the order of the work list, then the deployment's. */
static void sources(sm_json *w, const sm_recheck_part *p)
{
    const sm_recheck *r = p->recheck;
    sm_json_open_list(w, "recheck", SM_JSON_LINES);
    for (int i = 0; i < r->n_reducible; i++)
        source(w, p, &r->source[r->order[i]]);
    for (int i = 0; i < r->n_sources; i++)
        if (!r->source[i].reducible)
            source(w, p, &r->source[i]);
    sm_json_close(w);
}

static void irreducible(sm_json *w, const sm_recheck *r)
{
    sm_json_open(w, "irreducible", SM_JSON_LINES);
    if (r->has_line)
        estimate(w, "expected_cost", &r->worths.expected_cost);
    else
        sm_json_null(w, "expected_cost");
    estimate(w, "event_variance", &r->sensitivity.irreducible_variance);
    if (r->has_line)
        estimate(w, "bound", &r->worths.bound);
    else
        sm_json_null(w, "bound");
    sm_json_close(w);
}

/* 3. Looks, policies, projections */

static void act_rule(sm_json *w, const sm_act_rule *r)
{
    if (r->kind != SM_ACT_BELOW && r->kind != SM_ACT_ABOVE) {
        sm_json_null(w, "act");
        return;
    }
    sm_json_open(w, "act", SM_JSON_LINE);
    sm_json_string(w, "side", r->kind == SM_ACT_BELOW ? "below" : "above");
    sm_json_computed(w, "at", r->at);
    sm_json_close(w);
}

/* Why a look has no rule; NULL if it has one. */
static const char *no_rule(const sm_look_worth *l)
{
    switch (l->act.kind) {
    case SM_ACT_NO_RULE:
        return "it shows more than one number";
    case SM_ACT_NEVER_TURNS:
        return "whatever it shows, the call stays";
    case SM_ACT_CROSSES:
        return "the risk crosses the line more than once";
    default:
        return NULL;
    }
}

static void worth_at_line(sm_json *w, const sm_look_worths *all, const sm_look_worth *l)
{
    if (!all->has_line) {
        sm_json_null(w, "value");
        sm_json_null(w, "call_change");
        sm_json_null(w, "net");
        sm_json_null(w, "says_act");
        sm_json_null(w, "act");
        sm_json_string(w, "act_reason", "the case has no action line");
        return;
    }
    estimate(w, "value", &l->worth.value);
    estimate(w, "call_change", &l->worth.change);
    sm_json_computed(w, "net", l->net);
    estimate(w, "says_act", &l->acts);
    act_rule(w, &l->act);
    sm_json_string(w, "act_reason", no_rule(l));
}

static void look_worth(sm_json *w, const sm_look_worths *all, const sm_look_worth *l)
{
    sm_json_open(w, NULL, SM_JSON_LINES);
    sm_json_string(w, "look", l->look->name);
    worth_at_line(w, all, l);
    if (all->has_choice) {
        sm_json_open(w, "choice", SM_JSON_LINE);
        estimate(w, "value", &l->choice.value);
        estimate(w, "choice_change", &l->choice.change);
        sm_json_computed(w, "net", l->choice_net);
        sm_json_close(w);
    } else
        sm_json_null(w, "choice");
    sm_json_computed(w, "burden", l->look->burden);
    if (l->look->minutes > 0)
        sm_json_computed(w, "minutes", l->look->minutes);
    else
        sm_json_null(w, "minutes");
    sm_json_close(w);
}

static void policies(sm_json *w, const char *key, const char *look, const char *act, sm_policies p)
{
    sm_json_open(w, key, SM_JSON_LINES);
    sm_json_string(w, "look", look);
    sm_json_string(w, "act", act);
    sm_json_computed(w, "as_planned", p.as_planned);
    sm_json_computed(w, "act_now", p.act_now);
    sm_result_json_estimate(w, "look_then_act", p.look_then_act, p.standard_error);
    sm_json_computed(w, "know_everything", p.know_all);
    sm_json_close(w);
}

/* Of the look that is ranked first, worth its burden or not. */
static void all_policies(sm_json *w, const sm_recheck_part *p)
{
    const sm_look_worths *l = &p->recheck->looks;
    const double event = p->recheck->assessment.patient.event.probability;
    sm_json_open(w, "policies", SM_JSON_LINES);
    if (l->has_line) {
        const sm_look_worth *first = &l->look[l->order[0]];
        policies(w, "at_line", first->look->name, "act", sm_policies_at_line(event, l->line, first));
    } else
        sm_json_null(w, "at_line");
    if (l->has_choice) {
        const sm_look_worth *best = sm_look_worths_best_of_choice(l);
        policies(w, "of_choice", best->look->name, l->now == 0 ? "as planned" : p->c->alternative[l->now - 1].name,
                 sm_policies_of_choice(event, l, best));
    } else
        sm_json_null(w, "of_choice");
    sm_json_close(w);
}

static void shot(sm_json *w, const sm_carm_shot *s, const char *off)
{
    if (s->there) {
        sm_json_computed(w, "primary_deg", s->view.primary_deg);
        sm_json_computed(w, "secondary_deg", s->view.secondary_deg);
        sm_json_computed(w, off, s->off_deg);
        return;
    }
    sm_json_null(w, "primary_deg");
    sm_json_null(w, "secondary_deg");
    sm_json_null(w, off);
}

static void gap_view(sm_json *w, const sm_recheck_part *p, const sm_gap_view *v)
{
    sm_json_open(w, p->c->coronary[v->side].name, SM_JSON_LINES);
    shot(w, &v->projection.edge_on, "miss_deg");
    if (v->projection.edge_on.there)
        sm_json_computed(w, "foreshortening_mm", v->shortens);
    else
        sm_json_null(w, "foreshortening_mm");
    sm_json_open(w, "ten_degrees_more", SM_JSON_LINE);
    sm_json_computed(w, "foreshortening_mm", v->shortens_more);
    if (p->recheck->has_line && v->projection.edge_on.there)
        sm_json_computed(w, "worth", v->worth_off.value - v->worth.value);
    else
        sm_json_null(w, "worth");
    sm_json_close(w);
    sm_json_open(w, "without_foreshortening", SM_JSON_LINE);
    shot(w, &v->projection.profile, "ring_open_deg");
    sm_json_close(w);
    sm_json_close(w);
}

static void looks(sm_json *w, const sm_recheck_part *p)
{
    const sm_look_worths *l = &p->recheck->looks;
    if (l->n > 0) {
        sm_json_open_list(w, "worth", SM_JSON_LINES);
        for (int i = 0; i < l->n; i++)
            look_worth(w, l, &l->look[l->order[i]]);
        sm_json_close(w);
        all_policies(w, p);
    }
    if (l->n_views == 0)
        return;
    sm_json_open(w, "projections", SM_JSON_LINES);
    for (int i = 0; i < l->n_views; i++)
        gap_view(w, p, &l->view[i]);
    sm_json_close(w);
}

/* 4. The whole result's parts: written */

static void whole(const void *self, sm_json *w)
{
    const sm_recheck_part *p = self;
    if (p->recheck->n_sources == 0) /* interrupted before anything was known */
        return;
    sources(w, p);
    irreducible(w, p->recheck);
    looks(w, p);
}

/* 5. A coronary's guarded limits */

static void guard(sm_json *w, const sm_recheck_part *p, const sm_guard *g, sm_gap_id gap)
{
    const char *name = sm_quantity_name(sm_gaps[gap].quantity);
    const bool found = g->kind == SM_GUARD_FOUND;
    char mm[40], reason[40], why[200];
    snprintf(mm, sizeof mm, "%s_mm", name);
    snprintf(reason, sizeof reason, "%s_reason", name);
    sm_guard_words(g, gap, p->c->coronary[g->other_side].name, why, sizeof why);
    if (found)
        sm_json_computed(w, mm, g->at.value);
    else
        sm_json_null(w, mm);
    sm_json_string(w, reason, found ? NULL : why);
}

static void side(const void *self, size_t k, sm_json *w)
{
    const sm_recheck_part *p = self;
    if (!p->recheck->guard)
        return;
    sm_json_open(w, "guarded", SM_JSON_LINES);
    for (int gap = 0; gap < SM_GAPS; gap++)
        guard(w, p, &p->recheck->guard[k][gap], (sm_gap_id)gap);
    sm_json_close(w);
}

sm_result_part sm_recheck_json_part(const sm_recheck_part *p)
{
    return (sm_result_part){.self = p, .side = side, .whole = whole};
}
