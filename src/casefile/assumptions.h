/* assumptions.h - the list of what the answer rests on: each optional key in force, its origin, grade, source and
 * range.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_ASSUMPTIONS_H
#define SM_CASEFILE_ASSUMPTIONS_H

#include "casefile/reader.h"

/* What is known of one optional key when it has been read. */
typedef struct {
    const char *path, *key; /* pointer of the object, name of the key */
    const cJSON *node;      /* the value in force; NULL: `number` is */
    double number;
    const char *unit;
    const char *about, *words; /* "ostium gap" (or ""), "SD between readers" */
    sm_origin origin;
    const char *source;     /* of the profile; other origins need none */
    const sm_default *line; /* grade, source and range; NULL where the table of defaults has none */
    double scale;           /* of the range's ends; 0 means 1 */
    const char *side;       /* "left", "" outside coronaries */
    const char *draws;      /* "ostium_gap", "blooming"; "" for none */
    bool draws_of_side;     /* the source is the side's own: "left.ostium_gap" */
    bool is_constant;
} sm_assumption_ask;

void sm_assumptions_add(sm_reader *r, const sm_assumption_ask *ask);

#endif
