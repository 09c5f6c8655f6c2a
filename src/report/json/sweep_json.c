/* sweep_json.c - a sweep as the part "sweep" of the result file, and as a table for machines.
 *
 * Contents: 1. pieces  2. one sweep  3. all knobs  4. the part  5. the table
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/sweep_json.h"

#include "report/blocks/markup.h"
#include "report/blocks/words.h"

/* 1. Pieces */

static void knob(sm_json *w, const sm_knob *k)
{
    sm_json_string(w, "knob", k->name);
    sm_json_string(w, "pointer", k->pointer);
    sm_json_string(w, "words", k->words);
    sm_json_string(w, "unit", k->unit);
    if (k->has_own)
        sm_json_computed(w, "own", k->own);
    else
        sm_json_null(w, "own");
    sm_json_raw(w, "stated", k->has_own ? NULL : k->stated.json);
}

static void crossing(sm_json *w, const sm_crossing *c)
{
    sm_result_json_probability(w, "event", &c->event);
    sm_result_json_probability(w, "crowded", &c->crowded);
    sm_result_json_probability(w, "sealed", &c->sealed);
}

static void meeting(sm_json *w, const sm_estimate *at, bool rises)
{
    sm_json_open(w, NULL, SM_JSON_LINE);
    sm_json_computed(w, "value", at->value);
    sm_json_computed(w, "standard_error", at->standard_error);
    sm_json_string(w, "beyond", rises ? "above" : "below");
    sm_json_close(w);
}

static void evens(sm_json *w, const sm_break_even *e, int n)
{
    sm_json_open_list(w, "break_even", SM_JSON_LINES);
    for (int i = 0; i < n; i++)
        meeting(w, &e[i].at, e[i].rises);
    sm_json_close(w);
}

/* 2. One sweep */

