/* cmd_compare.c - slimmargin compare OLD NEW: what moved the answer between two versions of a case.
 *
 * Contents: 1. help  2. writing  3. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "casefile/compare.h"
#include "cli/command.h"
#include "cli/session.h"
#include "report/compare_text.h"

/* 1. Help */

const char sm_cmd_compare_help[] =
    "Reads two versions of a case, such as before and after measuring again, or with\n"
    "and without an artifact, and runs both on the same draws: what changed in the\n"
    "files, how far each change alone moved the probability and the call, and what is\n"
    "left because changes act together.\n";

/* 2. Writing */

static sm_status write_json(const char *path, const sm_result *old, const sm_compare_part *p)
{
    const sm_result_part part = sm_compare_json_part(p);
    return sm_session_write_json(path, old, &part, 1);
}

static sm_status write_text(const sm_options *o, const sm_result *old, const sm_compare_part *p)
{
    const sm_style style = sm_terminal_style(o->plain);
    sm_text text = {0};
    if (o->quiet)
        sm_compare_text_quiet(&text, &style, p->compare);
    else
        sm_compare_text(&text, &style, old, p);
    sm_status s = sm_session_write("-", &text);
    sm_text_destroy(&text);
    return s;
}

static sm_status write_outputs(const sm_options *o, const sm_session_case c[2], const sm_compare *k)
{
    const sm_result old = sm_result_of(c[0].file, &c[0].diag, &k->old), now = sm_result_of(c[1].file, &c[1].diag, &k->now);
    const sm_compare_part p = {k, &now};
    sm_status s = o->json ? write_json(o->json, &old, &p) : SM_OK;
    if (s == SM_OK && !(o->json && strcmp(o->json, "-") == 0))
        s = write_text(o, &old, &p);
    return s;
}

/* 3. The command */

static sm_status compare(const sm_options *o, const sm_session_case c[2])
{
    const sm_assess_options options = {.trials = o->trials, .seed = o->seed};
    sm_session_run run;
    sm_compare k = {0};
    sm_diag d = {0};
    sm_status s = sm_session_run_begin(&run, o, sm_casefile_case(c[1].file)->action_line);
    if (s != SM_OK)
        return s;
    s = sm_compare_run(c[0].file, c[1].file, &options, &run.executor, &run.watch, &d, &k);
    sm_session_run_end(&run);
    if (s == SM_REFUSED) {
        sm_text text = {0};
        sm_diag_write(&d, &text);
        sm_terminal_complain(text.s ? text.s : "");
        sm_text_destroy(&text);
    }
    if (s == SM_OK || s == SM_INTERRUPTED) {
        sm_status written = write_outputs(o, c, &k);
        s = written == SM_OK ? s : written;
    }
    sm_compare_destroy(&k);
    sm_diag_destroy(&d);
    return s;
}

sm_status sm_cmd_compare(const sm_options *o)
{
    sm_session_case c[2] = {{0}};
    sm_status s = sm_session_check_outputs(o);
    for (int i = 0; s == SM_OK && i < 2; i++)
        s = sm_session_read(o->argument[i], &c[i]);
    if (s == SM_OK)
        s = compare(o, c);
    for (int i = 0; i < 2; i++)
        sm_session_case_destroy(&c[i]);
    return s;
}
