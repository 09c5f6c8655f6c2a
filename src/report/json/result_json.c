/* result_json.c - the result of a run as JSON.
 *
 * Contents: 1. names  2. the small shapes  3. the patient and the coronaries  4. the call, assumptions, warnings
 *           5. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/result_json.h"

#include <math.h>

#ifndef SM_VERSION
#define SM_VERSION "unversioned"
#endif

/* 1. Names */

const char *sm_result_version(void)
{
    return SM_VERSION;
}

const char *sm_result_call_name(sm_call call)
{
    static const char *const names[] = {
        [SM_CALL_NONE] = NULL, [SM_CALL_ABOVE] = "above", [SM_CALL_BELOW] = "below", [SM_CALL_UNRESOLVED] = "open"};
    return names[call];
}

const char *sm_result_form_name(sm_form form)
{
    static const char *const names[] = {[SM_FORM_NONE] = NULL,
                                        [SM_FORM_UNKNOWN] = NULL,
                                        [SM_FORM_ABOVE] = "above",
                                        [SM_FORM_BELOW] = "below",
                                        [SM_FORM_ABOVE_HANGS_ON] = "above_hangs_on",
                                        [SM_FORM_BELOW_HANGS_ON] = "below_hangs_on",
                                        [SM_FORM_OPEN] = "open"};
    return names[form];
}

/* Why the call is open, in words; NULL if it is not. */
static const char *reason_words(sm_call_reason reason)
{
    static const char *const words[] = {
        [SM_REASON_NONE] = NULL,
        [SM_REASON_MONTE_CARLO] = "the interval of the Monte Carlo error reaches across the action line",
        [SM_REASON_FEW_COUNT] = "the second looks leave fewer than 200 trials that count",
        [SM_REASON_LOOKS_OPPOSED] =
            "two looks at one thing, each believed alone, lie on different sides of the action line"};
    return words[reason];
}

/* 2. The small shapes */

void sm_result_json_probability(sm_json *w, const char *key, const sm_probability *p)
{
    if (isnan(p->probability)) { /* no trial counts */
        sm_json_null(w, key);
        return;
    }
    sm_json_open(w, key, SM_JSON_LINE);
    sm_json_computed(w, "probability", p->probability);
    sm_json_computed(w, "standard_error", p->standard_error);
    sm_json_pair(w, "ci95", p->low, p->high);
    sm_json_close(w);
}

void sm_result_json_obstruction(sm_json *w, const sm_obstruction *o)
{
    if (!o->covered) {
        sm_json_null(w, "obstruction");
        sm_json_string(w, "obstruction_reason", "these series do not cover a sealed sinus");
        return;
    }
    sm_json_open(w, "obstruction", SM_JSON_LINES);
    sm_json_computed(w, "probability", o->probability);
    sm_json_computed(w, "standard_error", o->standard_error);
    sm_json_computed(w, "low95", o->low95);
    sm_json_computed(w, "high95", o->high95);
    sm_json_string(
        w, "note",
        "if published series of few and chosen patients carry over; for comparison, no part of the decision");
    sm_json_close(w);
}

static void write_continuous(sm_json *w, const char *key, const sm_continuous *c)
{
    sm_json_open(w, key, SM_JSON_LINE);
    sm_json_computed(w, "mean", c->mean);
    sm_json_computed(w, "sd", c->sd);
    sm_json_computed(w, "median", c->median);
    sm_json_computed(w, "low95", c->low95);
    sm_json_computed(w, "high95", c->high95);
    sm_json_pair(w, "shortest95", c->shortest95[0], c->shortest95[1]);
    sm_json_close(w);
}

/* Differences of sums that are nearly equal, and shares: what machines differ by is a step of the sums, not of what is
 * left of them. All are of the order of 1; 1e-9 is far below any Monte Carlo error. */
static double to_step(double x)
{
    return round(x * 1e9) / 1e9;
}

void sm_result_json_estimate(sm_json *w, const char *key, double value, double standard_error)
{
    sm_json_open(w, key, SM_JSON_LINE);
    sm_json_computed(w, "value", to_step(value));
    sm_json_computed(w, "standard_error", standard_error);
    sm_json_close(w);
}

/* 3. The patient and the coronaries */

static void crossing_write(sm_json *w, const sm_crossing *c)
{
    sm_result_json_probability(w, "event", &c->event);
    for (int g = 0; g < SM_GAPS; g++)
        sm_result_json_probability(w, sm_gaps[g].crossed, &c->crossed[g]);
}

