/* fig_contour.c - the probability over the grid of two knobs, and where it meets the action line.
 *
 * Contents: 1. scales  2. bands  3. tones and numbers  4. the line and the case  5. the legend  6. the whole  7. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "report/json/sweep_json.h"
#include "report/text/sweep_text.h"
#include "report/blocks/words.h"

/* 1. Scales */

enum { LEFT = 48, RIGHT = 20, TOP = 30, TALL = 300, RIM = 14 };

typedef struct {
    sm_scale x, y;
} plot;

/* About the outermost points runs a rim, for their numbers. */
static plot plot_of(const sm_sweep *s, double width)
{
    const sm_sweep_axis *a = &s->axis[0], *b = &s->axis[1];
    return (plot){.x = {a->value[0], a->value[a->steps - 1], LEFT + RIM, width - RIGHT - RIM},
                  .y = {b->value[0], b->value[b->steps - 1], TOP + TALL - RIM, TOP + RIM}};
}

static sm_point place_of(const plot *p, const sm_sweep *w, int i)
{
    const int steps = w->axis[0].steps;
    return (sm_point){sm_scale_at(&p->x, w->axis[0].value[i % steps]), sm_scale_at(&p->y, w->axis[1].value[i / steps])};
}

/* 2. Bands */

/* From pale to dark, with the letters that stand on them. */
static const struct {
    const char *cls, *letters;
} tones[] = {{"f-pale", "t-ink h-pale"},   {"f-tone4", "t-ink h-tone4"},  {"f-tone3", "t-ink h-tone3"},
             {"f-tone2", "t-ink h-tone2"}, {"f-tone1", "t-page h-tone1"}, {"f-tone0", "t-page h-tone0"}};

/* Of 100 roots, from `from` to below `to`; the outermost have no end. */
typedef struct {
    double from, to;
    int tone;
    bool above;
} band;

enum { MOST_BANDS = 6 };

typedef struct {
    band at[MOST_BANDS];
    int n;
} bands;

/* The largest of 1, 2, 5, 10 ... (and 0.5, 0.2 ...) that is not above x. */
static double round_down(double x)
{
    const double power = pow(10, floor(log10(x) + 1e-9)), part = x / power * (1 + 1e-9);
    return power * (part >= 5 ? 5 : part >= 2 ? 2 : 1);
}

static void add_band(bands *b, double from, double to, int tone, bool above)
{
    b->at[b->n++] = (band){from, to, tone, above};
}

/* Pale below the line, dark at or above it: the step between them is the largest. */
static void add_below(bands *b, double low, double high, double line)
{
    const double top = fmin(high, line), step = top > low ? round_down((top - low) / 2) : 0;
    const double cut = step > 0 ? line - step * (floor((line - top) / step) + 1) : -HUGE_VAL;
    if (step > 0)
        add_band(b, -HUGE_VAL, cut, 0, false);
    add_band(b, cut, line, 1, false);
}

static void add_above(bands *b, double low, double high, double line)
{
    const double least = fmax(low, line), step = high > least ? round_down((high - least) / 3) : 0;
    const double first = step > 0 ? line + step * (floor((least - line) / step) + 1) : HUGE_VAL;
    add_band(b, line, first, 3, true);
    if (step > 0) {
        add_band(b, first, first + step, 4, true);
        add_band(b, first + step, HUGE_VAL, 5, true);
    }
}

static void split_evenly(bands *b, double low, double high)
{
    const double step = high > low ? 2 * round_down((high - low) / 5) : 1, first = step * floor(low / step);
    const int n = (int)fmin(MOST_BANDS, floor((high - first) / step) + 1);
    for (int i = 0; i < n; i++)
        add_band(b, i == 0 ? -HUGE_VAL : first + i * step, i == n - 1 ? HUGE_VAL : first + (i + 1) * step, i, false);
}

static bands bands_of(const sm_sweep *s)
{
    const double line = 100 * s->assessment.decision.action_line, low = 100 * s->point[s->low].p.probability,
                 high = 100 * s->point[s->high].p.probability;
    bands b = {.n = 0};
    if (line > 0 && low < line)
        add_below(&b, low, high, line);
    if (line > 0 && high >= line)
        add_above(&b, low, high, line);
    if (!(line > 0))
        split_evenly(&b, low, high);
    return b;
}

