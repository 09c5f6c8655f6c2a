/* svg.c - a small floor for drawing.
 *
 * Contents: 1. the picture  2. looks  3. shapes  4. text and its width  5. labels  6. rulers
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/svg.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/shown.h"
#include "base/utf8.h"
#include "report/blocks/markup.h"

/* 1. The picture */

void sm_svg_begin(sm_svg *s, const char *id, double width)
{
    *s = (sm_svg){.id = id, .width = width};
}

/* At most two decimals, no trailing zeros. */
static void number(sm_text *out, double x)
{
    double hundredths = nearbyint(x * 100);
    if (fmod(hundredths, 100) == 0)
        sm_text_addf(out, "%.0f", hundredths / 100 + 0.0);
    else
        sm_text_addf(out, fmod(hundredths, 10) == 0 ? "%.1f" : "%.2f", hundredths / 100);
}

static void attribute(sm_text *out, const char *name, double x)
{
    sm_text_addf(out, " %s=\"", name);
    number(out, x);
    sm_text_puts(out, "\"");
}

static void write_words(sm_text *out, const sm_svg *s, const char *element, const sm_text *words)
{
    sm_text_addf(out, "<%s id=\"%s-%s\">", element, s->id, element);
    sm_markup_text(out, sm_text_string(words));
    sm_text_addf(out, "</%s>\n", element);
}

static void write_hatch(sm_text *out, const sm_svg *s)
{
    sm_text_addf(out,
                 "<defs><pattern id=\"%s-hatch\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" "
                 "patternTransform=\"rotate(45)\"><rect class=\"f-cross\" width=\"6\" height=\"6\"/>"
                 "<line class=\"l-hatch\" x1=\"3\" y1=\"0\" x2=\"3\" y2=\"6\"/></pattern></defs>\n",
                 s->id);
}

void sm_svg_write(const sm_svg *s, bool standalone, sm_text *out)
{
    if (standalone)
        sm_text_puts(out, "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    sm_text_addf(out, "<svg%s class=\"picture\" role=\"img\" aria-labelledby=\"%s-title %s-desc\"",
                 standalone ? " xmlns=\"http://www.w3.org/2000/svg\"" : "", s->id, s->id);
    sm_text_puts(out, " viewBox=\"0 0 ");
    number(out, s->width);
    sm_text_puts(out, " ");
    number(out, s->height);
    sm_text_puts(out, "\"");
    attribute(out, "width", s->width);
    attribute(out, "height", s->height);
    sm_text_puts(out, ">\n");
    write_words(out, s, "title", &s->title);
    write_words(out, s, "desc", &s->desc);
    if (standalone)
        sm_text_addf(out, "<style>%s</style>\n<rect class=\"f-page\" width=\"100%%\" height=\"100%%\"/>\n", sm_svg_css);
    if (s->body.s && strstr(s->body.s, "-hatch)"))
        write_hatch(out, s);
    sm_text_puts(out, sm_text_string(&s->body));
    sm_text_puts(out, "</svg>\n");
    out->failed |= s->failed || s->body.failed || s->title.failed || s->desc.failed;
}

void sm_svg_destroy(sm_svg *s)
{
    sm_text_destroy(&s->body);
    sm_text_destroy(&s->title);
    sm_text_destroy(&s->desc);
    free(s->taken);
    *s = (sm_svg){0};
}

/* 2. Looks */

