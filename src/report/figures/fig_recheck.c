/* fig_recheck.c - what to measure again: a ranked work list with bars, their errors and their numbers.
 *
 * Contents: 1. which rows  2. columns  3. a row  4. the whole  5. words  6. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>

#include "report/blocks/markup.h"
#include "report/text/recheck_text.h"
#include "report/blocks/words.h"

/* 1. Which rows */

/* With an action line the worth of a perfect re-check, per 1,000 such cases; without one, the share of the event's
 * variance, in percent. */
static sm_estimate length_of(const sm_recheck *k, int source)
{
    const sm_recheck_source *s = &k->source[source];
    sm_estimate e = k->has_line ? s->worth.perfect.value : *sm_share_rank(&s->share);
    const double unit = k->has_line ? 1000 : 100;
    return (sm_estimate){unit * e.value, unit * e.standard_error};
}

/* Shown are those whose worth can be told from nothing: 1 in 1,000 cases, or 1 % of the variance. */
static int rows(const sm_recheck *k)
{
    int n = 0;
    while (n < k->n_reducible && length_of(k, k->order[n]).value >= 1)
        n++;
    return n;
}

/* 2. Columns */

#define NAME_SIZE 12
#define NAME_AT   36.0 /* after the rank */

typedef struct {
    bool wide;
    double bars, end; /* where bars begin; where the longest ends */
    double scale;     /* user units a unit of length */
    double change;    /* right edge of the last column */
    double pitch;     /* from row to row */
} columns;

static double widest_name(const sm_recheck *k, int n, sm_text *out)
{
    double widest = 0;
    for (int i = 0; i < n; i++) {
        sm_text words = {0};
        sm_recheck_imperative(&words, k->source[k->order[i]].name);
        widest = fmax(widest, sm_svg_text_width(sm_text_string(&words), NAME_SIZE, false));
        sm_text_done(&words, out); /* it was only measured */
    }
    return widest;
}

static columns columns_of(const sm_recheck *k, double width, sm_text *out)
{
    columns c = {.wide = width > 500, .change = width};
    double most = 1e-9;
    const int n = rows(k);
    for (int i = 0; i < n; i++) {
        const sm_estimate e = length_of(k, k->order[i]);
        most = fmax(most, e.value + 1.96 * e.standard_error);
    }
    c.bars = c.wide ? NAME_AT + widest_name(k, n, out) + 8 : NAME_AT;
    c.end = c.wide ? width - 170 : width - 130;
    c.scale = (c.end - c.bars) / most;
    c.pitch = c.wide ? 15 : 37;
    return c;
}

/* 3. A row */

