/* recheck_text.h - what to measure again, in the reading room's words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_RECHECK_TEXT_H
#define SM_REPORT_TEXT_RECHECK_TEXT_H

#include "decision/recheck.h"
#include "report/json/result_json.h"
#include "report/blocks/block.h"

/* "Place the base plane again": what to do about a source, by its name in the result. */
void sm_recheck_imperative(sm_text *out, const char *source);

/* The answer in one sentence: what is worth most, or that no re-check can change the call. */
void sm_recheck_headline(sm_text *out, const sm_recheck *k);

/* What is left once every measurement is perfect; ends with a space. */
void sm_recheck_remains(sm_text *out, const sm_recheck *k);
/* What an untreated event is, and how many of them knowing everything could spare. */
void sm_recheck_bound(sm_text *out, const sm_recheck *k);
/* With sharp points: that all but the probability is counted. */
void sm_recheck_counted(sm_text *out, const sm_recheck *k);

/* How much each gap must read, in blocks of that kind; k->guard must be there. */
void sm_recheck_tell_guards(sm_blocks *b, sm_block_kind kind, const sm_case *c, const sm_recheck *k);

/* The whole report. */
void sm_recheck_tell(sm_blocks *b, const sm_result *r, const sm_recheck *k);
/* The headlines and the short caution alone. */
void sm_recheck_tell_quiet(sm_blocks *b, const sm_result *r, const sm_recheck *k);

#endif
