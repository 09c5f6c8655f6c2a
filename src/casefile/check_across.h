/* check_across.h - rules that bind several keys at once (docs/cross-field-rules.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_CHECK_ACROSS_H
#define SM_CASEFILE_CHECK_ACROSS_H

#include "casefile/read_section.h"

/* A valve and an implant as read, with where each key came from. */
typedef struct {
    const sm_section *valve_section, *implant_section;
    const sm_surgical_valve *valve;
    const sm_implant *implant;
    const sm_entry *valve_entry, *implant_entry;
} sm_valve_in_valve;

/* Posts and stand-off against the leaflet mount, ring and skirt against the frame. In an alternative a fault is laid to
 * the key that the alternative patches; one that the planned case has already is not repeated. */
void sm_check_across_pair(sm_reader *r, const sm_valve_in_valve *pair);
/* The STJ stands above the ostium, give or take its errors (node: the coronary). */
void sm_check_across_heights(sm_reader *r, const cJSON *node, const sm_coronary *c);
/* Which form of the base plane one object states: the keys of one form exclude those of the other. Returns the flag of
 * the keys that are NOT of its form, 0 if it states neither. */
unsigned sm_check_across_plane_form(sm_reader *r, const cJSON *plane);

#endif
