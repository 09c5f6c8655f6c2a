/* read_looks.h - the looks that a case, or a profile for many, lists as what could be done (docs/case-format.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_LOOKS_H
#define SM_CASEFILE_READ_LOOKS_H

#include "casefile/reader.h"
#include "measurement/case.h"

/* Reads `looks` of the case, else of the profile, into c, whose scan, valve and coronaries are known; the standard set
 * if neither lists any. sound: those were read without a fault. */
void sm_read_looks(sm_reader *r, bool sound, sm_case *c);

#endif
