/* read_case.h - the whole case: its sections, coronaries and alternatives.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_CASE_H
#define SM_CASEFILE_READ_CASE_H

#include "casefile/check_across.h"

/* The planned valve and implant as read, kept for the alternatives that patch them. */
typedef struct {
    sm_section valve, implant;
    sm_entry *valve_entry, *implant_entry;
    bool sound; /* both were read without a fault */
} sm_planned;

/* Fills c from the documents of r; what c holds is to be destroyed even after faults. */
void sm_read_case(sm_reader *r, sm_case *c);

/* Reads `alternatives` of the case (read_alternatives.c). */
void sm_read_alternatives(sm_reader *r, const sm_planned *planned, sm_case *c);

#endif
