/* svg.h - a small floor for drawing: shapes, real text, rulers, labels that keep out of each other's way.
 *
 * A picture is drawn at a given width in user units (pixels at its natural size); its height is set when the drawing
 * knows it. Every picture has a title and a description in words. Shapes carry classes, sm_svg_css gives them their
 * look.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_FIGURES_SVG_H
#define SM_REPORT_FIGURES_SVG_H

#include "base/text.h"

typedef struct {
    double x, y, w, h;
} sm_box;

typedef struct {
    double x, y;
} sm_point;

/* Zero-initialise, then sm_svg_begin. */
typedef struct {
    const char *id; /* borrowed; begins every id within: unique on a page */
    double width, height;
    sm_text body, title, desc; /* title and desc in plain words, not escaped */
    sm_box *taken;             /* where text stands already */
    size_t n_taken, cap_taken;
    bool failed;
} sm_svg;

void sm_svg_begin(sm_svg *s, const char *id, double width);
/* The whole picture. standalone: a file of its own, with its styles; else a part of a page, to be styled by it. */
void sm_svg_write(const sm_svg *s, bool standalone, sm_text *out);
void sm_svg_destroy(sm_svg *s);

/* The looks of the classes, for a page or a file. */
extern const char sm_svg_css[];

/* Shapes. cls: names of classes. Points: joined by straight lines; NaN coordinates are left out. */
void sm_svg_line(sm_svg *s, const char *cls, double x1, double y1, double x2, double y2);
void sm_svg_rect(sm_svg *s, const char *cls, sm_box b);
void sm_svg_ellipse(sm_svg *s, const char *cls, double x, double y, double rx, double ry);
void sm_svg_path(sm_svg *s, const char *cls, const sm_point *p, size_t n, bool closed);
/* Many closed shapes as one, so that no seam shows between neighbours: begin, shapes, end. */
void sm_svg_begin_shapes(sm_svg *s, const char *cls);
void sm_svg_shape(sm_svg *s, const sm_point *p, size_t n);
void sm_svg_end_shapes(sm_svg *s);
/* A closed shape in the crossing colour with a hatch over it, so that it is not told by colour alone. */
void sm_svg_hatched(sm_svg *s, const sm_point *p, size_t n);
/* A smooth curve through the points. */
void sm_svg_curve(sm_svg *s, const char *cls, const sm_point *p, size_t n);

/* Text. size in user units. */
typedef enum { SM_START, SM_MIDDLE, SM_END } sm_anchor;

typedef struct {
    const char *cls;
    double size;
    bool bold;
    sm_anchor anchor;
} sm_lettering;

/* The width that text takes at most in an ordinary sans serif font. */
double sm_svg_text_width(const char *words, double size, bool bold);
/* As much of the words as stands in `width`, with an ellipsis if not all do. */
void sm_svg_fit(sm_text *out, const char *words, const sm_lettering *l, double width);
/* Text with its baseline at (x, y), wherever other text stands. */
void sm_svg_text(sm_svg *s, const sm_lettering *l, double x, double y, const char *words);
/* Text as near to (x, y) as it can stand free of all text before it and inside the picture: slid sideways, then row by
 * row down (step > 0) or up (step < 0), then the other way. If no place is free, it is left out: no text may hide
 * another. Returns where it came to stand. */
sm_box sm_svg_label(sm_svg *s, const sm_lettering *l, double x, double y, double step, const char *words);
/* Text at (x, y) if that place is free and inside the picture; false, and nothing drawn, if it is not. */
bool sm_svg_label_here(sm_svg *s, const sm_lettering *l, double x, double y, const char *words);
/* Words broken into lines of at most `width`; the first baseline at y. Returns the baseline after the last line. */
double sm_svg_paragraph(sm_svg *s, const sm_lettering *l, double x, double y, double width, const char *words);
/* Keeps later labels out of a box. */
void sm_svg_take(sm_svg *s, sm_box b);

/* A straight scale: value `from` at place `at_from`, `to` at `at_to`. */
typedef struct {
    double from, to, at_from, at_to;
} sm_scale;

double sm_scale_at(const sm_scale *a, double value);
/* The step among 1, 2, 5, 10, ... (or 0.5, 0.2 ...) that gives labels at least `least` apart. */
double sm_scale_step(const sm_scale *a, double least);

/* A ruler: a line with a tick every `minor`, taller ones with a number every `major`. Across: y is the line, ticks
 * downward. Up: x is the line, ticks and numbers to its left. */
void sm_svg_ruler_across(sm_svg *s, const sm_scale *a, double y, double minor, double major);
void sm_svg_ruler_up(sm_svg *s, const sm_scale *a, double x, double minor, double major);

#endif
