/* assumption_text.h - what an answer rests on, by grade, in plain words; and the warnings.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_ASSUMPTION_TEXT_H
#define SM_REPORT_ASSUMPTION_TEXT_H

#include "casefile/result_json.h"
#include "report/layout.h"

/* Every assumption with its value, unit, origin and source; the weakest grades first. */
void sm_assumption_text(sm_text *out, const sm_style *style, const sm_result *r);
/* Every warning; nothing where there is none. */
void sm_warning_text(sm_text *out, const sm_style *style, const sm_result *r);
/* The cautions under their title. */
void sm_caution_text(sm_text *out, const sm_style *style);

#endif