/* On which side of the line is decided as everywhere else, so that rounding cannot differ. */
static const band *band_of(const bands *b, const sm_sweep *s, int i)
{
    const double line = s->assessment.decision.action_line, p = s->point[i].p.probability;
    int k = 0;
    while (k + 1 < b->n && (line > 0 && (p >= line) != b->at[k].above ? !b->at[k].above : 100 * p >= b->at[k].to))
        k++;
    return &b->at[k];
}

/* 3. Tones and numbers */

/* A corner of a cell: its place, and how far the answer lies above the level there, as a difference of normal scores.
 */
typedef struct {
    sm_point at;
    double height;
} corner;

/* Point (i, j), which may lie in the rim: there all is as at the nearest point of the grid. */
static corner corner_at(const plot *p, const sm_sweep *w, int i, int j, double level)
{
    const int nx = w->axis[0].steps, ny = w->axis[1].steps,
              u = i < 0    ? 0
                  : i < nx ? i
                           : nx - 1,
              v = j < 0    ? 0
                  : j < ny ? j
                           : ny - 1;
    corner c = {place_of(p, w, v * nx + u), sm_curve_height(&w->point[v * nx + u].p, level)};
    c.at.x += RIM * (i - u);
    c.at.y -= RIM * (j - v);
    return c;
}

static sm_point between(const corner *a, const corner *b)
{
    const double share = a->height / (a->height - b->height);
    return (sm_point){a->at.x + share * (b->at.x - a->at.x), a->at.y + share * (b->at.y - a->at.y)};
}

/* What of a cell lies at or above the level; in a crosswise one, as in whatif/contour.c, the mean joins or parts. */
static void shade_cell(sm_svg *s, const corner c[4])
{
    sm_point p[8];
    size_t n = 0;
    const bool crosswise = (c[0].height >= 0) == (c[2].height >= 0) && (c[1].height >= 0) == (c[3].height >= 0) &&
                           (c[0].height >= 0) != (c[1].height >= 0);
    const bool parted = crosswise && c[0].height + c[1].height + c[2].height + c[3].height < 0;
    for (int k = 0; k < 4; k++) {
        const corner *a = &c[k], *b = &c[(k + 1) % 4], *before = &c[(k + 3) % 4];
        if (parted && a->height >= 0)
            sm_svg_shape(s, (sm_point[]){between(before, a), a->at, between(a, b)}, 3);
        if (a->height >= 0)
            p[n++] = a->at;
        if ((a->height >= 0) != (b->height >= 0))
            p[n++] = between(a, b);
    }
    if (!parted)
        sm_svg_shape(s, p, n);
}

/* Each tone over the one before. */
static void draw_tones(sm_svg *s, const plot *p, const sm_sweep *w, const bands *b)
{
    sm_svg_rect(s, tones[b->at[0].tone].cls, (sm_box){LEFT, TOP, s->width - LEFT - RIGHT, TALL});
    for (int k = 1; k < b->n; k++) {
        const double level = b->at[k].from / 100;
        sm_svg_begin_shapes(s, tones[b->at[k].tone].cls);
        for (int j = -1; j < w->axis[1].steps; j++)
            for (int i = -1; i < w->axis[0].steps; i++)
                shade_cell(s, (const corner[]){corner_at(p, w, i, j, level), corner_at(p, w, i + 1, j, level),
                                               corner_at(p, w, i + 1, j + 1, level), corner_at(p, w, i, j + 1, level)});
        sm_svg_end_shapes(s);
    }
}

