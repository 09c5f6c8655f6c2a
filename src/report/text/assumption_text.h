/* assumption_text.h - what an answer rests on, by grade, in plain words; and the warnings.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_ASSUMPTION_TEXT_H
#define SM_REPORT_TEXT_ASSUMPTION_TEXT_H

#include "report/json/result_json.h"
#include "report/blocks/layout.h"

/* Every assumption with its value, unit, origin and source; the weakest grades first. */
void sm_assumption_text(sm_text *out, const sm_style *style, const sm_result *r);
/* What an assumption of a coronary's quantity says, after "left ostium height: "; the length of that in *about (0: it
 * is of no quantity). */
const char *sm_assumption_what(const sm_assumption *a, size_t *about);
/* Whether both say the same of two quantities. */
bool sm_assumption_same(const sm_assumption *a, const sm_assumption *b);

/* Every warning; nothing where there is none. */
void sm_warning_text(sm_text *out, const sm_style *style, const sm_result *r);
/* The cautions under their title. */
void sm_caution_text(sm_text *out, const sm_style *style);

#endif
