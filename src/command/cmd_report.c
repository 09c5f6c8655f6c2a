/* cmd_report.c - slimmargin report CASE -o FILE.html: the report as one page.
 *
 * Contents: 1. help  2. running  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "api/whole.h"
#include "command/command.h"
#include "command/figures.h"
#include "command/session.h"

/* 1. Help */

const char sm_cmd_report_help[] = "Reads one case (- for standard input), does what assess, recheck and weigh do,\n"
                                  "and writes one page (-o FILE.html) that needs no other file and no network: the\n"
                                  "call, the room beside each ostium, the root to scale, what to measure again, the\n"
                                  "alternatives, and all that it rests on. It prints on A4. --figures DIR writes\n"
                                  "each picture as SVG with its numbers beside it as CSV.\n";

/* 2. Running */

static sm_status run(const sm_session *s, void *found)
{
    return sm_whole_run(s->planned, s->context, found);
}

static sm_assessment *assessment(void *found, int i)
{
    (void)i;
    return &((sm_whole *)found)->recheck.assessment;
}

/* 3. Writing */

static sm_findings told_of(const sm_session *s, const sm_whole *w)
{
    const sm_result r = sm_session_result(s, 0, &w->recheck.assessment);
    return sm_whole_findings(w, &r);
}

static void json(const sm_session *s, const void *found, sm_text *out)
{
    const sm_findings f = told_of(s, found);
    sm_whole_json(&f, out);
}

static void page(const sm_session *s, const void *found, sm_text *out)
{
    const sm_findings f = told_of(s, found);
    sm_report_html(out, &f);
}

static sm_status figures(const sm_session *s, const void *found, const char *folder)
{
    const sm_findings f = told_of(s, found);
    return sm_figures_stage(s->staging, folder, &f);
}

/* 4. The command */

sm_status sm_cmd_report(const sm_options *o)
{
    static const sm_session_steps steps = {
        .run = run, .assessment = assessment, .json = json, .page = page, .figures = figures};
    sm_whole found = {.complete = false};
    if (!o->html && !o->figures)
        return sm_terminal_complain("report: needs -o FILE.html or --figures DIR, or both\n", SM_USAGE);
    const sm_status s = sm_session_do(o, &steps, &found);
    sm_whole_destroy(&found);
    return s;
}
