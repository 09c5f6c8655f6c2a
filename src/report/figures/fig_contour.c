/* fig_contour.c - the probability over the grid of two knobs, and where it meets the action line.
 *
 * Contents: 1. scales  2. cells  3. the line  4. the whole  5. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/json/sweep_json.h"
#include "report/text/sweep_text.h"
#include "report/blocks/words.h"

/* 1. Scales */

enum { LEFT = 48, RIGHT = 20, TOP = 30, TALL = 300, TONES = 5 };

typedef struct {
    sm_scale x, y;
    double wide, high; /* of a cell */
} plot;

/* Each point is the middle of its cell. */
static plot plot_of(const sm_sweep *s, double width)
{
    const sm_sweep_axis *a = &s->axis[0], *b = &s->axis[1];
    plot p = {.wide = (width - LEFT - RIGHT) / a->steps, .high = (double)TALL / b->steps};
    p.x = (sm_scale){a->value[0], a->value[a->steps - 1], LEFT + p.wide / 2, width - RIGHT - p.wide / 2};
    p.y = (sm_scale){b->value[0], b->value[b->steps - 1], TOP + TALL - p.high / 2, TOP + p.high / 2};
    return p;
}

/* 2. Cells */

/* Lighter where fewer cross; five tones from the least to the greatest. */
static const char *tone_of(const sm_sweep *s, double probability)
{
    static const char *const tone[TONES] = {"f-tone4", "f-tone3", "f-tone2", "f-tone1", "f-tone0"};
    const double low = s->point[s->low].p.probability, high = s->point[s->high].p.probability;
    const int i = (int)((probability - low) / fmax(1e-9, high - low) * TONES);
    return tone[i < 0 ? 0 : i >= TONES ? TONES - 1 : i];
}

static void draw_cell(sm_svg *s, const plot *p, const sm_sweep *w, int i)
{
    const int steps = w->axis[0].steps;
    const double x = sm_scale_at(&p->x, w->axis[0].value[i % steps]),
                 y = sm_scale_at(&p->y, w->axis[1].value[i / steps]);
    sm_svg_rect(s, tone_of(w, w->point[i].p.probability), (sm_box){x - p->wide / 2, y - p->high / 2, p->wide, p->high});
}

