/* fig_room.c - the room beside one ostium (or at the junction) as a shape on a millimetre ruler, with its limit.
 *
 * Contents: 1. which pictures  2. the scales  3. shapes  4. marks  5. words  6. data
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include <math.h>
#include <stdlib.h>

#include "report/blocks/words.h"

/* 1. Which pictures */

/* One picture: a side and a gap. */
typedef struct {
    int k;
    sm_gap_id gap;
} strip;

static bool is_shown(const sm_findings *f, strip t)
{
    if (!sm_gap_is_there(&f->result.c->coronary[t.k], t.gap))
        return false;
    return t.gap == SM_GAP_OSTIUM || f->result.assessment->side[t.k].crossing.sealed.probability >= SM_SHOWN;
}

/* The pictures before picture i are passed over; with i beyond the last, *n receives how many there are. */
static strip strip_at(const sm_findings *f, int i, int *n)
{
    int seen = 0;
    for (int k = 0; k < f->result.assessment->n_sides; k++)
        for (int g = 0; g < SM_GAPS; g++) {
            const strip t = {k, (sm_gap_id)g};
            if (!is_shown(f, t))
                continue;
            if (seen == i)
                return t;
            seen++;
        }
    if (n)
        *n = seen;
    return (strip){0};
}

static int count(const sm_findings *f)
{
    int n = 0;
    strip_at(f, -1, &n);
    return n;
}

static void suffix(const sm_findings *f, int i, sm_text *out)
{
    const strip t = strip_at(f, i, NULL);
    sm_text_addf(out, "%s%s", f->result.c->coronary[t.k].name, sm_gaps[t.gap].suffix);
}

/* What a strip shows. */
typedef struct {
    const sm_side_result *side;
    const sm_outline *all, *crossed, *drawn_circle;
    const sm_continuous *room, *conventional;
    const sm_probability *p;
    double limit;
    bool read;
    double reading;
    const sm_guard *guard;      /* NULL: none */
    const sm_look_result *look; /* the second look at this gap; NULL: none, then `other` is nothing */
    double other;               /* what it read */
    const char *modality;
} contents;

/* Whether some reading turns the call. No gap reads below 0: what lies there is no target. */
static bool turns(const contents *c)
{
    return c->guard && c->guard->kind == SM_GUARD_FOUND && c->guard->at.value > 0;
}

static const sm_look_result *look_at(const sm_assessment *a, strip t)
{
    for (int l = 0; l < a->n_looks; l++)
        if (a->look[l].side == t.k && a->look[l].at == (t.gap == SM_GAP_STJ ? SM_LOOKED_STJ_GAP : SM_LOOKED_OSTIUM_GAP))
            return &a->look[l];
    return NULL;
}

static contents contents_of(const sm_findings *f, strip t)
{
    const sm_side_result *s = &f->result.assessment->side[t.k];
    const sm_gap *gap = &sm_gaps[t.gap];
    const sm_quantity *q = &f->result.c->coronary[t.k].quantity[gap->quantity];
    const sm_look_result *look = look_at(f->result.assessment, t);
    return (contents){.side = s,
                      .all = &s->outline[gap->clearance],
                      .crossed = &s->crossed[t.gap],
                      .drawn_circle = &s->outline[gap->conventional],
                      .room = &s->output[gap->clearance],
                      .conventional = &s->output[gap->conventional],
                      .p = &s->crossing.crossed[t.gap],
                      .limit = sm_gap_limit(&f->result.c->limits, t.gap),
                      .read = q->is_read,
                      .reading = sm_quantity_estimate(q),
                      .guard = f->recheck && f->recheck->guard ? &f->recheck->guard[t.k][t.gap] : NULL,
                      .look = look,
                      .other = look ? sm_readings_mean(&q->cross_check.readings) : NAN,
                      .modality = look ? sm_words_modality(q->cross_check.modality) : NULL};
}

