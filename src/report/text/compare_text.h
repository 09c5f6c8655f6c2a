/* compare_text.h - what moved the answer between two versions of a case, in plain words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_COMPARE_TEXT_H
#define SM_REPORT_TEXT_COMPARE_TEXT_H

#include "report/json/compare_json.h"
#include "report/blocks/layout.h"

void sm_compare_text(sm_text *out, const sm_style *style, const sm_result *old, const sm_compare_part *p);
/* The headline and the short caution alone. */
void sm_compare_text_quiet(sm_text *out, const sm_style *style, const sm_result *old, const sm_compare_part *p);

#endif
