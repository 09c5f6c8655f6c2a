/* parts.h - what the roots of a plan share: each part is computed for the first root that has it and kept for the rest.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_PARTS_H
#define SM_ENGINE_PARTS_H

#include "engine/root.h"

/* From which roots a part takes the lower parts that it is computed from: their owners. -1: it is not computed from
 * that. */
typedef struct {
    int steering, scan, frame, tube, shape, readings, landmarks;
} sm_part_sources;

/* One part of one root. Two roots share it if they have the same constants and take the same lower parts. */
typedef struct {
    int owner; /* the first root that has it: the one that computes it */
    int slot;  /* where a worker keeps it */
    sm_part_sources from;
} sm_part;

typedef struct {
    sm_part readings, landmarks, outputs;
} sm_side_parts;

/* The parts of one root. The shape is not drawn: it is its constants. */
typedef struct {
    sm_part steering, scan, frame, tube, shape;
    sm_side_parts *side;
} sm_parts;

/* How many places of their own the parts of all roots but the first need. Slots: root[0]'s (a part of side k in slot k,
 * one that all sides share in slot 0); after those places that the next root overwrites, one that all sides share or,
 * where there are weights, one a side; after them the places of parts that a later root takes too. */
typedef struct {
    int steering, scan, frame, tube, shape, readings, landmarks, outputs;
} sm_part_counts;

/* Finds where the parts of root `index` come from, those of the roots before it being known. SM_NO_MEMORY. */
sm_status sm_parts_find(const sm_root *root, sm_parts *parts, int index, sm_part_counts *kept);
void sm_parts_destroy(sm_parts *p);

/* Whether the trials of root `index` have the weights of root[0]: the second looks and all that they are at are the
 * same, or there is none in either. */
bool sm_parts_weigh_as_first(const sm_root *root, const sm_parts *parts, int index);

#endif
