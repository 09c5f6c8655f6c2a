/* layout.c - plain text laid out in columns.
 *
 * Contents: 1. characters and their widths  2. paint  3. cells  4. wrapping and titles  5. axes and strips
 *           6. the ruler of one hundred
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/layout.h"

#include <math.h>
#include <string.h>

#include "base/shown.h"
#include "base/utf8.h"

/* 1. Characters and their widths */

/* The character at s and the bytes it takes; a byte that starts no character is taken alone. */
static uint32_t character(const char *s, size_t *bytes)
{
    uint32_t c = (unsigned char)*s;
    const size_t n = sm_utf8_decode(s, SM_UTF8_LONGEST, &c);
    *bytes = n ? n : 1;
    return c;
}

static bool within(uint32_t c, const uint32_t (*range)[2], size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (c >= range[i][0] && c <= range[i][1])
            return true;
    return false;
}

static size_t character_columns(uint32_t c)
{
    static const uint32_t none[][2] = {{0x0300, 0x036f}, {0x1ab0, 0x1aff}, {0x1dc0, 0x1dff}, {0x200b, 0x200f},
                                       {0x20d0, 0x20ff}, {0xfe00, 0xfe0f}, {0xfe20, 0xfe2f}, {0xfeff, 0xfeff}};
    static const uint32_t wide[][2] = {{0x1100, 0x115f}, {0x2e80, 0xa4cf}, {0xac00, 0xd7a3},   {0xf900, 0xfaff},
                                       {0xfe30, 0xfe6f}, {0xff00, 0xff60}, {0x1f300, 0x1f9ff}, {0x20000, 0x3fffd}};
    if (within(c, none, sizeof none / sizeof *none))
        return 0;
    return within(c, wide, sizeof wide / sizeof *wide) ? 2 : 1;
}

/* The bytes of a code that paints, 0 if there is none at s. */
static size_t paint_code(const char *s)
{
    return s[0] == '\033' && s[1] == '[' ? strcspn(s, "m") + 1 : 0;
}

size_t sm_layout_columns(const char *s)
{
    size_t columns = 0, bytes;
    while (*s) {
        size_t code = paint_code(s);
        if (code == 0)
            columns += character_columns(character(s, &bytes));
        s += code ? code : bytes;
    }
    return columns;
}

void sm_layout_safe(sm_text *out, const sm_style *style, const char *s)
{
    for (size_t bytes; *s; s += bytes)
        if (sm_shown_escape(out, s, &bytes))
            continue;
        else if (bytes > 1 && !style->utf8)
            sm_text_puts(out, "?");
        else
            sm_text_putn(out, s, bytes);
}

void sm_layout_make_safe(sm_text *words, const sm_style *style)
{
    sm_text safe = {0};
    sm_layout_safe(&safe, style, sm_text_string(words));
    sm_text_done(words, &safe);
    *words = safe;
}

/* 2. Paint */

void sm_layout_paint(sm_text *out, const sm_style *style, sm_paint paint, const char *s)
{
    static const char *const code[] = {[SM_PAINT_NONE] = "",
                                       [SM_PAINT_STRONG] = "\033[1m",
                                       [SM_PAINT_MUTED] = "\033[2m",
                                       [SM_PAINT_CROSSING] = "\033[38;5;166m",
                                       [SM_PAINT_ROOM] = "\033[38;5;67m"};
    const bool on = style->colour && paint != SM_PAINT_NONE;
    if (on)
        sm_text_puts(out, code[paint]);
    sm_text_puts(out, s);
    if (on)
        sm_text_puts(out, "\033[0m");
}

/* 3. Cells */

static void fill_to(sm_text *out, const char *s, size_t columns)
{
    size_t taken = sm_layout_columns(s);
    if (taken < columns)
        sm_text_fill(out, ' ', columns - taken);
}

void sm_layout_left(sm_text *out, const char *s, size_t columns)
{
    sm_text_puts(out, s);
    fill_to(out, s, columns);
}

void sm_layout_right(sm_text *out, const char *s, size_t columns)
{
    fill_to(out, s, columns);
    sm_text_puts(out, s);
}

/* 4. Wrapping and titles */

/* The columns of the first n bytes of s. */
static size_t word_columns(const char *s, size_t n)
{
    size_t columns = 0, bytes = 0;
    for (size_t i = 0; i < n; i += bytes) {
        size_t code = paint_code(s + i);
        if (code == 0)
            columns += character_columns(character(s + i, &bytes));
        else
            bytes = code;
    }
    return columns;
}

