/* report_tables.c - the report's tables: the numbers, and the readings as entered.
 *
 * Contents: 1. cells  2. the numbers  3. the readings, and beside them what was published
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <string.h>

#include "casefile/keys.h"
#include "report/blocks/words.h"
#include "report/page/report_html.h"
#include "report/text/assess_text.h"
#include "report/text/recheck_text.h"
#include "report/text/weigh_text.h"

/* 1. Cells */

static void probability_cell(sm_blocks *b, const sm_probability *p)
{
    sm_words_of_100(sm_block_words(b, SM_CELL), p);
    sm_words_own_error(sm_block_words(b, SM_SMALL), p);
}

static void spread_cell(sm_blocks *b, const sm_continuous *c)
{
    sm_words_mm(sm_block_words(b, SM_CELL), c->median);
    sm_text *small = sm_block_words(b, SM_SMALL);
    sm_words_mm(small, c->low95);
    sm_text_puts(small, " to ");
    sm_words_mm(small, c->high95);
}

static void no_cells(sm_blocks *b, int n)
{
    for (int i = 0; i < n; i++)
        sm_block_say(b, SM_NONE, "");
}

/* 2. The numbers */

static void crossing_cells(sm_blocks *b, const sm_crossing *c)
{
    probability_cell(b, &c->event);
    for (int g = 0; g < SM_GAPS; g++)
        probability_cell(b, &c->crossed[g]);
}

static void notes(sm_text *out, const sm_assessment *a)
{
    sm_text_puts(out,
                 "Below each number of 100 stands by how much this run may be off, which says nothing of how "
                 "good readings and assumptions are; below each middle, in mm, between what 95 of 100 lie. The tube "
                 "counts above 0.");
    if (a->bloom_corrected) {
        sm_text_puts(out, " Were the gaps not corrected for blooming: ");
        sm_words_of_100(out, &a->event_without_bloom_correction);
        sm_text_puts(out, " of 100 (");
        sm_words_own_error(out, &a->event_without_bloom_correction);
        sm_text_puts(out, ").");
    }
}

static void side_row(sm_blocks *b, const sm_findings *f, int k, const sm_output_id order[SM_OUTPUTS])
{
    const sm_side_result *s = &f->result.assessment->side[k];
    const sm_coronary *o = &f->result.c->coronary[k];
    sm_words_side(sm_block_words(b, SM_ROW), o->name);
    if (o->has_ostium)
        crossing_cells(b, &s->crossing);
    else {
        no_cells(b, 2);
        probability_cell(b, &s->crossing.sealed);
    }
    for (int i = 0; i < SM_OUTPUTS; i++)
        if (sm_gap_is_there(o, sm_outputs[order[i]].gap))
            spread_cell(b, &s->output[order[i]]);
        else
            no_cells(b, 1);
}

static void number_columns(sm_blocks *b, const sm_output_id order[SM_OUTPUTS])
{
    static const sm_told_column crossings[] = {
        {.head = "side"}, {.head = "a limit crossed, of 100"}, {.head = "crowded ostium"}, {.head = "sealed sinus"}};
    sm_block_table(b, &(sm_told_table){.name = "numbers"}, crossings, sizeof crossings / sizeof *crossings);
    for (int i = 0; i < SM_OUTPUTS; i++)
        sm_block_columns(b, &(sm_told_column){.head = sm_outputs[order[i]].column}, 1);
}

void sm_report_numbers(sm_blocks *b, const sm_findings *f)
{
    const sm_assessment *a = f->result.assessment;
    sm_output_id order[SM_OUTPUTS];
    sm_outputs_by_gap(order);
    sm_block_say(b, SM_TITLE, "The numbers");
    number_columns(b, order);
    sm_block_say(b, SM_ROW, "any side");
    crossing_cells(b, &a->patient);
    no_cells(b, SM_OUTPUTS);
    for (int k = 0; k < a->n_sides; k++)
        side_row(b, f, k, order);
    sm_text *note = sm_block_words(b, SM_NOTE);
    notes(note, a);
    sm_text_puts(note, " ");
    sm_assess_population_words(note, &f->result);
    sm_assess_without_ostium(sm_block_words(b, SM_NOTE), f->result.c);
    if (a->n_looks > 0)
        sm_block_say(b, SM_STRONG, a->n_looks == 1 ? "The second look" : "Second looks");
    sm_assess_looks(b, SM_NOTE, &f->result);
    if (f->recheck && f->recheck->guard) {
        sm_block_say(b, SM_SCREEN, ""); /* on paper the pictures of the rooms mark where the call turns */
        sm_block_say(b, SM_STRONG, "How much each gap must read to fall below your line, all else as read");
        sm_recheck_tell_guards(b, SM_RUN, f->result.c, f->recheck);
        sm_block_say(b, SM_GROUP_END, "");
    }
}

