/* cmd_recheck.c - slimmargin recheck CASE: which measurement to check again, and what that is worth.
 *
 * Contents: 1. help  2. running  3. writing  4. the command
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/recheck.h"
#include "report/json/recheck_json.h"
#include "command/command.h"
#include "command/session.h"
#include "report/blocks/write.h"
#include "report/text/recheck_text.h"
#include "report/text/unusual_text.h"

/* 1. Help */

const char sm_cmd_recheck_help[] = "Reads one case (- for standard input) and says, for every measurement, what\n"
                                   "checking it again would be worth at your line: how often that would change the\n"
                                   "call, and how many untreated events it would spare. Then how much each gap must\n"
                                   "read to fall below your line, what no imaging can settle, and which assumption\n"
                                   "moves the answer most.\n";

/* 2. Running */

static sm_status run(const sm_session *s, void *found)
{
    return sm_recheck_run(s->planned, &sm_recheck_defaults, s->context, found);
}

static sm_assessment *assessment(void *found, int i)
{
    (void)i;
    return &((sm_recheck *)found)->assessment;
}

/* 3. Writing */

static void json(const sm_session *s, const void *found, sm_text *out)
{
    const sm_recheck *k = found;
    const sm_result r = sm_session_result(s, 0, &k->assessment);
    const sm_recheck_part p = {.c = r.c, .recheck = k};
    const sm_result_part part = sm_recheck_json_part(&p);
    sm_result_json_write(&r, &part, 1, out);
}

static void text(const sm_session *s, const void *found, const sm_style *style, sm_text *out)
{
    const sm_recheck *k = found;
    const sm_result r = sm_session_result(s, 0, &k->assessment);
    sm_blocks b = {0};
    if (s->o->quiet) {
        sm_unusual_tell(&b, &r);
        sm_recheck_tell_quiet(&b, &r, k);
    } else
        sm_recheck_tell(&b, &r, k);
    sm_write_text(out, style, &b);
}

/* 4. The command */

sm_status sm_cmd_recheck(const sm_options *o)
{
    static const sm_session_steps steps = {.run = run, .assessment = assessment, .json = json, .text = text};
    sm_recheck found = {.has_line = false};
    const sm_status s = sm_session_do(o, &steps, &found);
    sm_recheck_destroy(&found);
    return s;
}
