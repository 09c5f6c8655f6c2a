/* sweep_html.c - a sweep as one page.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page/sweep_html.h"

#include <inttypes.h>

#include "report/text/assess_text.h"
#include "report/blocks/cautions.h"
#include "report/page/html.h"
#include "report/page/report_html.h"
#include "report/text/sweep_text.h"
#include "report/blocks/words.h"

static sm_sweep_part part_of(const sm_findings *f)
{
    return (sm_sweep_part){f->result.c, f->sweep, f->sweep_all};
}

static void call(sm_text *out, const sm_findings *f)
{
    const sm_sweep_part p = part_of(f);
    sm_text words = {0};
    sm_text_puts(out, "<section class=\"call\">\n");
    sm_sweep_answer(&words, &p);
    sm_html_words(out, "h1", NULL, &words);
    if (!f->result.assessment->complete) {
        sm_assess_stopped(&words, f->result.assessment);
        sm_html_words(out, "p", NULL, &words);
    }
    sm_assess_headline_after(&words, "As it is", f->result.assessment);
    if (f->sweep)
        sm_sweep_error(&words, f->sweep);
    sm_text_addf(&words, " %s", sm_caution_short());
    sm_html_words(out, "p", "lead", &words);
    sm_html_section_end(out);
}

static void pictures(sm_text *out, const sm_findings *f)
{
    for (size_t i = 0; i < sm_sweep_figures_count; i++)
        if (sm_sweep_figures[i]->count(f) > 0) {
            sm_html_section(out, NULL, 2,
                            f->sweep_all            ? "Each assumption alone over its range"
                            : f->sweep->n_axes == 2 ? "Two at once"
                                                    : "Along the range");
            sm_html_figure(out, sm_sweep_figures[i], f, 0,
                           "All points use the same draws. Intervals are Monte Carlo error only.");
            sm_html_section_end(out);
        }
}

/* One point a row: the numbers behind the curve. */
static void table(sm_text *out, const sm_findings *f)
{
    static const char *const head[] = {"value", "of 100 roots cross a limit", "95 % interval"};
    const sm_sweep *s = f->sweep;
    if (!s || s->n_axes != 1)
        return;
    sm_html_section(out, NULL, 2, "The numbers");
    sm_html_table(out, "numbers", NULL, head, 3);
    for (int i = 0; i < s->axis[0].steps; i++) {
        sm_text cell[3] = {{0}};
        sm_sweep_value(&cell[0], s->point[i].x, 0, s->axis[0].knob.unit);
        sm_words_of_100(&cell[1], &s->point[i].p);
        sm_words_interval(&cell[2], &s->point[i].p);
        sm_text_puts(out, "<tr>");
        for (int j = 0; j < 3; j++) {
            sm_html_cell(out, j == 0, cell[j].s ? cell[j].s : "", NULL);
            sm_text_done(&cell[j], out);
        }
        sm_text_puts(out, "</tr>\n");
    }
    sm_html_table_end(out);
    sm_html_section_end(out);
}

static void cautions(sm_text *out, const sm_findings *f)
{
    const sm_assessment *a = f->result.assessment;
    sm_text words = {0};
    sm_html_section(out, "caution", 2, "Before you act on this");
    sm_html_element(out, "p", NULL, sm_cautions());
    sm_text_addf(&words, "slimmargin %s, ", sm_result_version());
    sm_words_count(&words, a->trials);
    sm_text_addf(&words, " trials, seed %" PRIu64 ". Case %s, SHA-256 %s.", a->seed, f->result.c->name,
                 f->result.case_sha256);
    sm_html_words(out, "p", "note sha", &words);
    sm_html_section_end(out);
}

void sm_sweep_html(sm_text *out, const sm_findings *f)
{
    sm_report_begin(out, &f->result, ", what if");
    call(out, f);
    pictures(out, f);
    table(out, f);
    cautions(out, f);
    sm_html_end(out);
}
