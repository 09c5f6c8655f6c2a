/* fig_ruler.c - one hundred roots as the marks of a ruler; the action line is a notch across it.
 *
 * Contents: 1. where a mark stands  2. drawing  3. words  4. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>

#include "report/blocks/words.h"
#include "report/text/hold_text.h"

enum { MARKS = 100, TEN = 10 };

/* 1. Where a mark stands */

/* Marks in groups of ten with a gap between. */
typedef struct {
    double left, pitch, gap, mark, top;
} ruler;

static ruler ruler_of(double width, double top)
{
    ruler r = {.left = 2, .top = top};
    r.gap = width > 500 ? 6 : 2;
    r.pitch = (width - 2 * r.left - 9 * r.gap) / MARKS;
    r.mark = r.pitch * 0.72;
    return r;
}

/* The place of a share of 100, between two marks; at a ten, the middle of the gap. */
static double place(const ruler *r, double share)
{
    double t = fmin(fmax(100 * share, 0), 100), tens = floor(t / TEN + 1e-9);
    double x = r->left + t * r->pitch - (r->pitch - r->mark) / 2;
    if (fabs(t - TEN * tens) < 1e-9 && t > 0 && t < 100)
        return x + (tens - 0.5) * r->gap;
    return x + fmin(tens, 9) * r->gap;
}

/* 2. Drawing */

#define TALL  35.0
#define SHORT 28.0

static void draw_marks(sm_svg *s, const ruler *r, double share)
{
    for (int i = 0; i < MARKS; i++) {
        const double height = i % TEN == 0 ? TALL : SHORT;
        const double filled = fmin(fmax(100 * share - i, 0), 1);
        const sm_box b = {r->left + i * r->pitch + i / TEN * r->gap, r->top + TALL - height, r->mark, height};
        sm_svg_rect(s, "o-hair", b);
        sm_svg_rect(s, "f-cross", (sm_box){b.x, b.y, b.w * filled, b.h});
    }
}

static void draw_tens(sm_svg *s, const ruler *r)
{
    const sm_lettering l = sm_letters_at(sm_letters_mute, SM_MIDDLE);
    for (int ten = TEN; ten <= MARKS; ten += TEN) {
        sm_text words = {0};
        double x = place(r, ten / 100.0);
        sm_text_addf(&words, "%d", ten);
        sm_svg_text(s, ten == MARKS ? &(sm_lettering){"t-mute", SM_SMALLEST, false, SM_END} : &l,
                    ten == MARKS ? s->width : x, r->top + TALL + 15, sm_text_string(&words));
        sm_text_done(&words, &s->body);
    }
}