/* The rank, or the ranks among which nothing settles it: "4-5". */
static void draw_rank(sm_svg *s, const sm_recheck_source *r, int place, double y)
{
    sm_text words = {0};
    if (r->tied_to > r->tied_from)
        sm_text_addf(&words, "%d\xe2\x80\x93%d", r->tied_from + 1, r->tied_to + 1);
    else
        sm_text_addf(&words, "%d", place + 1);
    sm_svg_text(s, &sm_letters_mute, 0, y, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void draw_bar(sm_svg *s, const columns *c, sm_estimate e, double y)
{
    const double end = c->bars + e.value * c->scale, half = 1.96 * e.standard_error * c->scale;
    sm_text words = {0};
    sm_svg_rect(s, "f-deep", (sm_box){c->bars, y - 10, end - c->bars, 11});
    sm_svg_line(s, "l-firm", end - half, y - 4.5, end + half, y - 4.5);
    sm_svg_line(s, "l-ink", end - half, y - 8.5, end - half, y - 0.5);
    sm_svg_line(s, "l-ink", end + half, y - 8.5, end + half, y - 0.5);
    sm_text_addf(&words, "%.0f", e.value);
    sm_svg_text(s, &sm_letters_strong, end + half + 6, y, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void draw_row(sm_svg *s, const columns *c, const sm_recheck *k, int place, double y)
{
    const sm_recheck_source *r = &k->source[k->order[place]];
    sm_text words = {0};
    sm_recheck_imperative(&words, r->name);
    draw_rank(s, r, place, y);
    sm_svg_text(s, &(sm_lettering){"t-ink", NAME_SIZE, false, SM_START}, NAME_AT, y, sm_text_string(&words));
    if (!c->wide)
        y += 16;
    draw_bar(s, c, length_of(k, k->order[place]), y);
    sm_text_done(&words, &s->body);
    if (k->has_line) {
        sm_words_change(&words, r->worth.perfect.change.value);
        sm_svg_text(s, &(sm_lettering){"t-ink", 12, false, SM_END}, c->change, y, sm_text_string(&words));
        sm_text_done(&words, &s->body);
    }
}

/* 4. The whole */

static double draw_heads(sm_svg *s, const columns *c, const sm_recheck *k)
{
    const sm_lettering right = sm_letters_at(sm_letters_mute, SM_END);
    const char *what = k->has_line ? "spared, in untreated events per 1,000 such cases"
                       : k->n_sources > 0 && k->source[0].share.first_only ? "share of the event's variance, alone, %"
                                                                           : "share of the event's variance, in all, %";
    sm_svg_text(s, &sm_letters_mute, c->wide ? c->bars : 0, 12, what);
    if (k->has_line)
        sm_svg_text(s, &right, c->change, c->wide ? 12 : 27, "would change the call");
    return c->wide ? 29 : 46;
}

static void say(const sm_findings *f, sm_svg *s);

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const sm_recheck *k = f->recheck;
    const columns c = columns_of(k, s->width, &s->body);
    const int n = rows(k);
    (void)i;
    double y = draw_heads(s, &c, k);
    const double first = y;
    for (int place = 0; place < n; place++, y += c.pitch)
        draw_row(s, &c, k, place, y);
    if (c.wide)
        sm_svg_line(s, "l-ink", c.bars, first - 16, c.bars, y - 15);
    s->height = y - (c.wide ? 10 : 16);
    say(f, s);
}

/* 5. Words */

static void say(const sm_findings *f, sm_svg *s)
{
    const sm_recheck *k = f->recheck;
    const int n = rows(k);
    for (int place = 0; place < n; place++) {
        const sm_estimate e = length_of(k, k->order[place]);
        sm_text *out = place == 0 ? &s->title : &s->desc;
        sm_recheck_imperative(out, k->source[k->order[place]].name);
        sm_text_addf(out,
                     k->has_line ? ": spares %.0f untreated events per 1,000 such cases"
                                 : ": carries %.0f %% of the event's variance",
                     e.value);
        if (k->has_line) {
            sm_text_puts(out, ", would change the call in ");
            sm_words_change(out, k->source[k->order[place]].worth.perfect.change.value);
        }
        sm_text_puts(out, place == 0 ? "" : place + 1 < n ? ". " : ".");
    }
    if (s->desc.len == 0)
        sm_text_puts(&s->desc, "No other re-check is worth as much as 1 in 1,000.");
}

/* 6. Data */

static int count(const sm_findings *f)
{
    return f->recheck && rows(f->recheck) > 0 ? 1 : 0;
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    const sm_recheck *k = f->recheck;
    (void)i;
    sm_text_puts(csv, "rank,source,what,value,value_standard_error,call_change,call_change_standard_error,total_index,"
                      "total_index_standard_error\n");
    for (int place = 0; place < k->n_reducible; place++) {
        const sm_recheck_source *r = &k->source[k->order[place]];
        const sm_worth *w = &r->worth.perfect;
        sm_text words = {0};
        sm_recheck_imperative(&words, r->name);
        sm_text_addf(csv, "%d,%s,", place + 1, r->name);
        sm_markup_csv(csv, sm_text_string(&words));
        sm_text_addf(csv, ",%.9g,%.9g,%.9g,%.9g,", w->value.value, w->value.standard_error, w->change.value,
                     w->change.standard_error);
        if (r->share.first_only) /* there is no total index */
            sm_text_puts(csv, ",\n");
        else
            sm_text_addf(csv, "%.9g,%.9g\n", r->share.event.total.value, r->share.event.total.standard_error);
        sm_text_done(&words, csv);
    }
}

const sm_figure sm_fig_recheck = {"recheck", false, count, NULL, draw, data};
