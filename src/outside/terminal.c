/* terminal.c - what every outside says alike, by its own sm_terminal_complain.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/terminal.h"

#include "base/shown.h"

sm_status sm_terminal_tell(sm_text *text, sm_status s)
{
    sm_text shown = {0};
    sm_text_shown_lines(&shown, sm_text_string(text));
    sm_text_done(text, &shown);
    if (shown.failed)
        s = SM_NO_MEMORY;
    else
        sm_terminal_complain(sm_text_string(&shown), s);
    sm_text_destroy(&shown);
    return s;
}

sm_status sm_terminal_tell_diag(const sm_diag *d, sm_status s)
{
    sm_text text = {0};
    sm_diag_write(d, &text);
    return sm_terminal_tell(&text, s);
}
