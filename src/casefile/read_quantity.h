/* read_quantity.h - a quantity that is read by readers, or known as a number or a distribution.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_QUANTITY_H
#define SM_CASEFILE_READ_QUANTITY_H

#include "casefile/read_section.h"

typedef struct {
    const sm_quantity_kind *kind;
    const char *path; /* JSON pointer of the quantity in the case */
    const char *side; /* name of the coronary, "" outside coronaries */
    bool list;        /* add SDs and the like to the assumptions */
    bool patched;     /* an alternative's own: no second look may stand there */
} sm_quantity_ask;

/* Reads node into out. What out holds is to be destroyed even after a fault. */
bool sm_read_quantity(sm_reader *r, const sm_quantity_ask *ask, const cJSON *node, sm_quantity *out);

/* The same for a key of a section (sm_section.read_quantity). */
bool sm_read_quantity_key(sm_reader *r, const sm_section *s, const sm_key *key, const cJSON *node, sm_quantity *out);

#endif
