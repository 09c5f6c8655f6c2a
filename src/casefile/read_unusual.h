/* read_unusual.h - looks for numbers that are unusual, once a case is read.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_UNUSUAL_H
#define SM_CASEFILE_READ_UNUSUAL_H

#include "casefile/reader.h"
#include "casefile/unusual.h"
#include "measurement/case.h"

/* Reads `confirmed` of the case, refusing names that it does not have, and, if the case has no fault, looks at every
 * number. */
void sm_read_unusual(sm_reader *r, const sm_case *c, sm_unusuals *out);

#endif
