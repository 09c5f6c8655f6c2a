/* weigh_json.c - the alternatives side by side, as parts of the result file.
 *
 * Contents: 1. one alternative  2. the choice and how firm it is  3. the context
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/weigh_json.h"

#include <math.h>

/* 1. One alternative */

static void estimate(sm_json *w, const char *key, const sm_estimate *e)
{
    sm_result_json_estimate(w, key, e->value, e->standard_error);
}

static void name_of(sm_json *w, const char *key, const sm_weigh *k, int row)
{
    sm_json_string(w, key, row < 0 ? NULL : k->row[row].name);
}

/* {side: probability} as the user stated it. */
static void chances(sm_json *w, const char *key, const sm_case *c, const double *probability)
{
    sm_json_open(w, key, SM_JSON_LINE);
    for (size_t k = 0; k < c->n_coronaries; k++)
        if (probability[k] != SM_NOT_DONE)
            sm_json_number(w, c->coronary[k].name, probability[k]);
    sm_json_close(w);
}

static void stated(sm_json *w, const sm_case *c, const sm_alternative *a)
{
    sm_json_truth(w, "changes_implant", a->patches_implant);
    sm_json_truth(w, "changes_surgical_valve", a->patches_valve);
    chances(w, "lacerate", c, a->lacerate);
    chances(w, "rescue", c, a->rescue);
    sm_json_number(w, "burden", a->burden);
    sm_json_truth(w, "burden_stated", a->burden_stated);
}

static void row(sm_json *w, const sm_weigh_part *p, int i)
{
    const sm_weigh_row *r = &p->weigh->row[i];
    sm_json_open(w, NULL, SM_JSON_LINES);
    sm_json_string(w, "name", r->name);
    if (i > 0)
        stated(w, p->c, &p->c->alternative[i - 1]);
    sm_result_json_probability(w, "event", &r->event);
    sm_result_json_obstruction(w, &r->obstruction);
    sm_json_open(w, "coronaries", SM_JSON_LINES);
    for (int k = 0; k < p->weigh->n_sides; k++)
        sm_result_json_side_event(w, p->c->coronary[k].name, &p->c->coronary[k], &r->side[k]);
    sm_json_close(w);
    sm_result_json_probability(w, "unrescued", &r->unrescued);
    estimate(w, "event_difference", &r->event_difference);
    estimate(w, "difference", &r->difference);
    sm_json_computed(w, "independent_trials_factor", r->more_trials);
    estimate(w, "expected_cost", &r->cost);
    estimate(w, "break_even_burden", &r->break_even);
    name_of(w, "dominated_by", p->weigh, r->dominated_by);
    sm_json_computed(w, "probability_cheapest", r->cheapest);
    sm_json_close(w);
}

/* 2. The choice and how firm it is */

static void burdens(sm_json *w, const sm_weigh *k)
{
    sm_json_open_list(w, "burdens", SM_JSON_LINES);
    for (int i = 0; i < k->n_ranges; i++) {
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_computed(w, "from_factor", k->range[i].from);
        sm_json_computed(w, "to_factor", k->range[i].to);
        name_of(w, "cheapest", k, k->range[i].action);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void successes(sm_json *w, const sm_weigh *k)
{
    sm_json_open_list(w, "success", SM_JSON_LINES);
    for (int i = 0; i < SM_SUCCESS_STEPS && k->any_success; i++) {
        sm_json_open(w, NULL, SM_JSON_LINES);
        sm_json_computed(w, "factor", k->step[i].factor);
        name_of(w, "cheapest", k, k->step[i].cheapest);
        sm_json_open_list(w, "expected_cost", SM_JSON_LINE);
        for (int r = 0; r < k->n_rows; r++)
            sm_json_computed(w, NULL, k->step[i].cost[r]);
        sm_json_close(w);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void lines(sm_json *w, const sm_weigh *k)
{
    sm_json_open_list(w, "action_lines", SM_JSON_LINES);
    for (int i = 0; i < SM_LINES; i++) {
        const sm_line_step *s = &k->line[i];
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_number(w, "threshold_probability", s->line);
        if (s->call == SM_CALL_UNRESOLVED)
            sm_json_null(w, "act");
        else
            sm_json_truth(w, "act", s->call == SM_CALL_ABOVE);
        sm_json_computed(w, "net_benefit", s->net_benefit);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void rechecks(sm_json *w, const sm_choice *c)
{
    sm_json_open_list(w, "recheck", SM_JSON_LINES);
    for (int i = 0; i < c->n; i++) {
        sm_json_open(w, NULL, SM_JSON_LINES);
        sm_json_string(w, "source", c->item[i].source);
        estimate(w, "value", &c->item[i].worth.value);
        estimate(w, "choice_change", &c->item[i].worth.change);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void not_weighed(sm_json *w, const sm_weigh *k)
{
    sm_json_open_list(w, "not_weighed", SM_JSON_LINES);
    for (int i = 0; i < k->choice.n_unseen; i++) {
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_string(w, "source", k->choice.unseen[i].source);
        name_of(w, "alternative", k, k->choice.unseen[i].root);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void choice(sm_json *w, const sm_weigh *k)
{
    sm_json_open(w, "choice", SM_JSON_LINES);
    sm_json_count(w, "trials", k->trials);
    name_of(w, "cheapest", k, k->cheapest);
    sm_json_truth(w, "settled", k->settled);
    name_of(w, "next", k, k->next);
    estimate(w, "margin", &k->margin);
    burdens(w, k);
    successes(w, k);
    lines(w, k);
    rechecks(w, &k->choice);
    not_weighed(w, k);
    if (k->choice.item)
        sm_json_computed(w, "bound", k->choice.bound);
    else
        sm_json_null(w, "bound"); /* interrupted before it was known */
    sm_json_close(w);
}

/* 3. The context */

static void group(sm_json *w, const char *key, const sm_published_group *g)
{
    sm_json_open(w, key, SM_JSON_LINE);
    sm_json_computed(w, "mean_mm", g->mean);
    sm_json_computed(w, "sd_mm", g->sd);
    sm_json_count(w, "patients", g->n);
    sm_json_close(w);
}

static void context(sm_json *w, const sm_weigh_part *p)
{
    const sm_published *c = p->context;
    sm_json_open(w, "context", SM_JSON_LINES);
    sm_json_string(w, "note", "published series, for comparison; no part of the decision");
    sm_json_string(w, "source", "Ribeiro, Eur Heart J 2018;39:687, doi 10.1093/eurheartj/ehx455");
    sm_json_string(w, "side", p->c->coronary[c->side].name);
    sm_json_computed(w, "reading_mm", c->reading);
    sm_json_truth(w, "beyond_published_readings", c->beyond);
    sm_json_computed(w, "class_rate", c->rate.per_100 / 100);
    group(w, "obstructed", &sm_published_obstructed);
    group(w, "not_obstructed", &sm_published_unobstructed);
    sm_json_close(w);
}

static void whole(const void *self, sm_json *w)
{
    const sm_weigh_part *p = self;
    sm_json_open_list(w, "alternatives", SM_JSON_LINES);
    for (int i = 0; i < p->weigh->n_rows; i++)
        row(w, p, i);
    sm_json_close(w);
    choice(w, p->weigh);
    if (p->context)
        context(w, p);
}

sm_result_part sm_weigh_json_part(const sm_weigh_part *p)
{
    return (sm_result_part){.self = p, .whole = whole};
}
