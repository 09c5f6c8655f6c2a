/* hold_text.h - what a call hangs on, in plain words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_HOLD_TEXT_H
#define SM_REPORT_TEXT_HOLD_TEXT_H

#include "report/blocks/block.h"
#include "report/json/result_json.h"

/* "Above your line, but it hangs on the limit: ", "Below your line: ", "Open, two looks are opposed: "; nothing without
 * an action line. */
void sm_hold_form_words(sm_text *out, const sm_result *r);
/* "Below your line, and firmly: it stays there in at least 95 of 100 settings ..."; or what it hangs on. */
void sm_hold_firmness(sm_text *out, const sm_result *r);

/* Where the answer lies over the settings, the share in which the call stays, and the outer range: both named. */
void sm_hold_settings(sm_text *out, const sm_result *r);
/* Beneath the ruler: the share in which the call stays and the outer range; the two drawn ranges where nothing is
 * drawn. */
void sm_hold_under_ruler(sm_blocks *b, const sm_result *r);
/* The two ranges for the ruler; false if there is nothing to draw. */
bool sm_hold_ruler_settings(const sm_result *r, double *low, double *high);
bool sm_hold_ruler_limits(const sm_result *r, double *low, double *high);

/* "It would turn if": the first few single values that turn the call, each with its value, as items of that kind;
 * nothing if none does. */
void sm_hold_turns(sm_blocks *b, sm_block_kind kind, const sm_result *r);
/* Everything in doubt that moves the answer, each alone over its range, the widest first. */
void sm_hold_swings(sm_blocks *b, const sm_result *r);

/* "; turns above 0.94", "; turns if not bright": where a swing turns the call by itself; nothing if it does not. */
void sm_hold_turning_at(sm_text *out, const sm_result *r, int swing);
/* Whether an assumption is, or moves with, a swing of the list; which. -1: none. */
int sm_hold_swing_of(const sm_result *r, size_t assumption);

#endif
