/* cmd_compare.c - slimmargin compare OLD NEW: what moved the answer between two versions of a case.
 *
 * Contents: 1. help  2. running  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/compare.h"
#include "report/json/compare_json.h"
#include "command/command.h"
#include "command/session.h"
#include "report/text/compare_text.h"

/* 1. Help */

const char sm_cmd_compare_help[] = "Reads two versions of a case, such as before and after measuring again, or with\n"
                                   "and without an artifact, and runs both on the same draws: what changed in the\n"
                                   "files, how far each change alone moved the probability and the call, and what is\n"
                                   "left because changes act together.\n";

/* 2. Running */

static sm_status run(const sm_session *s, void *found)
{
    sm_diag d = {0};
    sm_status status = sm_compare_run(s->at[0].file, s->at[1].file, s->context, &d, found);
    if (status == SM_REFUSED)
        status = sm_terminal_tell_diag(&d, status);
    sm_diag_destroy(&d);
    return status;
}

static sm_assessment *assessment(void *found, int i)
{
    sm_compare *k = found;
    return i == 0 ? &k->old : &k->now;
}

/* 3. Writing */

static void json(const sm_session *s, const void *found, sm_text *out)
{
    const sm_compare *k = found;
    const sm_result old = sm_session_result(s, 0, &k->old), now = sm_session_result(s, 1, &k->now);
    const sm_compare_part p = {k, &now};
    const sm_result_part part = sm_compare_json_part(&p);
    sm_result_json_write(&old, &part, 1, out);
}

static void text(const sm_session *s, const void *found, const sm_style *style, sm_text *out)
{
    const sm_compare *k = found;
    const sm_result old = sm_session_result(s, 0, &k->old), now = sm_session_result(s, 1, &k->now);
    (s->o->quiet ? sm_compare_text_quiet : sm_compare_text)(out, style, &old, &(sm_compare_part){k, &now});
}

/* 4. The command */

sm_status sm_cmd_compare(const sm_options *o)
{
    static const sm_session_steps steps = {.run = run, .assessment = assessment, .json = json, .text = text};
    sm_compare found = {.alone = NULL};
    const sm_status s = sm_session_do(o, &steps, &found);
    sm_compare_destroy(&found);
    return s;
}
