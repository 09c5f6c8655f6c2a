/* source.c - the named sources of randomness: the table, and names.
 *
 * Contents: 1. the table  2. names
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/source.h"

#include <stdio.h>
#include <string.h>

/* 1. The table */

const sm_source_line sm_source_table[SM_SOURCES] = {
#define LINE(id, kind, name, words, again) [SM_SOURCE_##id] = {SM_SOURCE_##kind, name, words, again},
    [SM_SOURCE_NONE] = {.name = ""}, SM_SOURCE_LIST(LINE)
#undef LINE
};

bool sm_source_of_side(sm_source_id id)
{
    const sm_source_kind kind = sm_source_table[id].kind;
    return kind == SM_SOURCE_READING || kind == SM_SOURCE_LOOK || kind == SM_SOURCE_SUCCESS;
}

bool sm_source_is_reducible(sm_source_id id)
{
    return sm_source_table[id].again != NULL;
}

/* 2. Names */

void sm_source_name(sm_source_id id, const char *side, char out[SM_SOURCE_NAME_SIZE])
{
    const bool of_side = sm_source_of_side(id) && side && side[0];
    snprintf(out, SM_SOURCE_NAME_SIZE, "%s%s%s", of_side ? side : "", of_side ? "." : "", sm_source_table[id].name);
}

sm_source_id sm_source_named(const char *name, size_t *side_length)
{
    const char *dot = strchr(name, '.');
    if (side_length)
        *side_length = 0;
    for (int id = SM_SOURCE_NONE + 1; id < SM_SOURCES; id++) {
        const bool of_side = sm_source_of_side((sm_source_id)id);
        const char *what = of_side ? dot ? dot + 1 : "" : name; /* a shared one may hold a dot of its own */
        if (strcmp(sm_source_table[id].name, what) != 0)
            continue;
        if (side_length && of_side)
            *side_length = (size_t)(dot - name);
        return (sm_source_id)id;
    }
    return SM_SOURCE_NONE;
}

sm_source_id sm_source_of_quantity(sm_quantity_id quantity)
{
    static const sm_source_id of[SM_QUANTITIES] = {[SM_OSTIUM_HEIGHT] = SM_SOURCE_OSTIUM_HEIGHT,
                                                   [SM_OSTIUM_GAP] = SM_SOURCE_OSTIUM_GAP,
                                                   [SM_STJ_HEIGHT] = SM_SOURCE_STJ_HEIGHT,
                                                   [SM_STJ_GAP] = SM_SOURCE_STJ_GAP,
                                                   [SM_LEAFLET_HEIGHT] = SM_SOURCE_LEAFLET_HEIGHT};
    return of[quantity];
}