/* f-: fills, l-: lines, t-: text. One accent; all else from one blue grey, told apart by lightness. */
const char sm_svg_css[] =
    ".picture{font-family:\"Segoe UI\",\"Helvetica Neue\",Arial,\"Liberation "
    "Sans\",system-ui,sans-serif;font-variant-numeric:tabular-nums}.picture path,.picture line,.picture "
    "ellipse,.picture "
    "rect{stroke-linejoin:round}.f-page{fill:#fff}.f-soft{fill:#dfe7ec}.f-pale{fill:#eff3f6}.f-room{fill:#8fb3cc}.f-"
    "deep{fill:#2f6690}.f-cross{fill:#b6431a}.f-ink{fill:#16242e}.f-shade{fill:#16242e;fill-opacity:.1}.f-wall{fill:#"
    "8fb3cc;fill-opacity:.55}.f-tone0{fill:#24506f}.f-tone1{fill:#47799c}.f-tone2{fill:#7ba3bf}.f-tone3{fill:#abc6d7}."
    "f-tone4{fill:#d4e1ea}.l-ink,.l-firm,.l-hair,.l-mute,.l-dash,.l-deep,.l-cross,.l-page,.l-post{fill:none}.l-ink{"
    "stroke:#"
    "16242e;stroke-width:1}.l-firm{stroke:#16242e;stroke-width:2}.l-hair{stroke:#c9d2d8;stroke-width:1}.l-mute{stroke:#"
    "5b6b76;stroke-width:1}.l-dash{stroke:#16242e;stroke-width:1.2;stroke-dasharray:4 "
    "3}.l-deep{stroke:#2f6690;stroke-width:2}.l-cross{stroke:#b6431a;stroke-width:2}.l-post{stroke:#5b6b76;stroke-"
    "width:1;stroke-dasharray:1 "
    "3}.l-hatch{stroke:#fff;stroke-width:1.6;stroke-opacity:.75}.o-ink{fill:#fff;stroke:#16242e;stroke-width:1.5}.o-"
    "hair{fill:#eff3f6;stroke:#c9d2d8;stroke-width:1}.l-page{stroke:#fff;stroke-width:5}.t-page{fill:#fff}.t-ink{fill:#"
    "16242e}.t-mute{fill:#5b6b76}.t-cross{fill:#b6431a}.t-"
    "deep{fill:#2f6690}.halo{paint-order:stroke;stroke:#fff;stroke-width:3px}.h-pale,.h-tone0,.h-tone1,.h-tone2,.h-"
    "tone3,.h-tone4{paint-order:stroke;stroke-width:4px}.h-pale{stroke:#eff3f6}.h-tone0{stroke:#24506f}.h-tone1{stroke:"
    "#47799c}.h-tone2{stroke:#7ba3bf}.h-tone3{stroke:#abc6d7}.h-tone4{stroke:#d4e1ea}.b{font-weight:700}";

/* 3. Shapes */

/* An element without content: its class and four numbers. */
static void element(sm_svg *s, const char *tag, const char *cls, const char *const name[4], const double value[4])
{
    sm_text_addf(&s->body, "<%s class=\"%s\"", tag, cls);
    for (int i = 0; i < 4; i++)
        attribute(&s->body, name[i], value[i]);
    sm_text_puts(&s->body, "/>\n");
}

void sm_svg_line(sm_svg *s, const char *cls, double x1, double y1, double x2, double y2)
{
    static const char *const names[] = {"x1", "y1", "x2", "y2"};
    element(s, "line", cls, names, (const double[]){x1, y1, x2, y2});
}

void sm_svg_rect(sm_svg *s, const char *cls, sm_box b)
{
    static const char *const names[] = {"x", "y", "width", "height"};
    if (b.w > 0 && b.h > 0)
        element(s, "rect", cls, names, (const double[]){b.x, b.y, b.w, b.h});
}

void sm_svg_ellipse(sm_svg *s, const char *cls, double x, double y, double rx, double ry)
{
    static const char *const names[] = {"cx", "cy", "rx", "ry"};
    element(s, "ellipse", cls, names, (const double[]){x, y, rx, ry});
}

static void place(sm_text *out, char command, double x, double y)
{
    sm_text_putn(out, &command, 1);
    number(out, x);
    sm_text_puts(out, " ");
    number(out, y);
}

