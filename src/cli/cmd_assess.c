/* cmd_assess.c - slimmargin assess CASE: how probable it is that each limit is truly crossed.
 *
 * Contents: 1. help  2. writing  3. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/result_json.h"
#include "cli/command.h"
#include "cli/figures.h"
#include "cli/session.h"
#include "report/assess_text.h"

#include <string.h>

/* 1. Help */

const char sm_cmd_assess_help[] = "Reads one case (- for standard input), draws many roots that would read like\n"
                                  "this one, and counts how many of them truly cross a limit. Prints the call\n"
                                  "against your line in one sentence, then the numbers of each side, then all that\n"
                                  "they rest on. Ctrl-C ends with what is known by then.\n";

/* 2. Writing */

static sm_status write_text(const sm_options *o, const sm_result *r)
{
    const sm_style style = sm_terminal_style(o->plain);
    sm_text text = {0};
    (o->quiet ? sm_assess_text_quiet : sm_assess_text)(&text, &style, r);
    sm_status s = sm_session_write("-", &text);
    sm_text_destroy(&text);
    return s;
}

/* The figures that an assessment can give: no work list, no alternatives. */
static sm_status write_figures(const sm_options *o, const sm_result *r)
{
    sm_portrait portrait;
    sm_status s = sm_portrait_run(r->c, o->seed, &portrait);
    if (s != SM_OK)
        return s;
    const sm_findings f = {.result = *r, .portrait = &portrait};
    s = sm_cli_figures_write(o->figures, &f);
    sm_portrait_destroy(&portrait);
    return s;
}

/* With --json - the result stands alone on standard output. */
static sm_status write_outputs(const sm_options *o, const sm_result *r)
{
    sm_status s = o->json ? sm_session_write_json(o->json, r, NULL, 0) : SM_OK;
    if (s == SM_OK && o->figures)
        s = write_figures(o, r);
    if (s == SM_OK && !(o->json && strcmp(o->json, "-") == 0))
        s = write_text(o, r);
    return s;
}

/* 3. The command */

static sm_status assess(const sm_options *o, const sm_session_case *c)
{
    const sm_case *planned = sm_casefile_case(c->file);
    const sm_assess_options options = {
        .trials = o->trials, .seed = o->seed, .until_resolved = o->until_resolved, .cap = o->cap};
    sm_session_run run;
    sm_assessment a;
    sm_status s = sm_session_run_begin(&run, o, planned->action_line);
    if (s != SM_OK)
        return s;
    s = sm_assess(planned, &options, &run.executor, &run.watch, &a);
    sm_session_run_end(&run);
    if (s != SM_OK && s != SM_UNRESOLVED && s != SM_INTERRUPTED)
        return s;
    const sm_result r = sm_result_of(c->file, &c->diag, &a);
    sm_status written = write_outputs(o, &r);
    sm_assessment_destroy(&a);
    return written == SM_OK ? s : written;
}

sm_status sm_cmd_assess(const sm_options *o)
{
    sm_session_case c;
    sm_status s = sm_session_check_outputs(o);
    if (s != SM_OK)
        return s;
    s = sm_session_read(o->argument[0], &c);
    if (s == SM_OK && o->until_resolved && !(sm_casefile_case(c.file)->action_line > 0)) {
        sm_terminal_complain("--until-resolved: this case has no action_line to resolve against\n");
        s = SM_USAGE;
    }
    if (s == SM_OK)
        s = assess(o, &c);
    sm_session_case_destroy(&c);
    return s;
}
