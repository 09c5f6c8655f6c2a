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

/* Whether it is the default's own value: by default, or typed in a case or a profile. What a default merely stands in
 * for (a device's height) is known when it is stated, and so is what was measured. */
static bool is_the_default(const sm_assumption_ask *ask, const sm_datum *value, double scale)
{
    const sm_default *line = ask->line;
    if (!line || ask->measured)
        return false;
    return ask->origin == SM_FROM_DEFAULT || (!ask->stands_in && sm_datum_same(value, &line->value, scale));
}

/* A limit, or whether a wall is bright, is a choice: it stays in doubt whatever was chosen. */
static bool stays_in_doubt(const sm_assumption_ask *ask, const sm_doubt *d)
{
    return d->kind == SM_DOUBT_ALONE && !ask->measured;
}

/* The doubt, its ends brought to the part of the default that the key holds. A value outside them has none. */
static sm_doubt doubt_of(const sm_assumption_ask *ask, const sm_datum *value, bool is_default, double scale)
{
    sm_doubt d = ask->line ? sm_doubt_of(ask->line) : (sm_doubt){.kind = SM_DOUBT_NONE};
    d.low *= scale;
    d.high *= scale;
    const double own = sm_doubt_point_at(value, d.point);
    const bool within = own >= d.low && own <= d.high;
    return within && (is_default || stays_in_doubt(ask, &d)) ? d : (sm_doubt){.kind = SM_DOUBT_NONE};
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
    if (list->none)
        return;
    sm_assumption *grown = sm_grow(list->item, list->n, &list->cap, 64, sizeof *grown);
    if (!grown) {
        list->failed = true;
        return;
    }
    list->item = grown;
    sm_assumption *a = &list->item[list->n++];
    /* the key may hold only a part of what the table states */
    const double scale = ask->scale > 0.0 ? ask->scale : 1.0;
    sm_text path = {0};
    sm_text_addf(&path, "%s/%s", ask->path, ask->key);
    *a = (sm_assumption){.path = sm_text_take(&path),
                         .unit = sm_string_copy(ask->unit),
                         .words = words_text(ask),
                         .origin = ask->origin,
                         .draws = draws_text(ask),
                         .is_constant = ask->is_constant};
    bool whole = take_value(ask, &a->value);
    const bool is_default = whole && is_the_default(ask, &a->value, scale);
    a->grade = is_default ? ask->line->grade : SM_STATED;
    a->reason = sm_string_copy(is_default ? ask->line->reason : "");
    a->source = sm_string_copy(is_default ? ask->line->source : source_of(ask));
    a->doubt = whole ? doubt_of(ask, &a->value, is_default, scale) : (sm_doubt){.kind = SM_DOUBT_NONE};
    a->own = sm_doubt_point_at(&a->value, a->doubt.point);
    whole = whole && a->path && a->unit && a->words && a->reason && a->source && a->draws;
    list->failed |= !whole;
}

static const sm_assumption *find(const sm_assumptions *list, const char *path)
{
    for (size_t i = 0; i < list->n; i++)
        if (list->item[i].path && strcmp(list->item[i].path, path) == 0)
            return &list->item[i];
    return NULL;
}

void sm_assumptions_drop(sm_assumptions *list, const char *path)
{
    const sm_assumption *a = find(list, path);
    if (!a)
        return;
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