static void patient_write(sm_json *w, const sm_assessment *a)
{
    sm_json_open(w, "patient", SM_JSON_LINES);
    crossing_write(w, &a->patient);
    if (a->bloom_corrected)
        sm_result_json_probability(w, "event_without_blooming_correction", &a->event_without_bloom_correction);
    else
        sm_json_null(w, "event_without_blooming_correction");
    sm_result_json_probability(w, "event_in_population", &a->event_in_population);
    sm_result_json_obstruction(w, &a->obstruction);
    sm_json_close(w);
}

void sm_result_json_side_event(sm_json *w, const char *key, const sm_coronary *o, const sm_probability *p)
{
    if (o->has_ostium)
        sm_result_json_probability(w, key, p);
    else
        sm_json_null(w, key);
}

void sm_result_json_side_crossing(sm_json *w, const sm_coronary *o, const sm_crossing *c)
{
    sm_result_json_side_event(w, "event", o, &c->event);
    sm_result_json_side_event(w, "crowded", o, &c->crowded);
    sm_result_json_probability(w, "sealed", &c->sealed);
}

static void side_write(sm_json *w, const sm_coronary *o, const sm_side_result *s)
{
    sm_result_json_side_crossing(w, o, &s->crossing);
    for (int i = 0; i < SM_OUTPUTS; i++)
        if (sm_gap_is_there(o, sm_outputs[i].gap))
            write_continuous(w, sm_outputs[i].name, &s->output[i]);
        else
            sm_json_null(w, sm_outputs[i].name);
}

static void coronaries_write(sm_json *w, const sm_result *r, const sm_result_part *part, size_t n_parts)
{
    sm_json_open(w, "coronaries", SM_JSON_LINES);
    for (size_t k = 0; k < r->c->n_coronaries; k++) {
        sm_json_open(w, r->c->coronary[k].name, SM_JSON_LINES);
        if (r->assessment)
            side_write(w, &r->c->coronary[k], &r->assessment->side[k]);
        for (size_t i = 0; i < n_parts; i++)
            if (part[i].side)
                part[i].side(part[i].self, k, w);
        sm_json_close(w);
    }
    sm_json_close(w);
}

/* "left.ostium_gap", "inner_diameter_mm". */
static void looked_name(sm_text *out, const sm_case *c, const sm_look_result *l)
{
    sm_text_addf(out, "%s%s%s", l->side == SM_SHARED ? "" : c->coronary[l->side].name, l->side == SM_SHARED ? "" : ".",
                 sm_looked_table[l->at].name);
}

static void look_write(sm_json *w, const sm_case *c, const sm_look_result *l)
{
    sm_text name = {0};
    looked_name(&name, c, l);
    sm_json_open(w, NULL, SM_JSON_LINES);
    sm_json_string(w, "of", sm_text_string(&name));
    sm_json_computed(w, "both_right", l->state[SM_BOTH_RIGHT].probability);
    sm_json_computed(w, "look_off", l->state[SM_LOOK_OFF].probability);
    sm_json_computed(w, "first_off", l->state[SM_FIRST_OFF].probability);
    sm_result_json_probability(w, "event_first_only", &l->event_first_only);
    sm_result_json_probability(w, "event_look_only", &l->event_look_only);
    sm_json_close(w);
    sm_text_done(&name, w->out);
    sm_text_destroy(&name);
}

/* Nothing without second looks: then no trial has a weight. */
static void looks_write(sm_json *w, const sm_case *c, const sm_assessment *a)
{
    if (a->n_looks == 0)
        return;
    sm_json_computed(w, "effective_trials", a->effective_trials);
    sm_json_open_list(w, "looks", SM_JSON_LINES);
    for (int l = 0; l < a->n_looks; l++)
        look_write(w, c, &a->look[l]);
    sm_json_close(w);
}

/* 4. The call, assumptions, warnings */

/* What the event would be by each published set of limits, on the same trials. */
static void limits_write(sm_json *w, const sm_assessment *a)
{
    sm_json_open_list(w, "limits", SM_JSON_LINES);
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++) {
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_number(w, "ostium_clearance_mm", sm_published_limits[i].ostium_clearance_mm);
        sm_json_number(w, "stj_clearance_mm", sm_published_limits[i].stj_clearance_mm);
        sm_json_number(w, "reach_margin_mm", 0);
        sm_json_computed(w, "probability", a->by_limits[i].probability);
        sm_json_computed(w, "standard_error", a->by_limits[i].standard_error);
        sm_json_close(w);
    }
    sm_json_close(w);
}

