/* sweep_html.c - a sweep as one page.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page/sweep_html.h"

#include "report/blocks/cautions.h"
#include "report/blocks/words.h"
#include "report/page/html.h"
#include "report/page/report_html.h"
#include "report/text/assess_text.h"
#include "report/text/assumption_text.h"
#include "report/text/sweep_text.h"

static void call(sm_blocks *b, const sm_findings *f)
{
    const sm_sweep_part p = {f->result.c, f->sweep, f->sweep_all};
    sm_sweep_answer(sm_block_words(b, SM_HEADLINE), &p);
    sm_assess_stopped(sm_block_words(b, SM_SAY), f->result.assessment);
    sm_text *lead = sm_block_words(b, SM_LEAD);
    sm_assess_headline_after(lead, "As it is", f->result.assessment);
    if (f->sweep)
        sm_sweep_error(lead, f->sweep);
    sm_block_say(b, SM_LEAD, sm_caution_short());
}

static void pictures(sm_blocks *b, const sm_findings *f)
{
    for (size_t i = 0; i < sm_sweep_figures_count; i++)
        if (sm_sweep_figures[i]->count(f) > 0) {
            sm_block_say(b, SM_TITLE,
                         f->sweep_all            ? "Each assumption alone over its range"
                         : f->sweep->n_axes == 2 ? "Two at once"
                                                 : "Along the range");
            sm_html_figure(b, sm_sweep_figures[i], f, 0,
                           "All points use the same draws. Intervals are Monte Carlo error only.");
        }
}

/* One point a row: the numbers behind the curve. */
static void table(sm_blocks *b, const sm_findings *f)
{
    static const sm_told_column column[] = {
        {.head = "value"}, {.head = "of 100 roots cross a limit"}, {.head = "95 % interval"}};
    const sm_sweep *s = f->sweep;
    if (!s || s->n_axes != 1)
        return;
    sm_block_say(b, SM_TITLE, "The numbers");
    sm_block_table(b, &(sm_told_table){.name = "numbers"}, column, 3);
    for (int i = 0; i < s->axis[0].steps; i++) {
        sm_sweep_value(sm_block_words(b, SM_ROW), s->point[i].x, 0, s->axis[0].knob.unit);
        sm_words_of_100(sm_block_words(b, SM_CELL), &s->point[i].p);
        sm_words_interval(sm_block_words(b, SM_CELL), &s->point[i].p);
    }
}

void sm_sweep_html(sm_text *out, const sm_findings *f)
{
    sm_blocks b = {0};
    call(&b, f);
    pictures(&b, f);
    table(&b, f);
    sm_caution_tell(&b);
    sm_report_origin(sm_block_words(&b, SM_ORIGIN), &f->result);
    sm_report_page(out, &f->result, ", what if", &b);
}
