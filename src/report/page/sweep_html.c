/* sweep_html.c - a sweep as one page.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page/sweep_html.h"

#include "report/page/html.h"
#include "report/page/report_html.h"
#include "report/text/assumption_text.h"
#include "report/text/sweep_text.h"
#include "report/text/unusual_text.h"

void sm_sweep_html(sm_text *out, const sm_findings *f)
{
    const sm_sweep_part p = {f->result.c, f->sweep, f->sweep_all};
    sm_blocks b = {0};
    sm_unusual_tell(&b, &f->result);
    sm_sweep_tell_quiet(&b, &f->result, &p);
    sm_sweep_title(sm_block_words(&b, SM_TITLE), &p);
    for (size_t i = 0; i < sm_sweep_figures_count; i++)
        if (sm_sweep_figures[i]->count(f) > 0)
            sm_html_figure(&b, sm_sweep_figures[i], f, 0);
    if (f->sweep && f->sweep->n_axes == 1)
        sm_sweep_tell_points(&b, &p);
    sm_sweep_tell_draws(&b, f->result.assessment);
    sm_caution_tell(&b);
    sm_report_origin(sm_block_words(&b, SM_ORIGIN), &f->result);
    sm_report_page(out, &f->result, ", what if", &b);
}
