/* parts.h - what the roots of a plan share: each part is computed for the first root that has it and kept for the rest.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_PARTS_H
#define SM_ENGINE_PARTS_H

#include "engine/root.h"

/* Where a worker keeps a part of a root: with the first root's, in a place that the next root overwrites, or in a place
 * of its own (SM_SLOT_KEPT and on) because a later root uses it too. */
enum { SM_SLOT_FIRST, SM_SLOT_SCRATCH, SM_SLOT_KEPT };

/* own: this root is the first that has it. */
typedef struct {
    int slot;
    bool own;
} sm_part;

/* The parts of one root. */
typedef struct {
    sm_part scan, frame, tube;
    sm_part *readings, *landmarks, *side; /* by side */
} sm_parts;

/* How many places of their own the parts of all roots need. */
typedef struct {
    int scan, frame, tube, readings, landmarks, side;
} sm_part_counts;

/* Finds where the parts of root `index` come from, those of the roots before it being known. SM_NO_MEMORY. */
sm_status sm_parts_find(const sm_root *root, sm_parts *parts, int index, sm_part_counts *kept);
void sm_parts_destroy(sm_parts *p);

#endif
