/* fig_series.c - the share that was obstructed in published series, by true gap, over the gaps that the trials have.
 *
 * Contents: 1. scales  2. the gaps  3. the curve  4. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>

#include "report/blocks/words.h"
#include "report/text/obstruction_text.h"

/* 1. Scales */

enum { LEFT = 34, RIGHT = 12, TOP = 30, TALL = 92 };

typedef struct {
    sm_scale x, y; /* mm; of 100 obstructed */
} plot;

static int count(const sm_findings *f)
{
    return f->series && f->result.assessment->obstruction.covered ? 1 : 0;
}

static plot plot_of(const sm_svg *s)
{
    return (plot){.x = {-2, 12, LEFT, s->width - RIGHT}, .y = {0, 100, TOP + TALL, TOP}};
}

/* 2. The gaps */

static double bin_at(double i)
{
    return SM_REACHED_FROM + (i + 0.5) * (SM_REACHED_TO - SM_REACHED_FROM) / SM_REACHED_BINS;
}

/* How common each gap is, the tallest at two thirds of the height. */
static void draw_gaps(sm_svg *s, const plot *p, const sm_obstruction *o)
{
    sm_point shape[SM_REACHED_BINS + 2];
    double most = 0;
    size_t n = 0;
    for (int i = 0; i < SM_REACHED_BINS; i++)
        most = fmax(most, o->share[i]);
    for (int i = 0; i < SM_REACHED_BINS && most > 0; i++) {
        const double t = bin_at(i);
        if (t < p->x.from || t > p->x.to)
            continue;
        const double x = sm_scale_at(&p->x, t);
        if (n == 0)
            shape[n++] = (sm_point){x, p->y.at_from};
        shape[n++] = (sm_point){x, p->y.at_from - o->share[i] / most * TALL * 2 / 3};
    }
    if (n == 0)
        return;
    shape[n] = (sm_point){shape[n - 1].x, p->y.at_from};
    sm_svg_path(s, "f-soft", shape, n + 1, true);
}

/* Beside its peak. */
static void name_gaps(sm_svg *s, const plot *p, const sm_obstruction *o)
{
    int peak = 0;
    for (int i = 1; i < SM_REACHED_BINS; i++)
        peak = o->share[i] > o->share[peak] ? i : peak;
    sm_svg_label(s, &sm_letters_mute, sm_scale_at(&p->x, bin_at(peak)) + 0.06 * s->width, p->y.at_from - TALL / 2, -14,
                 "the gaps of this case");
}

/* 3. The curve */

static sm_point at(const plot *p, double t, double share)
{
    return (sm_point){sm_scale_at(&p->x, t), sm_scale_at(&p->y, 100 * share)};
}

static void draw_curve(sm_svg *s, const plot *p, const sm_series_drawn *c)
{
    sm_point band[2 * SM_SERIES_POINTS], curve[SM_SERIES_POINTS];
    int n = 0;
    while (n < SM_SERIES_POINTS && c->t[n] <= p->x.to)
        n++;
    for (int i = 0; i < n; i++) {
        curve[i] = at(p, c->t[i], c->share[i]);
        band[i] = at(p, c->t[i], c->low[i]);
        band[2 * n - 1 - i] = at(p, c->t[i], c->high[i]);
    }
    sm_svg_path(s, "f-wall", band, 2 * (size_t)n, true);
    sm_svg_curve(s, "l-deep", curve, (size_t)n);
}

static void draw_names(sm_svg *s, const plot *p, const sm_series_drawn *c)
{
    const sm_point high = at(p, c->t[7], c->high[7]);
    sm_svg_text(s, &sm_letters_mute, 0, 12, "of 100 obstructed, in published series");
    sm_svg_label(s, &sm_letters_small, high.x + 8, high.y - 2, -14, "their curve, and what so few patients leave open");
    const sm_lettering middle = sm_letters_at(sm_letters_mute, SM_MIDDLE);
    sm_svg_text(s, &middle, (p->x.at_from + p->x.at_to) / 2, TOP + TALL + 34,
                "least true gap beside an ostium that the tube reaches, mm");
}

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const sm_obstruction *o = &f->result.assessment->obstruction;
    const plot p = plot_of(s);
    (void)i;
    s->height = TOP + TALL + 42;
    draw_gaps(s, &p, o);
    draw_curve(s, &p, f->series);
    sm_svg_ruler_across(s, &p.x, TOP + TALL, 0.5, sm_scale_step(&p.x, 40));
    sm_svg_ruler_up(s, &p.y, LEFT, 25, 50);
    draw_names(s, &p, f->series);
    name_gaps(s, &p, o);
    sm_text_puts(&s->title, "What published series make of the gaps of this case: ");
    sm_obstruction_words(&s->title, o);
    sm_text_puts(&s->desc,
                 "The share that was obstructed, by true gap, over the gaps that the trials have. Obstructed, "
                 "if those series carry over: ");
    sm_obstruction_words(&s->desc, o);
    sm_text_puts(&s->desc, ". ");
    sm_text_puts(&s->desc, sm_obstruction_caution());
}

/* 4. Data */

/* The share of the trials per mm within a quarter of a millimetre of t. */
static double share_near(const sm_obstruction *o, double t)
{
    double sum = 0;
    for (int i = 0; i < SM_REACHED_BINS; i++)
        sum += fabs(bin_at(i) - t) <= 0.25 ? o->share[i] : 0;
    return sum / 0.5;
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    const sm_series_drawn *c = f->series;
    (void)i;
    sm_text_puts(csv, "true_gap_mm,obstructed,low95,high95,gaps_per_mm\n");
    for (int j = 0; j < SM_SERIES_POINTS; j++)
        sm_text_addf(csv, "%.9g,%.9g,%.9g,%.9g,%.9g\n", c->t[j], c->share[j], c->low[j], c->high[j],
                     share_near(&f->result.assessment->obstruction, c->t[j]));
}

const sm_figure sm_fig_series = {.name = "series", .count = count, .draw = draw, .data = data};
