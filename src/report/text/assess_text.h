/* assess_text.h - an assessment in plain words: the call, what drives it, the numbers, what they rest on.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_ASSESS_TEXT_H
#define SM_REPORT_TEXT_ASSESS_TEXT_H

#include "report/blocks/block.h"
#include "report/json/result_json.h"

/* Sentences. */

/* The call in one sentence: "Above your line: about 25 of 100 roots read like this truly cross a limit." */
void sm_assess_headline(sm_text *out, const sm_result *r);
/* The same after a few words that say of what it speaks: "As planned, above your line: ...". */
void sm_assess_headline_after(sm_text *out, const char *which, const sm_result *r);
/* "Stopped before the end: this is what is known after 32,768 trials."; nothing if it was not. */
void sm_assess_stopped(sm_text *out, const sm_assessment *a);
/* What is taken as known beforehand, and the answer among the patients of the population. */
/* Of the sinuses from which no coronary leaves: that their seal is no event, and what it says; nothing if there is
 * none.
 */
void sm_assess_without_ostium(sm_text *out, const sm_case *c);
void sm_assess_population_words(sm_text *out, const sm_result *r);
/* What drives it, in one sentence. */
void sm_assess_driver(sm_text *out, const sm_case *c, const sm_assessment *a);

/* What the published limits that are not the case's own would give, and whether that is another call. */
void sm_assess_other_limits(sm_text *out, const sm_case *c, const sm_assessment *a);

/* "1,000,000 trials, seed 1", with the sharp points if there are any. */
void sm_assess_drawn(sm_text *out, const sm_assessment *a);

/* Blocks. */

/* Program, case, trials and seed: the first line of every report. */
void sm_assess_masthead(sm_blocks *b, const sm_result *r);
/* In blocks of that kind: what each second look makes of its quantity, what is assumed of them, and what their weights
 * cost; nothing without looks. */
void sm_assess_looks(sm_blocks *b, sm_block_kind kind, const sm_result *r);
/* A line for each look that, believed alone, leads to the other side of the action line than the first reading alone;
 * nothing if none does. It belongs beneath every headline. which: of what it speaks, as above, or "". */
void sm_assess_opposed(sm_blocks *b, const char *which, const sm_case *c, const sm_assessment *a);

/* Parts of the whole report and of the first screen: program, case, what is unusual, what was understood; the answer;
 * the ruler and what would turn the call. */
void sm_assess_begin(sm_blocks *b, const sm_result *r);
void sm_assess_answer(sm_blocks *b, const sm_result *r);
void sm_assess_hangs(sm_blocks *b, const sm_result *r);

/* What the whole report has beyond them: rooms, each side, what it hangs on, assumptions, warnings, cautions. */
void sm_assess_rest(sm_blocks *b, const sm_result *r);

/* The whole report; r->assessment must be there. */
void sm_assess_tell(sm_blocks *b, const sm_result *r);
/* The headline and the short caution alone. */
void sm_assess_tell_quiet(sm_blocks *b, const sm_result *r);

#endif
