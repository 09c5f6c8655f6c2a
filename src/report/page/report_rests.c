/* report_rests.c - what the answer rests on: every assumption with its value, origin, grade, source, and share or
 * swing.
 *
 * Contents: 1. sources by number  2. which quantities  3. share and swing  4. rows and items
 *           5. the table, then lists by grade  6. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/text/assumption_text.h"
#include "report/page/html.h"
#include "report/blocks/markup.h"
#include "report/page/report_html.h"
#include "report/text/recheck_text.h"
#include "report/blocks/words.h"

typedef sm_report_sources rests;

/* Where several assumptions say the same of several quantities they are told once. */

/* 1. Sources by number */

static bool needs_source(const sm_assumption *a)
{
    return a->source[0] && !(a->grade == SM_STATED && a->origin == SM_FROM_CASE);
}

/* A default's source follows its reason, which `slimmargin defaults` tells and a page has no room for. */
static const char *source_of(const sm_assumption *a)
{
    static const char mark[] = "Source: ";
    const char *at = strstr(a->source, mark);
    return at ? at + strlen(mark) : a->source;
}

/* The number of a's source, counted from 1; 0 where it needs none. */
size_t sm_report_source_number(sm_report_sources *t, const sm_assumption *a)
{
    if (!needs_source(a))
        return 0;
    for (size_t i = 0; i < t->n_sources; i++)
        if (strcmp(t->source[i], source_of(a)) == 0)
            return i + 1;
    t->source[t->n_sources++] = source_of(a);
    return t->n_sources;
}

/* 2. Which quantities */

static bool is_of(const sm_assumption *a, const char *side, const char *quantity)
{
    sm_text path = {0};
    sm_text_addf(&path, "/coronaries/%s/%s", side, quantity);
    bool is =
        !path.failed && strncmp(a->path, path.s, path.len) == 0 && (a->path[path.len] == '/' || !a->path[path.len]);
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
    static const char *const words[SM_QUANTITIES] = {"ostium height", "gap beside ostium", "junction height",
                                                     "gap at junction", "leaflet top"};
    const char *before = ": ";
    for (int q = 0; q < SM_QUANTITIES; q++) {
        sm_text sides = {0};
        size_t n = sides_of(r, first, sm_quantity_name((sm_quantity_id)q), &sides);
        if (n > 0) {
            sm_text_addf(out, "%s%s", before, words[q]);
            before = ", ";
        }
        if (n > 0 && n < r->c->n_coronaries)
            sm_text_addf(out, " (%s)", sm_text_string(&sides));
        sm_text_done(&sides, out);
    }
}

/* 3. Share and swing */

/* The readers' own errors stand beside the readings. */
static bool beside_readings(const sm_assumption *a)
{
    static const char *const ending[] = {"/between_reader_sd_mm", "/repeat_sd_mm", "/dof", "/bloom_edges"};
    size_t about, n = strlen(a->path);
    sm_assumption_what(a, &about);
    for (size_t i = 0; about > 0 && i < sizeof ending / sizeof *ending; i++)
        if (n > strlen(ending[i]) && strcmp(a->path + n - strlen(ending[i]), ending[i]) == 0)
            return true;
    return false;
}

/* What moves the answer by at least 1 of 100, or carries at least 10 % of its uncertainty, stands in the table. */
#define LEAST_SWING 1.0
#define LEAST_SHARE 10.0

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
            widen(e, 100 * fmax(0, k->source[i].share.event.total.value),
                  100 * fmax(0, k->source[i].share.event.total.value));
}

static void swing_of(const rests *t, size_t i, ends *e)
{
    const sm_swings *w = t->f->swings;
    if (!w || (int)i >= w->n_assumptions || !w->swing[i].applies)
        return;
    const double a = 100 * w->swing[i].low.event.probability, b = 100 * w->swing[i].high.event.probability;
    widen(e, fmin(a, b), fmax(a, b));
}

/* Both, over all that are told with assumption `first`; high below low where there is none. */
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

/* "51 %", "3 to 43 %": its part in the variance of the event; or "24 to 26": where the answer moves to over its range.
 */
