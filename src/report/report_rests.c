/* report_rests.c - what the answer rests on: every assumption with its value, origin, grade, source, and share or swing.
 *
 * Contents: 1. sources by number  2. which quantities  3. share and swing  4. a row  5. tables by grade  6. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/assumption_text.h"
#include "report/html.h"
#include "report/report_html.h"
#include "report/recheck_text.h"
#include "report/words.h"

/* Where several assumptions say the same of several quantities they are one row. A source that several rows share is told
 * once, below, and stands in the rows as its number. */
typedef struct {
    const sm_findings *f;
    const char **source;
    size_t n_sources;
} rests;

/* 1. Sources by number */

static bool needs_source(const sm_assumption *a)
{
    return a->source[0] && !(a->grade == SM_STATED && a->origin == SM_FROM_CASE);
}

/* The number of a's source, counted from 1; 0 where it needs none. */
static size_t source_number(rests *t, const sm_assumption *a)
{
    if (!needs_source(a))
        return 0;
    for (size_t i = 0; i < t->n_sources; i++)
        if (strcmp(t->source[i], a->source) == 0)
            return i + 1;
    t->source[t->n_sources++] = a->source;
    return t->n_sources;
}

/* 2. Which quantities */

static bool is_of(const sm_assumption *a, const char *side, const char *quantity)
{
    sm_text path = {0};
    sm_text_addf(&path, "/coronaries/%s/%s", side, quantity);
    bool is = !path.failed && strncmp(a->path, path.s, path.len) == 0 && (a->path[path.len] == '/' || !a->path[path.len]);
    sm_text_destroy(&path);
    return is;
}

/* How many sides have an assumption like `first` for a quantity; their names in `sides`. */
static size_t sides_of(const sm_result *r, const sm_assumption *first, const char *quantity, sm_text *sides)
{
    size_t n = 0;
    for (size_t k = 0; k < r->c->n_coronaries; k++)
        for (size_t i = 0; i < r->n_assumptions; i++) {
            const sm_assumption *a = &r->assumption[i];
            if (!is_of(a, r->c->coronary[k].name, quantity) || (a != first && !sm_assumption_same(first, a)))
                continue;
            sm_text_puts(sides, n++ ? ", " : "");
            sm_words_side(sides, r->c->coronary[k].name);
            break;
        }
    return n;
}

/* "ostium height, gap beside ostium (right)": a quantity that all sides share is named without them. */
static void quantities(sm_text *out, const sm_result *r, const sm_assumption *first)
{
    static const char *const words[SM_QUANTITIES] = {"ostium height", "gap beside ostium", "junction height", "gap at junction", "leaflet top"};
    const char *before = ": ";
    for (int q = 0; q < SM_QUANTITIES; q++) {
        sm_text sides = {0};
        size_t n = sides_of(r, first, sm_quantity_name((sm_quantity_id)q), &sides);
        if (n > 0) {
            sm_text_addf(out, "%s%s", before, words[q]);
            before = ", ";
        }
        if (n > 0 && n < r->c->n_coronaries)
            sm_text_addf(out, " (%s)", sides.s ? sides.s : "");
        out->failed |= sides.failed;
        sm_text_destroy(&sides);
    }
}

/* 3. Share and swing */

/* The ends of something over the rows that are told as one. */
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
        if (strcmp(k->source[i].name, a->draws) == 0)
            widen(e, 100 * fmax(0, k->source[i].share.event.total.value), 100 * fmax(0, k->source[i].share.event.total.value));
}

static void swing_of(const rests *t, size_t i, ends *e)
{
    const sm_swings *w = t->f->swings;
    if (!w || (int)i >= w->n_assumptions || !w->swing[i].applies)
        return;
    const double a = 100 * w->swing[i].low.event.probability, b = 100 * w->swing[i].high.event.probability;
    widen(e, fmin(a, b), fmax(a, b));
}

/* "51 %", "3 to 43 %": its part in the variance of the event; or "24 to 26": where the answer moves to over its range. */
static void influence(sm_text *out, const rests *t, size_t first)
{
    const sm_result *r = &t->f->result;
    ends share = {HUGE_VAL, -HUGE_VAL}, swing = share;
    for (size_t i = first; i < r->n_assumptions; i++) {
        if (i != first && !sm_assumption_same(&r->assumption[first], &r->assumption[i]))
            continue;
        swing_of(t, i, &swing);
        if (!r->assumption[i].is_constant)
            share_of(t, &r->assumption[i], &share);
    }
    if (swing.high >= swing.low)
        sm_text_addf(out, "%.1f to %.1f", swing.low, swing.high);
    else if (share.high >= share.low && share.high - share.low >= 1)
        sm_text_addf(out, "%.0f to %.0f %%", share.low, share.high);
    else if (share.high >= share.low)
        sm_text_addf(out, "%.0f %%", share.high);
    else
        sm_text_puts(out, "\xe2\x80\x93");
}

