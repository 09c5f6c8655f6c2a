/* assumptions.c - the list of what the answer rests on.
 *
 * Contents: 1. the parts of one assumption  2. adding one
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/assumptions.h"

#include <stdlib.h>

#include "base/grow.h"

/* 1. The parts of one assumption */

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

static sm_assumption *room_for_one(sm_reader *r)
{
    sm_assumption *grown = sm_grow(r->assumption, r->n_assumptions, &r->cap_assumptions, 64, sizeof *grown);
    if (!grown)
        return NULL;
    r->assumption = grown;
    return &r->assumption[r->n_assumptions++];
}

void sm_assumptions_add(sm_reader *r, const sm_assumption_ask *ask)
{
    sm_assumption *a = room_for_one(r);
    if (!a) {
        r->no_memory = true;
        return;
    }
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
    r->no_memory |= !whole;
}
