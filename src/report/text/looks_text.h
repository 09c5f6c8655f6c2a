/* looks_text.h - what a look is worth before it is made, the rule at the table, and the view that shows each gap.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_LOOKS_TEXT_H
#define SM_REPORT_TEXT_LOOKS_TEXT_H

#include "decision/look_worth.h"
#include "report/blocks/block.h"

/* The answer in one sentence: which look comes first, or that none is worth more than its burden. */
void sm_looks_headline(sm_text *out, const sm_look_worths *w);

/* The looks by what they spare less their burden, the rules, the four ways to go on. event: P as it is told
 * elsewhere. Nothing without an action line and burdens. */
void sm_looks_tell(sm_blocks *b, const sm_case *c, const sm_look_worths *w, double event);

/* The first three in a sentence, and the first rule, for a page that has room for no more; nothing if none is worth its
 * burden. */
void sm_looks_first(sm_text *out, const sm_look_worths *w);

/* The same as a small table for the first screen, with the view of an angiogram if the case says how the valve lies. */
void sm_looks_tell_screen(sm_blocks *b, const sm_look_worths *w);

/* The view of each gap; nothing if the case does not say how the valve lies. */
void sm_looks_tell_views(sm_blocks *b, const sm_case *c, const sm_look_worths *w);

#endif
