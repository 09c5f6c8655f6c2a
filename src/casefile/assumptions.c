/* assumptions.c - the list of what the answer rests on.
 *
 * Contents: 1. the parts of one assumption  2. adding one, and taking it off  3. one in words  4. release
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/assumptions.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "format/json_doc.h"

/* 1. The parts of one assumption */

const char *sm_origin_name(sm_origin o)
{
    static const char *const names[] = {"case", "profile", "default"};
    return (unsigned)o <= SM_FROM_DEFAULT ? names[o] : "unknown origin";
}

static bool take_value(const sm_assumption_ask *ask, sm_datum *out)
{
    return ask->node ? sm_datum_take(ask->node, out) : sm_datum_number(ask->number, out);
}

static const char *source_of(const sm_assumption_ask *ask)
{
    if (ask->origin == SM_FROM_CASE)
        return "stated in the case";
    if (ask->origin == SM_FROM_PROFILE)
        return ask->source;
    return ask->line ? ask->line->source : "";
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
    char name[SM_SOURCE_NAME_SIZE];
    sm_source_name(ask->draws, ask->side, name);
    return sm_string_copy(name);
}

/* 2. Adding one, and taking it off */

static void assumption_destroy(sm_assumption *a)
{
    char *owned[] = {a->path, a->unit, a->words, a->reason, a->source, a->draws};
    for (size_t i = 0; i < sizeof owned / sizeof *owned; i++)
        free(owned[i]);
    sm_datum_destroy(&a->value);
}

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
    const bool is_default = ask->origin == SM_FROM_DEFAULT && line;
    /* the key may hold only a part of what the table states */
    const double scale = ask->scale > 0.0 ? ask->scale : 1.0;
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s", ask->path, ask->key);
    *a = (sm_assumption){.path = sm_text_take(&path),
                         .unit = sm_string_copy(ask->unit),
                         .words = words_text(ask),
                         .reason = sm_string_copy(is_default ? line->reason : ""),
                         .source = sm_string_copy(source_of(ask)),
                         .origin = ask->origin,
                         .grade = is_default ? line->grade : SM_STATED,
                         .draws = draws_text(ask),
                         .is_constant = ask->is_constant,
                         .has_range = line && line->range.words};
    if (a->has_range) {
        a->low = line->range.low * scale;
        a->high = line->range.high * scale;
    }
    const bool whole =
        take_value(ask, &a->value) && a->path && a->unit && a->words && a->reason && a->source && a->draws;
    list->failed |= !whole;
}

const sm_assumption *sm_assumptions_find(const sm_assumptions *list, const char *path)
{
    for (size_t i = 0; i < list->n; i++)
        if (list->item[i].path && strcmp(list->item[i].path, path) == 0)
            return &list->item[i];
    return NULL;
}

void sm_assumptions_drop(sm_assumptions *list, const sm_assumption *a)
{
    const size_t i = (size_t)(a - list->item);
    assumption_destroy(&list->item[i]);
    list->n--;
    memmove(&list->item[i], &list->item[i + 1], (list->n - i) * sizeof *list->item);
}

/* 3. One in words */

void sm_assumption_why(const sm_assumption *a, sm_text *out)
{
    if (a->reason[0])
        sm_text_addf(out, "%s Source: %s.", a->reason, a->source);
    else
        sm_text_puts(out, a->source);
}

/* 4. Release */

void sm_assumptions_destroy(sm_assumptions *list)
{
    for (size_t i = 0; i < list->n; i++)
        assumption_destroy(&list->item[i]);
    free(list->item);
    *list = (sm_assumptions){0};
}
