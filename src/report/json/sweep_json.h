/* sweep_json.h - a sweep as the part "sweep" of the result file, and as a table for machines.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_JSON_SWEEP_JSON_H
#define SM_REPORT_JSON_SWEEP_JSON_H

#include "report/json/result_json.h"
#include "whatif/sweep.h"

/* What the part shows: one of the two. Borrowed. */
typedef struct {
    const sm_case *c;
    const sm_sweep *sweep;
    const sm_sweep_all *all;
} sm_sweep_part;

sm_result_part sm_sweep_json_part(const sm_sweep_part *p);

/* Comma-separated, one point a line under a header; every side apart. */
void sm_sweep_csv(const sm_sweep_part *p, sm_text *out);
/* The same with what a drawing needs beside it, in further columns: the line, the case as it is, each knob in words;
 * of one knob, from the first row on, the places where the line is met; of two, each probability's normal score. */
void sm_sweep_csv_drawn(const sm_sweep_part *p, sm_text *out);

#endif
