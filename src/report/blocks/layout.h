/* layout.h - plain text laid out in columns: widths, wrapping, rules, strips on a millimetre scale.
 *
 * Nothing here knows what it lays out. Every piece has a form in plain ASCII, and colour is never the only sign.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_BLOCKS_LAYOUT_H
#define SM_REPORT_BLOCKS_LAYOUT_H

#include "base/text.h"

/* How the reader sees text. `plain` is for screen readers: sentences, no drawing. */
typedef struct {
    size_t width; /* columns, at least 40 */
    bool utf8, colour, plain;
} sm_style;

/* Kinds of emphasis. Each is also said in words or by a sign. */
typedef enum { SM_PAINT_NONE, SM_PAINT_STRONG, SM_PAINT_MUTED, SM_PAINT_CROSSING, SM_PAINT_ROOM } sm_paint;

/* Adds s between the codes that turn the paint on and off; s alone if colour is off. */
void sm_layout_paint(sm_text *out, const sm_style *style, sm_paint paint, const char *s);

/* The columns that UTF-8 text takes: combining marks none, wide East Asian characters two. Bytes that are not UTF-8
 * count one each. */
size_t sm_layout_columns(const char *s);

/* A user's text made fit to be shown (base/shown.h); if UTF-8 is off, each character beyond ASCII becomes '?'. */
void sm_layout_safe(sm_text *out, const sm_style *style, const char *s);
/* The same of what `words` holds, in its place. */
void sm_layout_make_safe(sm_text *words, const sm_style *style);

/* s in `columns` columns, filled with spaces; longer text is kept whole. */
void sm_layout_left(sm_text *out, const char *s, size_t columns);
void sm_layout_right(sm_text *out, const char *s, size_t columns);

/* Words broken at spaces. The first line starts after `first` spaces, the others after `rest`; ends with a line end. A
 * word longer than the line stands alone. */
void sm_layout_wrap(sm_text *out, const sm_style *style, size_t first, size_t rest, const char *words);

/* The same of what `words` holds, and empties it. */
void sm_layout_words(sm_text *out, const sm_style *style, size_t first, size_t rest, sm_text *words);

/* Adds what `words` holds as one wrapped, painted paragraph, and empties it. */
void sm_layout_paragraph(sm_text *out, const sm_style *style, sm_paint paint, size_t indent, sm_text *words);

/* A title, and a line across the page if there is room. In plain style the title alone. */
void sm_layout_title(sm_text *out, const sm_style *style, const char *title);

/* A straight scale over `columns` columns. */
typedef struct {
    double from, to;
    size_t columns;
} sm_axis;

/* The axis over the whole numbers (halves if the span is short) just outside [low, high]; *step receives the
 * distance of its numbers, so that there are at most `numbers` of them. */
sm_axis sm_axis_create(double low, double high, size_t columns, int numbers, double *step);

/* The numbers of an axis, at the multiples of step, each centred over its column; no line end. They begin one column
 * before the axis, where a minus sign may stand. */
void sm_layout_scale(sm_text *out, const sm_axis *a, double step);

/* A spread as one line on an axis: from low to high, a mark at the middle, a bar at the limit. What crosses the limit
 * is drawn apart: what lies below it, or above it if crosses_above. hollow: the mark and line of a second, lesser
 * spread, of which nothing is drawn apart. */
typedef struct {
    double low, middle, high, limit;
    bool crosses_above, hollow;
} sm_strip;

void sm_layout_strip(sm_text *out, const sm_style *style, const sm_axis *a, const sm_strip *s);

/* A range of the share, drawn below it; words: "settings, 4 to 31". NULL: none. */
typedef struct {
    double low, high;
    const char *words;
} sm_ruler_range;

enum { SM_RULER_RANGES = 2 };

typedef struct {
    double share, line; /* line 0: none */
    sm_ruler_range range[SM_RULER_RANGES];
} sm_ruler;

/* One hundred roots as a ruler of 50 columns: the share that crosses filled, the line a notch above, ranges below. Each
 * row starts after `indent` spaces, at least 1. line_words stands beside the notch. */
void sm_layout_hundred(sm_text *out, const sm_style *style, size_t indent, const sm_ruler *r, const char *line_words);

#endif
