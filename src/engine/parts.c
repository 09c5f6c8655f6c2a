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

static const kind steering = SHARED(steering), scan = SHARED(scan), frame = SHARED(frame), tube = SHARED(tube),
                  shape = SHARED(shape), readings = OF_SIDE(readings), landmarks = OF_SIDE(landmarks),
                  outputs = OF_SIDE(outputs);

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

static const sm_part_sources from_nothing = {-1, -1, -1, -1, -1, -1, -1};

/* The columns as the steering left them; as they were drawn if the root is not steered. */
static sm_part_sources from_columns(const sm_root *r, const sm_parts *p)
{
    sm_part_sources from = from_nothing;
    from.steering = r->steering.n > 0 ? p->steering.owner : -1;
    return from;
}

static sm_part_sources from_scan(const sm_root *r, const sm_parts *p, bool blooms)
{
    sm_part_sources from = from_columns(r, p);
    from.scan = blooms ? p->scan.owner : -1;
    return from;
}

static sm_part_sources landmarks_from(const sm_root *r, const sm_parts *p, int k)
{
    sm_part_sources from = from_columns(r, p);
    from.frame = p->frame.owner;
    from.readings = p->side[k].readings.owner;
    return from;
}

static sm_part_sources outputs_from(const sm_root *r, const sm_parts *p, int k)
{
    sm_part_sources from = from_columns(r, p);
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

/* The place that the next root overwrites. Where there are weights, each side has its own: they are found from all
 * sides at the end. */
static int scratch_of(const kind *what, const sm_root *root, int index, int k)
{
    return what->of_side ? root[index].n_sides + (root[index].steering.n > 0 ? k : 0) : 1;
}

/* Behind which the places of parts that a later root takes too begin. */
static int last_scratch(const kind *what, const sm_root *root)
{
    return what->of_side ? 2 * root[0].n_sides - 1 : 1;
}

/* The owner of a part moves from the scratch place to one of its own when a second root is found to use it. */
static void find(const kind *what, const sm_root *root, sm_parts *parts, int index, int k, sm_part_sources from,
                 sm_part_counts *counts)
{
    int *kept = (int *)(void *)((char *)counts + what->kept);
    sm_part *mine = part_of(what, &parts[index], k);
    *mine = (sm_part){.owner = index, .slot = index == 0 ? k : scratch_of(what, root, index, k), .from = from};
    for (int j = 0; j < index; j++) {
        sm_part *other = part_of(what, &parts[j], k);
        if (other->owner != j || !same(&other->from, &from, sizeof from) ||
            !same(constants_of(what, &root[j], k), constants_of(what, &root[index], k), what->size))
            continue;
        if (j > 0 && other->slot == scratch_of(what, root, j, k))
            other->slot = last_scratch(what, root) + ++(*kept);
        mine->owner = j;
        mine->slot = other->slot;
        return;
    }
}

sm_status sm_parts_find(const sm_root *root, sm_parts *parts, int index, sm_part_counts *kept)
{
    const sm_root *r = &root[index];
    sm_parts *p = &parts[index];
    *p = (sm_parts){.side = calloc((size_t)r->n_sides, sizeof *p->side)};
    if (!p->side)
        return SM_NO_MEMORY;
    find(&steering, root, parts, index, 0, from_nothing, kept);
    find(&scan, root, parts, index, 0, from_nothing, kept);
    find(&frame, root, parts, index, 0, from_columns(r, p), kept);
    find(&tube, root, parts, index, 0, from_scan(r, p, r->tube.blooms), kept);
    find(&shape, root, parts, index, 0, from_nothing, kept);
    for (int k = 0; k < r->n_sides; k++) {
        find(&readings, root, parts, index, k, from_scan(r, p, r->side[k].readings.blooms), kept);
        find(&landmarks, root, parts, index, k, landmarks_from(r, p, k), kept);
        find(&outputs, root, parts, index, k, outputs_from(r, p, k), kept);
    }
    return SM_OK;
}

/* The owners of all that a look is at. */
static bool same_looked_at(const sm_root *r, const sm_parts *a, const sm_parts *b)
{
    for (int l = 0; l < r->steering.n; l++) {
        const int k = r->steering.look[l].side;
        if (k != SM_SHARED && a->side[k].landmarks.owner != b->side[k].landmarks.owner)
            return false;
    }
    return true;
}

/* What an alternative makes of the tube does not matter: the looks are at the valve as it is. */
bool sm_parts_weigh_as_first(const sm_root *root, const sm_parts *parts, int index)
{
    return parts[index].steering.owner == 0 && same_looked_at(&root[index], &parts[0], &parts[index]);
}

void sm_parts_destroy(sm_parts *p)
{
    free(p->side);
    *p = (sm_parts){0};
}