static void influence_words(sm_text *out, const rests *t, size_t first)
{
    ends share, swing;
    influence_of(t, first, &share, &swing);
    if (swing.high >= swing.low)
        sm_text_addf(out, "%.*f to %.*f", swing.high - swing.low < 2, swing.low, swing.high - swing.low < 2,
                     swing.high);
    else if (share.high >= share.low && share.high - share.low >= 1)
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

/* 4. Rows and items */

static bool told_before(const sm_result *r, size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (sm_assumption_same(&r->assumption[j], &r->assumption[i]))
            return true;
    return false;
}

/* What is assumed, of which quantities, and the number of its source. */
static void what_words(sm_text *out, rests *t, const sm_assumption *a)
{
    const size_t number = sm_report_source_number(t, a);
    size_t about;
    sm_text_puts(out, sm_assumption_what(a, &about));
    if (about > 0)
        quantities(out, &t->f->result, a);
    if (number > 0)
        sm_text_addf(out, " [%zu]", number);
}

static const char *grade_words(const sm_assumption *a)
{
    return a->grade != SM_STATED ? sm_grade_name(a->grade) : a->origin == SM_FROM_PROFILE ? "site profile" : "case";
}

static void row(sm_text *out, rests *t, size_t i)
{
    const sm_assumption *a = &t->f->result.assumption[i];
    sm_text what = {0}, value = {0}, moves = {0};
    what_words(&what, t, a);
    sm_words_value(&value, a->value, a->unit);
    influence_words(&moves, t, i);
    sm_text_puts(out, "<tr>");
    sm_html_cell(out, true, sm_text_string(&what), NULL);
    sm_html_cell(out, false, sm_text_string(&value), NULL);
    sm_html_cell(out, false, grade_words(a), NULL);
    sm_html_cell(out, false, sm_text_string(&moves), NULL);
    sm_text_puts(out, "</tr>\n");
    sm_text_done(&what, out);
    sm_text_done(&value, out);
    sm_text_done(&moves, out);
}

/* The same as an item of a list: "eccentricity of the ring 0.02 to 0.1 (23 %)". */
static void item(sm_text *out, rests *t, size_t i)
{
    const sm_assumption *a = &t->f->result.assumption[i];
    sm_text words = {0}, moves = {0};
    what_words(&words, t, a);
    sm_text_puts(out, "<li>");
    sm_markup_text(out, sm_text_string(&words));
    sm_text_done(&words, out);
    sm_words_value(&words, a->value, a->unit);
    sm_text_puts(out, " <b>");
    sm_markup_text(out, sm_text_string(&words));
    sm_text_puts(out, "</b>");
    influence_words(&moves, t, i);
    if (moves.len > 0)
        sm_text_addf(out, " (%s)", moves.s);
    sm_text_puts(out, "</li>\n");
    sm_text_done(&words, out);
    sm_text_done(&moves, out);
}

/* 5. The table, then lists by grade */

/* The next row of the table: the heaviest below `below`; n_assumptions where there is none. */
static size_t next_row(const rests *t, double below, double *found)
{
    size_t next = t->f->result.n_assumptions;
    *found = 0;
    for (size_t i = 0; i < t->f->result.n_assumptions; i++) {
        const double w = told_before(&t->f->result, i) ? 0 : weight(t, i);
        if (w > *found && w < below) {
            *found = w;
            next = i;
        }
    }
    return next;
}

static void write_table(sm_text *out, rests *t)
{
    static const char *const head[] = {"what", "value", "grade", "swing or share"};
    double w;
    size_t i = next_row(t, HUGE_VAL, &w);
    if (i == t->f->result.n_assumptions)
        return;
    sm_html_table(out, "rests", "What moves the answer most", head, 4);
    for (; i < t->f->result.n_assumptions; i = next_row(t, w, &w))
        row(out, t, i);
    sm_html_table_end(out);
}

/* The weakest first. origin -1: any. */
static const struct {
    sm_grade grade;
    int origin;
    const char *caption;
} groups[] = {{SM_UNCONFIRMED, -1, "Other defaults, unconfirmed: from memory, not checked"},
              {SM_JUDGEMENT, -1, "Other defaults, judgement: no published number was found"},
              {SM_DERIVED, -1, "Other defaults, derived from, or by analogy with, something published"},
              {SM_PUBLISHED, -1, "Other defaults, published: seen in their source"},
              {SM_STATED, SM_FROM_PROFILE, "Stated by the site profile"},
              {SM_STATED, SM_FROM_CASE, "Stated by the case"},
              {SM_STATED, SM_FROM_DEFAULT, "Other"}};

enum { GROUPS = sizeof groups / sizeof *groups };

static bool belongs(const rests *t, size_t i, int group)
{
    const sm_assumption *a = &t->f->result.assumption[i];
    return a->grade == groups[group].grade && (groups[group].origin < 0 || (int)a->origin == groups[group].origin) &&
           !beside_readings(a) && !told_before(&t->f->result, i) && !(weight(t, i) > 0);
}

static void write_group(sm_text *out, rests *t, int group)
{
    bool begun = false;
    for (size_t i = 0; i < t->f->result.n_assumptions; i++) {
        if (!belongs(t, i, group))
            continue;
        if (!begun) {
            sm_html_element(out, "h3", NULL, groups[group].caption);
            sm_text_puts(out, "<ul class=\"run\">\n");
        }
        begun = true;
        item(out, t, i);
    }
    if (begun)
        sm_text_puts(out, "</ul>\n");
}

/* 6. The whole */

bool sm_report_sources_create(const sm_findings *f, sm_report_sources *out)
{
    *out = (sm_report_sources){.f = f, .source = calloc(f->result.n_assumptions + 1, sizeof *out->source)};
    return out->source != NULL;
}

void sm_report_sources_destroy(sm_report_sources *s)
{
    free(s->source);
}

static void sources(sm_text *out, const rests *t)
{
    if (t->n_sources == 0)
        return;
    sm_html_element(out, "h3", NULL, "Sources");
    sm_text_puts(out, "<ul class=\"run\">\n");
    for (size_t i = 0; i < t->n_sources; i++) {
        sm_text words = {0};
        sm_text_addf(&words, "[%zu] %s", i + 1, t->source[i]);
        sm_html_words(out, "li", NULL, &words);
    }
    sm_text_puts(out, "</ul>\n");
}

static void judgement(sm_text *out, const sm_findings *f)
{
    sm_text words = {0};
    if (!f->swings)
        return;
    sm_recheck_judgement(&words, &f->result, f->swings);
    if (words.len > 0)
        sm_html_words(out, "p", "strong", &words);
    sm_text_destroy(&words);
}

void sm_report_rests(sm_text *out, sm_report_sources *t)
{
    sm_html_section(out, NULL, 2, "What it rests on");
    judgement(out, t->f);
    sm_html_element(out, "p", "note",
                    "[n]: the source, below. Swing: where a default takes the answer (of 100) over its range. Share: "
                    "its part in the answer's uncertainty.");
    write_table(out, t);
    sm_text_puts(out, "<div class=\"columns\">\n");
    for (int i = 0; i < GROUPS; i++)
        write_group(out, t, i);
    sources(out, t);
    sm_text_puts(out, "</div>\n");
    sm_html_section_end(out);
}
