/* cmd_report.c - slimmargin report CASE -o FILE.html: the report as one page.
 *
 * Contents: 1. help  2. what the report needs  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "casefile/recheck_json.h"
#include "casefile/weigh_json.h"
#include "cli/command.h"
#include "cli/figures.h"
#include "cli/session.h"
#include "report/report_html.h"

/* 1. Help */

const char sm_cmd_report_help[] = "Reads one case (- for standard input), does what assess, recheck and weigh do,\n"
                                  "and writes one page (-o FILE.html) that needs no other file and no network: the\n"
                                  "call, the room beside each ostium, the root to scale, what to measure again, the\n"
                                  "alternatives, and all that it rests on. It prints on A4. --figures DIR writes\n"
                                  "each picture as SVG with its numbers beside it as CSV.\n";

/* Trials for each end of each assumption's range: the swings are paired with the case, so that their error is small. */
enum { SWING_TRIALS = 65536 };

/* 2. What the report needs */

typedef struct {
    sm_recheck recheck;
    sm_swings swings;
    sm_portrait portrait;
    sm_weigh weigh; /* n_rows 0: the case has no alternatives */
} parts;

/* What a re-check could change about the choice is left to weigh: the page has no room for it. */
static sm_status run_weigh(const sm_options *o, const sm_case *planned, const sm_session_run *run, sm_weigh *out)
{
    const sm_weigh_options options = {.trials = o->trials, .recheck_trials = 0, .seed = o->seed};
    return planned->n_alternatives > 0 ? sm_weigh_run(planned, &options, &run->executor, &run->watch, out) : SM_OK;
}

/* SM_INTERRUPTED: parts->recheck.assessment holds what is known by then. */
static sm_status run_parts(const sm_options *o, const sm_session_case *c, parts *p)
{
    const sm_case *planned = sm_casefile_case(c->file);
    sm_recheck_options options = sm_recheck_defaults;
    sm_session_run run;
    options.trials = o->trials;
    options.seed = o->seed;
    sm_status s = sm_session_run_begin(&run, o, planned->action_line);
    if (s != SM_OK)
        return s;
    s = sm_recheck_run(planned, &options, &run.executor, &run.watch, &p->recheck);
    if (s == SM_OK)
        s = sm_swings_run(c->file, o->seed, SWING_TRIALS, &run.executor, &run.watch, &p->swings);
    if (s == SM_OK)
        s = run_weigh(o, planned, &run, &p->weigh);
    sm_session_run_end(&run);
    if (s == SM_OK || s == SM_INTERRUPTED) {
        sm_status drawn = sm_portrait_run(planned, o->seed, &p->portrait);
        s = drawn == SM_OK ? s : drawn;
    }
    return s;
}

static void destroy_parts(parts *p)
{
    sm_recheck_destroy(&p->recheck);
    sm_swings_destroy(&p->swings);
    sm_portrait_destroy(&p->portrait);
    sm_weigh_destroy(&p->weigh);
}

/* 3. Writing */

static sm_status write_page(const char *path, const sm_findings *f)
{
    sm_text text = {0};
    sm_report_html(&text, f);
    sm_status s = sm_session_write(path, &text);
    sm_text_destroy(&text);
    return s;
}

static sm_status write_json(const char *path, const sm_findings *f)
{
    const sm_recheck_part p = {
        .c = f->result.c, .recheck = f->recheck, .assumption = f->result.assumption, .swings = f->swings};
    const sm_weigh_part w = {.c = f->result.c, .weigh = f->weigh};
    sm_result_part part[2];
    size_t n = 0;
    if (f->recheck)
        part[n++] = sm_recheck_json_part(&p);
    if (f->weigh)
        part[n++] = sm_weigh_json_part(&w);
    return sm_session_write_json(path, &f->result, part, n);
}

static sm_status write_outputs(const sm_options *o, const sm_findings *f)
{
    sm_status s = o->html ? write_page(o->html, f) : SM_OK;
    if (s == SM_OK && o->figures)
        s = sm_cli_figures_write(o->figures, f);
    if (s == SM_OK && o->json)
        s = write_json(o->json, f);
    return s;
}

/* 4. The command */

static sm_status report(const sm_options *o, const sm_session_case *c)
{
    parts p = {0};
    sm_status s = run_parts(o, c, &p);
    const bool whole = s == SM_OK;
    if (s == SM_OK || s == SM_INTERRUPTED) {
        p.recheck.assessment.complete = whole;
        const sm_findings f = {.result = sm_result_of(c->file, &c->diag, &p.recheck.assessment),
                               .recheck = whole ? &p.recheck : NULL,
                               .swings = whole ? &p.swings : NULL,
                               .portrait = &p.portrait,
                               .weigh = whole && p.weigh.n_rows > 0 ? &p.weigh : NULL};
        sm_status written = write_outputs(o, &f);
        s = written == SM_OK ? s : written;
    }
    destroy_parts(&p);
    return s;
}

sm_status sm_cmd_report(const sm_options *o)
{
    sm_session_case c;
    if (!o->html && !o->figures) {
        sm_terminal_complain("report: needs -o FILE.html or --figures DIR, or both\n");
        return SM_USAGE;
    }
    sm_status s = sm_session_check_outputs(o);
    if (s != SM_OK)
        return s;
    s = sm_session_read(o->argument[0], &c);
    if (s == SM_OK)
        s = report(o, &c);
    sm_session_case_destroy(&c);
    return s;
}
