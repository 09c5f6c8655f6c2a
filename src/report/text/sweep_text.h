/* sweep_text.h - a sweep in plain words and as a table of 80 columns.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_SWEEP_TEXT_H
#define SM_REPORT_TEXT_SWEEP_TEXT_H

#include "report/json/sweep_json.h"
#include "report/blocks/block.h"

/* A value of a knob with its unit, in as many digits as its Monte Carlo error allows (0: exact): "0.71 mm per edge". */
void sm_sweep_value(sm_text *out, double x, double standard_error, const char *unit);

/* "The call would change if blooming were above 0.71 mm per edge." */
void sm_sweep_headline(sm_text *out, const sm_sweep *s);

/* "Where the answer meets your line, along the left ostium gap: 6.3 mm at 0.2 mm per edge; ..." Of two knobs. */
void sm_sweep_line_words(sm_text *out, const sm_sweep *s);

/* What it shows, as a title. */
void sm_sweep_title(sm_text *out, const sm_sweep_part *p);

void sm_sweep_tell(sm_blocks *b, const sm_result *r, const sm_sweep_part *p);
/* Parts of it: the headline and the short caution; every point of one knob; what all points have in common. */
void sm_sweep_tell_quiet(sm_blocks *b, const sm_result *r, const sm_sweep_part *p);
void sm_sweep_tell_points(sm_blocks *b, const sm_sweep_part *p);
void sm_sweep_tell_draws(sm_blocks *b, const sm_assessment *a);

#endif
