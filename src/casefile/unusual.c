/* unusual.c - the list of numbers that are unusual.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/unusual.h"

#include <stdlib.h>

#include "base/grow.h"

static void release(sm_unusual *u)
{
    free(u->at);
    free(u->name);
    free(u->what);
    free(u->other);
}

void sm_unusuals_add(sm_unusuals *u, sm_unusual found)
{
    const bool whole = found.at && found.name && found.what && found.other;
    sm_unusual *item = whole ? sm_grow(u->item, u->n, &u->cap, 8, sizeof *item) : NULL;
    if (!item) {
        u->failed = true;
        release(&found);
        return;
    }
    u->item = item;
    u->item[u->n++] = found;
}

void sm_unusuals_destroy(sm_unusuals *u)
{
    for (size_t i = 0; i < u->n; i++)
        release(&u->item[i]);
    free(u->item);
    *u = (sm_unusuals){0};
}
