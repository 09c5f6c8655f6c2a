/* figure.c - what all figures share.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/figures/figure.h"

#include "report/blocks/words.h"

const sm_figure *const sm_figures[] = {&sm_fig_ruler,   &sm_fig_room,         &sm_fig_profile, &sm_fig_unrolled,
                                       &sm_fig_recheck, &sm_fig_alternatives, &sm_fig_series};
const size_t sm_figures_count = sizeof sm_figures / sizeof *sm_figures;

const sm_figure *const sm_sweep_figures[] = {&sm_fig_sweep, &sm_fig_contour, &sm_fig_sweep_all};
const size_t sm_sweep_figures_count = sizeof sm_sweep_figures / sizeof *sm_sweep_figures;

const sm_lettering sm_letters_small = {.cls = "t-ink", .size = SM_SMALLEST, .anchor = SM_START};
const sm_lettering sm_letters_mute = {.cls = "t-mute", .size = SM_SMALLEST, .anchor = SM_START};
const sm_lettering sm_letters_strong = {.cls = "t-ink", .size = 12, .bold = true, .anchor = SM_START};
const sm_lettering sm_letters_name = {.cls = "t-ink", .size = 15, .bold = true, .anchor = SM_START};
const sm_lettering sm_letters_cross = {.cls = "t-cross", .size = 13, .bold = true, .anchor = SM_START};

sm_lettering sm_letters_at(sm_lettering l, sm_anchor anchor)
{
    l.anchor = anchor;
    return l;
}

void sm_figure_name(const sm_figure *g, const sm_findings *f, int i, sm_text *out)
{
    sm_text suffix = {0};
    sm_text_puts(out, g->name);
    if (g->suffix)
        g->suffix(f, i, &suffix);
    if (suffix.len > 0)
        sm_text_addf(out, "-%s", suffix.s);
    sm_text_done(&suffix, out);
}

void sm_figure_write(const sm_figure *g, const sm_findings *f, int i, const char *id, double width, bool standalone,
                     sm_text *out)
{
    sm_svg svg;
    sm_svg_begin(&svg, id, width);
    g->draw(f, i, &svg);
    sm_svg_write(&svg, standalone, out);
    sm_svg_destroy(&svg);
}

double sm_figure_width(const sm_figure *g)
{
    return g->half ? SM_HALF_WIDTH : SM_PAGE_WIDTH;
}

char *sm_figure_side(const sm_findings *f, int k)
{
    sm_text name = {0};
    sm_words_side(&name, f->result.c->coronary[k].name);
    return sm_text_take(&name);
}
