/* fig_sweep_all.c - every assumption alone over its range, the widest first, against the action line.
 *
 * Contents: 1. columns  2. a row  3. the whole  4. words and data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>

#include "report/json/sweep_json.h"
#include "report/text/sweep_text.h"
#include "report/blocks/words.h"

/* 1. Columns */

enum { HEAD = 40, NAMES = 300 };

typedef struct {
    bool wide;
    sm_scale of_100;
    double pitch;
} columns;

/* What is in doubt and moves the answer: those rows come first, by width of range. */
static int rows(const sm_sweep_all *a)
{
    int n = 0;
    while (n < a->n_in_doubt && a->row[n].moves)
        n++;
    return n;
}

static void least_and_greatest(const sm_sweep_row_of_all *r, const sm_probability **low, const sm_probability **high)
{
    int a, b;
    sm_curve_range(r->point, r->n, &a, &b);
    *low = &r->point[a].p;
    *high = &r->point[b].p;
}

/* The end of the scale: a tenth of it in whole steps of 1, 2 or 5. */
static double top_of(double high)
{
    const sm_scale whole = {0, fmax(high, 0.1), 0, 10};
    const double step = sm_scale_step(&whole, 1);
    return fmin(100, step * ceil(high / step - 1e-9));
}

/* From 0 on: a small effect must look small. */
static columns columns_of(const sm_sweep_all *a, double width)
{
    columns c = {.wide = width > 500};
    double high = fmax(a->assessment.patient.event.probability, a->assessment.decision.action_line);
    for (int i = 0; i < rows(a); i++) {
        const sm_probability *least, *most;
        least_and_greatest(&a->row[i], &least, &most);
        high = fmax(high, most->probability);
    }
    c.of_100 = (sm_scale){0, top_of(100 * high), c.wide ? NAMES + 10 : 34, width - 34};
    c.pitch = c.wide ? 32 : 42;
    return c;
}

/* 2. A row */

static void range_words(sm_text *out, const sm_sweep_row_of_all *r)
{
    sm_words_number(out, r->value[0]);
    sm_text_puts(out, " to ");
    sm_sweep_value(out, r->value[r->n - 1], 0, r->knob.unit);
}

static void row_words(sm_text *out, const sm_sweep_row_of_all *r)
{
    sm_text_addf(out, "%s, ", r->knob.words);
    range_words(out, r);
}

