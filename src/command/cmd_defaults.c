/* cmd_defaults.c - slimmargin defaults: every built-in default with its reason.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/defaults_list.h"
#include "command/command.h"
#include "command/session.h"

const char sm_cmd_defaults_help[] = "What stands in for every key that neither the case nor its profile states, with\n"
                                    "the range within which it may lie, how far it can be trusted, and why.\n";

sm_status sm_cmd_defaults(const sm_options *o)
{
    (void)o;
    const sm_style style = sm_terminal_style(false);
    sm_text text = {0};
    sm_defaults_write(&text, style.width);
    return sm_session_send("-", &text);
}
