/* figure.h - what a figure is: drawn from the findings of a case at any width, with its data as a table beside it.
 *
 * One file a figure. A figure may have several pictures (one a coronary); each flows on its own.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_FIGURES_FIGURE_H
#define SM_REPORT_FIGURES_FIGURE_H

#include "engine/portrait.h"
#include "decision/recheck.h"
#include "decision/published.h"
#include "decision/weigh.h"
#include "report/json/result_json.h"
#include "whatif/sweep.h"
#include "report/figures/svg.h"

/* All that was found for one case. Borrowed; what was not computed is NULL. result.assessment must be there. */
typedef struct {
    sm_result result;
    const sm_recheck *recheck;
    const sm_portrait *portrait;
    const sm_weigh *weigh;
    const sm_published *context;
    const sm_series_drawn *series;
    const sm_sweep *sweep; /* of one knob or two; with one, sweep_ends too */
    const sm_sweep_ends *sweep_ends;
    const sm_sweep_all *sweep_all;
} sm_findings;

typedef struct {
    const char *name; /* begins the names of its files */
    bool half;        /* drawn at half the width of a page */
    /* How many pictures these findings give; may be 0. */
    int (*count)(const sm_findings *f);
    /* What tells picture i from the others: "left"; NULL if there is but one. */
    void (*suffix)(const sm_findings *f, int i, sm_text *out);
    /* Draws picture i into s, which has its width; sets its height, title and description. */
    void (*draw)(const sm_findings *f, int i, sm_svg *s);
    /* The numbers behind picture i as CSV with a header line. */
    void (*data)(const sm_findings *f, int i, sm_text *csv);
} sm_figure;

extern const sm_figure sm_fig_ruler, sm_fig_room, sm_fig_profile, sm_fig_unrolled, sm_fig_recheck, sm_fig_alternatives,
    sm_fig_series, sm_fig_sweep, sm_fig_contour, sm_fig_sweep_all;

/* Every figure, in the order of the page. */
extern const sm_figure *const sm_figures[];
extern const size_t sm_figures_count;
/* Those of a sweep; each has a picture where the findings hold what it draws. */
extern const sm_figure *const sm_sweep_figures[];
extern const size_t sm_sweep_figures_count;

/* "room-left": the name of picture i, for files. */
void sm_figure_name(const sm_figure *g, const sm_findings *f, int i, sm_text *out);

/* The picture as SVG at this width, after what out holds; its marks are named by `id`. standalone: as a file. */
void sm_figure_write(const sm_figure *g, const sm_findings *f, int i, const char *id, double width, bool standalone,
                     sm_text *out);
/* The width at which it is drawn unless asked otherwise: that of a page, or half of it. */
double sm_figure_width(const sm_figure *g);

/* Widths in user units: a page, half a page (and the whole of a narrow screen). */
#define SM_PAGE_WIDTH 760.0
#define SM_HALF_WIDTH 368.0

/* Letterings that all figures share. No text is smaller than SM_SMALLEST: printed on A4 that is 7.5 points. */
#define SM_SMALLEST 11.0
extern const sm_lettering sm_letters_small, sm_letters_mute, sm_letters_strong, sm_letters_name, sm_letters_cross;

/* A lettering with another anchor. */
sm_lettering sm_letters_at(sm_lettering l, sm_anchor anchor);

/* A sealed sinus is shown where at least this many roots have it. */
#define SM_SHOWN 0.005

/* Side k's name, as text shows it. On the heap; NULL without memory. */
char *sm_figure_side(const sm_findings *f, int k);

#endif