/* A number beside a bar: what runs under it makes way. */
static void draw_number(sm_svg *s, const sm_probability *p, double x, double y, sm_anchor anchor)
{
    const sm_lettering letters = sm_letters_at(sm_letters_small, anchor);
    sm_text words = {0};
    sm_words_of_100(&words, p);
    const double width = 0.9 * sm_svg_text_width(sm_text_string(&words), SM_SMALLEST, false);
    sm_svg_rect(s, "f-page", (sm_box){anchor == SM_END ? x - width : x, y - 10, width, 12});
    sm_svg_text(s, &letters, x, y, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* What lies at or above the line is darker. */
static void draw_bar(sm_svg *s, const columns *c, const sm_sweep_all *a, const sm_sweep_row_of_all *r, double y)
{
    const sm_probability *low, *high;
    const double line = a->assessment.decision.action_line;
    least_and_greatest(r, &low, &high);
    const double from = sm_scale_at(&c->of_100, 100 * low->probability),
                 to = sm_scale_at(&c->of_100, 100 * high->probability);
    const double cut = line > 0 ? fmin(to, fmax(from, sm_scale_at(&c->of_100, 100 * line))) : to;
    sm_svg_rect(s, "f-room", (sm_box){from, y - 10, cut - from, 12});
    sm_svg_rect(s, "f-deep", (sm_box){cut, y - 10, to - cut, 12});
    draw_number(s, low, from - 4, y, SM_END);
    draw_number(s, high, to + 4, y, SM_START);
}

static void draw_row(sm_svg *s, const columns *c, const sm_sweep_all *a, int i, double y)
{
    const sm_sweep_row_of_all *r = &a->row[i];
    const sm_lettering letters = {.cls = "t-ink halo", .size = SM_SMALLEST, .bold = r->turns, .anchor = SM_START};
    sm_text words = {0};
    if (c->wide) {
        sm_svg_text(s, &letters, 0, y - 6, r->knob.words);
        range_words(&words, r);
        sm_svg_text(s, &sm_letters_mute, 0, y + 7, sm_text_string(&words));
    } else {
        row_words(&words, r);
        const double width = 0.9 * sm_svg_text_width(sm_text_string(&words), SM_SMALLEST, r->turns);
        sm_svg_rect(s, "f-page", (sm_box){0, y - 26, width, 13}); /* the lines make way */
        sm_svg_text(s, &letters, 0, y - 16, sm_text_string(&words));
    }
    draw_bar(s, c, a, r, y);
    sm_text_done(&words, &s->body);
}

/* 3. The whole */

static double draw_heads(sm_svg *s, const columns *c, const sm_sweep_all *a, double bottom)
{
    const double x = sm_scale_at(&c->of_100, 100 * a->assessment.patient.event.probability),
                 line = a->assessment.decision.action_line;
    const sm_lettering middle = sm_letters_at(sm_letters_small, SM_MIDDLE);
    sm_text words = {0};
    sm_svg_line(s, "l-firm", x, HEAD - 14, x, bottom);
    sm_svg_label(s, &middle, x, HEAD - 20, -14, "as it is");
    if (line > 0) {
        const double at = sm_scale_at(&c->of_100, 100 * line);
        sm_svg_line(s, "l-dash", at, HEAD - 14, at, bottom);
        sm_text_puts(&words, "your line");
        sm_svg_label(s, &middle, at, HEAD - 20, -14, sm_text_string(&words));
        sm_text_done(&words, &s->body);
    }
    sm_svg_ruler_across(s, &c->of_100, bottom, sm_scale_step(&c->of_100, 34) / 5, sm_scale_step(&c->of_100, 34));
    return bottom + 24;
}

static void say(const sm_findings *f, sm_svg *s)
{
    const sm_sweep_all *a = f->sweep_all;
    sm_text_puts(&s->title, "How far each assumption alone, over its range, moves the answer");
    for (int i = 0; i < rows(a); i++) {
        const sm_probability *low, *high;
        least_and_greatest(&a->row[i], &low, &high);
        sm_text_puts(&s->desc, i ? "; " : "");
        row_words(&s->desc, &a->row[i]);
        sm_text_puts(&s->desc, ": ");
        sm_words_of_100(&s->desc, low);
        sm_text_puts(&s->desc, " to ");
        sm_words_of_100(&s->desc, high);
        sm_text_puts(&s->desc, " of 100");
    }
    sm_text_puts(&s->desc, s->desc.len > 0 ? "." : "Nothing moves the answer.");
}

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const sm_sweep_all *a = f->sweep_all;
    const columns c = columns_of(a, s->width);
    const int n = rows(a);
    (void)i;
    const double first = HEAD + (c.wide ? 8 : 24);
    s->height = draw_heads(s, &c, a, first + n * c.pitch - (c.wide ? 12 : 24));
    for (int r = 0; r < n; r++)
        draw_row(s, &c, a, r, first + r * c.pitch);
    s->height = sm_svg_paragraph(s, &sm_letters_mute, 0, s->height + 12, s->width,
                                 a->assessment.decision.action_line > 0
                                     ? "How many of 100 roots cross a limit, least and most; darker: at or above your "
                                       "line. In bold: could turn the call."
                                     : "How many of 100 roots cross a limit, least and most.");
    say(f, s);
}

/* 4. Words and data */

static int count(const sm_findings *f)
{
    return f->sweep_all && rows(f->sweep_all) > 0 ? 1 : 0;
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    (void)i;
    sm_sweep_csv_drawn(&(sm_sweep_part){f->result.c, NULL, f->sweep_all}, csv);
}

const sm_figure sm_fig_sweep_all = {"assumptions", false, count, NULL, draw, data};
