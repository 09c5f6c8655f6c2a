/* unusual_text.h - what a case says, read back, and what in it is unusual: first on every output.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_UNUSUAL_TEXT_H
#define SM_REPORT_TEXT_UNUSUAL_TEXT_H

#include "report/blocks/block.h"
#include "report/json/result_json.h"

/* Each number that is unusual and not confirmed, with its likely slip, and what to do; nothing if there is none. If an
 * answer is there and lies at either end, that it may rest on them. */
void sm_unusual_tell(sm_blocks *b, const sm_result *r);
/* Whether there is one. */
bool sm_unusual_any(const sm_result *r);
/* " Unusual, and confirmed by the case: ..."; nothing if nothing is. */
void sm_unusual_confirmed(sm_text *out, const sm_result *r);
bool sm_unusual_any_confirmed(const sm_result *r);
/* "Read as: ...": design classes, devices and readings in one paragraph, and what the case confirms though unusual. */
void sm_understood_tell(sm_blocks *b, const sm_result *r);

#endif
