/* compare_json.h - two versions of a case side by side, as a part of the result file.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_JSON_COMPARE_JSON_H
#define SM_REPORT_JSON_COMPARE_JSON_H

#include "report/json/result_json.h"
#include "whatif/compare.h"

/* The part "compare" of the old case's result. Borrowed. */
typedef struct {
    const sm_compare *compare;
    const sm_result *now; /* of the new case */
} sm_compare_part;

sm_result_part sm_compare_json_part(const sm_compare_part *p);

#endif