static void draw_number(sm_svg *s, const plot *p, const sm_sweep *w, int i)
{
    const int steps = w->axis[0].steps;
    const sm_lettering middle = {.cls = "t-ink halo", .size = SM_SMALLEST, .anchor = SM_MIDDLE};
    sm_text words = {0};
    if (p->wide < 26 || p->high < 15)
        return;
    sm_text_addf(&words, "%.0f", 100 * w->point[i].p.probability);
    sm_svg_text(s, &middle, sm_scale_at(&p->x, w->axis[0].value[i % steps]),
                sm_scale_at(&p->y, w->axis[1].value[i / steps]) + 4, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* 3. The line */

/* One firm stroke through where neighbouring rows meet the line, as long as each of them meets it once. */
static void draw_contour(sm_svg *s, const plot *p, const sm_sweep *w)
{
    sm_point *points = malloc((size_t)w->axis[1].steps * sizeof *points);
    size_t n = 0;
    for (int j = 0; points && j <= w->axis[1].steps; j++) {
        sm_meeting m[2];
        const int found = j < w->axis[1].steps ? sm_sweep_row(w, j, m, 2) : 0;
        if (found == 1)
            points[n++] = (sm_point){sm_scale_at(&p->x, m[0].at.value), sm_scale_at(&p->y, w->axis[1].value[j])};
        else if (n > 1) {
            sm_svg_curve(s, "l-cross", points, n);
            n = 0;
        } else
            n = 0;
        for (int i = 0; found > 1 && i < found; i++)
            sm_svg_ellipse(s, "f-cross", sm_scale_at(&p->x, m[i].at.value), sm_scale_at(&p->y, w->axis[1].value[j]), 3,
                           3);
    }
    s->failed |= !points;
    free(points);
}

static void draw_case(sm_svg *s, const plot *p, const sm_sweep *w)
{
    const sm_knob *a = &w->axis[0].knob, *b = &w->axis[1].knob;
    if (!a->has_own || !b->has_own || a->own < p->x.from || a->own > p->x.to || b->own < p->y.from || b->own > p->y.to)
        return;
    const double x = sm_scale_at(&p->x, a->own), y = sm_scale_at(&p->y, b->own);
    sm_svg_ellipse(s, "o-ink", x, y, 5, 5);
    sm_svg_text(s, &(sm_lettering){.cls = "t-ink halo", .size = 12, .bold = true, .anchor = SM_START}, x + 8, y - 7,
                "as it is");
}

/* 4. The whole */

static void axis_words(sm_text *out, const sm_knob *k)
{
    sm_text_puts(out, k->words);
    if (k->unit[0] && strcmp(k->unit, "fraction") != 0)
        sm_text_addf(out, ", %s", k->unit);
}

static double draw_axes(sm_svg *s, const plot *p, const sm_sweep *w)
{
    const double x_step = sm_scale_step(&p->x, 52), y_step = sm_scale_step(&p->y, 28);
    const sm_lettering middle = sm_letters_at(sm_letters_mute, SM_MIDDLE);
    sm_text words = {0};
    sm_svg_ruler_across(s, &p->x, TOP + TALL + 2, x_step / 5, x_step);
    sm_svg_ruler_up(s, &p->y, LEFT - 3, y_step / 5, y_step);
    axis_words(&words, &w->axis[0].knob);
    sm_svg_text(s, &middle, (LEFT + s->width - RIGHT) / 2, TOP + TALL + 38, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    axis_words(&words, &w->axis[1].knob);
    sm_svg_text(s, &sm_letters_mute, 0, 14, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    sm_text_puts(&words, "Numbers: of 100 roots that cross a limit.");
    if (w->assessment.decision.action_line > 0) {
        sm_text_puts(&words, " The stroke is your line, ");
        sm_words_line(&words, w->assessment.decision.action_line, 0);
        sm_text_puts(&words, ".");
    }
    const double y = sm_svg_paragraph(s, &sm_letters_small, 0, TOP + TALL + 60, s->width, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    return y;
}

static void say(const sm_findings *f, sm_svg *s)
{
    const sm_sweep *w = f->sweep;
    sm_text_addf(&s->title, "How many of 100 roots cross a limit, by %s and %s", w->axis[0].knob.words,
                 w->axis[1].knob.words);
    for (int j = 0; j < w->axis[1].steps; j++) {
        sm_meeting m[2];
        const int n = sm_sweep_row(w, j, m, 2);
        for (int i = 0; i < n; i++) {
            sm_text_puts(&s->desc, s->desc.len > 0 ? ", at " : "The line is met at ");
            sm_sweep_value(&s->desc, m[i].at.value, m[i].at.standard_error, w->axis[0].knob.unit);
            sm_text_puts(&s->desc, " with ");
            sm_sweep_value(&s->desc, w->axis[1].value[j], 0, w->axis[1].knob.unit);
        }
    }
    sm_text_puts(&s->desc, s->desc.len > 0 ? "." : "The action line is met nowhere on this grid.");
}

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const plot p = plot_of(f->sweep, s->width);
    (void)i;
    for (int c = 0; c < f->sweep->versions.n; c++)
        draw_cell(s, &p, f->sweep, c);
    draw_contour(s, &p, f->sweep);
    for (int c = 0; c < f->sweep->versions.n; c++)
        draw_number(s, &p, f->sweep, c);
    draw_case(s, &p, f->sweep);
    s->height = draw_axes(s, &p, f->sweep);
    say(f, s);
}

static int count(const sm_findings *f)
{
    return f->sweep && f->sweep->n_axes == 2 ? 1 : 0;
}

/* 5. Data */

static void data(const sm_findings *f, int i, sm_text *csv)
{
    (void)i;
    sm_sweep_csv(&(sm_sweep_part){f->result.c, f->sweep, NULL}, csv);
}

const sm_figure sm_fig_contour = {"contour", false, count, NULL, draw, data};
