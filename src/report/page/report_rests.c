/* report_rests.c - what the answer rests on: every assumption with its value, origin, grade, source, and share or
 * swing.
 *
 * Contents: 1. sources by number  2. share and swing  3. rows and items
 *           4. the table, then lists by grade  5. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/blocks/words.h"
#include "report/page/report_html.h"
#include "report/text/assumption_text.h"
#include "report/text/hold_text.h"

typedef sm_report_sources rests;

/* 1. Sources by number */

static bool needs_source(const sm_assumption *a)
{
    return a->source[0] && !(a->grade == SM_STATED && a->origin == SM_FROM_CASE);
}

/* The number of a's source, counted from 1; 0 if it needs none. */
size_t sm_report_source_number(sm_report_sources *t, const sm_assumption *a)
{
    if (!needs_source(a))
        return 0;
    for (size_t i = 0; i < t->n_sources; i++)
        if (strcmp(t->source[i]->source, a->source) == 0)
            return i + 1;
    t->source[t->n_sources++] = a;
    return t->n_sources;
}

/* 2. Share and swing */

/* The readers' own errors stand beside the readings. */
static bool beside_readings(const sm_assumption *a)
{
    static const char *const ending[] = {"/between_reader_sd_mm", "/repeat_sd_mm", "/dof", "/bloom_edges"};
    const bool of_quantity = strncmp(a->path, "/coronaries/", 12) == 0;
    const size_t n = strlen(a->path);
    for (size_t i = 0; of_quantity && i < sizeof ending / sizeof *ending; i++)
        if (n > strlen(ending[i]) && strcmp(a->path + n - strlen(ending[i]), ending[i]) == 0)
            return true;
    return false;
}

/* What moves the answer by at least 10 of 100, or carries at least 20 % of its uncertainty, stands in the table: two
 * sheets have no room for more. */
#define LEAST_SWING 10.0
#define LEAST_SHARE 20.0

/* The ends of something over the rows that are reported as one. */
typedef struct {
    double low, high;
} ends;

static void widen(ends *e, double low, double high)
{
    e->low = fmin(e->low, low);
    e->high = fmax(e->high, high);
}

static void share_of(const rests *t, const sm_assumption *a, ends *e)
{
    const sm_recheck *k = t->f->recheck;
    for (int i = 0; k && a->draws && a->draws[0] && i < k->n_sources; i++)
        if (strcmp(k->source[i].name, a->draws) == 0) {
            const double share = 100 * fmax(0, sm_share_rank(&k->source[i].share)->value);
            widen(e, share, share);
        }
}

static void swing_of(const rests *t, size_t i, ends *e)
{
    const int at = sm_hold_swing_of(&t->f->result, i);
    for (int k = 0; at >= 0 && k < 2; k++) {
        const sm_swing_end *end = &t->f->result.settings->swing[at].end[k];
        const double p = 100 * (end->applies ? end->probability : t->f->result.settings->probability);
        widen(e, p, p);
    }
}

/* Both, over all that are reported with assumption `first`; high below low if there is none. */
static void influence_of(const rests *t, size_t first, ends *share, ends *swing)
{
    const sm_result *r = &t->f->result;
    *share = *swing = (ends){HUGE_VAL, -HUGE_VAL};
    for (size_t i = first; i < r->n_assumptions; i++) {
        if (i != first && !sm_assumption_same(&r->assumption[first], &r->assumption[i]))
            continue;
        swing_of(t, i, swing);
        if (!r->assumption[i].is_constant)
            share_of(t, &r->assumption[i], share);
    }
}

/* "; turns above 0.94" */
static void turning_words(sm_text *out, const rests *t, size_t first)
{
    const int at = sm_hold_swing_of(&t->f->result, first);
    if (at >= 0)
        sm_hold_turning_at(out, &t->f->result, at);
}

/* "51 %", "3 to 43 %": its part in the variance of the event; or "24 to 26": where the answer moves to over its range.
 */
static void influence_words(sm_text *out, const rests *t, size_t first)
{
    ends share, swing;
    influence_of(t, first, &share, &swing);
    if (swing.high >= swing.low) {
        sm_text_addf(out, "%.*f to %.*f", swing.high - swing.low < 2, swing.low, swing.high - swing.low < 2,
                     swing.high);
        turning_words(out, t, first);
    } else if (share.high >= share.low && share.high - share.low >= 1)
        sm_text_addf(out, "%.0f to %.0f %%", share.low, share.high);
    else if (share.high >= share.low)
        sm_text_addf(out, "%.0f %%", share.high);
}

/* Order of the table: swings before shares, the larger first; 0: too small to stand there. */
static double weight(const rests *t, size_t first)
{
    ends share, swing;
    influence_of(t, first, &share, &swing);
    if (swing.high >= swing.low)
        return swing.high - swing.low >= LEAST_SWING ? 1000 + swing.high - swing.low : 0;
    return share.high >= LEAST_SHARE ? share.high : 0;
}

