/* assumption_text.h - what an answer rests on, by grade, in plain words; the warnings; the cautions.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_ASSUMPTION_TEXT_H
#define SM_REPORT_TEXT_ASSUMPTION_TEXT_H

#include "report/blocks/block.h"
#include "report/json/result_json.h"

/* Every assumption with its value, unit, origin and source; the weakest grades first. */
void sm_assumption_tell(sm_blocks *b, const sm_result *r);

/* If several assumptions say the same of several quantities ("left ostium height: SD between readers") they are
 * reported once, with the first. */
bool sm_assumption_same(const sm_assumption *a, const sm_assumption *b);
/* Whether assumption i was reported with an earlier one. */
bool sm_assumption_told_before(const sm_result *r, size_t i);
/* What assumption i says, and of which quantities, after a few words: "SD between readers, of ostium height, gap beside
 * ostium (right)". A quantity that all sides share is named without them. */
void sm_assumption_what(sm_text *out, const sm_result *r, size_t i, const char *of);

/* Groups of a grade and, if that is "stated", an origin; the weakest first. */
enum { SM_ASSUMPTION_GROUPS = 7 };
const char *sm_assumption_group_title(int group);
bool sm_assumption_belongs(const sm_assumption *a, int group);

/* Every warning, and the cautions, under their titles. */
void sm_warning_tell(sm_blocks *b, const sm_result *r);
void sm_caution_tell(sm_blocks *b);

#endif
