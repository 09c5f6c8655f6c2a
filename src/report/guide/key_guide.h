/* key_guide.h - every key of a case with its facts and its explanation.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_GUIDE_KEY_GUIDE_H
#define SM_REPORT_GUIDE_KEY_GUIDE_H

#include "report/blocks/layout.h"

/* The first line of the guide: by it a file is known to be one. */
extern const char sm_key_guide_title[];

/* Every key of a case with its explanation: the side file of a form, since JSON has no comments. */
void sm_key_guide(sm_text *out, const sm_style *style);

#endif
