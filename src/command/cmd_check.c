/* cmd_check.c - slimmargin check CASE: every fault of a case, what is unusual in it, what was understood; nothing is
 * computed.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/shown.h"
#include "command/command.h"
#include "command/session.h"
#include "report/blocks/write.h"
#include "report/text/unusual_text.h"

const char sm_cmd_check_help[] = "Reads one case (- for standard input) and the profile that it names. Every\n"
                                 "fault is reported with file, line, column and place; status 2 if there is one.\n"
                                 "What is possible but unusual is asked about first; then what was understood is\n"
                                 "read back: design classes and numbers cannot be checked by rules alone.\n";

static void tell(const sm_session_case *c, sm_text *out)
{
    const sm_result r = sm_result_of(c->file, &c->diag, NULL);
    const sm_style style = sm_terminal_style(false);
    sm_blocks b = {0};
    sm_unusual_tell(&b, &r);
    sm_text_addf(sm_block_words(&b, SM_SAY), "%s: no fault found", r.c->name);
    sm_understood_tell(&b, &r);
    sm_write_text(out, &style, &b);
    sm_diag_write(&c->diag, out);
}

sm_status sm_cmd_check(const sm_options *o)
{
    sm_session_case c;
    sm_text text = {0};
    sm_status s = sm_session_read(o->argument[0], &c);
    if (s == SM_OK) {
        tell(&c, &text);
        s = sm_session_send("-", &text);
    }
    sm_session_case_destroy(&c);
    return s;
}
