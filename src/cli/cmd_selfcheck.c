/* cmd_selfcheck.c - slimmargin selfcheck: what this program gives for examples with published answers.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "casefile/selfcheck_json.h"
#include "cli/command.h"
#include "cli/session.h"
#include "report/selfcheck_text.h"

const char sm_cmd_selfcheck_help[] = "Runs examples with published or exactly known answers through the same code as\n"
                                     "a case, and prints what came out beside what should: a table to file. Status 0\n"
                                     "only if every check passes, 5 if one fails.\n";

static sm_status write_json(const char *path, const sm_checks *t)
{
    sm_text text = {0};
    sm_selfcheck_json_write(t, SM_SELFCHECK_SEED, SM_SELFCHECK_TRIALS, &text);
    sm_status s = sm_session_write(path, &text);
    sm_text_destroy(&text);
    return s;
}

static sm_status write_text(const sm_options *o, const sm_checks *t)
{
    const sm_style style = sm_terminal_style(o->plain);
    sm_text text = {0};
    if (o->quiet)
        sm_selfcheck_text_quiet(&text, &style, t);
    else
        sm_selfcheck_text(&text, &style, t, SM_SELFCHECK_SEED, SM_SELFCHECK_TRIALS);
    sm_status s = sm_session_write("-", &text);
    sm_text_destroy(&text);
    return s;
}

/* With --json - the result stands alone on standard output. */
static sm_status write_outputs(const sm_options *o, const sm_checks *t)
{
    sm_status s = o->json ? write_json(o->json, t) : SM_OK;
    if (s == SM_OK && !(o->json && strcmp(o->json, "-") == 0))
        s = write_text(o, t);
    return s;
}

sm_status sm_cmd_selfcheck(const sm_options *o)
{
    sm_checks t;
    sm_status s = sm_session_check_outputs(o);
    if (s != SM_OK)
        return s;
    sm_threads *threads = sm_threads_create(o->threads);
    if (!threads)
        return SM_NO_MEMORY;
    const sm_executor executor = sm_threads_executor(threads);
    s = sm_selfcheck_run(SM_SELFCHECK_SEED, SM_SELFCHECK_TRIALS, &executor, &t);
    sm_threads_destroy(threads);
    if (s == SM_OK)
        s = write_outputs(o, &t);
    if (s == SM_OK && t.failures > 0)
        s = SM_CHECK_FAILED;
    sm_checks_destroy(&t);
    return s;
}
