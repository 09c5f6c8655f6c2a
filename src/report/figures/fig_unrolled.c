/* fig_unrolled.c - the root cut open and unrolled: azimuth across, millimetres up; each ostium a plate with its number.
 *
 * Contents: 1. the plot area  2. bands round the root  3. posts  4. plates  5. the key  6. the whole  7. words  8. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>
#include <stdlib.h>

#include "report/blocks/words.h"

/* 1. The plot area */

typedef struct {
    double start;                    /* degrees: where the root is cut open, at the left edge */
    sm_scale across, up;             /* degrees from there; mm */
    double plate[SM_MAX_CORONARIES]; /* where each side's plate stands: at its azimuth, unless others stand there too */
} plot_area;

static double turned(double degrees)
{
    const double d = fmod(degrees, 360);
    return d < 0 ? d + 360 : d;
}

/* A sinus from which no coronary leaves has no plate; its rim and junction are in the bands. */
static bool has_ostium(const sm_findings *f, int k)
{
    return f->result.c->coronary[k].has_ostium;
}

static double side_azimuth(const sm_findings *f, int k)
{
    return turned(f->result.c->coronary[k].azimuth_deg);
}

/* The root is cut in the middle of the widest gap between two sides, at a whole 30 degrees: there no plate stands at
 * the edge. */
static double cut_at(const sm_findings *f)
{
    double widest = -1, middle = 0;
    for (int k = 0; k < f->portrait->n_sides; k++) {
        double gap = 360;
        for (int j = 0; j < f->portrait->n_sides; j++) {
            const double on = turned(side_azimuth(f, j) - side_azimuth(f, k));
            gap = on > 0 && on < gap ? on : gap;
        }
        if (gap > widest) {
            widest = gap;
            middle = side_azimuth(f, k) + gap / 2;
        }
    }
    return turned(30 * nearbyint(middle / 30));
}

#define LEFT_MARGIN  30.0
#define PLATE_HEIGHT 12.0 /* user units, half */
#define PLATE_WIDTH  17.0

static plot_area plot_area_of(const sm_findings *f, const sm_svg *s)
{
    double top = 0;
    for (int k = 0; k < f->portrait->n_sides; k++)
        top = fmax(top, fmax(f->portrait->side[k].stj_height.high, f->portrait->side[k].tube_top.high));
    plot_area g = {.start = cut_at(f), .across = {0, 360, LEFT_MARGIN, s->width - 10}, .up = {0, ceil(top + 1), 0, 20}};
    g.up.at_from = 20 + 162;
    return g;
}

static double across(const plot_area *g, double degrees)
{
    return sm_scale_at(&g->across, turned(degrees - g->start));
}

/* Plates that would hide each other are pushed apart, both by the same; a line then leads to where the ostium is. */
static void part_plates(const sm_findings *f, plot_area *g)
{
    enum { ROUNDS = 60 };
    const int n = f->portrait->n_sides;
    const double apart = fmin(2 * PLATE_WIDTH + 4, (g->across.at_to - g->across.at_from) / n);
    for (int k = 0; k < n; k++)
        g->plate[k] = across(g, side_azimuth(f, k));
    for (int round = 0; round < ROUNDS; round++)
        for (int i = 0; i < n; i++)
            for (int j = i + 1; j < n; j++) {
                const double d = g->plate[j] - g->plate[i], push = (apart - fabs(d)) / 2;
                g->plate[i] += push > 0 ? (d >= 0 ? -push : push) : 0;
                g->plate[j] += push > 0 ? (d >= 0 ? push : -push) : 0;
            }
}

/* 2. Bands round the root */

typedef enum { RIM, JUNCTION } band;

static const sm_range *range_of(const sm_findings *f, int k, band b)
{
    return b == RIM ? &f->portrait->side[k].tube_top : &f->portrait->side[k].stj_height;
}

/* The neighbours of an azimuth among the sides: the next one at or before it, and the next one after, going round. */
static void neighbours(const sm_findings *f, double degrees, int *before, int *after, double *share)
{
    double least_back = 361, least_on = 361;
    for (int k = 0; k < f->portrait->n_sides; k++) {
        const double back = turned(degrees - side_azimuth(f, k));
        const double on = 360 - back;
        if (back < least_back) {
            least_back = back;
            *before = k;
        }
        if (on < least_on) {
            least_on = on;
            *after = k;
        }
    }
    *share = least_back + least_on > 0 ? least_back / (least_back + least_on) : 0;
}