/* All judged values at once, and the outer range with every single swing. */
static void settings_write(sm_json *w, const sm_settings *s, bool has_line)
{
    if (!s) {
        sm_json_null(w, "settings");
        return;
    }
    sm_json_open(w, "settings", SM_JSON_LINES);
    sm_json_count(w, "n", s->n);
    sm_json_count(w, "judged", s->n_judged);
    if (has_line) {
        sm_json_computed(w, "same_call", s->same.value);
        sm_json_computed(w, "same_call_standard_error", s->same.standard_error);
    } else {
        sm_json_null(w, "same_call");
        sm_json_null(w, "same_call_standard_error");
    }
    sm_json_computed(w, "low90", s->low90.value);
    sm_json_computed(w, "low90_standard_error", s->low90.standard_error);
    sm_json_computed(w, "high90", s->high90.value);
    sm_json_computed(w, "high90_standard_error", s->high90.standard_error);
    sm_json_computed(w, "least", s->least);
    sm_json_computed(w, "most", s->most);
    sm_json_close(w);
}

static void could_turn_write(sm_json *w, const sm_result *r)
{
    const sm_settings *s = r->settings;
    sm_json_open_list(w, "could_turn", SM_JSON_LINES);
    for (int i = 0; s && i < 2 * s->n_swings; i++) {
        const sm_swing *swing = &s->swing[i / 2];
        const sm_swing_end *e = &swing->end[i % 2];
        if (!e->turns)
            continue;
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_string(w, "assumption", r->assumption[swing->lever.assumption].path);
        sm_json_computed(w, "at", e->at);
        sm_json_computed(w, "end", e->value);
        sm_json_computed(w, "probability", e->probability);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void swing_end_write(sm_json *w, const char *key, const sm_swing_end *e)
{
    if (!e->applies) {
        sm_json_null(w, key);
        return;
    }
    sm_json_open(w, key, SM_JSON_LINE);
    sm_json_computed(w, "value", e->value);
    sm_json_computed(w, "probability", e->probability);
    sm_result_json_estimate(w, "difference", e->difference.value, e->difference.standard_error);
    sm_json_close(w);
}

/* Everything in doubt, each alone at either end of its range. */
static void swings_write(sm_json *w, const sm_result *r)
{
    const sm_settings *s = r->settings;
    sm_json_open_list(w, "swings", SM_JSON_LINES);
    for (int i = 0; s && i < s->n_swings; i++) {
        const sm_swing *swing = &s->swing[i];
        const sm_assumption *a = &r->assumption[swing->lever.assumption];
        sm_json_open(w, NULL, SM_JSON_LINES);
        sm_json_string(w, "path", a->path);
        sm_json_string(w, "moved", sm_doubt_point_words(a->doubt.point));
        sm_json_truth(w, "judged", swing->lever.judged);
        sm_json_computed(w, "own", swing->lever.own);
        swing_end_write(w, "low", &swing->end[0]);
        swing_end_write(w, "high", &swing->end[1]);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void hangs_on_write(sm_json *w, const sm_hold *h)
{
    sm_json_open_list(w, "hangs_on", SM_JSON_LINE);
    if (h->on_settings)
        sm_json_string(w, NULL, "settings");
    if (h->on_limits)
        sm_json_string(w, NULL, "limits");
    if (h->on_walls)
        sm_json_string(w, NULL, "walls");
    sm_json_close(w);
}

/* Which interval decided. */
static const char *rule_of(const sm_assessment *a)
{
    if (a->decision.by_sequence)
        return "confidence sequence";
    return a->sharp_points > 0 ? "student" : "wilson";
}

static void decision_write(sm_json *w, const sm_result *r)
{
    const sm_decision *d = &r->assessment->decision;
    const sm_hold h = sm_hold_of(r->assessment, r->settings);
    sm_json_open(w, "decision", SM_JSON_LINES);
    if (d->call == SM_CALL_NONE) {
        sm_json_null(w, "action_line");
        sm_json_null(w, "call");
        sm_json_null(w, "rule");
    } else {
        sm_json_number(w, "action_line", d->action_line);
        sm_json_string(w, "call", sm_result_form_name(h.form));
        sm_json_string(w, "rule", rule_of(r->assessment));
        sm_json_pair(w, "interval", d->low, d->high);
    }
    sm_json_string(w, "reason", reason_words(d->reason));
    hangs_on_write(w, &h);
    settings_write(w, r->settings, d->call != SM_CALL_NONE);
    could_turn_write(w, r);
    limits_write(w, r->assessment);
    swings_write(w, r);
    sm_json_close(w);
}

static void assumption_write(sm_json *w, const sm_assumption *a)
{
    sm_text why = {0};
    sm_json_open(w, NULL, SM_JSON_LINE);
    sm_json_string(w, "path", a->path);
    sm_json_raw(w, "value", a->value.json);
    sm_json_string(w, "unit", a->unit);
    sm_json_string(w, "words", a->words);
    sm_json_string(w, "origin", sm_origin_name(a->origin));
    sm_json_string(w, "grade", sm_grade_name(a->grade));
    sm_assumption_why(a, &why);
    sm_json_string(w, "source", sm_text_string(&why));
    sm_json_close(w);
    sm_text_done(&why, w->out);
}

static void assumptions_write(sm_json *w, const sm_result *r)
{
    sm_json_open_list(w, "assumptions", SM_JSON_LINES);
    for (size_t i = 0; i < r->n_assumptions; i++)
        assumption_write(w, &r->assumption[i]);
    sm_json_close(w);
}

static bool each_warning_of(const sm_diag *d, void (*add)(void *self, const char *words), void *self)
{
    bool whole = true;
    for (size_t i = 0; d && i < d->n; i++) {
        const sm_diag_item *m = &d->item[i];
        sm_text words = {0};
        if (m->kind != SM_WARNING)
            continue;
        if (m->pointer && m->pointer[0])
            sm_text_addf(&words, "%s: ", m->pointer);
        sm_text_puts(&words, m->words ? m->words : "");
        if (!words.failed)
            add(self, words.s);
        whole &= !words.failed;
        sm_text_destroy(&words);
    }
    return whole;
}

bool sm_result_each_warning(const sm_result *r, void (*add)(void *self, const char *words), void *self)
{
    const bool whole = each_warning_of(r->read, add, self);
    return (!r->assessment || each_warning_of(&r->assessment->warnings, add, self)) && whole;
}

static void warning_write(void *self, const char *words)
{
    sm_json_string(self, NULL, words);
}

void sm_result_json_unusual(sm_json *w, const sm_result *r)
{
    sm_json_open_list(w, "unusual", SM_JSON_LINES);
    for (size_t i = 0; i < r->n_unusual; i++) {
        const sm_unusual *u = &r->unusual[i];
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_string(w, "at", u->at);
        sm_json_string(w, "name", u->name);
        sm_json_string(w, "what", u->what);
        sm_json_computed(w, "value", u->value);
        sm_json_pair(w, "usual", u->low, u->high);
        sm_json_string(w, "unit", u->unit);
        sm_json_string(w, "slip", u->slip);
        sm_json_truth(w, "confirmed", u->confirmed);
        sm_json_close(w);
    }
    sm_json_close(w);
}

/* 5. The whole */

sm_result sm_result_of(const sm_casefile *f, const sm_diag *read, const sm_assessment *a)
{
    sm_result r = {.c = sm_casefile_case(f),
                   .case_sha256 = sm_casefile_case_sha256(f),
                   .profile_sha256 = sm_casefile_profile_sha256(f),
                   .read = read,
                   .assessment = a};
    r.n_assumptions = sm_casefile_assumptions(f, &r.assumption);
    r.n_unusual = sm_casefile_unusual(f, &r.unusual);
    return r;
}

/* Only if the probabilities come from there. */
static void sharp_write(sm_json *w, const sm_assessment *a)
{
    if (a->sharp_points == 0)
        return;
    sm_json_open(w, "sharp", SM_JSON_LINE);
    sm_json_count(w, "points", a->sharp_points);
    sm_json_count(w, "tasks", a->sharp_tasks);
    sm_json_close(w);
}

static void head_write(sm_json *w, const sm_result *r)
{
    sm_json_string(w, "format", "slimmargin-result-1");
    sm_json_string(w, "version", SM_VERSION);
    sm_json_string(w, "case", r->c->name);
    sm_json_string(w, "case_sha256", r->case_sha256);
    sm_json_string(w, "profile_sha256", r->profile_sha256);
    if (!r->assessment)
        return;
    sm_json_count(w, "trials", r->assessment->trials);
    sm_json_natural(w, "seed", r->assessment->seed);
    sm_json_truth(w, "complete", r->assessment->complete);
    sharp_write(w, r->assessment);
    looks_write(w, r->c, r->assessment);
}

void sm_result_json_write(const sm_result *r, const sm_result_part *part, size_t n_parts, sm_text *out)
{
    sm_json w = {.out = out};
    sm_json_open(&w, NULL, SM_JSON_LINES);
    head_write(&w, r);
    if (r->assessment)
        patient_write(&w, r->assessment);
    coronaries_write(&w, r, part, n_parts);
    if (r->assessment)
        decision_write(&w, r);
    for (size_t i = 0; i < n_parts; i++)
        if (part[i].whole)
            part[i].whole(part[i].self, &w);
    sm_result_json_unusual(&w, r);
    assumptions_write(&w, r);
    sm_json_open_list(&w, "warnings", SM_JSON_LINES);
    out->failed |= !sm_result_each_warning(r, warning_write, &w);
    sm_json_close(&w);
    sm_json_close(&w);
}
