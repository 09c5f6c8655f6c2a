/* parts.c - what the roots of a plan share.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/parts.h"

#include <stdlib.h>

#include "engine/root_same.h"

/* A kind of part: where it stands in sm_parts and when two roots agree in it. */
typedef struct {
    sm_part *(*of)(sm_parts *p, int k);
    bool (*same)(const sm_root *a, const sm_root *b, int k);
} kind;

static sm_part *scan_of(sm_parts *p, int k)
{
    (void)k;
    return &p->scan;
}

static sm_part *frame_of(sm_parts *p, int k)
{
    (void)k;
    return &p->frame;
}

static sm_part *tube_of(sm_parts *p, int k)
{
    (void)k;
    return &p->tube;
}

static sm_part *readings_of(sm_parts *p, int k)
{
    return &p->readings[k];
}

static sm_part *landmarks_of(sm_parts *p, int k)
{
    return &p->landmarks[k];
}

static sm_part *side_of(sm_parts *p, int k)
{
    return &p->side[k];
}

static bool same_scan(const sm_root *a, const sm_root *b, int k)
{
    (void)k;
    return sm_root_same_scan(a, b);
}

static bool same_frame(const sm_root *a, const sm_root *b, int k)
{
    (void)k;
    return sm_root_same_frame(a, b);
}

static bool same_tube(const sm_root *a, const sm_root *b, int k)
{
    (void)k;
    return sm_root_same_tube(a, b);
}

static const kind scan = {scan_of, same_scan}, frame = {frame_of, same_frame}, tube = {tube_of, same_tube},
                  readings = {readings_of, sm_root_same_readings}, landmarks = {landmarks_of, sm_root_same_landmarks},
                  side = {side_of, sm_root_same_side};

/* The owner of a part moves from the scratch place to one of its own when a second root is found to use it. */
static void find(const kind *what, const sm_root *root, sm_parts *parts, int index, int k, int *kept)
{
    sm_part *mine = what->of(&parts[index], k);
    *mine = (sm_part){index == 0 ? SM_SLOT_FIRST : SM_SLOT_SCRATCH, true};
    for (int j = 0; j < index; j++) {
        sm_part *other = what->of(&parts[j], k);
        if (!other->own || !what->same(&root[j], &root[index], k))
            continue;
        if (other->slot == SM_SLOT_SCRATCH)
            other->slot = SM_SLOT_KEPT + (*kept)++;
        *mine = (sm_part){other->slot, false};
        return;
    }
}

sm_status sm_parts_find(const sm_root *root, sm_parts *parts, int index, sm_part_counts *kept)
{
    const int n = root[index].n_sides;
    sm_parts *p = &parts[index];
    *p = (sm_parts){.readings = calloc((size_t)n, sizeof *p->readings),
                    .landmarks = calloc((size_t)n, sizeof *p->landmarks),
                    .side = calloc((size_t)n, sizeof *p->side)};
    if (!p->readings || !p->landmarks || !p->side) {
        sm_parts_destroy(p);
        return SM_NO_MEMORY;
    }
    find(&scan, root, parts, index, 0, &kept->scan);
    find(&frame, root, parts, index, 0, &kept->frame);
    find(&tube, root, parts, index, 0, &kept->tube);
    for (int k = 0; k < n; k++) {
        find(&readings, root, parts, index, k, &kept->readings);
        find(&landmarks, root, parts, index, k, &kept->landmarks);
        find(&side, root, parts, index, k, &kept->side);
    }
    return SM_OK;
}

void sm_parts_destroy(sm_parts *p)
{
    free(p->readings);
    free(p->landmarks);
    free(p->side);
    *p = (sm_parts){0};
}
