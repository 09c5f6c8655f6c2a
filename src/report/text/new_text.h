/* new_text.h - a case just made, read back for a last look before it is written.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_NEW_TEXT_H
#define SM_REPORT_TEXT_NEW_TEXT_H

#include "measurement/case.h"
#include "report/blocks/block.h"

/* What was understood in one paragraph, and heights and gaps to scale: as read, before any error or correction. */
void sm_new_last_look(sm_blocks *b, const sm_case *c);

#endif