/* Between two sides a height is drawn straight: nothing was read there. */
static sm_range height_at(const sm_findings *f, double degrees, band b)
{
    int before = 0, after = 0;
    double t = 0;
    neighbours(f, degrees, &before, &after, &t);
    const sm_range *p = range_of(f, before, b), *q = range_of(f, after, b);
    return (sm_range){p->low + t * (q->low - p->low), p->median + t * (q->median - p->median),
                      p->high + t * (q->high - p->high)};
}

enum { STEPS = 72 };

static void draw_band(sm_svg *s, const plot_area *g, const sm_findings *f, band b)
{
    sm_point area[2 * (STEPS + 1)], line[STEPS + 1];
    for (int i = 0; i <= STEPS; i++) {
        const double on = 360.0 * i / STEPS, x = sm_scale_at(&g->across, on);
        const sm_range h = height_at(f, g->start + on, b);
        area[i] = (sm_point){x, sm_scale_at(&g->up, h.low)};
        area[2 * STEPS + 1 - i] = (sm_point){x, sm_scale_at(&g->up, h.high)};
        line[i] = (sm_point){x, sm_scale_at(&g->up, h.median)};
    }
    sm_svg_path(s, b == RIM ? "f-wall" : "f-shade", area, 2 * (STEPS + 1), true);
    sm_svg_path(s, b == RIM ? "l-deep" : "l-dash", line, STEPS + 1, false);
}

/* All that the tube covers, up to the middle of its rim. */
static void draw_tube(sm_svg *s, const plot_area *g, const sm_findings *f)
{
    sm_point area[STEPS + 3];
    for (int i = 0; i <= STEPS; i++) {
        const double on = 360.0 * i / STEPS;
        area[i] = (sm_point){sm_scale_at(&g->across, on), sm_scale_at(&g->up, height_at(f, g->start + on, RIM).median)};
    }
    area[STEPS + 1] = (sm_point){g->across.at_to, g->up.at_from};
    area[STEPS + 2] = (sm_point){g->across.at_from, g->up.at_from};
    sm_svg_path(s, "f-pale", area, STEPS + 3, true);
}

/* 3. Posts */

static void draw_post(sm_svg *s, const plot_area *g, const sm_findings *f, double degrees)
{
    const double half = (f->portrait->post.high - f->portrait->post.low) / 2, d = turned(degrees);
    const double x = across(g, d), top = sm_scale_at(&g->up, height_at(f, d, RIM).median);
    const double wide = half / 360 * (g->across.at_to - g->across.at_from);
    sm_svg_rect(s, "f-shade", (sm_box){x - wide, top, 2 * wide, g->up.at_from - top});
    sm_svg_line(s, "l-mute", x, top, x, g->up.at_from);
    sm_svg_label(s, &(sm_lettering){"t-ink", SM_SMALLEST, false, SM_MIDDLE}, x, g->up.at_from - 5, -12, "post");
}

static void draw_posts(sm_svg *s, const plot_area *g, const sm_findings *f)
{
    if (!f->portrait->has_posts)
        return;
    if (f->portrait->post_unknown)
        sm_svg_label(s, &sm_letters_small, g->across.at_from + 6, g->up.at_from - 6, -12,
                     "posts: not seen, taken to stand anywhere");
    else
        for (int i = 0; i < 3; i++)
            draw_post(s, g, f, f->portrait->post.median + 120 * i);
}

/* 4. Plates */

/* Five tones: the less room, the darker. */
static int tone_of(double mm)
{
    return mm < 2 ? 0 : mm < 4 ? 1 : mm < 6 ? 2 : mm < 8 ? 3 : 4;
}

static void draw_halo(sm_svg *s, const plot_area *g, const sm_portrait_side *p, double x, double room)
{
    static const char *const tone[] = {"f-tone0", "f-tone1", "f-tone2", "f-tone3", "f-tone4"};
    const double y = sm_scale_at(&g->up, (p->ostium_height.low + p->ostium_height.high) / 2);
    const double half = (sm_scale_at(&g->up, p->ostium_height.low) - sm_scale_at(&g->up, p->ostium_height.high)) / 2;
    sm_svg_ellipse(s, "f-shade", x, y, PLATE_WIDTH + 14, fmax(half, PLATE_HEIGHT + 9));
    sm_svg_ellipse(s, tone[tone_of(room)], x, y, PLATE_WIDTH + 8, PLATE_HEIGHT + 6);
}

