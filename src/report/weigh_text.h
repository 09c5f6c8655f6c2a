/* weigh_text.h - the alternatives side by side, in plain words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_WEIGH_TEXT_H
#define SM_REPORT_WEIGH_TEXT_H

#include "analysis/context.h"
#include "analysis/weigh.h"
#include "casefile/result_json.h"
#include "report/layout.h"

/* The answer in one sentence: which row is the cheapest by the user's values, or that this run cannot tell. */
void sm_weigh_headline(sm_text *out, const sm_weigh *k);

/* The whole report. context may be NULL. */
void sm_weigh_text(sm_text *out, const sm_style *style, const sm_result *r, const sm_weigh *k,
                   const sm_context *context);
void sm_weigh_text_quiet(sm_text *out, const sm_style *style, const sm_weigh *k);

/* The context alone, under its title. */
void sm_context_text(sm_text *out, const sm_style *style, const sm_case *c, const sm_context *x);
/* The same words as a section of a page. */
void sm_context_html(sm_text *out, const sm_case *c, const sm_context *x);

#endif
