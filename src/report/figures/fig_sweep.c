/* fig_sweep.c - the probability along one knob, with its band, the action line and where they meet; under it the room
 * at one gap at either end and as read, so that the eye sees it slide past the limit.
 *
 * Contents: 1. scales  2. the curve  3. marks  4. the rooms under it  5. the whole  6. words  7. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/json/sweep_json.h"
#include "report/text/sweep_text.h"
#include "report/blocks/words.h"

/* 1. Scales */

enum { LEFT = 40, RIGHT = 20, TOP = 34, TALL = 190, ROOM = 62, MOST_POINTS = 2 * SM_OUTLINE_BINS + 4 };

typedef struct {
    sm_scale x, y; /* the knob; of 100 roots */
} plot;

/* From 0 on: a small effect must look small. */
static plot plot_of(const sm_sweep *s, double width)
{
    const sm_sweep_axis *a = &s->axis[0];
    const double line = s->assessment.decision.action_line, own = s->assessment.patient.event.probability;
    const double high = fmax(line, fmax(own, s->point[s->high].p.high));
    return (plot){.x = {a->value[0], a->value[a->steps - 1], LEFT, width - RIGHT},
                  .y = {0, 100 * fmin(1, 1.08 * fmax(0.001, high)), TOP + TALL, TOP}};
}

static sm_point at(const plot *p, double x, double probability)
{
    return (sm_point){sm_scale_at(&p->x, x), sm_scale_at(&p->y, 100 * probability)};
}

/* 2. The curve */

static void draw_axes(sm_svg *s, const plot *p, const sm_knob *k)
{
    const double x_step = sm_scale_step(&p->x, 52), y_step = sm_scale_step(&p->y, 28);
    sm_text words = {0};
    sm_svg_ruler_across(s, &p->x, TOP + TALL, x_step / 5, x_step);
    sm_svg_ruler_up(s, &p->y, LEFT, y_step / 5, y_step);
    sm_words_axis(&words, k->words, k->unit);
    const sm_lettering middle = sm_letters_at(sm_letters_mute, SM_MIDDLE);
    sm_svg_text(s, &middle, (LEFT + s->width - RIGHT) / 2, TOP + TALL + 36, sm_text_string(&words));
    sm_svg_text(s, &sm_letters_mute, 0, 12, "of 100 roots cross a limit");
    sm_text_done(&words, &s->body);
}

/* The Wilson band and the curve through the points. */
static void draw_curve(sm_svg *s, const plot *p, const sm_sweep *w)
{
    const int n = w->axis[0].steps;
    sm_point *band = malloc(2 * (size_t)n * sizeof *band), *curve = malloc((size_t)n * sizeof *curve);
    if (!band || !curve) {
        s->failed = true;
    } else {
        for (int i = 0; i < n; i++) {
            const sm_curve_point *c = &w->point[i];
            curve[i] = at(p, c->x, c->p.probability);
            band[i] = at(p, c->x, c->p.low);
            band[2 * n - 1 - i] = at(p, c->x, c->p.high);
        }
        sm_svg_path(s, "f-room", band, 2 * (size_t)n, true);
        sm_svg_curve(s, "l-deep", curve, (size_t)n);
    }
    free(band);
    free(curve);
}

/* 3. Marks */

