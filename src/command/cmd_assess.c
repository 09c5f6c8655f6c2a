/* cmd_assess.c - slimmargin assess CASE: how probable it is that each limit is truly crossed.
 *
 * Contents: 1. help  2. running  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/command.h"
#include "command/figures.h"
#include "command/session.h"
#include "decision/look_worth.h"
#include "report/blocks/write.h"
#include "report/json/weigh_json.h"
#include "report/text/assess_text.h"
#include "report/text/first_screen.h"

/* 1. Help */

const char sm_cmd_assess_help[] = "Reads one case (- for standard input), draws many roots that would read like\n"
                                  "this one, and counts how many of them truly cross a limit. Prints one screen:\n"
                                  "the call against your line, what it hangs on, what would turn it. --whole adds\n"
                                  "the numbers of each side and all that they rest on. Ctrl-C ends with what is\n"
                                  "known by then.\n";

/* 2. Running */

typedef struct {
    sm_weigh weigh;       /* without alternatives it has no rows */
    sm_look_worths looks; /* for the text alone */
} findings;

/* With alternatives, they are weighed on the same trials or points. */
static sm_status run_assessment(const sm_session *s, sm_weigh *k)
{
    const sm_options *o = s->o;
    if (!o->until_resolved && s->planned->n_alternatives > 0)
        return sm_weigh_run(s->planned, 0, s->context, k);
    if (!o->until_resolved)
        return sm_assess(s->planned, s->context, &k->assessment);
    if (!(s->planned->action_line > 0))
        return sm_terminal_complain("--until-resolved: this case has no action_line to resolve against\n", SM_USAGE);
    return sm_assess_until_resolved(s->planned, o->cap, s->context, &k->assessment);
}

/* At the line alone: which look could change the choice is left to recheck. */
static sm_status run_looks(const sm_session *s, sm_look_worths *looks)
{
    sm_case at_line = *s->planned;
    at_line.n_alternatives = 0;
    if (!s->tells || s->o->quiet || s->o->whole || s->o->until_resolved || !(at_line.action_line > 0))
        return SM_OK;
    sm_run_context counted = s->context; /* looks are counted, also beside sharp points */
    counted.points = SM_POINTS_PLAIN;
    return sm_look_worths_run(&at_line, counted, looks);
}

static sm_status run(const sm_session *s, void *found)
{
    findings *f = found;
    sm_status status = run_assessment(s, &f->weigh);
    if (status != SM_OK)
        return status;
    status = run_looks(s, &f->looks);
    f->weigh.assessment.complete = status == SM_OK;
    return status;
}

static sm_assessment *assessment(void *found, int i)
{
    (void)i;
    return &((findings *)found)->weigh.assessment;
}

/* 3. Writing */

static void json(const sm_session *s, const void *found, sm_text *out)
{
    const findings *f = found;
    const sm_weigh *k = &f->weigh;
    const sm_result r = sm_session_result(s, 0, &k->assessment);
    const sm_weigh_part w = {.c = r.c, .weigh = k};
    const sm_result_part part = sm_weigh_json_part(&w);
    sm_result_json_write(&r, &part, k->n_rows > 0, out);
}

/* The figures that an assessment can give: no work list, no alternatives. */
static sm_status figures(const sm_session *s, const void *found, const char *folder)
{
    const sm_weigh *k = &((const findings *)found)->weigh;
    sm_portrait portrait;
    sm_status status = sm_portrait_run(s->planned, s->context.seed, &portrait);
    if (status != SM_OK)
        return status;
    sm_series_drawn series;
    const sm_series published = sm_series_published(s->planned->valve.leaflet_mount);
    status = sm_series_draw(&published, s->context.seed, &series);
    const sm_findings f = {.result = sm_session_result(s, 0, &k->assessment), .portrait = &portrait, .series = &series};
    if (status == SM_OK)
        status = sm_figures_stage(s->staging, folder, &f);
    sm_portrait_destroy(&portrait);
    return status;
}

static void text(const sm_session *s, const void *found, const sm_style *style, sm_text *out)
{
    const findings *f = found;
    const sm_weigh *k = &f->weigh;
    const sm_result r = sm_session_result(s, 0, &k->assessment);
    sm_blocks b = {0};
    if (s->o->quiet)
        sm_first_quiet(&b, &r, k);
    else
        (s->o->whole ? sm_first_whole : sm_first_screen)(&b, &r, k, &f->looks);
    sm_write_text(out, style, &b);
}

/* 4. The command */

sm_status sm_cmd_assess(const sm_options *o)
{
    static const sm_session_steps steps = {
        .run = run, .assessment = assessment, .json = json, .figures = figures, .text = text};
    findings found = {.looks = {.n = 0}};
    const sm_status s = sm_session_do(o, &steps, &found);
    sm_weigh_destroy(&found.weigh);
    sm_look_worths_destroy(&found.looks);
    return s;
}
