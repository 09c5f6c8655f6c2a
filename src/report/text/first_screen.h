/* first_screen.h - what an operator reads in half a minute: at most 40 lines of 80 columns, warnings first.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_FIRST_SCREEN_H
#define SM_REPORT_TEXT_FIRST_SCREEN_H

#include "decision/look_worth.h"
#include "decision/weigh.h"
#include "report/blocks/block.h"
#include "report/json/result_json.h"

/* k: NULL, or without rows, if nothing was weighed. looks: NULL, or empty, if their worth is not known. */
void sm_first_screen(sm_blocks *b, const sm_result *r, const sm_weigh *k, const sm_look_worths *looks);

/* The same and everything else; and the headline alone, with what must stand first. */
void sm_first_whole(sm_blocks *b, const sm_result *r, const sm_weigh *k, const sm_look_worths *looks);
void sm_first_quiet(sm_blocks *b, const sm_result *r, const sm_weigh *k);

#endif
