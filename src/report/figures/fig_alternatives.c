/* fig_alternatives.c - what might be done instead: the cost of each, split into burden and unrescued event, beside the
 * plan.
 *
 * Contents: 1. numbers of a row  2. columns  3. a row  4. the whole  5. words  6. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>

#include "report/blocks/markup.h"
#include "report/blocks/words.h"

/* 1. Numbers of a row */

/* All in untreated events per 1,000 such cases. */
#define PER 1000.0

/* "174 fewer (+-0.5)": unrescued events, less those as planned, and the error of the run. */
static void saving_words(sm_text *out, const sm_weigh_row *r)
{
    const double fewer = -PER * r->difference.value;
    sm_text_addf(out, "%.0f %s (", fabs(fewer), fewer >= 0 ? "fewer" : "more");
    sm_words_error(out, PER * r->difference.standard_error);
    sm_text_puts(out, ")");
}

/* "30 + 79" */
static void split_words(sm_text *out, const sm_weigh_row *r)
{
    sm_text_addf(out, "= %.0f%s + %.0f", PER * r->burden, r->burden_stated || r->burden > 0 ? "" : " (none stated)",
                 PER * r->unrescued.probability);
}

/* 2. Columns */

#define NAME_SIZE 12.0

typedef struct {
    bool wide;
    double names, bars, end, scale, pitch;
} columns;

static columns columns_of(const sm_weigh *w, double width)
{
    columns c = {.wide = width > 500};
    double most = 1e-9, widest = 60;
    for (int i = 0; i < w->n_rows; i++) {
        most = fmax(most, PER * (w->row[i].cost.value + 1.96 * w->row[i].cost.standard_error));
        widest = fmax(widest, sm_svg_text_width(w->row[i].name, NAME_SIZE, true));
    }
    c.names = c.wide ? fmin(widest, 250) : width;
    c.bars = c.wide ? c.names + 10 : 0;
    c.end = c.wide ? width - 270 : width - 130;
    c.scale = (c.end - c.bars) / most;
    c.pitch = c.wide ? 15 : 52;
    return c;
}

/* 3. A row */