void sm_layout_wrap(sm_text *out, const sm_style *style, size_t first, size_t rest, const char *words)
{
    size_t column = first;
    bool empty = true;
    sm_text_fill(out, ' ', first);
    for (words += strspn(words, " "); *words; words += strspn(words, " ")) {
        size_t n = strcspn(words, " "), columns = word_columns(words, n);
        if (!empty && column + 1 + columns > style->width) {
            sm_text_puts(out, "\n");
            sm_text_fill(out, ' ', rest);
            column = rest;
            empty = true;
        }
        if (!empty)
            sm_text_puts(out, " ");
        sm_text_putn(out, words, n);
        column += columns + !empty;
        empty = false;
        words += n;
    }
    sm_text_puts(out, "\n");
}

/* Adds what a text holds as one wrapped paragraph and empties it. */
void sm_layout_words(sm_text *out, const sm_style *style, size_t first, size_t rest, sm_text *words)
{
    sm_layout_wrap(out, style, first, rest, sm_text_string(words));
    sm_text_done(words, out);
}

void sm_layout_paragraph(sm_text *out, const sm_style *style, sm_paint paint, size_t indent, sm_text *words)
{
    sm_text wrapped = {0};
    sm_layout_wrap(&wrapped, style, indent, indent, sm_text_string(words));
    if (wrapped.len > 0)
        wrapped.s[wrapped.len - 1] = '\0'; /* the line end stays outside the paint */
    sm_layout_paint(out, style, paint, sm_text_string(&wrapped));
    sm_text_puts(out, "\n");
    sm_text_done(&wrapped, out);
    sm_text_done(words, out);
}

void sm_layout_title(sm_text *out, const sm_style *style, const char *title)
{
    sm_text_puts(out, "\n");
    if (style->plain || sm_layout_columns(title) + 1 > style->width) { /* no room for a line */
        sm_text words = {0};
        sm_text_puts(&words, title);
        sm_layout_paragraph(out, style, SM_PAINT_STRONG, 0, &words);
        return;
    }
    sm_layout_paint(out, style, SM_PAINT_STRONG, title);
    sm_text_puts(out, " ");
    sm_text line = {0};
    for (size_t i = sm_layout_columns(title) + 1; i < style->width; i++)
        sm_text_puts(&line, style->utf8 ? "─" : "-");
    sm_layout_paint(out, style, SM_PAINT_MUTED, sm_text_string(&line));
    sm_text_done(&line, out);
    sm_text_puts(out, "\n");
}

/* 5. Axes and strips */

/* The smallest of 0.5, 1, 2, 5, 10, ... of which at most `numbers` fit in the span. */
static double step_for(double span, int numbers)
{
    static const double factor[] = {1, 2, 5};
    if (span <= 0.5 * (numbers - 1))
        return 0.5;
    for (int i = 0; i < 60; i++) {
        double step = factor[i % 3] * pow(10, i / 3);
        if (span <= step * (numbers - 1))
            return step;
    }
    return span;
}

sm_axis sm_axis_create(double low, double high, size_t columns, int numbers, double *step)
{
    if (!(high > low) || !isfinite(low) || !isfinite(high)) {
        low = isfinite(low) ? low : 0;
        high = low + 1;
    }
    const double unit = high - low < 4 ? 0.5 : 1;
    const sm_axis a = {floor(low / unit) * unit, ceil(high / unit) * unit, columns};
    *step = step_for(a.to - a.from, numbers);
    return a;
}

static size_t axis_column(const sm_axis *a, double x)
{
    double place = (x - a->from) / (a->to - a->from) * (double)(a->columns - 1);
    if (!(place > 0))
        return 0;
    return place < (double)(a->columns - 1) ? (size_t)(place + 0.5) : a->columns - 1;
}

void sm_layout_scale(sm_text *out, const sm_axis *a, double step)
{
    size_t column = 0;
    for (double i = ceil(a->from / step - 1e-9); i * step <= a->to + 1e-9 * step; i++) {
        sm_text number = {0};
        sm_text_addf(&number, "%g", i * step + 0.0);
        if (number.failed) {
            sm_text_done(&number, out);
            return;
        }
        /* A minus sign does not count: the digits stand over their column. */
        size_t at = 1 + axis_column(a, i * step),
               before = (number.len - (number.s[0] == '-')) / 2 + (number.s[0] == '-');
        size_t start = at > before ? at - before : 0;
        if (column == 0 || start > column) {
            sm_text_fill(out, ' ', start - column);
            sm_text_puts(out, number.s);
            column = start + number.len;
        }
        sm_text_destroy(&number);
    }
}

typedef struct {
    const char *crossing, *room, *hollow, *middle, *hollow_middle, *limit;
} strip_signs;

static const strip_signs strip_utf8 = {"▒", "━", "─", "●", "○", "│"}, strip_ascii = {"/", "=", "-", "O", "o", "|"};