/* 4. A row */

static bool told_before(const sm_result *r, size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (sm_assumption_same(&r->assumption[j], &r->assumption[i]))
            return true;
    return false;
}

static void row(sm_text *out, rests *t, size_t i)
{
    const sm_assumption *a = &t->f->result.assumption[i];
    size_t about;
    const size_t number = source_number(t, a);
    sm_text what = {0}, value = {0}, moves = {0};
    sm_text_puts(&what, sm_assumption_what(a, &about));
    if (about > 0)
        quantities(&what, &t->f->result, a);
    sm_words_value(&value, a->value, a->unit);
    if (number > 0)
        sm_text_addf(&what, " [%zu]", number);
    influence(&moves, t, i);
    sm_text_puts(out, "<tr>");
    sm_html_cell(out, true, what.s ? what.s : "", NULL);
    sm_html_cell(out, false, value.s ? value.s : "", NULL);
    sm_html_cell(out, false, moves.s ? moves.s : "", NULL);
    sm_text_puts(out, "</tr>\n");
    out->failed |= what.failed || value.failed || moves.failed;
    sm_text_destroy(&what);
    sm_text_destroy(&value);
    sm_text_destroy(&moves);
}

/* 5. Tables by grade */

/* The weakest first. origin -1: any. */
static const struct {
    sm_grade grade;
    int origin;
    const char *caption;
} groups[] = {{SM_UNCONFIRMED, -1, "Default, unconfirmed: from memory, not checked"},
              {SM_JUDGEMENT, -1, "Default, judgement: no published number was found"},
              {SM_DERIVED, -1, "Default, derived from, or by analogy with, something published"},
              {SM_PUBLISHED, -1, "Default, published: seen in its source"},
              {SM_STATED, SM_FROM_PROFILE, "Stated by the site profile"},
              {SM_STATED, SM_FROM_CASE, "Stated by the case"},
              {SM_STATED, SM_FROM_DEFAULT, "Other defaults"}};

enum { GROUPS = sizeof groups / sizeof *groups };

static void table(sm_text *out, rests *t, int group)
{
    static const char *const head[] = {"what", "value", "share or swing"};
    const sm_result *r = &t->f->result;
    bool begun = false;
    for (size_t i = 0; i < r->n_assumptions; i++) {
        const sm_assumption *a = &r->assumption[i];
        if (a->grade != groups[group].grade || (groups[group].origin >= 0 && (int)a->origin != groups[group].origin) || told_before(r, i))
            continue;
        if (!begun)
            sm_html_table(out, "rests", groups[group].caption, head, 3);
        begun = true;
        row(out, t, i);
    }
    if (begun)
        sm_html_table_end(out);
}

/* 6. The whole */

static void sources(sm_text *out, const rests *t)
{
    if (t->n_sources == 0)
        return;
    sm_html_element(out, "h3", NULL, "Sources");
    sm_text_puts(out, "<ol>\n");
    for (size_t i = 0; i < t->n_sources; i++)
        sm_html_element(out, "li", NULL, t->source[i]);
    sm_text_puts(out, "</ol>\n");
}

static void judgement(sm_text *out, const sm_findings *f)
{
    sm_text words = {0};
    if (!f->swings)
        return;
    sm_recheck_judgement(&words, &f->result, f->swings);
    if (words.len > 0)
        sm_html_words(out, "p", NULL, &words);
    sm_text_destroy(&words);
}

void sm_report_rests(sm_text *out, const sm_findings *f)
{
    rests t = {.f = f, .source = calloc(f->result.n_assumptions + 1, sizeof *t.source)};
    if (!t.source) {
        out->failed = true;
        return;
    }
    sm_html_section(out, NULL, 2, "What it rests on");
    judgement(out, f);
    sm_html_element(out, "p", "note",
                    "The weakest first; [n] is the source below. Share: for what is drawn, its part in the uncertainty of the answer (%). Swing: for a "
                    "constant default, the answer (of 100) at the ends of its range.");
    sm_text_puts(out, "<div class=\"columns\">\n");
    for (int i = 0; i < GROUPS; i++)
        table(out, &t, i);
    sources(out, &t);
    sm_text_puts(out, "</div>\n");
    sm_html_section_end(out);
    free(t.source);
}
