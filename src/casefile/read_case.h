/* read_case.h - the whole case: its sections, coronaries and alternatives.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_CASE_H
#define SM_CASEFILE_READ_CASE_H

#include "casefile/reader.h"
#include "measurement/case.h"

/* Fills c from the documents of r; what c holds is to be destroyed even after faults. */
void sm_read_case(sm_reader *r, sm_case *c);

#endif