static void outline(sm_text *out, const sm_point *p, size_t n, bool closed)
{
    bool begun = false;
    sm_text_puts(out, " d=\"");
    for (size_t i = 0; i < n; i++) {
        if (!isfinite(p[i].x) || !isfinite(p[i].y))
            continue;
        place(out, begun ? 'L' : 'M', p[i].x, p[i].y);
        begun = true;
    }
    sm_text_puts(out, closed && begun ? "Z\"/>\n" : "\"/>\n");
}

void sm_svg_path(sm_svg *s, const char *cls, const sm_point *p, size_t n, bool closed)
{
    sm_text_addf(&s->body, "<path class=\"%s\"", cls);
    outline(&s->body, p, n, closed);
}

void sm_svg_begin_shapes(sm_svg *s, const char *cls)
{
    sm_text_addf(&s->body, "<path class=\"%s\" d=\"", cls);
}

void sm_svg_shape(sm_svg *s, const sm_point *p, size_t n)
{
    for (size_t i = 0; i < n; i++)
        place(&s->body, i ? 'L' : 'M', p[i].x, p[i].y);
    sm_text_puts(&s->body, n ? "Z" : "");
}

void sm_svg_end_shapes(sm_svg *s)
{
    sm_text_puts(&s->body, "\"/>\n");
}

void sm_svg_hatched(sm_svg *s, const sm_point *p, size_t n)
{
    sm_text_addf(&s->body, "<path fill=\"url(#%s-hatch)\"", s->id);
    outline(&s->body, p, n, true);
}

/* Catmull and Rom's spline as cubic pieces; the ends are doubled. */
void sm_svg_curve(sm_svg *s, const char *cls, const sm_point *p, size_t n)
{
    sm_text_addf(&s->body, "<path class=\"%s\" d=\"", cls);
    place(&s->body, 'M', p[0].x, p[0].y);
    for (size_t i = 0; i + 1 < n; i++) {
        const sm_point a = p[i ? i - 1 : 0], b = p[i], c = p[i + 1], d = p[i + 2 < n ? i + 2 : n - 1];
        place(&s->body, 'C', b.x + (c.x - a.x) / 6, b.y + (c.y - a.y) / 6);
        place(&s->body, ' ', c.x - (d.x - b.x) / 6, c.y - (d.y - b.y) / 6);
        place(&s->body, ' ', c.x, c.y);
    }
    sm_text_puts(&s->body, "\"/>\n");
}

/* 4. Text and its width */

/* The fonts that a page may meet differ: these are the widths of the widest common one, in parts of the size. */
static double character_width(unsigned char c)
{
    if (strchr("il.,:;|!'jI", c))
        return 0.35;
    if (strchr(" ()[]/-ftr", c))
        return 0.42;
    if (strchr("mwMW%@+<>=", c))
        return 0.98;
    return c >= 'A' && c <= 'Z' ? 0.73 : 0.64;
}

double sm_svg_text_width(const char *words, double size, bool bold)
{
    double width = 0;
    for (size_t n; *words; words += n ? n : 1) {
        uint32_t c = 0;
        n = sm_utf8_decode(words, SM_UTF8_LONGEST, &c);
        width += n == 0                   ? 4 * character_width('x') /* markup has escapes: \xff, \u202e */
                 : sm_shown_is_hostile(c) ? 6 * character_width('u')
                 : c < 0x80               ? character_width((unsigned char)c)
                 : c >= 0x3000            ? 1
                                          : 0.7; /* from U+3000 on it may be a wide one */
    }
    return width * size * (bold ? 1.12 : 1);
}

static sm_box box_of(const sm_lettering *l, double x, double y, double width)
{
    double left = l->anchor == SM_START ? x : l->anchor == SM_MIDDLE ? x - width / 2 : x - width;
    return (sm_box){left, y - 0.95 * l->size, width, 1.25 * l->size};
}

void sm_svg_take(sm_svg *s, sm_box b)
{
    sm_box *more = sm_grow(s->taken, s->n_taken, &s->cap_taken, 64, sizeof *more);
    if (!more) {
        s->failed = true;
        return;
    }
    s->taken = more;
    s->taken[s->n_taken++] = b;
}

