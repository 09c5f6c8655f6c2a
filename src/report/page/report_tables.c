/* report_tables.c - the report's tables: the numbers, and the readings as entered.
 *
 * Contents: 1. cells  2. the numbers  3. how much a gap must read  4. the readings, and beside them what was published
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "report/page/html.h"
#include "report/page/report_html.h"
#include "report/text/weigh_text.h"
#include "report/blocks/words.h"

/* 1. Cells */

static void cell(sm_text *out, bool head, sm_text *words, sm_text *small)
{
    sm_html_cell(out, head, sm_text_string(words), small && small->s ? small->s : NULL);
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

static void whole_row(sm_text *out, const sm_assessment *a)
{
    sm_text_puts(out, "<tr>");
    sm_html_cell(out, true, "any side", NULL);
    crossing_cells(out, &a->patient);
    no_cells(out, SM_OUTPUTS);
    sm_text_puts(out, "</tr>\n");
}

static void notes(sm_text *out, const sm_assessment *a)
{
    sm_text words = {0};
    sm_text_puts(&words, "Below each number of 100 stands the 95 % interval of this run, which says nothing of how "
                         "good readings and assumptions are; below each "
                         "middle, in mm, between what 95 of 100 lie. The tube counts above 0.");
    if (a->bloom_corrected) {
        sm_text_puts(&words, " Were the gaps not corrected for blooming: ");
        sm_words_of_100(&words, &a->event_without_bloom_correction);
        sm_text_puts(&words, " of 100 (");
        sm_words_interval(&words, &a->event_without_bloom_correction);
        sm_text_puts(&words, ").");
    }
    sm_html_words(out, "p", "note", &words);
}

static void side_row(sm_text *out, const sm_findings *f, int k)
{
    static const sm_output_id order[SM_OUTPUTS] = {SM_OSTIUM_CLEARANCE, SM_CONVENTIONAL_OSTIUM, SM_COVER,
                                                   SM_STJ_CLEARANCE,    SM_CONVENTIONAL_STJ,    SM_REACH};
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
            sm_text_addf(&words,
                         ", gap %s: CT and %s %s (chi-square %.1f; beyond 3.84 they disagree). Believing CT alone ",
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

static void gap_words(sm_text *out, const sm_findings *f, int k, sm_look_id gap)
{
    sm_words_side(out, f->result.c->coronary[k].name);
    sm_text_puts(out, gap == SM_LOOK_OSTIUM ? " gap beside the ostium" : " gap at the junction");
}

/* The gaps that have a limit, in one sentence. */
static void guards_found(sm_text *out, const sm_findings *f)
{
    const char *before = "To fall below your line, all else as read: ";
    sm_text words = {0};
    for (int k = 0; k < f->result.assessment->n_sides; k++)
        for (int gap = 0; gap < SM_LOOKS; gap++) {
            const sm_guard *g = &f->recheck->guard[k][gap];
            if (g->kind != SM_GUARD_FOUND)
                continue;
            sm_text_puts(&words, before);
            gap_words(&words, f, k, (sm_look_id)gap);
            sm_text_puts(&words, " from ");
            sm_words_mm_at_least(&words, g->at.value);
            sm_text_puts(&words, " mm on (reads ");
            sm_words_mm(&words, g->reading);
            sm_text_puts(&words, ")");
            before = "; ";
        }
    if (words.len > 0) {
        sm_text_puts(&words, ".");
        sm_html_words(out, "p", "strong", &words);
    }
}

/* Those that have none, each reason told once. */
static void guards_none(sm_text *out, const sm_findings *f)
{
    char why[200], last[200] = "";
    sm_text words = {0};
    for (int k = 0; k < f->result.assessment->n_sides; k++)
        for (int gap = 0; gap < SM_LOOKS; gap++) {
            const sm_guard *g = &f->recheck->guard[k][gap];
            if (g->kind == SM_GUARD_FOUND)
                continue;
            char *other = sm_figure_side(f, g->other_side);
            sm_guard_words(g, (sm_look_id)gap, other ? other : "", why, sizeof why);
            free(other);
            if (last[0])
                sm_text_puts(&words, strcmp(why, last) == 0 ? ", " : "");
            if (last[0] && strcmp(why, last) != 0)
                sm_text_addf(&words, ": %s. ", last);
            gap_words(&words, f, k, (sm_look_id)gap);
            snprintf(last, sizeof last, "%s", why);
        }
    if (last[0])
        sm_text_addf(&words, ": %s.", last);
    if (words.len > 0) {
        sm_text all = {0};
        sm_text_addf(&all, "No reading alone does it: %s", words.s);
        sm_html_words(out, "p", "note", &all);
    }
    sm_text_destroy(&words);
}

static void guards(sm_text *out, const sm_findings *f)
{
    if (!f->recheck || !f->recheck->guard)
        return;
    guards_found(out, f);
    guards_none(out, f);
}

void sm_report_numbers(sm_text *out, const sm_findings *f)
{
    static const char *const head[] = {"side",
                                       "a limit crossed, of 100",
                                       "crowded ostium",
                                       "sealed sinus",
                                       "room beside ostium, mm",
                                       "by drawn circle",
                                       "tube above ostium",
                                       "room at junction, mm",
                                       "by drawn circle",
                                       "tube above junction"};
    const sm_assessment *a = f->result.assessment;
    sm_html_section(out, NULL, 2, "The numbers");
    sm_html_table(out, "numbers", NULL, head, sizeof head / sizeof *head);
    whole_row(out, a);
    for (int k = 0; k < a->n_sides; k++)
        side_row(out, f, k);
    sm_html_table_end(out);
    notes(out, a);
    looks(out, f);
    guards(out, f);
    sm_html_section_end(out);
}

/* 4. The readings, and beside them what was published */

/* A lone reader who has no name is not named. */
static void reading_words(sm_text *out, const sm_readings *r)
{
    const bool named = r->n > 1 || strcmp(r->row[0].reader, "1") != 0;
    for (size_t i = 0; i < r->n; i++) {
        sm_text_puts(out, i ? "; " : "");
        if (named)
            sm_text_addf(out, "%s: ", r->row[i].reader);
        for (size_t j = 0; j < r->row[i].n; j++) {
            sm_text_puts(out, j ? ", " : "");
            sm_words_number(out, r->row[i].mm[j]);
        }
    }
}

static void two_decimals(sm_text *out, double x)
{
    sm_words_number(out, nearbyint(x * 100) / 100 + 0.0);
}

/* The assumption of a quantity under that key; NULL where the case has none. */
static const sm_assumption *assumption_of(const sm_result *r, const char *path, const char *key)
{
    sm_text whole = {0};
    const sm_assumption *found = NULL;
    sm_text_addf(&whole, "%s/%s", path, key);
    for (size_t i = 0; !whole.failed && !found && i < r->n_assumptions; i++)
        if (strcmp(r->assumption[i].path, whole.s) == 0)
            found = &r->assumption[i];
    sm_text_destroy(&whole);
    return found;
}

/* A number of the reader's error with the number of its source: "0.57 [3]". */
static void error_cell(sm_text *out, sm_report_sources *s, const char *path, const char *key, double x, double dof)
{
    const sm_assumption *a = assumption_of(&s->f->result, path, key);
    const size_t number = a ? sm_report_source_number(s, a) : 0;
    sm_text words = {0};
    two_decimals(&words, x);
    if (dof > 0)
        sm_text_addf(&words, ", %.3g dof", dof);
    if (number > 0)
        sm_text_addf(&words, " [%zu]", number);
    cell(out, false, &words, NULL);
}

static void error_cells(sm_text *out, sm_report_sources *s, const char *path, const sm_quantity *q)
{
    sm_text words = {0};
    two_decimals(&words, sm_quantity_estimate(q));
    cell(out, false, &words, NULL);
    if (q->sd_from_readings) {
        sm_html_cell(out, false, "from the readings", NULL);
        no_cells(out, 1);
    } else {
        error_cell(out, s, path, "between_reader_sd_mm", q->between_reader_sd_mm, 0);
        error_cell(out, s, path, "repeat_sd_mm", q->repeat_sd_mm, q->dof);
    }
    error_cell(out, s, path, "bloom_edges", q->bloom_edges, 0);
}

/* What the reader's error of a quantity carries of the uncertainty. */
static void share_cell(sm_text *out, const sm_findings *f, const char *source)
{
    sm_text words = {0};
    for (int i = 0; f->recheck && i < f->recheck->n_sources; i++)
        if (strcmp(f->recheck->source[i].name, source) == 0)
            sm_text_addf(&words, "%.0f %%", 100 * fmax(0, f->recheck->source[i].share.event.total.value));
    cell(out, false, &words, NULL);
}

static void given_words(sm_text *out, const sm_quantity *q)
{
    if (q->is_read)
        reading_words(out, &q->readings);
    else
        sm_text_addf(out, "not read: mean %.4g, SD %.3g", sm_dist_mean(&q->value), sm_dist_sd(&q->value));
    if (q->cross_check.present) {
        sm_text_addf(out, "; by %s: ", sm_words_modality(q->cross_check.modality));
        reading_words(out, &q->cross_check.readings);
    }
}

/* path: of the quantity in the case; source: its name in the result. */
static void reading_row(sm_text *out, sm_report_sources *s, const char *what, const sm_quantity *q, const char *path,
                        const char *source)
{
    sm_text words = {0};
    sm_text_puts(out, "<tr>");
    sm_html_cell(out, true, what, NULL);
    given_words(&words, q);
    cell(out, false, &words, NULL);
    if (q->is_read)
        error_cells(out, s, path, q);
    else
        no_cells(out, 4);
    share_cell(out, s->f, source);
    sm_text_puts(out, "</tr>\n");
}

static void side_row_of(sm_text *out, sm_report_sources *s, const sm_coronary *o, sm_quantity_id q)
{
    static const char *const quantity[SM_QUANTITIES] = {"ostium height", "gap beside ostium", "junction height",
                                                        "gap at junction", "leaflet top"};
    sm_text what = {0}, path = {0}, source = {0};
    sm_words_side(&what, o->name);
    sm_text_addf(&what, " %s", quantity[q]);
    sm_text_addf(&path, "/coronaries/%s/%s", o->name, sm_quantity_name(q));
    sm_text_addf(&source, "%s.%s", o->name, sm_quantity_name(q));
    if (what.failed || path.failed || source.failed)
        out->failed = true;
    else
        reading_row(out, s, what.s, &o->quantity[q], path.s, source.s);
    sm_text_destroy(&what);
    sm_text_destroy(&path);
    sm_text_destroy(&source);
}

/* What a case must state and no default can stand for. */
static void stated(sm_text *out, const sm_case *c)
{
    static const char *const mount[] = {[SM_MOUNT_INTERNAL] = "leaflets inside the posts",
                                        [SM_MOUNT_EXTERNAL] = "leaflets outside the posts",
                                        [SM_STENTLESS] = "stentless"};
    sm_text words = {0};
    sm_text_puts(&words, "Bright edges: how many bloomed edges move the reading. Azimuth, drawn circle: ");
    for (size_t k = 0; k < c->n_coronaries; k++) {
        sm_text_puts(&words, k ? "; " : "");
        sm_words_side(&words, c->coronary[k].name);
        sm_text_addf(&words, " %.4g degrees, %.4g mm", c->coronary[k].azimuth_deg, c->coronary[k].circle_mm);
    }
    sm_text_addf(&words,
                 ". Surgical valve: %s. New valve: %s, nominal diameter %.4g mm, frame %.4g mm high, skirt %.4g mm, "
                 "depth %.3g mm (SD %.2g).",
                 mount[c->valve.leaflet_mount],
                 c->implant.expansion == SM_BALLOON ? "balloon-expanded" : "self-expanding",
                 c->implant.nominal_diameter_mm, c->implant.frame_height_mm, c->implant.skirt_height_mm,
                 sm_dist_mean(&c->implant.implant_depth_mm), sm_dist_sd(&c->implant.implant_depth_mm));
    if (c->note && c->note[0])
        sm_text_addf(&words, " Note of the case: %s", c->note);
    sm_html_words(out, "p", "note", &words);
}

static void readings(sm_text *out, sm_report_sources *s)
{
    static const char *const head[] = {"quantity",       "readings by reader, mm", "estimate", "SD between readers",
                                       "SD of a repeat", "bright edges",           "share"};
    const sm_case *c = s->f->result.c;
    sm_html_section(out, NULL, 2, "The readings as entered");
    sm_html_table(out, "readings", NULL, head, sizeof head / sizeof *head);
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            side_row_of(out, s, &c->coronary[k], (sm_quantity_id)q);
    reading_row(out, s, "ring inner diameter", &c->valve.inner_diameter, "/surgical_valve/inner_diameter_mm",
                "inner_diameter");
    if (c->valve.leaflet_thickness.is_read)
        reading_row(out, s, "thickness of the leaflets", &c->valve.leaflet_thickness,
                    "/surgical_valve/leaflet_thickness_mm", "leaflet_thickness");
    sm_html_table_end(out);
    stated(out, c);
    sm_html_section_end(out);
}

void sm_report_readings(sm_text *out, sm_report_sources *s)
{
    if (!s->f->context) {
        readings(out, s);
        return;
    }
    sm_text_puts(out, "<div class=\"pair uneven\">\n");
    readings(out, s);
    sm_context_html(out, s->f->result.c, s->f->context);
    sm_text_puts(out, "</div>\n");
}
