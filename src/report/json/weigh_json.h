/* weigh_json.h - the alternatives side by side, as parts of the result file.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_JSON_WEIGH_JSON_H
#define SM_REPORT_JSON_WEIGH_JSON_H

#include "decision/published.h"
#include "decision/weigh.h"
#include "report/json/result_json.h"

/* What the part shows. Everything is borrowed; context may be NULL. */
typedef struct {
    const sm_case *c;
    const sm_weigh *weigh;
    const sm_published *context;
} sm_weigh_part;

/* The parts "alternatives", "choice" and "context", for sm_result_json_write. */
sm_result_part sm_weigh_json_part(const sm_weigh_part *p);

#endif
