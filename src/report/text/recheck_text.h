/* recheck_text.h - what to measure again, in the reading room's words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_RECHECK_TEXT_H
#define SM_REPORT_TEXT_RECHECK_TEXT_H

#include "decision/recheck.h"
#include "report/json/result_json.h"
#include "whatif/swing.h"
#include "report/blocks/layout.h"

/* "Place the base plane again": what to do about a source, by its name in the result. */
void sm_recheck_imperative(sm_text *out, const char *source);

/* The answer in one sentence: what is worth most, or that no re-check can change the call. */
void sm_recheck_headline(sm_text *out, const sm_recheck *k);

/* "25 of 100; between 12 and 41 if the judgement values lie at their ends": nothing where no judgement value is in
 * force. */
void sm_recheck_judgement(sm_text *out, const sm_result *r, const sm_swings *s);

/* The whole report. swings may be NULL. */
void sm_recheck_text(sm_text *out, const sm_style *style, const sm_result *r, const sm_recheck *k,
                     const sm_swings *swings);
void sm_recheck_text_quiet(sm_text *out, const sm_style *style, const sm_recheck *k);

#endif