/* 3. Rows and items */

/* What is assumed, of which quantities, and the number of its source. */
static void what_words(sm_text *out, rests *t, size_t i)
{
    const size_t number = sm_report_source_number(t, &t->f->result.assumption[i]);
    sm_assumption_what(out, &t->f->result, i, ": ");
    if (number > 0)
        sm_text_addf(out, " [%zu]", number);
}

static const char *grade_words(const sm_assumption *a)
{
    return a->grade != SM_STATED ? sm_grade_name(a->grade) : a->origin == SM_FROM_PROFILE ? "site profile" : "case";
}

static void row(sm_blocks *b, rests *t, size_t i)
{
    const sm_assumption *a = &t->f->result.assumption[i];
    what_words(sm_block_words(b, SM_ROW), t, i);
    sm_words_value(sm_block_words(b, SM_CELL), &a->value, a->unit);
    sm_block_say(b, SM_CELL, grade_words(a));
    influence_words(sm_block_words(b, SM_CELL), t, i);
}

/* The same as an item of a list: "eccentricity of the ring 0.02 to 0.1 (23 %)". */
static void item(sm_blocks *b, rests *t, size_t i)
{
    const sm_assumption *a = &t->f->result.assumption[i];
    sm_text moves = {0}, *what = sm_block_words(b, SM_RUN);
    what_words(what, t, i);
    sm_text_puts(what, " ");
    sm_words_value(sm_block_words(b, SM_BOLD), &a->value, a->unit);
    influence_words(&moves, t, i);
    if (moves.len > 0)
        sm_text_addf(sm_block_words(b, SM_MORE), " (%s)", moves.s);
    sm_text_done(&moves, &b->text);
}

/* 4. The table, then lists by grade */

/* The next row of the table: the heaviest below `below`; n_assumptions if there is none. */
static size_t next_row(const rests *t, double below, double *found)
{
    size_t next = t->f->result.n_assumptions;
    *found = 0;
    for (size_t i = 0; i < t->f->result.n_assumptions; i++) {
        const double w = sm_assumption_told_before(&t->f->result, i) ? 0 : weight(t, i);
        if (w > *found && w < below) {
            *found = w;
            next = i;
        }
    }
    return next;
}

static void table(sm_blocks *b, rests *t)
{
    static const sm_told_column column[] = {
        {.head = "what"}, {.head = "value"}, {.head = "grade"}, {.head = "swing or share"}};
    double w;
    size_t i = next_row(t, HUGE_VAL, &w);
    if (i == t->f->result.n_assumptions)
        return;
    sm_block_table(b, &(sm_told_table){.name = "rests", .caption = "What moves the answer most"}, column, 4);
    for (; i < t->f->result.n_assumptions; i = next_row(t, w, &w))
        row(b, t, i);
}

/* The others of a grade. */
static void group(sm_blocks *b, rests *t, int g)
{
    const sm_result *r = &t->f->result;
    sm_block_say(b, SM_SUBTITLE, sm_assumption_group_title(g));
    for (size_t i = 0; i < r->n_assumptions; i++)
        if (sm_assumption_belongs(&r->assumption[i], g) && !beside_readings(&r->assumption[i]) &&
            !sm_assumption_told_before(r, i) && !(weight(t, i) > 0))
            item(b, t, i);
}

/* 5. The whole */

bool sm_report_sources_create(const sm_findings *f, sm_report_sources *out)
{
    *out = (sm_report_sources){.f = f, .source = calloc(f->result.n_assumptions + 1, sizeof *out->source)};
    return out->source != NULL;
}

void sm_report_sources_destroy(sm_report_sources *s)
{
    free(s->source);
}

void sm_report_rests(sm_blocks *b, sm_report_sources *t)
{
    sm_block_say(b, SM_TITLE, "What it rests on");
    sm_hold_settings(sm_block_words(b, SM_STRONG), &t->f->result);
    sm_block_say(
        b, SM_NOTE,
        "[n]: the source, below. Swing: where what is in doubt takes the answer (of 100) over its range. Share: its "
        "part in the answer's uncertainty.");
    table(b, t);
    sm_block_say(b, SM_COLUMNS, "");
    for (int g = 0; g < SM_ASSUMPTION_GROUPS; g++)
        group(b, t, g);
    sm_block_say(b, SM_SUBTITLE, "Sources");
    for (size_t i = 0; i < t->n_sources; i++) {
        const sm_assumption *a = t->source[i];
        sm_text_addf(sm_block_words(b, SM_RUN), "[%zu] %s%s", i + 1, a->source, a->reason[0] ? "." : "");
    }
    sm_block_say(b, SM_GROUP_END, "");
}
