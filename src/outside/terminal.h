/* terminal.h - how the reader sees text, and the progress line.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_OUTSIDE_TERMINAL_H
#define SM_OUTSIDE_TERMINAL_H

#include "engine/run.h"
#include "base/diag.h"
#include "base/status.h"
#include "report/blocks/layout.h"

/* The style for standard output. UTF-8 if the locale says so; colour on a terminal only, and not if NO_COLOR is
 * set; narrower than 80 columns: sentences instead of tables. */
sm_style sm_terminal_style(bool plain);

/* Write to standard error and return s, so that a command can end with it. Whatever stands there is fit to be shown
 * (base/shown.h); a line end in what came from outside is to be escaped before. */
sm_status sm_terminal_complain(const char *words, sm_status s);
/* The same, and empties the text. If memory ran out for it, nothing is written and SM_NO_MEMORY returned. */
sm_status sm_terminal_tell(sm_text *text, sm_status s);
/* The same of every message of d, one a line. */
sm_status sm_terminal_tell_diag(const sm_diag *d, sm_status s);

/* One line on standard error that shows the interval against the line; nothing if that is not a terminal. */
typedef struct {
    bool on, shown;
    sm_style style;
    double line; /* 0: none */
    double last; /* seconds */
} sm_progress;

sm_progress sm_progress_create(double line);
void sm_progress_show(sm_progress *p, const sm_gathered *so_far, int64_t trials);
/* Of what is found beside it: "what each source carries: 40 of 100". */
void sm_progress_auxiliary(sm_progress *p, const char *what, double share);
/* Wipes the line. */
void sm_progress_end(sm_progress *p);

#endif