/* The line and what is beside it make way for a number: it stands in a seam of its own tone. */
static void draw_number(sm_svg *s, const plot *p, const sm_sweep *w, const bands *b, int i)
{
    const band *own = band_of(b, w, i);
    const sm_lettering middle = {
        .cls = tones[own->tone].letters, .size = SM_SMALLEST, .bold = own->above, .anchor = SM_MIDDLE};
    const sm_point at = place_of(p, w, i);
    sm_text words = {0};
    sm_text_addf(&words, "%.0f", 100 * w->point[i].p.probability);
    sm_svg_text(s, &middle, at.x, at.y + 4, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* If they would crowd, the tones stand alone. */
static void draw_numbers(sm_svg *s, const plot *p, const sm_sweep *w, const bands *b)
{
    const double wide = (p->x.at_to - p->x.at_from) / (w->axis[0].steps - 1),
                 high = (p->y.at_from - p->y.at_to) / (w->axis[1].steps - 1);
    for (int i = 0; wide >= 26 && high >= 15 && i < w->versions.n; i++)
        draw_number(s, p, w, b, i);
}

/* 4. The line and the case */

/* An end at the edge of the grid goes on through the rim. */
static sm_point through_rim(const plot *p, const sm_contour_point *at)
{
    const sm_point here = {sm_scale_at(&p->x, at->x), sm_scale_at(&p->y, at->y)};
    if (at->x == p->x.from || at->x == p->x.to)
        return (sm_point){here.x + (at->x == p->x.from ? -RIM : RIM), here.y};
    return (sm_point){here.x, here.y + (at->y == p->y.from ? RIM : -RIM)};
}

/* One firm stroke, cased in white to stand out from dark and pale alike. */
static void draw_piece(sm_svg *s, const plot *p, const sm_contour *line, const sm_contour_piece *piece)
{
    const sm_contour_point *at = &line->point[piece->first];
    const size_t n = piece->n, ends = piece->closed ? 0 : 1;
    sm_point *points = malloc((n + 2) * sizeof *points);
    for (size_t i = 0; points && i < n; i++)
        points[i + ends] = (sm_point){sm_scale_at(&p->x, at[i].x), sm_scale_at(&p->y, at[i].y)};
    if (points && !piece->closed) {
        points[0] = through_rim(p, &at[0]);
        points[n + 1] = through_rim(p, &at[n - 1]);
    }
    if (points) {
        sm_svg_path(s, "l-page", points, n + 2 * ends, piece->closed);
        sm_svg_path(s, "l-cross", points, n + 2 * ends, piece->closed);
    }
    s->failed |= !points;
    free(points);
}

static bool shows_case(const plot *p, const sm_sweep *w)
{
    const sm_knob *a = &w->axis[0].knob, *b = &w->axis[1].knob;
    return a->has_own && b->has_own && a->own >= p->x.from && a->own <= p->x.to && b->own >= p->y.from &&
           b->own <= p->y.to;
}

static void draw_ring(sm_svg *s, double x, double y, double radius)
{
    sm_svg_ellipse(s, "l-page", x, y, radius, radius);
    sm_svg_ellipse(s, "l-firm", x, y, radius, radius);
}

/* 5. The legend */

enum { SAMPLE = 22, PITCH = 18 };

/* Where its next item begins. */
typedef struct {
    double x, y;
} pen;

/* Room for a sample and words: where the sample stands. The words are written. */
static sm_point item(sm_svg *s, pen *at, const char *words)
{
    const double takes = SAMPLE + 6 + sm_svg_text_width(words, SM_SMALLEST, false) + 10;
    if (at->x > 0 && at->x + takes > s->width) {
        at->x = 0;
        at->y += PITCH;
    }
    const sm_point sample = {at->x, at->y};
    sm_svg_text(s, &sm_letters_small, at->x + SAMPLE + 6, at->y, words);
    at->x += takes;
    return sample;
}

static void band_words(sm_text *out, const band *b)
{
    if (isfinite(b->from) && isfinite(b->to))
        sm_text_addf(out, "%g to %g", b->from, b->to);
    else if (isfinite(b->to))
        sm_text_addf(out, "under %g", b->to);
    else if (isfinite(b->from))
        sm_text_addf(out, "%g and more", b->from);
    else
        sm_text_puts(out, "everywhere the same");
}

static void band_item(sm_svg *s, pen *at, const band *b)
{
    sm_text words = {0};
    band_words(&words, b);
    const sm_point sample = item(s, at, sm_text_string(&words));
    const sm_box box = {sample.x, sample.y - 10, SAMPLE, 12};
    sm_svg_rect(s, "o-hair", box);
    sm_svg_rect(s, tones[b->tone].cls, box);
    sm_text_done(&words, &s->body);
}

static void line_item(sm_svg *s, pen *at, double line, bool met)
{
    sm_text words = {0};
    sm_text_puts(&words, "your line, ");
    sm_words_line(&words, line, 0);
    sm_text_puts(&words, met ? "" : " (not met here)");
    const sm_point sample = item(s, at, sm_text_string(&words));
    sm_svg_line(s, "l-cross", sample.x, sample.y - 4, sample.x + SAMPLE, sample.y - 4);
    sm_text_done(&words, &s->body);
}

/* In the order of the probability, the line in its place. Returns where it ends. */
static double draw_legend(sm_svg *s, const plot *p, const sm_sweep *w, const bands *b, double y)
{
    const double line = w->assessment.decision.action_line;
    bool lined = !(line > 0);
    y = sm_svg_paragraph(s, &sm_letters_small, 0, y, s->width,
                         lined ? "So many of 100 roots cross a limit:"
                               : "So many of 100 roots cross a limit; in bold at or above your line:");
    pen at = {0, y + 5};
    for (int k = 0; k < b->n; k++) {
        if (!lined && b->at[k].above) {
            line_item(s, &at, line, w->line.n > 0);
            lined = true;
        }
        band_item(s, &at, &b->at[k]);
    }
    if (!lined)
        line_item(s, &at, line, w->line.n > 0);
    if (shows_case(p, w)) {
        const sm_point sample = item(s, &at, "the case as it is");
        draw_ring(s, sample.x + SAMPLE / 2, sample.y - 4, 6);
    }
    return at.y + 8;
}

/* 6. The whole */

static double draw_axes(sm_svg *s, const plot *p, const sm_sweep *w)
{
    const double x_step = sm_scale_step(&p->x, 52), y_step = sm_scale_step(&p->y, 28);
    const sm_lettering middle = sm_letters_at(sm_letters_mute, SM_MIDDLE);
    sm_text words = {0};
    sm_svg_ruler_across(s, &p->x, TOP + TALL + 3, x_step / 5, x_step);
    sm_svg_ruler_up(s, &p->y, LEFT - 3, y_step / 5, y_step);
    sm_words_axis(&words, w->axis[0].knob.words, w->axis[0].knob.unit);
    sm_svg_text(s, &middle, (LEFT + s->width - RIGHT) / 2, TOP + TALL + 38, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    sm_words_axis(&words, w->axis[1].knob.words, w->axis[1].knob.unit);
    sm_svg_text(s, &sm_letters_mute, 0, 14, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    return TOP + TALL + 62;
}

static void say(const sm_findings *f, sm_svg *s)
{
    const sm_sweep *w = f->sweep;
    const sm_curve_point *low = &w->point[w->low], *high = &w->point[w->high];
    sm_text_addf(&s->title, "How many of 100 roots cross a limit, by %s and %s", w->axis[0].knob.words,
                 w->axis[1].knob.words);
    sm_text_puts(&s->desc, "From ");
    sm_words_of_100(&s->desc, &low->p);
    sm_text_puts(&s->desc, " to ");
    sm_words_of_100(&s->desc, &high->p);
    sm_text_puts(&s->desc, " of 100. ");
    if (w->assessment.decision.action_line > 0)
        sm_sweep_line_words(&s->desc, w);
}

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const sm_sweep *w = f->sweep;
    const plot p = plot_of(w, s->width);
    const bands b = bands_of(w);
    (void)i;
    draw_tones(s, &p, w, &b);
    for (size_t k = 0; k < w->line.n; k++)
        draw_piece(s, &p, &w->line, &w->line.piece[k]);
    draw_numbers(s, &p, w, &b);
    if (shows_case(&p, w))
        draw_ring(s, sm_scale_at(&p.x, w->axis[0].knob.own), sm_scale_at(&p.y, w->axis[1].knob.own), 11);
    s->height = draw_legend(s, &p, w, &b, draw_axes(s, &p, w));
    say(f, s);
}

static int count(const sm_findings *f)
{
    return f->sweep && f->sweep->n_axes == 2 ? 1 : 0;
}

/* 7. Data */

static void data(const sm_findings *f, int i, sm_text *csv)
{
    (void)i;
    sm_sweep_csv_drawn(&(sm_sweep_part){f->result.c, f->sweep, NULL}, csv);
}

const sm_figure sm_fig_contour = {"contour", false, count, NULL, draw, data};
