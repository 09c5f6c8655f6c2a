/* cmd_selfcheck.c - slimmargin selfcheck: what this program gives for examples with published answers.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/selfcheck_json.h"
#include "command/command.h"
#include "command/session.h"
#include "report/text/selfcheck_text.h"

const char sm_cmd_selfcheck_help[] = "Runs examples with published or exactly known answers through the same code as\n"
                                     "a case, and prints what came out beside what should: a table to file. Status 0\n"
                                     "only if every check passes, 5 if one fails.\n";

static void json(const sm_session *s, const void *found, sm_text *out)
{
    (void)s;
    sm_selfcheck_json_write(found, SM_SELFCHECK_SEED, SM_SELFCHECK_TRIALS, out);
}

static void text(const sm_session *s, const void *found, const sm_style *style, sm_text *out)
{
    if (s->o->quiet)
        sm_selfcheck_text_quiet(out, style, found);
    else
        sm_selfcheck_text(out, style, found, SM_SELFCHECK_SEED, SM_SELFCHECK_TRIALS);
}

/* It reads no case and ends in seconds: no progress line, and an interrupt ends the program. */
sm_status sm_cmd_selfcheck(const sm_options *o)
{
    static const sm_session_steps steps = {.json = json, .text = text};
    sm_session session = {.o = o, .tells = true};
    sm_output_files all = {0};
    sm_checks t;
    sm_status s = sm_session_check_outputs(o, &all, &session.tells);
    if (s != SM_OK)
        return s;
    sm_threads *threads = sm_threads_create(o->threads);
    if (!threads)
        return SM_NO_MEMORY;
    const sm_run_context context = {
        .trials = SM_SELFCHECK_TRIALS, .seed = SM_SELFCHECK_SEED, .executor = sm_threads_executor(threads)};
    s = sm_selfcheck_run(context, &t);
    sm_threads_destroy(threads);
    if (s == SM_OK)
        s = sm_session_write_outputs(&session, &steps, &t);
    if (s == SM_OK && t.failures > 0)
        s = SM_CHECK_FAILED;
    sm_checks_destroy(&t);
    return s;
}