static void draw_plate(sm_svg *s, const plot_area *g, const sm_findings *f, int k)
{
    const sm_portrait_side *p = &f->portrait->side[k];
    const sm_side_result *r = &f->result.assessment->side[k];
    const double x = g->plate[k], y = sm_scale_at(&g->up, p->ostium_height.median);
    sm_text words = {0};
    if (fabs(x - across(g, side_azimuth(f, k))) > 2)
        sm_svg_line(s, "l-ink", x, y, across(g, side_azimuth(f, k)), y + PLATE_HEIGHT + 9);
    draw_halo(s, g, p, x, r->output[SM_OSTIUM_CLEARANCE].median);
    sm_svg_ellipse(s, "o-ink", x, y, PLATE_WIDTH, PLATE_HEIGHT);
    sm_text_addf(&words, "%.0f", 100 * r->crossing.event.probability);
    sm_svg_text(s, &(sm_lettering){"t-cross", 14, true, SM_MIDDLE}, x, y + 5, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    sm_svg_take(s, (sm_box){x - PLATE_WIDTH - 9, y - PLATE_HEIGHT - 7, 2 * PLATE_WIDTH + 18, 2 * PLATE_HEIGHT + 14});
}

/* Up to so many sides a name has room for a number. */
#define FEW 4

/* A name stands right below or right above its plate or not at all: elsewhere it could be taken for another plate's. */
static void draw_plate_name(sm_svg *s, const plot_area *g, const sm_findings *f, int k)
{
    const sm_lettering l = {"t-ink halo", 12, true, SM_MIDDLE};
    const double x = g->plate[k], y = sm_scale_at(&g->up, f->portrait->side[k].ostium_height.median);
    const double below = y + PLATE_HEIGHT + 20, above = y - PLATE_HEIGHT - 12;
    sm_text words = {0};
    char *side = sm_figure_side(f, k);
    sm_text_puts(&words, side ? side : "");
    if (f->portrait->n_sides <= FEW)
        sm_text_addf(&words, ", room %.1f", f->result.assessment->side[k].output[SM_OSTIUM_CLEARANCE].median);
    if (!side || words.failed)
        s->failed = true;
    else if (!sm_svg_label_here(s, &l, x, below, words.s) && !sm_svg_label_here(s, &l, x, above, words.s) &&
             !sm_svg_label_here(s, &l, x, below, side))
        sm_svg_label_here(s, &l, x, above, side);
    sm_text_done(&words, &s->body);
    free(side);
}

/* 5. The key */

static void draw_key(sm_svg *s, double y)
{
    static const struct {
        const char *cls, *words;
    } tone[] = {
        {"f-tone0", "below 2"}, {"f-tone1", "to 4"}, {"f-tone2", "to 6"}, {"f-tone3", "to 8"}, {"f-tone4", "more"}};
    double x = LEFT_MARGIN + 78;
    sm_svg_text(s, &sm_letters_mute, 0, y + 9, "room, middle, mm:");
    for (int i = 0; i < 5; i++) {
        sm_svg_rect(s, tone[i].cls, (sm_box){x, y, 11, 11});
        sm_svg_text(s, &sm_letters_mute, x + 14, y + 9, tone[i].words);
        x += i == 0 ? 66 : 48;
    }
}

/* 6. The whole */

/* On its line, as far to the right as there is room. */
static void draw_band_name(sm_svg *s, const plot_area *g, const sm_findings *f, band b, const char *words)
{
    const sm_lettering l = {"t-ink halo", SM_SMALLEST, false, SM_END};
    for (int on = 355; on > 60; on -= 10) {
        const double y = sm_scale_at(&g->up, height_at(f, g->start + on - 25, b).median) - 5;
        if (sm_svg_label_here(s, &l, sm_scale_at(&g->across, on), y, words))
            return;
    }
}

static void draw_names(sm_svg *s, const plot_area *g, const sm_findings *f)
{
    draw_band_name(s, g, f, JUNCTION, "sinotubular junction");
    draw_band_name(s, g, f, RIM, "rim of the tube");
}

/* A ruler whose numbers go round. */
static void draw_degrees(sm_svg *s, const plot_area *g)
{
    const sm_lettering l = sm_letters_at(sm_letters_mute, SM_MIDDLE);
    const double y = g->up.at_from;
    sm_svg_line(s, "l-ink", g->across.at_from, y, g->across.at_to, y);
    for (int on = 0; on <= 360; on += 15) {
        const double x = sm_scale_at(&g->across, on);
        const bool tall = on % 60 == 0;
        sm_text words = {0};
        sm_svg_line(s, tall ? "l-ink" : "l-mute", x, y, x, y + (tall ? 7 : 4));
        sm_text_addf(&words, "%.0f", turned(g->start + on));
        if (tall)
            sm_svg_text(s, &l, x, y + 19, sm_text_string(&words));
        sm_text_done(&words, &s->body);
    }
}

static void say(const sm_findings *f, sm_svg *s);

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    plot_area g = plot_area_of(f, s);
    (void)i;
    part_plates(f, &g);
    sm_svg_text(s, &sm_letters_mute, 0, 11, "mm above the base plane; in each ostium, crossings of 100");
    sm_svg_take(s, (sm_box){0, 0, LEFT_MARGIN + 4, s->width}); /* the ruler's margin */
    draw_tube(s, &g, f);
    draw_band(s, &g, f, JUNCTION);
    draw_band(s, &g, f, RIM);
    draw_posts(s, &g, f);
    for (int k = 0; k < f->portrait->n_sides; k++)
        if (has_ostium(f, k))
            draw_plate(s, &g, f, k);
    sm_svg_ruler_up(s, &g.up, LEFT_MARGIN, 1, 5);
    draw_degrees(s, &g);
    sm_svg_take(s, (sm_box){0, g.up.at_from, s->width, 60}); /* what stands below the ruler is placed by hand */
    for (int k = 0; k < f->portrait->n_sides; k++)
        if (has_ostium(f, k))
            draw_plate_name(s, &g, f, k);
    draw_names(s, &g, f);
    sm_svg_text(s, &(sm_lettering){"t-mute", SM_SMALLEST, false, SM_END}, s->width, g.up.at_from + 32,
                "degrees round the root, seen from the aorta");
    draw_key(s, g.up.at_from + 42);
    s->height = g.up.at_from + 56;
    say(f, s);
}

