/* compare_json.c - two versions of a case side by side, as a part of the result file.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/compare_json.h"

static const char *kind_name(sm_difference_kind k)
{
    return k == SM_DIFFERS_ANSWER ? "answer" : k == SM_DIFFERS_LINE ? "action line" : "label";
}

static void difference(sm_json *w, const sm_difference *x, const sm_alone *a)
{
    sm_json_open(w, NULL, SM_JSON_LINES);
    sm_json_string(w, "path", x->pointer);
    sm_json_string(w, "words", x->words);
    sm_json_string(w, "unit", x->unit);
    sm_json_raw(w, "old", x->old.json);
    sm_json_raw(w, "new", x->now.json);
    sm_json_string(w, "moves", kind_name(x->kind));
    if (a->stands_alone) {
        sm_result_json_probability(w, "event", &a->event);
        sm_result_json_estimate(w, "difference", a->difference.value, a->difference.standard_error);
        sm_json_string(w, "call", sm_result_call_name(a->call));
    } else {
        sm_json_null(w, "event");
        sm_json_null(w, "difference");
        sm_json_null(w, "call");
    }
    sm_json_close(w);
}

static void new_case(sm_json *w, const sm_result *r)
{
    const sm_assessment *a = r->assessment;
    sm_json_open(w, "new", SM_JSON_LINES);
    sm_json_string(w, "case", r->c->name);
    sm_json_string(w, "case_sha256", r->case_sha256);
    sm_json_string(w, "profile_sha256", r->profile_sha256);
    sm_result_json_probability(w, "event", &a->patient.event);
    sm_json_open(w, "coronaries", SM_JSON_LINES);
    for (int k = 0; k < a->n_sides; k++)
        sm_result_json_side_event(w, r->c->coronary[k].name, &r->c->coronary[k], &a->side[k].crossing.event);
    sm_json_close(w);
    if (a->decision.call == SM_CALL_NONE)
        sm_json_null(w, "action_line");
    else
        sm_json_number(w, "action_line", a->decision.action_line);
    sm_json_string(w, "call", sm_result_form_name(sm_hold_of(a, r->settings).form));
    sm_result_json_unusual(w, r);
    sm_json_close(w);
}

static void whole(const void *self, sm_json *w)
{
    const sm_compare_part *p = self;
    const sm_compare *c = p->compare;
    if (!c->old.complete)
        return;
    sm_json_open(w, "compare", SM_JSON_LINES);
    new_case(w, p->now);
    sm_result_json_estimate(w, "moved", c->moved.value, c->moved.standard_error);
    sm_json_open_list(w, "differences", SM_JSON_LINES);
    for (int i = 0; i < c->differences.n; i++)
        difference(w, &c->differences.at[i], &c->alone[i]);
    sm_json_close(w);
    sm_result_json_estimate(w, "left", c->left.value, c->left.standard_error);
    sm_json_close(w);
}

sm_result_part sm_compare_json_part(const sm_compare_part *p)
{
    return (sm_result_part){.self = p, .whole = whole};
}
