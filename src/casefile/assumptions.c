/* assumptions.c - the list of what the answer rests on.
 *
 * Contents: 1. the parts of one assumption  2. adding one  3. release
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/assumptions.h"

#include <stdlib.h>

#include "base/grow.h"
#include "format/json_doc.h"

/* 1. The parts of one assumption */

const char *sm_origin_name(sm_origin o)
{
    static const char *const names[] = {"case", "profile", "default"};
    return (unsigned)o <= SM_FROM_DEFAULT ? names[o] : "unknown origin";
}

static char *value_text(const sm_assumption_ask *ask)
{
    sm_text t = {0};
    char number[SM_NUMBER_SIZE];
    if (ask->node)
        sm_json_doc_write(ask->node, &t);
    else
        sm_text_puts(&t, sm_number_write(ask->number, number));
    return sm_text_take(&t);
}

/* One end of the range as JSON, scaled where the key holds only a part of what the table states. */
static char *range_text(const char *end, double scale)
{
    char number[SM_NUMBER_SIZE];
    return sm_string_copy(sm_number_write(strtod(end, NULL) * (scale > 0.0 ? scale : 1.0), number));
}

static char *source_text(const sm_assumption_ask *ask)
{
    sm_text t = {0};
    if (ask->origin == SM_FROM_CASE)
        sm_text_puts(&t, "stated in the case");
    else if (ask->origin == SM_FROM_PROFILE)
        sm_text_puts(&t, ask->source);
    else if (ask->line)
        sm_text_addf(&t, "%s Source: %s.", ask->line->reason, ask->line->source);
    return sm_text_take(&t);
}

/* "left ostium gap: SD between readers" */
static char *words_text(const sm_assumption_ask *ask)
{
    sm_text t = {0};
    sm_text_addf(&t, "%s%s%s%s%s", ask->side, ask->side[0] ? " " : "", ask->about, ask->about[0] ? ": " : "",
                 ask->words);
    return sm_text_take(&t);
}

static char *draws_text(const sm_assumption_ask *ask)
{
    sm_text t = {0};
    bool of_side = ask->draws_of_side && ask->side[0];
    sm_text_addf(&t, "%s%s%s", of_side ? ask->side : "", of_side ? "." : "", ask->draws);
    return sm_text_take(&t);
}

/* 2. Adding one */

void sm_assumptions_add(sm_assumptions *list, const sm_assumption_ask *ask)
{
    sm_assumption *grown = sm_grow(list->item, list->n, &list->cap, 64, sizeof *grown);
    if (!grown) {
        list->failed = true;
        return;
    }
    list->item = grown;
    sm_assumption *a = &list->item[list->n++];
    const sm_default *line = ask->line;
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s", ask->path, ask->key);
    *a = (sm_assumption){.path = sm_text_take(&path),
                         .value = value_text(ask),
                         .unit = sm_string_copy(ask->unit),
                         .words = words_text(ask),
                         .source = source_text(ask),
                         .origin = ask->origin,
                         .grade = ask->origin == SM_FROM_DEFAULT && line ? line->grade : SM_STATED,
                         .draws = draws_text(ask),
                         .is_constant = ask->is_constant,
                         .low = line && line->low ? range_text(line->low, ask->scale) : NULL,
                         .high = line && line->high ? range_text(line->high, ask->scale) : NULL};
    bool whole = a->path && a->value && a->unit && a->words && a->source && a->draws &&
                 (!line || !line->low || (a->low && a->high));
    list->failed |= !whole;
}

/* 3. Release */

static void assumption_destroy(sm_assumption *a)
{
    char *owned[] = {a->path, a->value, a->unit, a->words, a->source, a->draws, a->low, a->high};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        free(owned[i]);
}

void sm_assumptions_destroy(sm_assumptions *list)
{
    for (size_t i = 0; i < list->n; i++)
        assumption_destroy(&list->item[i]);
    free(list->item);
    *list = (sm_assumptions){0};
}
