/* cmd_recheck.c - slimmargin recheck CASE: which measurement to check again, and what that is worth.
 *
 * Contents: 1. help  2. writing  3. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/recheck_json.h"
#include "cli/command.h"
#include "cli/session.h"
#include "report/recheck_text.h"

#include <string.h>

/* 1. Help */

const char sm_cmd_recheck_help[] =
    "Reads one case (- for standard input) and says, for every measurement, what\n"
    "checking it again would be worth at your line: how often that would change the\n"
    "call, and how many untreated events it would spare. Then how much each gap must\n"
    "read to fall below your line, what no imaging can settle, and which assumption\n"
    "moves the answer most.\n";

/* Trials for each end of each assumption's range: the swings are paired with the case, so that their error is small. */
enum { SWING_TRIALS = 65536 };

/* 2. Writing */

static sm_status write_json(const char *path, const sm_result *r, const sm_recheck_part *p)
{
    const sm_result_part part = sm_recheck_json_part(p);
    return sm_session_write_json(path, r, &part, 1);
}

static sm_status write_text(const sm_options *o, const sm_result *r, const sm_recheck_part *p)
{
    const sm_style style = sm_terminal_style(o->plain);
    sm_text text = {0};
    if (o->quiet)
        sm_recheck_text_quiet(&text, &style, p->recheck);
    else
        sm_recheck_text(&text, &style, r, p->recheck, p->swings);
    sm_status s = sm_session_write("-", &text);
    sm_text_destroy(&text);
    return s;
}

static sm_status write_outputs(const sm_options *o, const sm_session_case *c, const sm_recheck *k, const sm_swings *swings)
{
    const sm_result r = sm_result_of(c->file, &c->diag, &k->assessment);
    const sm_recheck_part p = {.c = r.c, .recheck = k, .assumption = r.assumption, .swings = swings};
    sm_status s = o->json ? write_json(o->json, &r, &p) : SM_OK;
    if (s == SM_OK && !(o->json && strcmp(o->json, "-") == 0))
        s = write_text(o, &r, &p);
    return s;
}

/* 3. The command */

static sm_status recheck(const sm_options *o, const sm_session_case *c)
{
    const sm_case *planned = sm_casefile_case(c->file);
    sm_recheck_options options = sm_recheck_defaults;
    sm_session_run run;
    sm_recheck k = {0};
    sm_swings swings = {0};
    options.trials = o->trials;
    options.seed = o->seed;
    sm_status s = sm_session_run_begin(&run, o, planned->action_line);
    if (s != SM_OK)
        return s;
    s = sm_recheck_run(planned, &options, &run.executor, &run.watch, &k);
    if (s == SM_OK)
        s = sm_swings_run(c->file, o->seed, SWING_TRIALS, &run.executor, &run.watch, &swings);
    sm_session_run_end(&run);
    if (s == SM_OK || s == SM_INTERRUPTED) {
        k.assessment.complete = s == SM_OK;
        sm_status written = write_outputs(o, c, &k, s == SM_OK ? &swings : NULL);
        s = written == SM_OK ? s : written;
    }
    sm_recheck_destroy(&k);
    sm_swings_destroy(&swings);
    return s;
}

sm_status sm_cmd_recheck(const sm_options *o)
{
    sm_session_case c;
    sm_status s = sm_session_check_outputs(o);
    if (s != SM_OK)
        return s;
    s = sm_session_read(o->argument[0], &c);
    if (s == SM_OK)
        s = recheck(o, &c);
    sm_session_case_destroy(&c);
    return s;
}
