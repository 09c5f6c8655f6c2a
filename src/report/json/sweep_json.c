/* sweep_json.c - a sweep as the part "sweep" of the result file, and as a table for machines.
 *
 * Contents: 1. pieces  2. one sweep  3. all knobs  4. the part  5. the table
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/sweep_json.h"

#include "report/blocks/markup.h"

/* 1. Pieces */

static void knob(sm_json *w, const sm_knob *k)
{
    sm_json_string(w, "knob", k->name);
    sm_json_string(w, "pointer", k->pointer);
    sm_json_string(w, "words", k->words);
    sm_json_string(w, "unit", k->unit);
    if (k->has_own)
        sm_json_number(w, "own", k->own);
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
    sm_json_number(w, "value", at->value);
    sm_json_number(w, "standard_error", at->standard_error);
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
        crossing(w, &v->side[k]);
        sm_json_close(w);
    }
    sm_json_close(w);
    sm_json_close(w);
}

/* Where each row of a grid meets the line. */
static void contour(sm_json *w, const sm_sweep *s)
{
    sm_meeting m[SM_SWEEP_MOST_MEETINGS];
    sm_json_open_list(w, "contour", SM_JSON_LINES);
    for (int j = 0; j < s->axis[1].steps; j++) {
        const int n = sm_sweep_row(s, j, m, SM_SWEEP_MOST_MEETINGS);
        sm_json_open(w, NULL, SM_JSON_LINES);
        sm_json_number(w, "second", s->axis[1].value[j]);
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
    else
        contour(w, s);
}

/* 3. All knobs */

static void row(sm_json *w, const sm_sweep_row_of_all *r)
{
    sm_json_open(w, NULL, SM_JSON_LINES);
    knob(w, &r->knob);
    sm_json_open_list(w, "points", SM_JSON_LINES);
    for (int i = 0; i < SM_SWEEP_ALL_POINTS; i++) {
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
    sm_text_addf(out, ",%s", sm_number_write(x, digits));
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

static void one_csv(const sm_sweep_part *p, sm_text *out)
{
    const sm_sweep *s = p->sweep;
    for (int i = 0; i < s->n_axes; i++) {
        sm_text_puts(out, i ? "," : "");
        sm_markup_csv(out, s->axis[i].knob.name);
    }
    heads(out, "event");
    sm_text_puts(out, ",difference,difference_standard_error");
    for (size_t k = 0; k < p->c->n_coronaries; k++)
        heads(out, p->c->coronary[k].name);
    sm_text_puts(out, "\n");
    for (int i = 0; i < s->versions.n; i++) {
        const sm_version *v = &s->versions.at[i];
        char digits[SM_NUMBER_SIZE];
        sm_text_puts(out, sm_number_write(s->axis[0].value[i % s->axis[0].steps], digits));
        if (s->n_axes == 2)
            cell(out, s->axis[1].value[i / s->axis[0].steps]);
        probability_cells(out, &v->patient.event);
        cell(out, v->difference.value);
        cell(out, v->difference.standard_error);
        for (size_t k = 0; k < p->c->n_coronaries; k++)
            probability_cells(out, &v->side[k].event);
        sm_text_puts(out, "\n");
    }
}

static void all_csv(const sm_sweep_part *p, sm_text *out)
{
    sm_text_puts(out, "knob,value");
    heads(out, "event");
    sm_text_puts(out, ",difference,difference_standard_error\n");
    for (int i = 0; i < p->all->n; i++)
        for (int j = 0; j < SM_SWEEP_ALL_POINTS; j++) {
            const sm_sweep_row_of_all *r = &p->all->row[i];
            sm_markup_csv(out, r->knob.name);
            cell(out, r->value[j]);
            probability_cells(out, &r->point[j].p);
            cell(out, r->point[j].difference.value);
            cell(out, r->point[j].difference.standard_error);
            sm_text_puts(out, "\n");
        }
}

void sm_sweep_csv(const sm_sweep_part *p, sm_text *out)
{
    if (p->sweep)
        one_csv(p, out);
    if (p->all)
        all_csv(p, out);
}
