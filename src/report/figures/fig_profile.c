/* fig_profile.c - the root from the side, to scale: one coronary to the left of the axis, one to the right.
 *
 * Contents: 1. the plot area  2. soft shapes  3. the tube  4. the wall  5. rulers and names  6. the room  7. the whole
 *           8. words  9. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>
#include <stdlib.h>

#include "report/blocks/words.h"

/* 1. The plot area */

/* Millimetres to user units, the same both ways; x is the distance from the axis, to the side in hand. */
typedef struct {
    double axis, zero, unit; /* where the axis and height 0 stand; user units a millimetre */
    double low, high, reach; /* mm */
    double sign;             /* -1: to the left */
} plot_area;

static sm_point at(const plot_area *g, double radius, double height)
{
    return (sm_point){g->axis + g->sign * radius * g->unit, g->zero - height * g->unit};
}

#define LEFT_MARGIN 30.0
#define LOWEST      (-2.0) /* mm; what lies lower decides nothing */
#define WALL_ABOVE  1.0    /* mm drawn above the highest part */

static bool has_ostium(const sm_findings *f, int k)
{
    return f->result.c->coronary[k].has_ostium;
}

static plot_area plot_area_of(const sm_findings *f, double width)
{
    plot_area g = {.low = LOWEST};
    for (int k = 0; k < f->portrait->n_sides; k++) {
        const sm_portrait_side *p = &f->portrait->side[k];
        g.reach = fmax(g.reach, fmax(has_ostium(f, k) ? p->ostium_radius.high : 0, p->stj_radius.high) + 2.5);
        g.high = fmax(g.high, fmax(p->stj_height.high, p->tube_top.high) + WALL_ABOVE);
    }
    g.reach = ceil(g.reach);
    g.high = ceil(g.high);
    g.unit = (width - LEFT_MARGIN - 4) / (2 * g.reach);
    g.axis = LEFT_MARGIN + g.reach * g.unit;
    g.zero = 24 + g.high * g.unit;
    g.sign = -1;
    return g;
}

/* 2. Soft shapes */

/* Where 95 of 100 roots have a point: three ellipses over one another, so that it fades outward. */
static void soft_point(sm_svg *s, const plot_area *g, const sm_range *radius, const sm_range *height)
{
    const sm_point c = at(g, (radius->low + radius->high) / 2, (height->low + height->high) / 2);
    const double rx = (radius->high - radius->low) / 2 * g->unit, ry = (height->high - height->low) / 2 * g->unit;
    for (double part = 1; part > 0.2; part -= 0.3)
        sm_svg_ellipse(s, "f-shade", c.x, c.y, part * rx, part * ry);
}

/* 3. The tube */

static void draw_band(sm_svg *s, const plot_area *g, const sm_portrait_side *p)
{
    sm_point band[2 * SM_PORTRAIT_HEIGHTS], line[SM_PORTRAIT_HEIGHTS];
    size_t n = 0;
    for (int j = 0; j < SM_PORTRAIT_HEIGHTS; j++)
        if (p->z[j] >= g->low)
            line[n++] = at(g, p->wall[j].median, p->z[j]);
    for (size_t i = 0; i < n; i++) {
        const size_t j = SM_PORTRAIT_HEIGHTS - n + i;
        band[i] = at(g, p->wall[j].low, p->z[j]);
        band[2 * n - 1 - i] = at(g, p->wall[j].high, p->z[j]);
    }
    sm_svg_path(s, "f-wall", band, 2 * n, true);
    sm_svg_path(s, "l-deep", line, n, false);
}

/* The rim: from the lowest to the highest it may stand, and a firm line in the middle. */
static void draw_rim(sm_svg *s, const plot_area *g, const sm_portrait_side *p)
{
    const sm_range *w = &p->wall[SM_PORTRAIT_HEIGHTS - 1];
    const sm_point a = at(g, w->low, p->tube_top.high), b = at(g, w->high, p->tube_top.low);
    sm_svg_rect(s, "f-wall", (sm_box){fmin(a.x, b.x), a.y, fabs(b.x - a.x), b.y - a.y});
    const sm_point l = at(g, w->low - 0.3, p->tube_top.median), r = at(g, w->high + 0.3, p->tube_top.median);
    sm_svg_line(s, "l-deep", l.x, l.y, r.x, r.y);
}