void sm_svg_text(sm_svg *s, const sm_lettering *l, double x, double y, const char *words)
{
    static const char *const anchors[] = {[SM_START] = "", [SM_MIDDLE] = "middle", [SM_END] = "end"};
    sm_text_addf(&s->body, "<text class=\"%s%s\"", l->cls, l->bold ? " b" : "");
    attribute(&s->body, "x", x);
    attribute(&s->body, "y", y);
    attribute(&s->body, "font-size", l->size);
    if (l->anchor != SM_START)
        sm_text_addf(&s->body, " text-anchor=\"%s\"", anchors[l->anchor]);
    sm_text_puts(&s->body, ">");
    sm_markup_text(&s->body, words);
    sm_text_puts(&s->body, "</text>\n");
    sm_svg_take(s, box_of(l, x, y, sm_svg_text_width(words, l->size, l->bold)));
}

void sm_svg_fit(sm_text *out, const char *words, const sm_lettering *l, double width)
{
    size_t n = strlen(words);
    const bool all = sm_svg_text_width(words, l->size, l->bold) <= width;
    while (!all && n > 0) {
        sm_text part = {0};
        n--;
        while (n > 0 && sm_utf8_continues(words[n]))
            n--;
        sm_text_putn(&part, words, n);
        const bool fits = sm_svg_text_width(sm_text_string(&part), l->size, l->bold) <= width - l->size;
        sm_text_done(&part, out);
        if (fits)
            break;
    }
    sm_text_putn(out, words, n);
    sm_text_puts(out, all ? "" : "\xe2\x80\xa6");
}

/* Bytes of the words that fit into width, broken at a space; at least one word. */
static size_t fitting(sm_svg *s, const char *words, const sm_lettering *l, double width)
{
    size_t fits = 0;
    sm_text part = {0};
    for (size_t n = strcspn(words, " ");; n += 1 + strcspn(words + n + 1, " ")) {
        sm_text_destroy(&part);
        sm_text_putn(&part, words, n);
        s->failed |= part.failed;
        if (fits > 0 && sm_svg_text_width(sm_text_string(&part), l->size, l->bold) > width)
            break;
        fits = n;
        if (!words[n])
            break;
    }
    sm_text_destroy(&part);
    return fits;
}

double sm_svg_paragraph(sm_svg *s, const sm_lettering *l, double x, double y, double width, const char *words)
{
    while (*words) {
        size_t n = fitting(s, words, l, width);
        char *line = sm_string_copyn(words, n);
        if (line)
            sm_svg_text(s, l, x, y, line);
        else
            s->failed = true;
        free(line);
        words += n + (words[n] == ' ');
        y += 1.3 * l->size;
    }
    return y;
}

/* 5. Labels */

static bool apart(sm_box a, sm_box b)
{
    return a.x + a.w <= b.x || b.x + b.w <= a.x || a.y + a.h <= b.y || b.y + b.h <= a.y;
}

static bool is_free(const sm_svg *s, sm_box b)
{
    if (b.x < 0 || b.x + b.w > s->width)
        return false;
    for (size_t i = 0; i < s->n_taken; i++)
        if (!apart(b, s->taken[i]))
            return false;
    return true;
}

/* How far to slide b sideways, at most `most`; false if no place is free. */
static bool slide(const sm_svg *s, sm_box b, double most, double *by)
{
    for (double d = 0; d <= most; d += 2)
        for (int sign = -1; sign <= 1; sign += 2) {
            sm_box moved = b;
            moved.x += sign * d;
            if (is_free(s, moved)) {
                *by = sign * d;
                return true;
            }
        }
    return false;
}

/* The row at which words of that width are free near (x, y), and how far they slide there; false if there is none.
 */
