/* parts.c - what the roots of a plan share.
 *
 * Contents: 1. kinds of parts  2. what a part is computed from  3. finding parts
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/parts.h"

#include <stdlib.h>
#include <string.h>

/* 1. Kinds of parts */

/* Where the constants of a kind stand in a root, the part in sm_parts, its count in sm_part_counts. */
typedef struct {
    bool of_side;
    size_t constants, size, part, kept;
} kind;

#define SHARED(name)                                                                                                   \
    {                                                                                                                  \
        false, offsetof(sm_root, name), sizeof((sm_root *)0)->name, offsetof(sm_parts, name),                          \
            offsetof(sm_part_counts, name)                                                                             \
    }
#define OF_SIDE(name)                                                                                                  \
    {                                                                                                                  \
        true, offsetof(sm_root_side, name), sizeof((sm_root_side *)0)->name, offsetof(sm_side_parts, name),            \
            offsetof(sm_part_counts, name)                                                                             \
    }

static const kind scan = SHARED(scan), frame = SHARED(frame), tube = SHARED(tube), shape = SHARED(shape),
                  readings = OF_SIDE(readings), landmarks = OF_SIDE(landmarks), outputs = OF_SIDE(outputs);

static const void *constants_of(const kind *what, const sm_root *r, int k)
{
    const char *at = what->of_side ? (const char *)&r->side[k] : (const char *)r;
    return at + what->constants;
}

static sm_part *part_of(const kind *what, sm_parts *p, int k)
{
    char *at = what->of_side ? (char *)&p->side[k] : (char *)p;
    return (sm_part *)(void *)(at + what->part);
}

/* 2. What a part is computed from */

/* plan.c takes what it gives to an evaluation from here: nothing can be computed from a part that was not compared. */

static const sm_part_sources from_nothing = {-1, -1, -1, -1, -1, -1};

static sm_part_sources from_scan(const sm_parts *p, bool blooms)
{
    sm_part_sources from = from_nothing;
    from.scan = blooms ? p->scan.owner : -1;
    return from;
}

static sm_part_sources landmarks_from(const sm_parts *p, int k)
{
    sm_part_sources from = from_nothing;
    from.frame = p->frame.owner;
    from.readings = p->side[k].readings.owner;
    return from;
}

static sm_part_sources outputs_from(const sm_parts *p, int k)
{
    sm_part_sources from = from_nothing;
    from.tube = p->tube.owner;
    from.shape = p->shape.owner;
    from.landmarks = p->side[k].landmarks.owner;
    return from;
}

/* 3. Finding parts */

/* Bytes, not values: 0 and -0 differ, and so would garbage between members. Taking equal parts for different ones costs
 * time alone. */
static bool same(const void *a, const void *b, size_t size)
{
    return memcmp(a, b, size) == 0;
}

/* The owner of a part moves from the scratch place to one of its own when a second root is found to use it. */
static void find(const kind *what, const sm_root *root, sm_parts *parts, int index, int k, sm_part_sources from,
                 sm_part_counts *counts)
{
    const int scratch = what->of_side ? root[index].n_sides : 1;
    int *kept = (int *)(void *)((char *)counts + what->kept);
    sm_part *mine = part_of(what, &parts[index], k);
    *mine = (sm_part){.owner = index, .slot = index == 0 ? k : scratch, .from = from};
    for (int j = 0; j < index; j++) {
        sm_part *other = part_of(what, &parts[j], k);
        if (other->owner != j || !same(&other->from, &from, sizeof from) ||
            !same(constants_of(what, &root[j], k), constants_of(what, &root[index], k), what->size))
            continue;
        if (other->slot == scratch)
            other->slot = scratch + ++(*kept);
        mine->owner = j;
        mine->slot = other->slot;
        return;
    }
}

sm_status sm_parts_find_drawn(const sm_root *root, sm_parts *parts, int index, sm_part_counts *kept)
{
    const sm_root *r = &root[index];
    sm_parts *p = &parts[index];
    *p = (sm_parts){.side = calloc((size_t)r->n_sides, sizeof *p->side)};
    if (!p->side)
        return SM_NO_MEMORY;
    find(&scan, root, parts, index, 0, from_nothing, kept);
    find(&frame, root, parts, index, 0, from_nothing, kept);
    find(&tube, root, parts, index, 0, from_scan(p, r->tube.blooms), kept);
    find(&shape, root, parts, index, 0, from_nothing, kept);
    for (int k = 0; k < r->n_sides; k++)
        find(&readings, root, parts, index, k, from_scan(p, r->side[k].readings.blooms), kept);
    return SM_OK;
}

void sm_parts_find_placed(const sm_root *root, sm_parts *parts, int index, sm_part_counts *kept)
{
    for (int k = 0; k < root[index].n_sides; k++) {
        find(&landmarks, root, parts, index, k, landmarks_from(&parts[index], k), kept);
        find(&outputs, root, parts, index, k, outputs_from(&parts[index], k), kept);
    }
}

bool sm_parts_same_looks(const sm_root *root, const sm_parts *parts, int a, int b)
{
    for (int k = 0; k < root[a].n_sides; k++) {
        const sm_part_sources x = landmarks_from(&parts[a], k), y = landmarks_from(&parts[b], k);
        const sm_root_looks *p = &root[a].side[k].landmarks.looks, *q = &root[b].side[k].landmarks.looks;
        if (!same(&x, &y, sizeof x) || !same(p, q, sizeof *p))
            return false;
    }
    return true;
}

void sm_parts_destroy(sm_parts *p)
{
    free(p->side);
    *p = (sm_parts){0};
}
