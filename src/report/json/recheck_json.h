/* recheck_json.h - what to measure again, as parts of the result file.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_JSON_RECHECK_JSON_H
#define SM_REPORT_JSON_RECHECK_JSON_H

#include "decision/recheck.h"
#include "report/json/result_json.h"

/* What the part shows. Everything is borrowed. */
typedef struct {
    const sm_case *c;
    const sm_recheck *recheck;
} sm_recheck_part;

/* The parts "recheck", "irreducible" and each coronary's "guarded", for sm_result_json_write. */
sm_result_part sm_recheck_json_part(const sm_recheck_part *p);

#endif