/* 7. Words */

static void say(const sm_findings *f, sm_svg *s)
{
    sm_text_puts(&s->title, "The root unrolled: of 100 roots, crossings");
    for (int k = 0; k < f->portrait->n_sides; k++) {
        const sm_side_result *r = &f->result.assessment->side[k];
        const sm_portrait_side *p = &f->portrait->side[k];
        char *side = sm_figure_side(f, k);
        sm_text_addf(&s->title, "%s %s ", k ? "," : "", side ? side : "");
        if (has_ostium(f, k))
            sm_words_of_100(&s->title, &r->crossing.event);
        else
            sm_text_puts(&s->title, "no coronary");
        sm_text_addf(&s->desc, "%s%s, at %g degrees: ", k ? " " : "", side ? side : "", side_azimuth(f, k));
        if (has_ostium(f, k))
            sm_text_addf(&s->desc, "ostium %.1f mm up, ", p->ostium_height.median);
        sm_text_addf(&s->desc, "rim of the tube %.1f%s, junction %.1f", p->tube_top.median,
                     has_ostium(f, k) ? "" : " mm up", p->stj_height.median);
        if (has_ostium(f, k))
            sm_text_addf(&s->desc, "; room beside the ostium %.1f mm", r->output[SM_OSTIUM_CLEARANCE].median);
        sm_text_puts(&s->desc, ".");
        s->failed |= !side;
        free(side);
    }
    sm_text_puts(&s->desc, f->portrait->post_unknown ? " The posts were not seen." : "");
}

/* 8. Data */

static int count(const sm_findings *f)
{
    return f->portrait ? 1 : 0;
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    (void)i;
    sm_text_puts(
        csv,
        "side,azimuth_deg,ostium_low95_mm,ostium_median_mm,ostium_high95_mm,rim_low95_mm,rim_median_mm,rim_high95_mm,"
        "junction_low95_mm,junction_median_mm,junction_high95_mm,room_median_mm,event_probability,post_deg\n");
    for (int k = 0; k < f->portrait->n_sides; k++) {
        const sm_portrait_side *p = &f->portrait->side[k];
        const sm_side_result *r = &f->result.assessment->side[k];
        sm_text_addf(csv, "%s,%.9g,", f->result.c->coronary[k].name, side_azimuth(f, k));
        if (has_ostium(f, k))
            sm_text_addf(csv, "%.6g,%.6g,%.6g,", p->ostium_height.low, p->ostium_height.median, p->ostium_height.high);
        else
            sm_text_puts(csv, ",,,");
        sm_text_addf(csv, "%.6g,%.6g,%.6g,%.6g,%.6g,%.6g,", p->tube_top.low, p->tube_top.median, p->tube_top.high,
                     p->stj_height.low, p->stj_height.median, p->stj_height.high);
        if (has_ostium(f, k))
            sm_text_addf(csv, "%.9g,%.9g,", r->output[SM_OSTIUM_CLEARANCE].median, r->crossing.event.probability);
        else
            sm_text_puts(csv, ",,");
        if (f->portrait->has_posts && !f->portrait->post_unknown)
            sm_text_addf(csv, "%.6g", turned(f->portrait->post.median));
        sm_text_puts(csv, "\n");
    }
}

const sm_figure sm_fig_unrolled = {"unrolled", true, count, NULL, draw, data};
