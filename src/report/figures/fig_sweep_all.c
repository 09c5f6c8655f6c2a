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

enum { HEAD = 40 };

typedef struct {
    bool wide;
    sm_scale of_100;
    double pitch;
} columns;

/* Rows stand by width of range; those that do not move the answer come last and are not drawn. */
static int rows(const sm_sweep_all *a)
{
    int n = 0;
    while (n < a->n && a->row[n].moves)
        n++;
    return n;
}

static void least_and_greatest(const sm_sweep_row_of_all *r, const sm_probability **low, const sm_probability **high)
{
    int a, b;
    sm_curve_range(r->point, SM_SWEEP_ALL_POINTS, &a, &b);
    *low = &r->point[a].p;
    *high = &r->point[b].p;
}

static columns columns_of(const sm_sweep_all *a, double width)
{
    columns c = {.wide = width > 500};
    double low = a->assessment.patient.event.probability, high = low;
    const double line = a->assessment.decision.action_line;
    for (int i = 0; i < rows(a); i++) {
        const sm_probability *least, *most;
        least_and_greatest(&a->row[i], &least, &most);
        low = fmin(low, least->probability);
        high = fmax(high, most->probability);
    }
    if (line > 0) {
        low = fmin(low, line);
        high = fmax(high, line);
    }
    c.of_100 = (sm_scale){5 * floor(20 * low), 5 * ceil(20 * high), c.wide ? 350 : 30, width - 34};
    c.pitch = c.wide ? 32 : 42;
    return c;
}

/* 2. A row */

static void row_words(sm_text *out, const sm_sweep_row_of_all *r)
{
    sm_text_puts(out, r->knob.words);
    sm_text_puts(out, ", ");
    sm_words_number(out, r->value[0]);
    sm_text_puts(out, " to ");
    sm_sweep_value(out, r->value[SM_SWEEP_ALL_POINTS - 1], 0, r->knob.unit);
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
    sm_text words = {0};
    const sm_lettering start = {.cls = "t-ink halo", .size = SM_SMALLEST, .anchor = SM_START},
                       end = sm_letters_at(start, SM_END);
    sm_words_of_100(&words, low);
    sm_svg_text(s, &end, from - 4, y, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    sm_words_of_100(&words, high);
    sm_svg_text(s, &start, to + 4, y, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void draw_row(sm_svg *s, const columns *c, const sm_sweep_all *a, int i, double y)
{
    const sm_sweep_row_of_all *r = &a->row[i];
    const sm_lettering letters = {.cls = "t-ink halo", .size = SM_SMALLEST, .bold = r->turns, .anchor = SM_START};
    sm_text words = {0};
    row_words(&words, r);
    if (c->wide)
        sm_svg_paragraph(s, &letters, 0,
                         y - (sm_svg_text_width(sm_text_string(&words), SM_SMALLEST, r->turns) > 306 ? 6 : 0), 306,
                         sm_text_string(&words));
    else
        sm_svg_text(s, &letters, 0, y - 16, sm_text_string(&words));
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
                                 "How many of 100 roots cross a limit, least and most; darker: at or above your line. "
                                 "In bold: could turn the call.");
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
    sm_sweep_csv(&(sm_sweep_part){f->result.c, NULL, f->sweep_all}, csv);
}

const sm_figure sm_fig_sweep_all = {"assumptions", false, count, NULL, draw, data};
