/* report_tables.c - the report's tables: the numbers, and the readings as entered.
 *
 * Contents: 1. cells  2. the numbers  3. how much a gap must read  4. the readings
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>

#include "report/html.h"
#include "report/report_html.h"
#include "report/words.h"

/* 1. Cells */

static void cell(sm_text *out, bool head, sm_text *words, sm_text *small)
{
    sm_html_cell(out, head, words->s ? words->s : "", small && small->s ? small->s : NULL);
    out->failed |= words->failed || (small && small->failed);
    sm_text_destroy(words);
    if (small)
        sm_text_destroy(small);
}

static void probability_cell(sm_text *out, const sm_probability *p)
{
    sm_text words = {0}, small = {0};
    sm_words_of_100(&words, p);
    sm_words_interval(&small, p);
    cell(out, false, &words, &small);
}

static void spread_cell(sm_text *out, const sm_continuous *c)
{
    sm_text words = {0}, small = {0};
    sm_words_mm(&words, c->median);
    sm_words_mm(&small, c->low95);
    sm_text_puts(&small, " to ");
    sm_words_mm(&small, c->high95);
    cell(out, false, &words, &small);
}

static void number_cell(sm_text *out, double x)
{
    sm_text words = {0};
    sm_text_addf(&words, "%.4g", x);
    cell(out, false, &words, NULL);
}

static void side_cell(sm_text *out, const sm_findings *f, int k, const char *after)
{
    sm_text words = {0};
    sm_words_side(&words, f->result.c->coronary[k].name);
    sm_text_puts(&words, after);
    cell(out, true, &words, NULL);
}

/* 2. The numbers */

static void crossing_cells(sm_text *out, const sm_crossing *c)
{
    probability_cell(out, &c->event);
    probability_cell(out, &c->crowded);
    probability_cell(out, &c->sealed);
}

static void no_cells(sm_text *out, int n)
{
    for (int i = 0; i < n; i++)
        sm_html_cell(out, false, "\xe2\x80\x93", NULL);
}

static void whole_rows(sm_text *out, const sm_assessment *a)
{
    sm_text_puts(out, "<tr>");
    sm_html_cell(out, true, "any side", NULL);
    crossing_cells(out, &a->patient);
    no_cells(out, SM_OUTPUTS);
    sm_text_puts(out, "</tr>\n");
    if (!a->bloom_corrected)
        return;
    sm_text_puts(out, "<tr>");
    sm_html_cell(out, true, "any side, gaps not corrected for blooming", NULL);
    probability_cell(out, &a->event_without_bloom_correction);
    no_cells(out, SM_OUTPUTS + 2);
    sm_text_puts(out, "</tr>\n");
}

static void side_row(sm_text *out, const sm_findings *f, int k)
{
    static const sm_output_id order[SM_OUTPUTS] = {SM_OSTIUM_CLEARANCE, SM_CONVENTIONAL_OSTIUM, SM_COVER,
                                                   SM_STJ_CLEARANCE, SM_CONVENTIONAL_STJ, SM_REACH};
    const sm_side_result *s = &f->result.assessment->side[k];
    sm_text_puts(out, "<tr>");
    side_cell(out, f, k, "");
    crossing_cells(out, &s->crossing);
    for (int i = 0; i < SM_OUTPUTS; i++)
        spread_cell(out, &s->output[order[i]]);
    sm_text_puts(out, "</tr>\n");
}

static void looks(sm_text *out, const sm_findings *f)
{
    for (int k = 0; k < f->result.assessment->n_sides; k++)
        for (int g = 0; g < SM_LOOKS; g++) {
            const sm_look_result *l = &f->result.assessment->side[k].look[g];
            const sm_coronary *o = &f->result.c->coronary[k];
            sm_text words = {0};
            if (!l->present)
                continue;
            const char *other = sm_words_modality(o->quantity[sm_look_quantity[g]].cross_check.modality);
            sm_words_side(&words, o->name);
            sm_text_addf(&words, ", gap %s: CT and %s %s (chi-square %.1f; beyond 3.84 they disagree). Believing CT alone ",
                         g == SM_LOOK_OSTIUM ? "beside the ostium" : "at the sinotubular junction", other,
                         l->conflict ? "disagree and are not averaged" : "agree and are pooled", l->chi2);
            sm_words_frequency(&words, &l->event_ct_only);
            sm_text_addf(&words, " roots cross a limit, believing %s alone ", other);
            sm_words_frequency(&words, &l->event_other_only);
            sm_text_puts(&words, ".");
            sm_html_words(out, "p", NULL, &words);
        }
}

/* 3. How much a gap must read */

