/* weigh_text.h - the alternatives side by side, in plain words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_WEIGH_TEXT_H
#define SM_REPORT_TEXT_WEIGH_TEXT_H

#include "decision/published.h"
#include "decision/weigh.h"
#include "report/json/result_json.h"
#include "report/blocks/block.h"

/* The answer in one sentence: which row is the cheapest by the user's values, or that this run cannot tell. */
void sm_weigh_headline(sm_text *out, const sm_weigh *k);

/* Where the action line and the burdens say different things, that they do; nothing where they agree, where no burden
 * is stated, or where either is not settled. It belongs first. */
void sm_weigh_disagreement(sm_text *out, const sm_result *r, const sm_weigh *k);
/* "Harm per 1,000 such cases, by your values: as planned 284, "smaller device" 76, ..." */
void sm_weigh_instead(sm_text *out, const sm_weigh *k);

/* The whole report. context may be NULL. */
void sm_weigh_tell(sm_blocks *b, const sm_result *r, const sm_weigh *k, const sm_published *context);
void sm_weigh_tell_quiet(sm_blocks *b, const sm_result *r, const sm_weigh *k);

/* What was published of a reading like this one, under its title (context_text.c); o: of the case as planned. */
void sm_context_tell(sm_blocks *b, const sm_case *c, const sm_published *x, const sm_obstruction *o);

#endif