static void draw_line(sm_svg *s, const ruler *r, double line)
{
    sm_text words = {0};
    double x = place(r, line);
    sm_text_puts(&words, "your line: ");
    sm_words_line(&words, line, 0);
    sm_svg_line(s, "l-firm", x, r->top - 10, x, r->top + TALL + 4);
    sm_svg_path(s, "f-ink", (sm_point[]){{x - 5, r->top - 13}, {x + 5, r->top - 13}, {x, r->top - 6}}, 3, true);
    sm_svg_label(s, &(sm_lettering){"t-ink", 12, true, x > 0.7 * s->width ? SM_END : SM_START},
                 x + (x > 0.7 * s->width ? -9 : 9), r->top - 6, -16, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* A range below the marks as a bracket, if it is wider than a mark; returns the height that it needs. */
static double draw_range(sm_svg *s, const ruler *r, const char *what, double p_low, double p_high, double y)
{
    sm_text words = {0};
    const double low = place(r, p_low), high = place(r, p_high);
    if (high - low >= r->pitch)
        sm_svg_path(s, "l-mute", (sm_point[]){{low, y - 6}, {low, y}, {high, y}, {high, y - 6}}, 4, false);
    sm_words_range(&words, p_low, p_high);
    sm_text_addf(&words, " of 100 %s", what);
    const sm_lettering l = sm_letters_small;
    const double wide = fmin(s->width, sm_svg_text_width(sm_text_string(&words), l.size, false));
    const double left = fmin(low, s->width - wide);
    const double bottom = sm_svg_paragraph(s, &l, left, y + 13, s->width - left, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    return bottom - y;
}

#define BY_SETTINGS "in 90 of 100 settings of the judged values"
#define BY_LIMITS   "by the limits that might hold as well"

static void draw_ranges(const sm_findings *f, const ruler *r, sm_svg *s)
{
    double low, high;
    if (sm_hold_ruler_settings(&f->result, &low, &high))
        s->height += draw_range(s, r, BY_SETTINGS, low, high, s->height + 5);
    if (sm_hold_ruler_limits(&f->result, &low, &high))
        s->height += draw_range(s, r, BY_LIMITS, low, high, s->height + 5);
}

static void draw_share(sm_svg *s, const ruler *r, const sm_probability *p)
{
    sm_text words = {0};
    sm_words_frequency(&words, p);
    sm_svg_label(s, &sm_letters_cross, r->left, r->top - 6, -16, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* Room above the marks for the words of the share and of the line: in one row unless they would meet. */
static double room_above(const sm_findings *f, sm_svg *s)
{
    const sm_assessment *a = f->result.assessment;
    const ruler r = ruler_of(s->width, 0);
    sm_text words = {0};
    sm_words_frequency(&words, &a->patient.event);
    const double ends = r.left + sm_svg_text_width(sm_text_string(&words), sm_letters_cross.size, true);
    const bool meet = a->decision.call != SM_CALL_NONE && place(&r, a->decision.action_line) < ends + 12;
    sm_text_done(&words, &s->body);
    return s->width > 500 && !meet ? 22 : 38;
}

static void say(const sm_findings *f, sm_svg *s);

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const sm_assessment *a = f->result.assessment;
    const ruler r = ruler_of(s->width, room_above(f, s));
    (void)i;
    s->height = r.top + TALL + 19;
    draw_marks(s, &r, a->patient.event.probability);
    draw_tens(s, &r);
    if (a->decision.call != SM_CALL_NONE)
        draw_line(s, &r, a->decision.action_line);
    draw_share(s, &r, &a->patient.event);
    draw_ranges(f, &r, s);
    say(f, s);
}

/* 3. Words */

static void say(const sm_findings *f, sm_svg *s)
{
    const sm_assessment *a = f->result.assessment;
    sm_words_frequency(&s->title, &a->patient.event);
    sm_text_puts(&s->title, " roots read like this truly cross a limit");
    sm_text_puts(&s->desc, "A ruler of one hundred marks, one a root. Those that truly cross a limit are filled: ");
    sm_words_of_100(&s->desc, &a->patient.event);
    sm_text_puts(&s->desc, " of 100.");
    if (a->decision.call != SM_CALL_NONE) {
        sm_text_puts(&s->desc, " A notch marks the action line at ");
        sm_words_line(&s->desc, a->decision.action_line, 0);
        sm_text_puts(&s->desc, ".");
    }
    double low, high;
    if (sm_hold_ruler_settings(&f->result, &low, &high)) {
        sm_text_puts(&s->desc, " Below it two brackets: ");
        sm_words_range(&s->desc, low, high);
        sm_text_puts(&s->desc, " of 100 " BY_SETTINGS ";");
    }
    if (sm_hold_ruler_limits(&f->result, &low, &high)) {
        sm_text_puts(&s->desc, " ");
        sm_words_range(&s->desc, low, high);
        sm_text_puts(&s->desc, " of 100 " BY_LIMITS ".");
    }
}

/* 4. Data */

static int count(const sm_findings *f)
{
    (void)f;
    return 1;
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    const sm_assessment *a = f->result.assessment;
    const sm_probability *p = &a->patient.event;
    double low, high;
    (void)i;
    sm_text_puts(csv, "probability,low95,high95,action_line,settings_low90,settings_high90,limits_low,limits_high\n");
    sm_text_addf(csv, "%.9g,%.9g,%.9g,", p->probability, p->low, p->high);
    if (a->decision.call != SM_CALL_NONE)
        sm_text_addf(csv, "%.9g", a->decision.action_line);
    if (sm_hold_ruler_settings(&f->result, &low, &high))
        sm_text_addf(csv, ",%.9g,%.9g", low, high);
    else
        sm_text_puts(csv, ",,");
    if (sm_hold_ruler_limits(&f->result, &low, &high))
        sm_text_addf(csv, ",%.9g,%.9g\n", low, high);
}

const sm_figure sm_fig_ruler = {"ruler", false, count, NULL, draw, data};