/* 3. The readings, and beside them what was published */

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

/* The assumption of a quantity under that key; NULL if the case has none. */
static const sm_assumption *assumption_of(const sm_result *r, const char *path, const char *key)
{
    const size_t n = strlen(path);
    for (size_t i = 0; i < r->n_assumptions; i++) {
        const char *own = r->assumption[i].path;
        if (strncmp(own, path, n) == 0 && own[n] == '/' && strcmp(own + n + 1, key) == 0)
            return &r->assumption[i];
    }
    return NULL;
}

/* A number of the reader's error with the number of its source: "0.57 [3]". */
static void error_cell(sm_blocks *b, sm_report_sources *s, const char *path, const char *key, double x, double dof)
{
    const sm_assumption *a = assumption_of(&s->f->result, path, key);
    const size_t number = a ? sm_report_source_number(s, a) : 0;
    sm_text *words = sm_block_words(b, SM_CELL);
    two_decimals(words, x);
    if (dof > 0)
        sm_text_addf(words, ", %.3g dof", dof);
    if (number > 0)
        sm_text_addf(words, " [%zu]", number);
}

static void error_cells(sm_blocks *b, sm_report_sources *s, const char *path, const sm_quantity *q)
{
    two_decimals(sm_block_words(b, SM_CELL), sm_quantity_estimate(q));
    if (sm_quantity_uses_reader_sds(q))
        error_cell(b, s, path, "between_reader_sd_mm", q->between_reader_sd_mm, 0);
    else
        no_cells(b, 1);
    if (q->sd_from_readings) {
        sm_block_say(b, SM_CELL, "from the readings");
    } else {
        error_cell(b, s, path, "repeat_sd_mm", q->repeat_sd_mm, q->dof);
    }
    error_cell(b, s, path, "bloom_edges", q->bloom_edges, 0);
}

/* What the reader's error of a quantity carries of the uncertainty. */
static void share_words(sm_text *out, const sm_findings *f, sm_source_id source, int side)
{
    for (int i = 0; f->recheck && i < f->recheck->n_sources; i++)
        if (f->recheck->source[i].id == source && f->recheck->source[i].side == side)
            sm_text_addf(out, "%.0f %%", 100 * fmax(0, sm_share_rank(&f->recheck->source[i].share)->value));
}

/* The error of a direct look is stated with it and stands nowhere else; that of a look at a gap is an assumption. */
static void given_words(sm_text *out, const sm_quantity *q, const sm_quantity_kind *kind)
{
    if (q->is_read)
        reading_words(out, &q->readings);
    else
        sm_text_addf(out, "not read: mean %.4g, SD %.3g", sm_dist_mean(&q->value), sm_dist_sd(&q->value));
    if (q->cross_check.present) {
        sm_text_addf(out, "; by %s: ", sm_words_modality(q->cross_check.modality));
        reading_words(out, &q->cross_check.readings);
        if (!sm_keys_is_gap(kind))
            sm_text_addf(out, " (SD %.3g)", q->cross_check.reader_sd_mm);
    }
}

/* path: of the quantity in the case; side: of its source, SM_SHARED for the valve's. */
static void reading_row(sm_blocks *b, sm_report_sources *s, const char *what, const sm_quantity *q, const char *path,
                        const sm_quantity_kind *kind, int side)
{
    sm_block_say(b, SM_ROW, what);
    given_words(sm_block_words(b, SM_CELL), q, kind);
    if (q->is_read)
        error_cells(b, s, path, q);
    else
        no_cells(b, 4);
    share_words(sm_block_words(b, SM_CELL), s->f, kind->source, side);
}