/* A short stroke to the inside with a name, which stands `lift` user units higher: the frame's top, the ring. */
static void draw_stroke(sm_svg *s, const plot_area *g, double radius, double height, double lift, const char *words)
{
    const sm_point a = at(g, radius, height), b = at(g, radius - 2, height);
    const sm_lettering l = sm_letters_at(sm_letters_mute, g->sign < 0 ? SM_START : SM_END);
    sm_svg_line(s, "l-mute", a.x, a.y, b.x, b.y);
    sm_svg_label(s, &l, b.x - 3 * g->sign, b.y + 4 - lift, 11, words);
}

/* 4. The wall */

/* The wall of the root goes through what was measured; between, it is a sketch. Above the lower edge of the ostium it
 * is open. */
#define OPENING 3.0

static void draw_wall(sm_svg *s, const plot_area *g, const sm_findings *f, const sm_portrait_side *p)
{
    const double ring = f->portrait->ring_radius.median, o = p->ostium_radius.median, h = p->ostium_height.median;
    const double above = fmin(h + OPENING, h + 0.6 * fmax(p->stj_height.median - h, 0.5));
    const double bulge = fmax(o + 1, ring + 3), stj = p->stj_radius.median, hs = p->stj_height.median;
    const sm_point lower[] = {at(g, ring + 2.4, g->low), at(g, ring + 2.6, 0), at(g, bulge, h * 0.45),
                              at(g, o + 0.4, h * 0.85), at(g, o, h)};
    const sm_point upper[] = {at(g, o, above), at(g, stj + 0.35 * (o - stj), above + 0.6 * (hs - above)),
                              at(g, stj, hs), at(g, stj, g->high)};
    sm_svg_curve(s, "l-firm", lower, 5);
    sm_svg_curve(s, "l-firm", upper, 4);
    const sm_point in1 = at(g, o, h), out1 = at(g, o + 1.6, h - 0.3), in2 = at(g, o, above),
                   out2 = at(g, o + 1.6, above - 0.3);
    sm_svg_line(s, "l-firm", in1.x, in1.y, out1.x, out1.y);
    sm_svg_line(s, "l-firm", in2.x, in2.y, out2.x, out2.y);
}

/* Of a sinus without a coronary the junction alone was measured. */
static void draw_closed_wall(sm_svg *s, const plot_area *g, const sm_findings *f, const sm_portrait_side *p)
{
    const double ring = f->portrait->ring_radius.median, stj = p->stj_radius.median, hs = p->stj_height.median;
    const double bulge = fmax(stj, ring + 3);
    const sm_point wall[] = {at(g, ring + 2.4, g->low),
                             at(g, ring + 2.6, 0),
                             at(g, bulge, hs * 0.4),
                             at(g, stj + 0.35 * (bulge - stj), hs * 0.8),
                             at(g, stj, hs),
                             at(g, stj, g->high)};
    sm_svg_curve(s, "l-firm", wall, 6);
}

/* 5. Rulers and names */

static void draw_plot_area(sm_svg *s, const plot_area *g)
{
    const sm_scale up = {g->low, g->high, g->zero - g->low * g->unit, g->zero - g->high * g->unit};
    for (double z = 5 * ceil(g->low / 5); z <= g->high; z += 5)
        sm_svg_line(s, "l-hair", LEFT_MARGIN, sm_scale_at(&up, z), s->width, sm_scale_at(&up, z));
    sm_svg_line(s, "l-post", g->axis, up.at_to, g->axis, up.at_from);
    sm_svg_ruler_up(s, &up, LEFT_MARGIN, 1, 5);
}

