/* points_case.h - the points that readers picked -> a case on its way: heights, gaps and azimuths as readings.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_NEWCASE_POINTS_CASE_H
#define SM_NEWCASE_POINTS_CASE_H

#include "newcase/draft.h"
#include "newcase/points_csv.h"

#define SM_POINTS_READERS 8

typedef struct {
    const char *reader;
    sm_points points;
} sm_points_by_reader;

/* Puts the readings of n readers into the draft, which is a form or a case: one side more where the points have one
 * that it has not; what else it says stays. circle_mm: what the command line says, 0 if nothing; then the files, then
 * the draft say it. SM_REFUSED after faults, each at the point that it concerns: files that do not fit together, a root
 * that lies in the patient as none does, readings out of their domain. */
sm_status sm_points_case(const sm_points_by_reader *by, size_t n, double circle_mm, sm_diag *d, sm_draft *draft);

#endif