static void side_row_of(sm_blocks *b, sm_report_sources *s, int k, sm_quantity_id q)
{
    const sm_coronary *o = &s->f->result.c->coronary[k];
    sm_text what = {0}, path = {0};
    sm_words_side(&what, o->name);
    sm_text_addf(&what, " %s", sm_words_quantity(q));
    sm_text_addf(&path, "/coronaries/%s/%s", o->name, sm_quantity_name(q));
    reading_row(b, s, sm_text_string(&what), &o->quantity[q], sm_text_string(&path),
                sm_keys_quantity(sm_quantity_name(q)), k);
    sm_text_done(&what, &b->text);
    sm_text_done(&path, &b->text);
}

/* What a case must state and no default can stand for. */
static void stated(sm_text *out, const sm_case *c)
{
    static const char *const mount[] = {[SM_MOUNT_INTERNAL] = "leaflets inside the posts",
                                        [SM_MOUNT_EXTERNAL] = "leaflets outside the posts",
                                        [SM_STENTLESS] = "stentless"};
    sm_text_puts(out, "Bright edges: how many bloomed edges move the reading. Azimuth, drawn circle: ");
    for (size_t k = 0; k < c->n_coronaries; k++) {
        sm_text_puts(out, k ? "; " : "");
        sm_words_side(out, c->coronary[k].name);
        sm_text_addf(out, " %.4g degrees, %.4g mm", c->coronary[k].azimuth_deg, c->coronary[k].circle_mm);
    }
    sm_text_addf(out,
                 ". Surgical valve: %s. New valve: %s, nominal diameter %.4g mm, frame %.4g mm high, skirt %.4g mm, "
                 "depth %.3g mm (SD %.2g).",
                 mount[c->valve.leaflet_mount],
                 c->implant.expansion == SM_BALLOON ? "balloon-expanded" : "self-expanding",
                 c->implant.nominal_diameter_mm, c->implant.frame_height_mm, c->implant.skirt_height_mm,
                 sm_dist_mean(&c->implant.implant_depth_mm), sm_dist_sd(&c->implant.implant_depth_mm));
    if (c->note && c->note[0])
        sm_text_addf(out, " Note of the case: %s", c->note);
}

static void readings(sm_blocks *b, sm_report_sources *s)
{
    static const sm_told_column column[] = {{.head = "quantity"},       {.head = "readings by reader, mm"},
                                            {.head = "estimate"},       {.head = "SD between readers"},
                                            {.head = "SD of a repeat"}, {.head = "bright edges"},
                                            {.head = "share"}};
    const sm_case *c = s->f->result.c;
    sm_block_say(b, SM_TITLE, "The readings as entered");
    sm_block_table(b, &(sm_told_table){.name = "readings"}, column, sizeof column / sizeof *column);
    for (int k = 0; k < (int)c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            if (!sm_coronary_lacks(&c->coronary[k], (sm_quantity_id)q))
                side_row_of(b, s, k, (sm_quantity_id)q);
    reading_row(b, s, "ring inner diameter", &c->valve.inner_diameter, "/surgical_valve/inner_diameter_mm",
                sm_keys_quantity("inner_diameter_mm"), SM_SHARED);
    if (c->valve.leaflet_thickness.is_read || c->valve.leaflet_thickness.cross_check.present)
        reading_row(b, s, "thickness of the leaflets", &c->valve.leaflet_thickness,
                    "/surgical_valve/leaflet_thickness_mm", sm_keys_quantity("leaflet_thickness_mm"), SM_SHARED);
    stated(sm_block_words(b, SM_NOTE), c);
}

void sm_report_readings(sm_blocks *b, sm_report_sources *s)
{
    if (!s->f->context) {
        readings(b, s);
        return;
    }
    sm_block_say(b, SM_UNEVEN, "");
    readings(b, s);
    sm_context_tell(b, s->f->result.c, s->f->context, &s->f->result.assessment->obstruction);
    sm_block_say(b, SM_GROUP_END, "");
}
