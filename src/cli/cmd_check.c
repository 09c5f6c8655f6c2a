/* cmd_check.c - slimmargin check CASE: every fault of a case, and nothing computed.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/shown.h"
#include "cli/command.h"
#include "cli/session.h"

const char sm_cmd_check_help[] = "Reads one case (- for standard input) and the profile that it names. Every\n"
                                 "fault is reported with file, line, column and place; status 2 if there is one.\n";

sm_status sm_cmd_check(const sm_options *o)
{
    sm_session_case c;
    sm_text text = {0};
    sm_status s = sm_session_read(o->argument[0], &c);
    if (s == SM_OK) {
        sm_text_shown(&text, sm_casefile_case(c.file)->name);
        sm_text_puts(&text, ": no fault found\n");
        sm_diag_write(&c.diag, &text);
        s = sm_session_send("-", &text);
    }
    sm_session_case_destroy(&c);
    return s;
}
