/* selfcheck_text.h - the self-check as a table that a site can file.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_SELFCHECK_TEXT_H
#define SM_REPORT_TEXT_SELFCHECK_TEXT_H

#include "selfcheck/selfcheck.h"
#include "report/blocks/layout.h"

/* Every check by group, with the sources below; sentences instead of a table in plain style. 80 columns. */
void sm_selfcheck_text(sm_text *out, const sm_style *style, const sm_checks *t, uint64_t seed, int64_t trials);
/* The checks that failed, and the closing sentence. */
void sm_selfcheck_text_quiet(sm_text *out, const sm_style *style, const sm_checks *t);

#endif