void sm_layout_strip(sm_text *out, const sm_style *style, const sm_axis *a, const sm_strip *s)
{
    const strip_signs *signs = style->utf8 ? &strip_utf8 : &strip_ascii;
    const size_t low = axis_column(a, s->low), high = axis_column(a, s->high);
    const size_t middle = axis_column(a, s->middle), limit = axis_column(a, s->limit);
    const bool has_limit = s->limit >= a->from && s->limit <= a->to;
    for (size_t i = 0; i < a->columns; i++) {
        const double x = a->from + (a->to - a->from) * (double)i / (double)(a->columns - 1);
        const bool crosses = s->crosses_above ? x >= s->limit : x < s->limit;
        if (i == middle)
            sm_layout_paint(out, style, SM_PAINT_STRONG, s->hollow ? signs->hollow_middle : signs->middle);
        else if (has_limit && i == limit)
            sm_text_puts(out, signs->limit);
        else if (i < low || i > high)
            sm_text_puts(out, " ");
        else if (s->hollow)
            sm_layout_paint(out, style, SM_PAINT_MUTED, signs->hollow);
        else
            sm_layout_paint(out, style, crosses ? SM_PAINT_CROSSING : SM_PAINT_ROOM,
                            crosses ? signs->crossing : signs->room);
    }
}

/* 6. The ruler of one hundred */

enum { RULER = 50, TEN = 5 };

static void ruler_notch(sm_text *out, const sm_style *style, size_t indent, double line, const char *words)
{
    size_t at = (size_t)(line * RULER + 0.5), columns = sm_layout_columns(words);
    const char *sign = style->utf8 ? "▼" : "v";
    bool left = at + 2 + columns > style->width - indent;
    sm_text_fill(out, ' ', indent + (left ? at - columns - 1 : at));
    if (left)
        sm_text_addf(out, "%s %s\n", words, sign);
    else
        sm_text_addf(out, "%s %s\n", sign, words);
}

static void ruler_bar(sm_text *out, const sm_style *style, double share)
{
    const size_t halves = (size_t)(share * 2 * RULER + 0.5);
    sm_text filled = {0}, open = {0};
    for (size_t i = 0; i < halves / 2; i++)
        sm_text_puts(&filled, style->utf8 ? "█" : "#");
    if (halves % 2)
        sm_text_puts(&filled, style->utf8 ? "▌" : "#");
    else if (halves == 0 && share > 0)
        sm_text_puts(&filled, style->utf8 ? "▏" : "'");
    for (size_t i = sm_layout_columns(sm_text_string(&filled)); i < RULER; i++)
        sm_text_puts(&open, style->utf8 ? "·" : ".");
    sm_layout_paint(out, style, SM_PAINT_CROSSING, sm_text_string(&filled));
    sm_layout_paint(out, style, SM_PAINT_MUTED, sm_text_string(&open));
    sm_text_done(&filled, out);
    sm_text_done(&open, out);
}

/* From the column of one end to that of the other, its words behind the ruler. */
static void ruler_range(sm_text *out, const sm_style *style, size_t indent, const sm_ruler_range *range)
{
    const size_t from = (size_t)(range->low * RULER + 0.5), to = (size_t)(range->high * RULER + 0.5);
    sm_text drawn = {0};
    sm_text_fill(out, ' ', indent + from);
    for (size_t i = from; i <= to; i++)
        sm_text_puts(&drawn, from == to  ? "|"
                             : i == from ? (style->utf8 ? "├" : "|")
                             : i == to   ? (style->utf8 ? "┤" : "|")
                                         : (style->utf8 ? "─" : "-"));
    sm_layout_paint(out, style, SM_PAINT_MUTED, sm_text_string(&drawn));
    sm_text_fill(out, ' ', RULER + 2 - to);
    sm_text_addf(out, "%s\n", range->words);
    sm_text_done(&drawn, out);
}

void sm_layout_hundred(sm_text *out, const sm_style *style, size_t indent, const sm_ruler *r, const char *line_words)
{
    if (r->line > 0)
        ruler_notch(out, style, indent, r->line, line_words);
    sm_text_fill(out, ' ', indent);
    ruler_bar(out, style, r->share);
    sm_text_puts(out, "\n");
    for (int i = 0; i < SM_RULER_RANGES; i++)
        if (r->range[i].words)
            ruler_range(out, style, indent, &r->range[i]);
    sm_text_fill(out, ' ', indent);
    for (size_t i = 0; i <= RULER; i++)
        sm_text_puts(out, i % TEN == 0 ? (style->utf8 ? "╵" : "'") : " ");
    sm_text_puts(out, "\n");
    sm_text_fill(out, ' ', indent - 1);
    sm_layout_scale(out, &(sm_axis){0, 100, RULER + 1}, 10);
    sm_text_puts(out, "  of 100 roots\n");
}