static void axes(sm_json *w, const sm_sweep *s)
{
    sm_json_open_list(w, "knobs", SM_JSON_LINES);
    for (int i = 0; i < s->n_axes; i++) {
        sm_json_open(w, NULL, SM_JSON_LINES);
        knob(w, &s->axis[i].knob);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void values(sm_json *w, const sm_sweep *s, int i)
{
    const int steps = s->axis[0].steps;
    sm_json_open_list(w, "values", SM_JSON_LINE);
    sm_json_number(w, NULL, s->axis[0].value[i % steps]);
    if (s->n_axes == 2)
        sm_json_number(w, NULL, s->axis[1].value[i / steps]);
    sm_json_close(w);
}

static void point(sm_json *w, const sm_sweep_part *p, int i)
{
    const sm_version *v = &p->sweep->versions.at[i];
    sm_json_open(w, NULL, SM_JSON_LINES);
    values(w, p->sweep, i);
    crossing(w, &v->patient);
    sm_result_json_estimate(w, "difference", v->difference.value, v->difference.standard_error);
    sm_json_open(w, "coronaries", SM_JSON_LINES);
    for (size_t k = 0; k < p->c->n_coronaries; k++) {
        sm_json_open(w, p->c->coronary[k].name, SM_JSON_LINES);
        sm_result_json_side_crossing(w, &p->c->coronary[k], &v->side[k]);
        sm_json_close(w);
    }
    sm_json_close(w);
    sm_json_close(w);
}

/* Where each row of a grid meets the line, and each column. */
static void meetings(sm_json *w, const sm_sweep *s, int along, const char *name, const char *other)
{
    sm_meeting m[SM_SWEEP_MOST_MEETINGS];
    sm_json_open_list(w, name, SM_JSON_LINES);
    for (int j = 0; j < s->axis[1 - along].steps; j++) {
        const int n = sm_sweep_meetings(s, along, j, m, SM_SWEEP_MOST_MEETINGS);
        sm_json_open(w, NULL, SM_JSON_LINES);
        sm_json_number(w, other, s->axis[1 - along].value[j]);
        sm_json_open_list(w, "meets", SM_JSON_LINES);
        for (int i = 0; i < n; i++)
            meeting(w, &m[i].at, m[i].rises);
        sm_json_close(w);
        sm_json_close(w);
    }
    sm_json_close(w);
}

static void one(sm_json *w, const sm_sweep_part *p)
{
    const sm_sweep *s = p->sweep;
    axes(w, s);
    sm_json_open_list(w, "points", SM_JSON_LINES);
    for (int i = 0; i < s->versions.n; i++)
        point(w, p, i);
    sm_json_close(w);
    sm_result_json_estimate(w, "range", s->range.value, s->range.standard_error);
    sm_json_truth(w, "moves", s->moves);
    if (s->n_axes == 1)
        evens(w, s->even, s->n_even);
    else {
        meetings(w, s, 0, "contour", "second");
        meetings(w, s, 1, "contour_up", "first");
    }
}

/* 3. All knobs */

static void row(sm_json *w, const sm_sweep_row_of_all *r)
{
    sm_json_open(w, NULL, SM_JSON_LINES);
    knob(w, &r->knob);
    sm_json_truth(w, "in_doubt", r->in_doubt);
    sm_json_open_list(w, "points", SM_JSON_LINES);
    for (int i = 0; i < r->n; i++) {
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_open_list(w, "values", SM_JSON_LINE);
        sm_json_number(w, NULL, r->value[i]);
        sm_json_close(w);
        sm_result_json_probability(w, "event", &r->point[i].p);
        sm_result_json_estimate(w, "difference", r->point[i].difference.value, r->point[i].difference.standard_error);
        sm_json_close(w);
    }
    sm_json_close(w);
    sm_result_json_estimate(w, "range", r->range.value, r->range.standard_error);
    sm_json_truth(w, "moves", r->moves);
    sm_json_truth(w, "turns_the_call", r->turns);
    evens(w, r->even, r->n_even);
    sm_json_close(w);
}

/* 4. The part */

static void whole(const void *self, sm_json *w)
{
    const sm_sweep_part *p = self;
    sm_json_open(w, "sweep", SM_JSON_LINES);
    if (p->sweep)
        one(w, p);
    if (p->all) {
        sm_json_open_list(w, "ranked", SM_JSON_LINES);
        for (int i = 0; i < p->all->n; i++)
            row(w, &p->all->row[i]);
        sm_json_close(w);
    }
    sm_json_close(w);
}

sm_result_part sm_sweep_json_part(const sm_sweep_part *p)
{
    return (sm_result_part){.self = p, .whole = whole};
}

/* 5. The table */

static void cell(sm_text *out, double x)
{
    char digits[SM_NUMBER_SIZE];
    sm_text_addf(out, ",%s", sm_number_computed(x, digits));
}

static void probability_cells(sm_text *out, const sm_probability *p)
{
    cell(out, p->probability);
    cell(out, p->standard_error);
    cell(out, p->low);
    cell(out, p->high);
}

static void heads(sm_text *out, const char *of)
{
    sm_text_addf(out, ",%s,%s_standard_error,%s_low95,%s_high95", of, of, of, of);
}

/* Empty if there is none. */
static void cell_if(sm_text *out, bool has, double x)
{
    if (has)
        cell(out, x);
    else
        sm_text_puts(out, ",");
}

/* "blooming, mm per edge" */
static void axis_cell(sm_text *out, const sm_knob *k)
{
    sm_text words = {0};
    sm_words_axis(&words, k->words, k->unit);
    sm_text_puts(out, ",");
    sm_markup_csv(out, sm_text_string(&words));
    sm_text_done(&words, out);
}

static const char drawn_heads[] = ",action_line,event_as_it_is,event_as_it_is_low95,event_as_it_is_high95";

static void drawn_cells(sm_text *out, const sm_assessment *a)
{
    cell_if(out, a->decision.action_line > 0, a->decision.action_line);
    cell(out, a->patient.event.probability);
    cell(out, a->patient.event.low);
    cell(out, a->patient.event.high);
}

static void one_heads(const sm_sweep_part *p, bool drawn, sm_text *out)
{
    static const char *const beside[] = {",knob_words,knob_as_it_is", ",second_words,second_as_it_is"};
    const sm_sweep *s = p->sweep;
    for (int i = 0; i < s->n_axes; i++) {
        sm_text_puts(out, i ? "," : "");
        sm_markup_csv(out, s->axis[i].knob.name);
    }
    heads(out, "event");
    sm_text_puts(out, ",difference,difference_standard_error");
    for (size_t k = 0; k < p->c->n_coronaries; k++)
        if (p->c->coronary[k].has_ostium)
            heads(out, p->c->coronary[k].name);
    sm_text_puts(out, drawn ? drawn_heads : "");
    for (int i = 0; drawn && i < s->n_axes; i++)
        sm_text_puts(out, beside[i]);
    sm_text_puts(out, !drawn           ? "\n"
                      : s->n_axes == 2 ? ",event_normal_score\n"
                                       : ",meets_line_at,meets_line_at_standard_error\n");
}

static void one_drawn(const sm_sweep *s, int i, sm_text *out)
{
    drawn_cells(out, &s->assessment);
    for (int a = 0; a < s->n_axes; a++) {
        axis_cell(out, &s->axis[a].knob);
        cell_if(out, s->axis[a].knob.has_own, s->axis[a].knob.own);
    }
    if (s->n_axes == 2) {
        cell(out, sm_curve_height(&s->point[i].p, 0.5));
        return;
    }
    const sm_estimate *at = i < s->n_even ? &s->even[i].at : NULL;
    cell_if(out, at, at ? at->value : 0);
    cell_if(out, at, at ? at->standard_error : 0);
}

static void one_csv(const sm_sweep_part *p, bool drawn, sm_text *out)
{
    const sm_sweep *s = p->sweep;
    one_heads(p, drawn, out);
    for (int i = 0; i < s->versions.n; i++) {
        const sm_version *v = &s->versions.at[i];
        char digits[SM_NUMBER_SIZE];
        sm_text_puts(out, sm_number_write(s->axis[0].value[i % s->axis[0].steps], digits));
        if (s->n_axes == 2)
            sm_text_addf(out, ",%s", sm_number_write(s->axis[1].value[i / s->axis[0].steps], digits));
        probability_cells(out, &v->patient.event);
        cell(out, v->difference.value);
        cell(out, v->difference.standard_error);
        for (size_t k = 0; k < p->c->n_coronaries; k++)
            if (p->c->coronary[k].has_ostium)
                probability_cells(out, &v->side[k].event);
        if (drawn)
            one_drawn(s, i, out);
        sm_text_puts(out, "\n");
    }
}

static void row_csv(const sm_sweep_all *all, const sm_sweep_row_of_all *r, bool drawn, sm_text *out)
{
    for (int j = 0; j < r->n; j++) {
        sm_markup_csv(out, r->knob.name);
        cell(out, r->value[j]);
        probability_cells(out, &r->point[j].p);
        cell(out, r->point[j].difference.value);
        cell(out, r->point[j].difference.standard_error);
        if (drawn) {
            drawn_cells(out, &all->assessment);
            axis_cell(out, &r->knob);
            sm_text_addf(out, ",%d,%d", r->moves, r->turns);
        }
        sm_text_puts(out, "\n");
    }
}

static void all_csv(const sm_sweep_part *p, bool drawn, sm_text *out)
{
    sm_text_puts(out, "knob,value");
    heads(out, "event");
    sm_text_puts(out, ",difference,difference_standard_error");
    if (drawn)
        sm_text_addf(out, "%s,knob_words,moves,turns", drawn_heads);
    sm_text_puts(out, "\n");
    for (int i = 0; i < p->all->n; i++)
        row_csv(p->all, &p->all->row[i], drawn, out);
}

static void csv(const sm_sweep_part *p, bool drawn, sm_text *out)
{
    if (p->sweep)
        one_csv(p, drawn, out);
    if (p->all)
        all_csv(p, drawn, out);
}

void sm_sweep_csv(const sm_sweep_part *p, sm_text *out)
{
    csv(p, false, out);
}

void sm_sweep_csv_drawn(const sm_sweep_part *p, sm_text *out)
{
    csv(p, true, out);
}