static bool find_row(const sm_svg *s, const sm_lettering *l, double x, double *y, double step, double width, double *by)
{
    enum { ROWS = 5 };
    for (int row = 0; row < 2 * ROWS; row++) {
        const double at = *y + (row < ROWS ? row : ROWS - 1 - row) * step;
        sm_box b = box_of(l, x, at, width);
        double outside = fmax(fmax(0, -b.x), b.x + b.w - s->width); /* sliding in from beyond the edge costs nothing */
        if (b.y >= 0 && slide(s, b, outside + fmax(0.75 * width, 40), by)) {
            *y = at;
            return true;
        }
    }
    return false;
}

sm_box sm_svg_label(sm_svg *s, const sm_lettering *l, double x, double y, double step, const char *words)
{
    const double width = sm_svg_text_width(words, l->size, l->bold);
    double by = 0;
    if (!find_row(s, l, x, &y, step, width, &by))
        return (sm_box){x, y, 0, 0};
    sm_svg_text(s, l, x + by, y, words);
    return box_of(l, x + by, y, width);
}

bool sm_svg_label_here(sm_svg *s, const sm_lettering *l, double x, double y, const char *words)
{
    const bool here = is_free(s, box_of(l, x, y, sm_svg_text_width(words, l->size, l->bold)));
    if (here)
        sm_svg_text(s, l, x, y, words);
    return here;
}

/* 6. Rulers */

double sm_scale_at(const sm_scale *a, double value)
{
    return a->at_from + (value - a->from) / (a->to - a->from) * (a->at_to - a->at_from);
}

double sm_scale_step(const sm_scale *a, double least)
{
    static const double in_ten[] = {1, 2, 5};
    const double wanted = least * fabs((a->to - a->from) / (a->at_to - a->at_from));
    double power = pow(10, floor(log10(wanted)));
    for (int i = 0; i < 3; i++)
        if (in_ten[i] * power >= wanted * (1 - 1e-9))
            return in_ten[i] * power;
    return 10 * power;
}

static bool is_multiple(double x, double step)
{
    return fabs(x / step - nearbyint(x / step)) < 1e-6;
}

static const sm_lettering ruler_numbers = {.cls = "t-mute", .size = 11, .anchor = SM_MIDDLE};

void sm_svg_ruler_across(sm_svg *s, const sm_scale *a, double y, double minor, double major)
{
    sm_svg_line(s, "l-ink", a->at_from, y, a->at_to, y);
    for (double v = minor * ceil(a->from / minor - 1e-9); v <= a->to + 1e-9; v += minor) {
        const bool tall = is_multiple(v, major);
        const double x = sm_scale_at(a, v);
        sm_text words = {0};
        sm_svg_line(s, tall ? "l-ink" : "l-mute", x, y, x, y + (tall ? 7 : 4));
        sm_text_addf(&words, "%g", nearbyint(v * 1e6) / 1e6 + 0.0);
        if (tall && words.s)
            sm_svg_text(s, &ruler_numbers, x, y + 19, words.s);
        sm_text_done(&words, &s->body);
    }
}

void sm_svg_ruler_up(sm_svg *s, const sm_scale *a, double x, double minor, double major)
{
    sm_lettering l = ruler_numbers;
    l.anchor = SM_END;
    sm_svg_line(s, "l-ink", x, a->at_from, x, a->at_to);
    for (double v = minor * ceil(a->from / minor - 1e-9); v <= a->to + 1e-9; v += minor) {
        const bool tall = is_multiple(v, major);
        const double y = sm_scale_at(a, v);
        sm_text words = {0};
        sm_svg_line(s, tall ? "l-ink" : "l-mute", x - (tall ? 7 : 4), y, x, y);
        sm_text_addf(&words, "%g", nearbyint(v * 1e6) / 1e6 + 0.0);
        if (tall && words.s)
            sm_svg_text(s, &l, x - 9, y + 4, words.s);
        sm_text_done(&words, &s->body);
    }
}