/* 2. The scales */

/* Three standard deviations to either side: beyond them a shape is thinner than a line. */
#define DRAWN_SD 3.2

static void widen(double ends[2], double x)
{
    if (isfinite(x)) {
        ends[0] = fmin(ends[0], x);
        ends[1] = fmax(ends[1], x);
    }
}

/* One millimetre scale for all strips, so that they can be compared. */
static sm_scale common_scale(const sm_findings *f, double left, double right)
{
    double ends[2] = {HUGE_VAL, -HUGE_VAL};
    const int n = count(f);
    for (int i = 0; i < n; i++) {
        const contents c = contents_of(f, strip_at(f, i, NULL));
        widen(ends, c.room->mean - DRAWN_SD * c.room->sd);
        widen(ends, c.room->mean + DRAWN_SD * c.room->sd);
        widen(ends, c.conventional->mean - DRAWN_SD * c.conventional->sd);
        widen(ends, c.conventional->mean + DRAWN_SD * c.conventional->sd);
        widen(ends, c.limit);
        widen(ends, c.read || c.look ? c.reading : NAN);
        widen(ends, c.look ? fmin(c.other, c.look->alone[0]) : NAN);
        widen(ends, c.look ? fmax(c.other, c.look->alone[1]) : NAN);
        widen(ends, turns(&c) ? c.guard->at.value : NAN);
    }
    return (sm_scale){floor(ends[0]), ceil(ends[1] + 1e-9), left, right};
}

/* The share per mm of the tallest of all shapes. */
static double tallest(const sm_findings *f)
{
    double most = 0;
    const int n = count(f);
    for (int i = 0; i < n; i++) {
        const contents c = contents_of(f, strip_at(f, i, NULL));
        for (int b = 0; b < SM_OUTLINE_BINS; b++) {
            most = fmax(most, c.all->share[b] / c.all->width);
            most = fmax(most, c.drawn_circle->share[b] / c.drawn_circle->width);
        }
    }
    return most > 0 ? most : 1;
}

/* 3. Shapes */

/* A strip's plot area: where its scale lies, and how tall one share per mm is. */
typedef struct {
    sm_scale mm;
    double base, unit;
} plot_area;

enum { MOST_POINTS = 2 * SM_OUTLINE_BINS + 4 };

/* The shape over [from, to] mm as points from left to right, closed down to the base; returns how many. */
static size_t shape(const plot_area *g, const sm_outline *o, double from, double to, sm_point *p)
{
    size_t n = 0;
    for (int b = 0; b < SM_OUTLINE_BINS; b++) {
        const double x = o->low + (b + 0.5) * o->width;
        if (x < from || x > to)
            continue;
        if (n == 0)
            p[n++] = (sm_point){sm_scale_at(&g->mm, fmax(from, x - o->width / 2)), g->base};
        p[n++] = (sm_point){sm_scale_at(&g->mm, x), g->base - o->share[b] / o->width * g->unit};
    }
    if (n > 0) {
        p[n] = (sm_point){p[n - 1].x, g->base};
        n++;
    }
    return n;
}

/* Up to the limit exactly: the shape's height there is between its two neighbours. */
static double height_at(const sm_outline *o, double x)
{
    double t = (x - o->low) / o->width - 0.5, b = floor(t);
    if (b < 0 || b + 1 >= SM_OUTLINE_BINS)
        return 0;
    return (o->share[(int)b] + (t - b) * (o->share[(int)b + 1] - o->share[(int)b])) / o->width;
}

/* The crossing part: below the limit, and where the tube reaches. It ends at the limit with the height of its last full
 * bin. */
