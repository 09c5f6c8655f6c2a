/* read_alternatives.h - what might be done instead: patches of valve and implant, laceration, rescue, burden.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_ALTERNATIVES_H
#define SM_CASEFILE_READ_ALTERNATIVES_H

#include "casefile/read_section.h"
#include "measurement/case.h"

/* The planned valve and implant as read, kept for the alternatives that patch them. */
typedef struct {
    sm_section valve, implant;
    sm_entry *valve_entry, *implant_entry;
    bool sound; /* both were read without a fault */
} sm_planned;

/* Reads `alternatives` of the case into c, of which all else has been read. */
void sm_read_alternatives(sm_reader *r, const sm_planned *planned, sm_case *c);

#endif