static void draw_names(sm_svg *s, const plot_area *g, const sm_findings *f, int k)
{
    char *side = sm_figure_side(f, k);
    const double y = g->zero - g->low * g->unit + 20;
    sm_svg_text(s, &(sm_lettering){"t-ink", 13, true, g->sign < 0 ? SM_START : SM_END},
                g->sign < 0 ? LEFT_MARGIN : s->width, y, side ? side : "");
    s->failed |= !side;
    free(side);
}

/* 6. The room */

/* A dimension line from the tube to the ostium; the adjusted clearance stands inside the tube, if there is room. */
static void draw_room(sm_svg *s, const plot_area *g, const sm_findings *f, int k)
{
    const sm_portrait_side *p = &f->portrait->side[k];
    const sm_continuous *c = &f->result.assessment->side[k].output[SM_OSTIUM_CLEARANCE];
    const double h = p->ostium_height.median, span = p->z[SM_PORTRAIT_HEIGHTS - 1] - p->z[0];
    const int last = SM_PORTRAIT_HEIGHTS - 1, j = (int)fmin(fmax((h - p->z[0]) / span * last + 0.5, 0), last);
    const sm_point a = at(g, p->wall[j].median, h), b = at(g, p->ostium_radius.median, h);
    sm_text words = {0};
    sm_svg_line(s, "l-firm", a.x, a.y, b.x, b.y);
    sm_svg_line(s, "l-firm", a.x, a.y - 5, a.x, a.y + 5);
    sm_svg_line(s, "l-firm", b.x, b.y - 5, b.x, b.y + 5);
    const sm_anchor inward = g->sign < 0 ? SM_START : SM_END;
    const sm_lettering strong = {"t-ink", 14, true, inward}, soft = {"t-mute", SM_SMALLEST, false, inward};
    const double x = at(g, p->wall[j].low, h).x - 5 * g->sign;
    sm_words_mm(&words, c->median);
    sm_text_puts(&words, " mm");
    sm_svg_label(s, &strong, x, a.y + 3, 13, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    sm_words_mm(&words, c->low95);
    sm_text_puts(&words, " to ");
    sm_words_mm(&words, c->high95);
    sm_svg_label(s, &soft, x, a.y + 17, 13, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* 7. The whole */

static void draw_side(sm_svg *s, const plot_area *g, const sm_findings *f, int k)
{
    const sm_portrait_side *p = &f->portrait->side[k];
    draw_band(s, g, p);
    draw_rim(s, g, p);
    if (has_ostium(f, k))
        soft_point(s, g, &p->ostium_radius, &p->ostium_height);
    soft_point(s, g, &p->stj_radius, &p->stj_height);
    if (has_ostium(f, k)) {
        draw_wall(s, g, f, p);
        draw_room(s, g, f, k);
    } else
        draw_closed_wall(s, g, f, p);
    draw_names(s, g, f, k);
}

/* Names of parts, once a picture, on its first side. */
static void draw_parts(sm_svg *s, const plot_area *g, const sm_findings *f, int k)
{
    const sm_portrait_side *p = &f->portrait->side[k];
    const double inner = p->wall[SM_PORTRAIT_HEIGHTS - 1].low;
    const double top = f->portrait->frame_top.median, rim = p->tube_top.median;
    const double lift =
        fmax(0, 14 - fabs(top - rim) * g->unit) / 2 * (top > rim ? 1 : -1); /* of either, apart from the other */
    draw_stroke(s, g, p->stj_radius.low - 0.2, p->stj_height.median, 0, "junction");
    draw_stroke(s, g, p->wall[0].low - 0.4, f->result.c->valve.ring_height_mm, 0, "ring");
    draw_stroke(s, g, inner - 0.4, rim, -lift, "rim of the tube");
    if (top < g->high)
        draw_stroke(s, g, inner - 0.4, top, lift, "top of the frame");
}

static void say(const sm_findings *f, sm_svg *s, int first, int last);

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    plot_area g = plot_area_of(f, s->width);
    const int first = 2 * i, last = 2 * i + 1 < f->portrait->n_sides ? 2 * i + 1 : 2 * i;
    s->height = g.zero - g.low * g.unit + 26;
    sm_svg_text(s, &sm_letters_mute, 0, 11, "mm above the base plane; soft shapes hold 95 of 100 roots");
    draw_plot_area(s, &g);
    for (int k = first; k <= last; k++) {
        g.sign = k == first ? -1 : 1;
        draw_side(s, &g, f, k);
    }
    g.sign = -1;
    draw_parts(s, &g, f, first);
    say(f, s, first, last);
}

/* 8. Words */

static void say(const sm_findings *f, sm_svg *s, int first, int last)
{
    sm_text_puts(&s->title, "The root in profile: room beside the ostium");
    for (int k = first; k <= last; k++) {
        const sm_portrait_side *p = &f->portrait->side[k];
        char *side = sm_figure_side(f, k);
        sm_text_addf(&s->title, "%s %s ", k == first ? "" : ",", side ? side : "");
        if (has_ostium(f, k)) {
            sm_words_mm(&s->title, f->result.assessment->side[k].output[SM_OSTIUM_CLEARANCE].median);
            sm_text_puts(&s->title, " mm");
        } else
            sm_text_puts(&s->title, "no coronary");
        sm_text_addf(&s->desc, "%s%s: the tube ends %.1f mm above the base plane (95 of 100 between %.1f and %.1f), ",
                     k == first ? "" : " ", side ? side : "", p->tube_top.median, p->tube_top.low, p->tube_top.high);
        if (has_ostium(f, k))
            sm_text_addf(&s->desc, "the ostium's lower edge lies at %.1f mm (%.1f to %.1f) and ",
                         p->ostium_height.median, p->ostium_height.low, p->ostium_height.high);
        sm_text_addf(&s->desc, "the sinotubular junction %s %.1f mm (%.1f to %.1f).",
                     has_ostium(f, k) ? "at" : "lies at", p->stj_height.median, p->stj_height.low, p->stj_height.high);
        s->failed |= !side;
        free(side);
    }
    sm_text_puts(&s->desc, " Soft shapes hold 95 of 100 roots. The wall between the measured points is a sketch.");
}

/* 9. Data */

static int count(const sm_findings *f)
{
    return f->portrait ? (f->portrait->n_sides + 1) / 2 : 0;
}

static void suffix(const sm_findings *f, int i, sm_text *out)
{
    if (count(f) > 1)
        sm_text_addf(out, "%d", i + 1);
}

static void row(sm_text *csv, const char *side, const char *part, const sm_range *radius, const sm_range *height)
{
    sm_text_addf(csv, "%s,%s", side, part);
    if (radius)
        sm_text_addf(csv, ",%.6g,%.6g,%.6g", radius->low, radius->median, radius->high);
    else
        sm_text_puts(csv, ",,,");
    sm_text_addf(csv, ",%.6g,%.6g,%.6g\n", height->low, height->median, height->high);
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    sm_text_puts(csv, "side,part,radius_low95_mm,radius_median_mm,radius_high95_mm,height_low95_mm,height_median_mm,"
                      "height_high95_mm\n");
    for (int k = 2 * i; k < f->portrait->n_sides && k < 2 * i + 2; k++) {
        const sm_portrait_side *p = &f->portrait->side[k];
        const char *side = f->result.c->coronary[k].name;
        for (int j = 0; j < SM_PORTRAIT_HEIGHTS; j++)
            row(csv, side, "wall of the tube", &p->wall[j], &(sm_range){p->z[j], p->z[j], p->z[j]});
        row(csv, side, "rim of the tube", &p->wall[SM_PORTRAIT_HEIGHTS - 1], &p->tube_top);
        if (has_ostium(f, k))
            row(csv, side, "ostium", &p->ostium_radius, &p->ostium_height);
        row(csv, side, "junction", &p->stj_radius, &p->stj_height);
        row(csv, side, "top of the leaflet", NULL, &p->leaflet_top);
    }
}

const sm_figure sm_fig_profile = {"profile", true, count, suffix, draw, data};