static void draw_crossing(sm_svg *s, const plot_area *g, const contents *c)
{
    sm_point p[MOST_POINTS];
    const sm_outline *o = c->crossed;
    size_t n = shape(g, o, g->mm.from, c->limit - 0.5 * o->width, p);
    if (n < 3 || c->p->k == 0)
        return;
    const double x = sm_scale_at(&g->mm, c->limit);
    const double y = fmax(p[n - 2].y - (g->base - p[n - 2].y) * 0.02, g->base - height_at(c->all, c->limit) * g->unit);
    p[n - 1] = (sm_point){x, y};
    p[n++] = (sm_point){x, g->base};
    sm_svg_hatched(s, p, n);
}

static void draw_shapes(sm_svg *s, const plot_area *g, const contents *c)
{
    sm_point p[MOST_POINTS];
    size_t n = shape(g, c->all, g->mm.from, g->mm.to, p);
    sm_svg_path(s, "f-room", p, n, true);
    draw_crossing(s, g, c);
    n = shape(g, c->drawn_circle, g->mm.from, g->mm.to, p);
    if (n > 2)
        sm_svg_path(s, "l-dash", p + 1, n - 2, false);
}

/* 4. Marks */

#define LOOK_ROW 48.0 /* below the ruler */

static void draw_limit(sm_svg *s, const plot_area *g, const contents *c, double top)
{
    sm_text words = {0};
    const double x = sm_scale_at(&g->mm, c->limit);
    sm_svg_line(s, "l-firm", x, top, x, g->base + 8);
    sm_text_puts(&words, "limit ");
    sm_words_number(&words, c->limit);
    sm_svg_label(s, &(sm_lettering){"t-ink", 12, true, SM_END}, x - 5, top + 9, 14, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* The dashed curve is named where it stands. */
static void draw_circle_name(sm_svg *s, const plot_area *g, const contents *c, double top)
{
    const sm_lettering l = sm_letters_at(sm_letters_mute, s->width > 500 ? SM_START : SM_END);
    double x = sm_scale_at(&g->mm, c->conventional->mean + 1.1 * c->conventional->sd) + 6;
    sm_svg_label(s, &l, s->width > 500 ? x : s->width, top + 9, 14, "dashed: by the drawn circle");
}

static void draw_reading(sm_svg *s, const plot_area *g, const contents *c)
{
    sm_text words = {0};
    const double x = sm_scale_at(&g->mm, c->reading), y = g->base;
    sm_svg_path(s, "f-ink", (sm_point[]){{x - 5, y + 9}, {x + 5, y + 9}, {x, y + 1}}, 3, true);
    sm_text_puts(&words, !c->look ? "read " : c->read ? "CT reads " : "stated ");
    sm_words_mm(&words, c->reading);
    const double before = sm_svg_text_width(sm_text_string(&words), 12, true) - 6;
    const bool guarded = turns(c) && c->guard->at.value < c->reading;
    const bool away =
        guarded || (c->look && c->other < c->reading); /* from the mark of the look, or the turning point */
    const double least = guarded ? sm_scale_at(&g->mm, c->guard->at.value) + 14 : 0; /* where its words have ended */
    sm_svg_label(s, &sm_letters_strong, fmax(least, away ? x - 6 : x - before), y + 35, 15, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void draw_guard(sm_svg *s, const plot_area *g, const contents *c)
{
    sm_text words = {0};
    const double x = sm_scale_at(&g->mm, c->guard->at.value), y = g->base + 5;
    sm_svg_path(s, "o-ink", (sm_point[]){{x - 5, y}, {x, y - 5}, {x + 5, y}, {x, y + 5}}, 4, true);
    sm_text_puts(&words, c->look ? "by CT it turns at " : "turns at ");
    sm_words_mm_at_least(&words, c->guard->at.value);
    const bool before = c->guard->at.value < c->reading;
    const sm_lettering l = sm_letters_at(sm_letters_small, before ? SM_END : SM_START);
    sm_svg_label(s, &l, before ? x + 4 : x - 4, g->base + 35, 15, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

/* An open mark on the ruler beside the filled one of the first reading; in a row of its own beneath, between two ends,
 * where the look by itself puts the gap. */
static void draw_look(sm_svg *s, const plot_area *g, const contents *c)
{
    sm_text words = {0};
    const double x = sm_scale_at(&g->mm, c->other), low = sm_scale_at(&g->mm, c->look->alone[0]),
                 high = sm_scale_at(&g->mm, c->look->alone[1]), y = g->base, row = y + LOOK_ROW;
    sm_svg_path(s, "o-ink", (sm_point[]){{x - 5, y + 9}, {x + 5, y + 9}, {x, y + 1}}, 3, true);
    sm_svg_line(s, "l-ink", low, row, high, row);
    sm_svg_line(s, "l-ink", low, row - 4, low, row + 4);
    sm_svg_line(s, "l-ink", high, row - 4, high, row + 4);
    sm_svg_path(s, "o-ink", (sm_point[]){{x - 5, row + 4}, {x + 5, row + 4}, {x, row - 4}}, 3, true);
    sm_svg_take(s, (sm_box){low - 4, row - 5, high - low + 8, 10});
    sm_text_addf(&words, "%s ", c->modality);
    sm_words_mm(&words, c->other);
    const double wide = sm_svg_text_width(sm_text_string(&words), SM_SMALLEST, false);
    const bool after = high + 8 + wide < s->width;
    const sm_lettering l = sm_letters_at(sm_letters_small, after ? SM_START : SM_END);
    sm_svg_label(s, &l, after ? high + 8 : low - 8, row + 4, 15, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void draw_marks(sm_svg *s, const plot_area *g, const contents *c)
{
    if (c->look)
        draw_look(s, g, c);
    if (c->read || c->look)
        draw_reading(s, g, c);
    if (turns(c))
        draw_guard(s, g, c);
}

/* "left ostium", how many are crowded there. */
static void draw_head(const sm_findings *f, sm_svg *s, strip t, const contents *c, double x, double y, double width)
{
    sm_text words = {0};
    sm_words_side(&words, f->result.c->coronary[t.k].name);
    sm_text_addf(&words, " %s", sm_gaps[t.gap].place);
    y = sm_svg_paragraph(s, &sm_letters_name, x, y, width, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    sm_words_frequency(&words, c->p);
    y = sm_svg_paragraph(s, &sm_letters_cross, x, y - 1, width, sm_text_string(&words));
    sm_text_done(&words, &s->body);
    sm_text_addf(&words, "truly %s", sm_gaps[t.gap].crossed);
    sm_svg_paragraph(s, &sm_letters_mute, x, y - 2, width, sm_text_string(&words));
    sm_text_done(&words, &s->body);
}

static void say(const sm_findings *f, sm_svg *s, strip t, const contents *c);

static void draw(const sm_findings *f, int i, sm_svg *s)
{
    const strip t = strip_at(f, i, NULL);
    const contents c = contents_of(f, t);
    const bool wide = s->width > 500;
    const double left = wide ? 132 : 8, top = wide ? 6 : 58, rise = wide ? 40 : 62;
    plot_area g = {.mm = common_scale(f, left, s->width - 8), .base = top + 12 + rise};
    g.unit = rise / tallest(f);
    s->height = g.base + (c.look ? LOOK_ROW + 10 : 38);
    draw_head(f, s, t, &c, 0, wide ? top + 26 : 14, wide ? left - 8 : s->width);
    draw_shapes(s, &g, &c);
    sm_svg_ruler_across(s, &g.mm, g.base, 0.5, sm_scale_step(&g.mm, 34));
    draw_limit(s, &g, &c, top);
    draw_circle_name(s, &g, &c, top);
    draw_marks(s, &g, &c);
    say(f, s, t, &c);
}

/* 5. Words */

static void range(sm_text *out, const sm_continuous *c)
{
    sm_words_mm(out, c->median);
    sm_text_puts(out, " mm in the middle, 95 of 100 between ");
    sm_words_mm(out, c->low95);
    sm_text_puts(out, " and ");
    sm_words_mm(out, c->high95);
}

static void say_marks(sm_svg *s, const contents *c)
{
    if (c->read || c->look) {
        sm_text_puts(&s->desc, !c->look  ? ". The gap reads "
                               : c->read ? ". CT reads the gap as "
                                         : ". It is stated as ");
        sm_words_mm(&s->desc, c->reading);
        sm_text_puts(&s->desc, " mm");
    }
    if (c->look) {
        sm_text_addf(&s->desc, ", %s as ", c->modality);
        sm_words_mm(&s->desc, c->other);
        sm_text_puts(&s->desc, " mm, which by itself puts it between ");
        sm_words_mm(&s->desc, c->look->alone[0]);
        sm_text_puts(&s->desc, " and ");
        sm_words_mm(&s->desc, c->look->alone[1]);
        sm_text_puts(&s->desc, " mm in about 95 of 100");
    }
    if (turns(c)) {
        sm_text_puts(&s->desc, "; the call turns where it reads ");
        sm_words_mm_at_least(&s->desc, c->guard->at.value);
        sm_text_puts(&s->desc, " mm");
    }
    sm_text_puts(&s->desc, ".");
}

static void say(const sm_findings *f, sm_svg *s, strip t, const contents *c)
{
    const sm_gap *gap = &sm_gaps[t.gap];
    char *side = sm_figure_side(f, t.k);
    sm_text_addf(&s->title, "%s %s: ", side ? side : "", gap->place);
    sm_words_frequency(&s->title, c->p);
    sm_text_addf(&s->title, " are truly %s", gap->crossed);
    sm_text_addf(&s->desc, "Room %s: ", gap->where);
    range(&s->desc, c->room);
    sm_text_puts(&s->desc, "; by the drawn circle ");
    range(&s->desc, c->conventional);
    sm_text_puts(&s->desc, ". The limit is ");
    sm_words_number(&s->desc, c->limit);
    sm_text_puts(&s->desc, " mm; ");
    sm_words_of_100(&s->desc, c->p);
    sm_text_addf(&s->desc, " of 100 lie below it with the tube reaching the %s: that part is hatched", gap->reached);
    say_marks(s, c);
    s->failed |= !side;
    free(side);
}

/* 6. Data */

static void look_data(const contents *c, sm_text *csv)
{
    if (c->look)
        sm_text_addf(csv, ",%.9g,%.9g,%.9g", c->other, c->look->alone[0], c->look->alone[1]);
    sm_text_puts(csv, "\n");
}

static void data(const sm_findings *f, int i, sm_text *csv)
{
    const contents c = contents_of(f, strip_at(f, i, NULL));
    sm_text_addf(
        csv, "room_mm,share_per_mm,crossing_per_mm,circle_mm,circle_share_per_mm,limit_mm,reading_mm,must_read_mm%s\n",
        c.look ? ",look_mm,look_low_mm,look_high_mm" : "");
    for (int b = 0; b < SM_OUTLINE_BINS; b++) {
        sm_text_addf(csv, "%.9g,%.9g,%.9g,", c.all->low + (b + 0.5) * c.all->width, c.all->share[b] / c.all->width,
                     c.crossed->share[b] / c.crossed->width);
        sm_text_addf(csv, "%.9g,%.9g,%.9g,", c.drawn_circle->low + (b + 0.5) * c.drawn_circle->width,
                     c.drawn_circle->share[b] / c.drawn_circle->width, c.limit);
        if (c.read)
            sm_text_addf(csv, "%.9g", c.reading);
        sm_text_puts(csv, ",");
        if (turns(&c))
            sm_text_addf(csv, "%.9g", c.guard->at.value);
        look_data(&c, csv);
    }
}

const sm_figure sm_fig_room = {"room", false, count, suffix, draw, data};