static void guard_item(sm_text *out, const sm_findings *f, int k, sm_look_id gap, const sm_guard *g)
{
    sm_text words = {0};
    char why[200];
    sm_words_side(&words, f->result.c->coronary[k].name);
    sm_text_addf(&words, ", gap %s: reads ", gap == SM_LOOK_OSTIUM ? "beside the ostium" : "at the junction");
    sm_words_mm(&words, g->reading);
    if (g->kind == SM_GUARD_FOUND)
        sm_text_addf(&words, " mm, must read at least %.1f mm", g->at.value);
    else {
        sm_guard_words(g, gap, f->result.c->coronary[g->other_side].name, why, sizeof why);
        sm_text_addf(&words, " mm; no limit: %s", why);
    }
    sm_html_words(out, "li", NULL, &words);
}

static void guards(sm_text *out, const sm_findings *f)
{
    if (!f->recheck || !f->recheck->guard)
        return;
    sm_html_element(out, "h3", NULL, "How much each gap must read to fall below your line, all else as read");
    sm_text_puts(out, "<ul class=\"columns\">\n");
    for (int k = 0; k < f->result.assessment->n_sides; k++)
        for (int g = 0; g < SM_LOOKS; g++)
            guard_item(out, f, k, (sm_look_id)g, &f->recheck->guard[k][g]);
    sm_text_puts(out, "</ul>\n");
}

void sm_report_numbers(sm_text *out, const sm_findings *f)
{
    static const char *const head[] = {"side", "a limit crossed, of 100", "crowded ostium", "sealed sinus",
                                       "room beside ostium, mm", "by drawn circle", "tube above ostium",
                                       "room at junction, mm", "by drawn circle", "tube above junction"};
    const sm_assessment *a = f->result.assessment;
    sm_html_section(out, NULL, 2, "The numbers");
    sm_html_table(out, "numbers", NULL, head, sizeof head / sizeof *head);
    whole_rows(out, a);
    for (int k = 0; k < a->n_sides; k++)
        side_row(out, f, k);
    sm_html_table_end(out);
    sm_html_element(out, "p", "note",
                    "Of 100: below each number the Monte Carlo error of this run (95 %), which says nothing of how good readings and assumptions are. "
                    "Millimetres: the middle, and below it between what 95 of 100 lie. A tube counts above 0 only.");
    looks(out, f);
    guards(out, f);
    sm_html_section_end(out);
}

/* 4. The readings */

static void reading_words(sm_text *out, const sm_readings *r)
{
    for (size_t i = 0; i < r->n; i++) {
        sm_text_addf(out, "%s%s ", i ? "; " : "", r->row[i].reader);
        for (size_t j = 0; j < r->row[i].n; j++) {
            sm_text_puts(out, j ? ", " : "");
            sm_words_number(out, r->row[i].mm[j]);
        }
    }
}

static void known_words(sm_text *out, const sm_dist *d)
{
    sm_text_addf(out, "not read: mean %.4g, SD %.3g", sm_dist_mean(d), sm_dist_sd(d));
}

static void error_cells(sm_text *out, const sm_quantity *q)
{
    if (!q->is_read) {
        no_cells(out, 4);
        return;
    }
    number_cell(out, sm_quantity_estimate(q));
    if (q->sd_from_readings) {
        sm_html_cell(out, false, "from the readings", NULL);
        no_cells(out, 1);
    } else {
        number_cell(out, q->between_reader_sd_mm);
        number_cell(out, q->repeat_sd_mm);
    }
    number_cell(out, q->bloom_edges + 0.0);
}

static void reading_row(sm_text *out, const char *side, const char *what, const sm_quantity *q)
{
    sm_text name = {0}, words = {0};
    sm_words_side(&name, side);
    sm_text_addf(&name, "%s%s", side[0] ? " " : "", what);
    sm_text_puts(out, "<tr>");
    cell(out, true, &name, NULL);
    if (q->is_read)
        reading_words(&words, &q->readings);
    else
        known_words(&words, &q->value);
    if (q->cross_check.present) {
        sm_text_addf(&words, "; by %s: ", sm_words_modality(q->cross_check.modality));
        reading_words(&words, &q->cross_check.readings);
    }
    cell(out, false, &words, NULL);
    error_cells(out, q);
    sm_text_puts(out, "</tr>\n");
}

void sm_report_readings(sm_text *out, const sm_findings *f)
{
    static const char *const head[] = {"quantity", "readings by reader, mm", "estimate", "SD between", "SD repeat", "bright edges"};
    static const char *const quantity[SM_QUANTITIES] = {"ostium height", "gap beside ostium", "junction height", "gap at junction", "leaflet top"};
    const sm_case *c = f->result.c;
    sm_html_section(out, NULL, 2, "The readings as entered");
    sm_html_table(out, "readings", NULL, head, sizeof head / sizeof *head);
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            reading_row(out, c->coronary[k].name, quantity[q], &c->coronary[k].quantity[q]);
    reading_row(out, "", "inner diameter of the ring", &c->valve.inner_diameter);
    if (c->valve.leaflet_thickness.is_read)
        reading_row(out, "", "thickness of the leaflets", &c->valve.leaflet_thickness);
    sm_html_table_end(out);
    sm_html_section_end(out);
}
