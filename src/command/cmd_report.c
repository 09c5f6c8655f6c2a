/* cmd_report.c - slimmargin report CASE -o FILE.html: the report as one page.
 *
 * Contents: 1. help  2. running  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/recheck_json.h"
#include "report/json/weigh_json.h"
#include "command/command.h"
#include "command/figures.h"
#include "command/session.h"
#include "report/page/report_html.h"

/* 1. Help */

const char sm_cmd_report_help[] = "Reads one case (- for standard input), does what assess, recheck and weigh do,\n"
                                  "and writes one page (-o FILE.html) that needs no other file and no network: the\n"
                                  "call, the room beside each ostium, the root to scale, what to measure again, the\n"
                                  "alternatives, and all that it rests on. It prints on A4. --figures DIR writes\n"
                                  "each picture as SVG with its numbers beside it as CSV.\n";

/* 2. Running */

typedef struct {
    sm_recheck recheck;
    sm_portrait portrait;
    sm_weigh weigh;       /* n_rows 0: the case has no alternatives */
    sm_published context; /* if it has some */
    sm_series_drawn series;
    bool whole; /* false: interrupted; the assessment and the portrait alone are reported */
} findings;

static sm_status run(const sm_session *s, void *found)
{
    findings *f = found;
    /* What a re-check could change about the choice is left to weigh: the page has no room for it. */
    sm_weigh *weigh = s->planned->n_alternatives > 0 ? &f->weigh : NULL;
    sm_recheck_options options = sm_recheck_defaults;
    options.weigh = weigh;
    const sm_status status = sm_recheck_run(s->planned, &options, s->context, &f->recheck);
    f->whole = status == SM_OK;
    if (status != SM_OK && status != SM_INTERRUPTED)
        return status;
    const sm_series series = sm_series_published(s->planned->valve.leaflet_mount);
    sm_status drawn = sm_portrait_run(s->planned, s->context.seed, &f->portrait);
    if (drawn == SM_OK)
        drawn = sm_series_draw(&series, s->context.seed, &f->series);
    if (drawn == SM_OK && weigh)
        sm_published_of(s->planned, &f->context);
    return drawn == SM_OK ? status : drawn;
}

static sm_assessment *assessment(void *found, int i)
{
    (void)i;
    return &((findings *)found)->recheck.assessment;
}

/* 3. Writing */

static sm_findings told_of(const sm_session *s, const findings *f)
{
    const bool weighed = f->whole && f->weigh.n_rows > 0;
    return (sm_findings){.result = sm_session_result(s, 0, &f->recheck.assessment),
                         .recheck = f->whole ? &f->recheck : NULL,
                         .portrait = &f->portrait,
                         .series = &f->series,
                         .weigh = weighed ? &f->weigh : NULL,
                         .context = weighed ? &f->context : NULL};
}

static void json(const sm_session *s, const void *found, sm_text *out)
{
    const sm_findings f = told_of(s, found);
    const sm_recheck_part p = {.c = f.result.c, .recheck = f.recheck};
    const sm_weigh_part w = {.c = f.result.c, .weigh = f.weigh, .context = f.context};
    sm_result_part part[2];
    size_t n = 0;
    if (f.recheck)
        part[n++] = sm_recheck_json_part(&p);
    if (f.weigh)
        part[n++] = sm_weigh_json_part(&w);
    sm_result_json_write(&f.result, part, n, out);
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
    findings found = {.whole = false};
    if (!o->html && !o->figures)
        return sm_terminal_complain("report: needs -o FILE.html or --figures DIR, or both\n", SM_USAGE);
    const sm_status s = sm_session_do(o, &steps, &found);
    sm_recheck_destroy(&found.recheck);
    sm_portrait_destroy(&found.portrait);
    sm_weigh_destroy(&found.weigh);
    return s;
}