/* Its words stand at the end where the curve is further from it. */
static void draw_line(sm_svg *s, const plot *p, const sm_sweep *w)
{
    const double line = w->assessment.decision.action_line;
    const double first = fabs(w->point[0].p.probability - line),
                 last = fabs(w->point[w->axis[0].steps - 1].p.probability - line);
    sm_text words = {0};
    if (!(line > 0))
        return;
    const double y = sm_scale_at(&p->y, 100 * line);
    sm_svg_line(s, "l-dash", LEFT, y, s->width - RIGHT, y);
    sm_text_puts(&words, "your line, ");
    sm_words_line(&words, line, 0);
    const sm_lettering letters = sm_letters_at(sm_letters_small, first > last ? SM_START : SM_END);
    sm_svg_label(s, &letters, first > last ? LEFT + 6 : s->width - RIGHT, y - 5, -14, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* Its words stand above the curve, on the side where that falls. */
static void draw_case(sm_svg *s, const plot *p, const sm_sweep *w)
{
    const sm_probability *event = &w->assessment.patient.event;
    const sm_knob *k = &w->axis[0].knob;
    const bool on_curve = k->has_own && k->own >= p->x.from && k->own <= p->x.to;
    const bool rises =
        on_curve && w->point[0].p.probability < event->probability && k->own - p->x.from > 0.2 * (p->x.to - p->x.from);
    const sm_point here = at(p, on_curve ? k->own : p->x.from, event->probability);
    sm_text words = {0};
    sm_text_puts(&words, "as it is: ");
    sm_words_of_100(&words, event);
    if (on_curve)
        sm_svg_ellipse(s, "o-ink", here.x, here.y, 5, 5);
    else
        sm_svg_line(s, "l-mute", LEFT, here.y, LEFT + 26, here.y);
    const sm_lettering letters = {.cls = "t-ink halo", .size = 12, .bold = true, .anchor = rises ? SM_END : SM_START};
    sm_svg_label(s, &letters,
                 here.x + (rises      ? -9
                           : on_curve ? 9
                                      : 30),
                 here.y + (on_curve ? -8 : 4), -15, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void draw_even(sm_svg *s, const plot *p, const sm_sweep *w)
{
    for (int i = 0; i < w->n_even; i++) {
        const sm_estimate *e = &w->even[i].at;
        const sm_point here = at(p, e->value, w->assessment.decision.action_line);
        const double half = fabs(sm_scale_at(&p->x, e->value + 1.96 * e->standard_error) - here.x);
        sm_text words = {0};
        sm_svg_rect(s, "f-shade", (sm_box){here.x - half, here.y, 2 * half, TOP + TALL - here.y});
        sm_svg_line(s, "l-firm", here.x, here.y, here.x, TOP + TALL);
        sm_sweep_value(&words, e->value, e->standard_error, "");
        const bool left = here.x > s->width - RIGHT - 60;
        const sm_lettering letters = sm_letters_at(sm_letters_strong, left ? SM_END : SM_START);
        sm_svg_label(s, &letters, here.x + (left ? -half - 4 : half + 4), TOP + TALL - 8, -15, sm_text_string(&words));
        sm_text_done(&words, &s->body);
    }
}

/* 4. The rooms under it */

typedef struct {
    const sm_assessment *a;
    double limit;
    bool read; /* the middle one */
    double value;
} room;

static void rooms_of(const sm_findings *f, room out[3])
{
    const sm_sweep_ends *e = f->sweep_ends;
    const sm_sweep_axis *a = &f->sweep->axis[0];
    out[0] = (room){&e->end[0], e->limit[0], false, a->value[0]};
    out[1] = (room){&f->sweep->assessment, sm_gap_limit(&f->result.c->limits, e->gap), true, 0};
    out[2] = (room){&e->end[1], e->limit[1], false, a->value[a->steps - 1]};
}

static const sm_continuous *room_output(const sm_findings *f, const room *r)
{
    const sm_sweep_ends *e = f->sweep_ends;
    return &r->a->side[e->side].output[sm_gaps[e->gap].clearance];
}

static sm_scale rooms_scale(const sm_findings *f, const room r[3], double width)
{
    double low = HUGE_VAL, high = -HUGE_VAL;
    for (int i = 0; i < 3; i++) {
        const sm_continuous *c = room_output(f, &r[i]);
        low = fmin(low, fmin(r[i].limit, c->mean - 3 * c->sd));
        high = fmax(high, fmax(r[i].limit, c->mean + 3 * c->sd));
    }
    return (sm_scale){floor(low), ceil(high), LEFT, width - RIGHT};
}

static double peak_of(const sm_outline *o)
{
    double most = 0;
    for (int b = 0; b < SM_OUTLINE_BINS; b++)
        most = fmax(most, o->share[b] / o->width);
    return most;
}

/* The shape from `from` to `to` mm, closed down to the base. */
static size_t shape(const sm_scale *mm, const sm_outline *o, double to, double base, double unit, sm_point *p)
{
    size_t n = 0;
    for (int b = 0; b < SM_OUTLINE_BINS; b++) {
        const double x = o->low + (b + 0.5) * o->width;
        if (x < mm->from || x > fmin(to, mm->to))
            continue;
        if (n == 0)
            p[n++] = (sm_point){sm_scale_at(mm, x), base};
        p[n++] = (sm_point){sm_scale_at(mm, x), base - o->share[b] / o->width * unit};
    }
    if (n > 0) {
        p[n] = (sm_point){p[n - 1].x, base};
        n++;
    }
    return n;
}

static void room_words(sm_text *out, const sm_findings *f, const room *r)
{
    const sm_crossing *c = &r->a->side[f->sweep_ends->side].crossing;
    if (r->read)
        sm_text_puts(out, "as it is");
    else
        sm_sweep_value(out, r->value, 0, "");
    sm_text_puts(out, ": ");
    sm_words_of_100(out, &c->crossed[f->sweep_ends->gap]);
    sm_text_puts(out, " of 100");
}

static void draw_room(sm_svg *s, const sm_findings *f, const room *r, const sm_scale *mm, double base, double unit)
{
    const sm_sweep_ends *e = f->sweep_ends;
    const sm_side_result *side = &r->a->side[e->side];
    const sm_outline *all = &side->outline[sm_gaps[e->gap].clearance];
    sm_point p[MOST_POINTS];
    sm_text words = {0};
    sm_svg_path(s, "f-room", p, shape(mm, all, mm->to, base, unit, p), true);
    size_t n = shape(mm, &side->crossed[e->gap], r->limit, base, unit, p);
    if (n > 2) { /* up to the limit itself, as tall as its last bin */
        p[n - 1] = (sm_point){sm_scale_at(mm, r->limit), p[n - 2].y};
        p[n++] = (sm_point){sm_scale_at(mm, r->limit), base};
        sm_svg_hatched(s, p, n);
    }
    sm_svg_line(s, "l-hair", mm->at_from, base, mm->at_to, base);
    sm_svg_line(s, "l-firm", sm_scale_at(mm, r->limit), base - ROOM + 12, sm_scale_at(mm, r->limit), base);
    room_words(&words, f, r);
    const sm_lettering end = sm_letters_at(r->read ? sm_letters_strong : sm_letters_small, SM_END);
    sm_svg_text(s, &end, s->width - RIGHT, base - ROOM + 26, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static double draw_rooms(sm_svg *s, const sm_findings *f, double y)
{
    const sm_sweep_ends *e = f->sweep_ends;
    room r[3];
    rooms_of(f, r);
    const sm_scale mm = rooms_scale(f, r, s->width);
    double peak = 1e-9;
    sm_text words = {0};
    for (int i = 0; i < 3; i++)
        peak = fmax(peak, peak_of(&r[i].a->side[e->side].outline[sm_gaps[e->gap].clearance]));
    sm_words_side(&words, f->result.c->coronary[e->side].name);
    sm_text_addf(&words, ", room %s, mm; the bar is the limit, hatched what is %s", sm_gaps[e->gap].where_short,
                 sm_gaps[e->gap].crossed);
    y = sm_svg_paragraph(s, &sm_letters_mute, 0, y, s->width, sm_text_string(&words));
    for (int i = 0; i < 3; i++, y += ROOM)
        draw_room(s, f, &r[i], &mm, y + ROOM - 8, (ROOM - 18) / peak);
    sm_svg_ruler_across(s, &mm, y - 4, 0.5, 1);
    sm_text_done(&words, &s->body);
    return y + 22;
}

/* 5. The whole */

static void say(const sm_findings *f, sm_svg *s);

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const plot p = plot_of(f->sweep, s->width);
    (void)i;
    draw_axes(s, &p, &f->sweep->axis[0].knob);
    draw_curve(s, &p, f->sweep);
    draw_line(s, &p, f->sweep);
    draw_even(s, &p, f->sweep);
    draw_case(s, &p, f->sweep);
    double y = TOP + TALL + 44;
    if (f->sweep_ends && f->sweep_ends->end[1].side)
        y = draw_rooms(s, f, y + 20);
    s->height = y;
    say(f, s);
}

static int count(const sm_findings *f)
{
    return f->sweep && f->sweep->n_axes == 1 ? 1 : 0;
}

/* 6. Words */

static void say(const sm_findings *f, sm_svg *s)
{
    const sm_sweep *w = f->sweep;
    sm_sweep_headline(&s->title, w);
    sm_text_addf(&s->desc, "How many of 100 roots cross a limit, along %s: ", w->axis[0].knob.words);
    for (int i = 0; i < w->axis[0].steps; i++) {
        sm_text_puts(&s->desc, i ? ", " : "");
        sm_words_of_100(&s->desc, &w->point[i].p);
        sm_text_puts(&s->desc, " at ");
        sm_words_number(&s->desc, w->point[i].x);
    }
    sm_text_puts(&s->desc, ".");
}

/* 7. Data */

static void data(const sm_findings *f, int i, sm_text *csv)
{
    (void)i;
    sm_sweep_csv_drawn(&(sm_sweep_part){f->result.c, f->sweep, NULL}, csv);
}

const sm_figure sm_fig_sweep = {"sweep", false, count, NULL, draw, data};
