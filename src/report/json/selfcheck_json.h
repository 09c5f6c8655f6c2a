/* selfcheck_json.h - the self-check as JSON ("slimmargin-selfcheck-1").
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_JSON_SELFCHECK_JSON_H
#define SM_REPORT_JSON_SELFCHECK_JSON_H

#include "selfcheck/selfcheck.h"
#include "base/text.h"

void sm_selfcheck_json_write(const sm_checks *t, uint64_t seed, int64_t trials, sm_text *out);

#endif
