/* read_axes.h - how the valve lies in the patient, and how far the C-arm reaches (model.md 6.2).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_AXES_H
#define SM_CASEFILE_READ_AXES_H

#include "casefile/reader.h"
#include "measurement/case.h"

/* `patient_axes` and `gantry` of the case; its coronaries are known. */
void sm_read_axes(sm_reader *r, sm_case *c);

#endif