static void draw_bar(sm_svg *s, const columns *c, const sm_weigh_row *r, double y)
{
    const double top = y - 10, height = 11, middle = c->bars + PER * r->burden * c->scale;
    const double end = middle + PER * r->unrescued.probability * c->scale,
                 half = 1.96 * PER * r->cost.standard_error * c->scale;
    sm_svg_rect(s, "f-room", (sm_box){c->bars, top, middle - c->bars, height});
    if (end > middle)
        sm_svg_hatched(s, (sm_point[]){{middle, top}, {end, top}, {end, top + height}, {middle, top + height}}, 4);
    sm_svg_line(s, "l-firm", end - half, top + height / 2, end + half, top + height / 2);
    sm_svg_line(s, "l-ink", end - half, top + 2.5, end - half, top + height - 2.5);
    sm_svg_line(s, "l-ink", end + half, top + 2.5, end + half, top + height - 2.5);
    sm_text words = {0};
    sm_text_addf(&words, "%.0f", PER * r->cost.value);
    sm_svg_text(s, &sm_letters_strong, end + half + 6, y, sm_text_string(&words));
    const double after = end + half + 10 + sm_svg_text_width(sm_text_string(&words), sm_letters_strong.size, true);
    sm_text_done(&words, &s->body);
    split_words(&words, r);
    sm_svg_text(s, &sm_letters_mute, after, y, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void draw_name(sm_svg *s, const columns *c, const sm_weigh *w, int i, double y)
{
    const sm_lettering l = {"t-ink", NAME_SIZE, i == w->cheapest && w->settled, SM_START};
    sm_text name = {0};
    sm_svg_fit(&name, w->row[i].name, &l, c->names);
    sm_svg_text(s, &l, 0, y, sm_text_string(&name));
    sm_text_done(&name, &s->body);
}

static void draw_row(sm_svg *s, const columns *c, const sm_weigh *w, int i, double y)
{
    sm_text words = {0};
    draw_name(s, c, w, i, y);
    draw_bar(s, c, &w->row[i], c->wide ? y : y + 16);
    if (i == 0)
        return;
    saving_words(&words, &w->row[i]);
    if (!c->wide)
        sm_text_puts(&words, " unrescued than as planned");
    sm_svg_text(s, &(sm_lettering){"t-ink", c->wide ? 12 : SM_SMALLEST, false, c->wide ? SM_END : SM_START},
                c->wide ? s->width : 0, c->wide ? y : y + 30, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* 4. The whole */

static void draw_heads(sm_svg *s, const columns *c)
{
    const sm_lettering right = sm_letters_at(sm_letters_mute, SM_END);
    const double x = c->wide ? c->bars : 0;
    sm_svg_rect(s, "f-room", (sm_box){x, 3, 10, 10});
    sm_svg_text(s, &sm_letters_mute, x + 14, 12, "burden, yours");
    sm_svg_hatched(s, (sm_point[]){{x + 96, 3}, {x + 106, 3}, {x + 106, 13}, {x + 96, 13}}, 4);
    sm_svg_text(s, &sm_letters_mute, x + 110, 12, "unrescued events");
    sm_svg_text(s, &sm_letters_mute, c->wide ? x + 218 : 0, c->wide ? 12 : 27,
                c->wide ? "per 1,000" : "per 1,000 such cases");
    if (c->wide)
        sm_svg_text(s, &right, s->width, 12, "unrescued, against the plan");
}

static void say(const sm_findings *f, sm_svg *s);

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const sm_weigh *w = f->weigh;
    const columns c = columns_of(w, s->width);
    const double first = c.wide ? 29 : 46;
    (void)i;
    draw_heads(s, &c);
    for (int row = 0; row < w->n_rows; row++)
        draw_row(s, &c, w, row, first + row * c.pitch);
    if (c.wide)
        sm_svg_line(s, "l-ink", c.bars, first - 15, c.bars, first + (w->n_rows - 1) * c.pitch + 5);
    s->height = first + (w->n_rows - 1) * c.pitch + (c.wide ? 7 : 34);
    say(f, s);
}

/* 5. Words */

static void say(const sm_findings *f, sm_svg *s)
{
    const sm_weigh *w = f->weigh;
    const sm_weigh_row *r = &w->row[w->cheapest];
    sm_text_addf(&s->title, "%s: \"%s\", %.0f untreated events per 1,000 such cases, against %.0f as planned",
                 w->settled ? "Least harm by the values stated"
                            : "Which does least harm is not settled; the lowest estimate",
                 r->name, PER * r->cost.value, PER * w->row[0].cost.value);
    for (int i = 0; i < w->n_rows; i++) {
        sm_text_addf(&s->desc, "%s%s: burden %.0f and %.0f unrescued events", i ? " " : "", w->row[i].name,
                     PER * w->row[i].burden, PER * w->row[i].unrescued.probability);
        if (i > 0) {
            sm_text_puts(&s->desc, ", ");
            saving_words(&s->desc, &w->row[i]);
            sm_text_puts(&s->desc, " than as planned");
        }
        sm_text_puts(&s->desc, ".");
    }
}

/* 6. Data */

static int count(const sm_findings *f)
{
    return f->weigh && f->weigh->n_rows > 0 ? 1 : 0;
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    (void)i;
    sm_text_puts(csv, "name,burden,unrescued,cost,cost_standard_error,difference,difference_standard_error,event\n");
    for (int row = 0; row < f->weigh->n_rows; row++) {
        const sm_weigh_row *r = &f->weigh->row[row];
        sm_markup_csv(csv, r->name);
        sm_text_addf(csv, ",%.9g,%.9g,%.9g,%.9g,%.9g,%.9g,%.9g\n", r->burden, r->unrescued.probability, r->cost.value,
                     r->cost.standard_error, r->difference.value, r->difference.standard_error, r->event.probability);
    }
}

const sm_figure sm_fig_alternatives = {"alternatives", false, count, NULL, draw, data};
