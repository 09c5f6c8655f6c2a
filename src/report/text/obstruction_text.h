/* obstruction_text.h - what published series make of the trials, in plain words and with its cautions.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_OBSTRUCTION_TEXT_H
#define SM_REPORT_TEXT_OBSTRUCTION_TEXT_H

#include "engine/obstruction.h"
#include "report/blocks/block.h"

/* "about 3 of 100 (1 to 8)"; a sealed sinus: "not covered". */
void sm_obstruction_words(sm_text *out, const sm_obstruction *o);
/* The same per 1,000, for a table: "31 (9 to 82)". */
void sm_obstruction_of_1000(sm_text *out, const sm_obstruction *o);

/* A sentence, with the reason if it is more than the probability of a crossing or if there is no number; and the
 * cautions, without which it is never shown. */
void sm_obstruction_tell(sm_blocks *b, const sm_obstruction *o);

/* Why these series may not carry over: for every place that shows the number. */
const char *sm_obstruction_caution(void);

#endif
