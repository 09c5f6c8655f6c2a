/* datum.c - one value of a case by its type.
 *
 * Contents: 1. distributions  2. lists  3. in one line  4. any value
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/datum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "format/json_doc.h"

/* 1. Distributions */

/* True if node is a family with all its parameters; whether they are possible the reader has checked. */
static bool take_dist(const cJSON *node, sm_dist *out)
{
    const cJSON *only = cJSON_IsObject(node) ? node->child : NULL;
    while (only && strcmp(only->string, "cross_check") == 0) /* a second look beside it has values of its own */
        only = only->next;
    *out = (sm_dist){0};
    if (!only || !sm_dist_family_named(only->string, &out->family))
        return false;
    for (size_t i = 0; i < sm_dist_parameters(out->family); i++) {
        const cJSON *p = cJSON_GetObjectItemCaseSensitive(only, sm_dist_parameter_name(out->family, i));
        if (!cJSON_IsNumber(p))
            return false;
        out->p[i] = p->valuedouble;
    }
    return true;
}

/* 2. Lists */

static bool all_numbers(const cJSON *list)
{
    for (const cJSON *c = list->child; c; c = c->next)
        if (!cJSON_IsNumber(c))
            return false;
    return true;
}

static bool all_pairs(const cJSON *list)
{
    for (const cJSON *c = list->child; c; c = c->next)
        if (!cJSON_IsArray(c) || cJSON_GetArraySize(c) != 2 || !all_numbers(c))
            return false;
    return true;
}

/* False if memory runs out. */
static bool take_list(const cJSON *list, bool pairs, sm_datum *out)
{
    const size_t n = (size_t)cJSON_GetArraySize(list), each = pairs ? 2 : 1;
    double *x = malloc((each * n + 1) * sizeof *x);
    out->list.n = n;
    out->list.x = x;
    if (!x)
        return false;
    for (const cJSON *c = list->child; c; c = c->next)
        for (const cJSON *number = pairs ? c->child : c; number; number = pairs ? number->next : NULL)
            *x++ = number->valuedouble;
    return true;
}

/* 3. In one line */

/* "A: 5.4, 5.6". Recursion is bounded by SM_JSON_DEPTH_LIMIT. */
static void plain_write(const cJSON *node, sm_text *out)
{
    if (cJSON_IsString(node))
        sm_text_puts(out, node->valuestring);
    else if (!cJSON_IsObject(node) && !cJSON_IsArray(node))
        sm_json_doc_write(node, out);
    else
        for (const cJSON *c = node->child; c; c = c->next) {
            if (cJSON_IsObject(node))
                sm_text_addf(out, "%s: ", c->string);
            plain_write(c, out);
            sm_text_puts(out, c->next ? ", " : "");
        }
}

/* Both texts; false if memory runs out. */
static bool take_texts(const cJSON *node, sm_datum *out)
{
    sm_text json = {0}, plain = {0};
    sm_json_doc_write(node, &json);
    plain_write(node, &plain);
    out->json = sm_text_take(&json);
    out->plain = sm_text_take(&plain);
    return out->json && out->plain;
}

/* 4. Any value */

bool sm_datum_take(const cJSON *node, sm_datum *out)
{
    *out = (sm_datum){0};
    bool whole = true;
    if (!node)
        return true;
    if (cJSON_IsNumber(node)) {
        out->kind = SM_DATUM_NUMBER;
        out->number = node->valuedouble;
    } else if (cJSON_IsBool(node)) {
        out->kind = SM_DATUM_TRUTH;
        out->truth = cJSON_IsTrue(node);
    } else if (cJSON_IsString(node))
        out->kind = SM_DATUM_WORD;
    else if (cJSON_IsArray(node) && (all_numbers(node) || all_pairs(node))) {
        out->kind = all_numbers(node) ? SM_DATUM_LIST : SM_DATUM_POINTS;
        whole = take_list(node, out->kind == SM_DATUM_POINTS, out);
    } else
        out->kind = take_dist(node, &out->dist) ? SM_DATUM_DIST : SM_DATUM_OBJECT;
    return take_texts(node, out) && whole;
}

bool sm_datum_read(const char *json, sm_datum *out)
{
    cJSON *node = cJSON_Parse(json);
    const bool whole = sm_datum_take(node, out) && node;
    cJSON_Delete(node);
    return whole;
}

bool sm_datum_number(double x, sm_datum *out)
{
    const cJSON node = {.type = cJSON_Number, .valuedouble = x};
    return sm_datum_take(&node, out);
}

#define AS_TYPED 0.02

static bool same_number(double a, double b)
{
    return fabs(a - b) <= AS_TYPED * fmax(fabs(a), fabs(b));
}

static bool same_numbers(const double *a, const double *b, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!same_number(a[i], b[i]))
            return false;
    return true;
}

bool sm_datum_same(const sm_datum *a, const sm_datum *b, double scale)
{
    if (a->kind != b->kind)
        return false;
    switch (a->kind) {
    case SM_DATUM_NUMBER:
        return same_number(a->number, scale * b->number);
    case SM_DATUM_TRUTH:
        return a->truth == b->truth;
    case SM_DATUM_WORD:
        return strcmp(a->plain, b->plain) == 0;
    case SM_DATUM_DIST:
        return a->dist.family == b->dist.family &&
               same_numbers(a->dist.p, b->dist.p, sm_dist_parameters(a->dist.family));
    case SM_DATUM_LIST:
    case SM_DATUM_POINTS:
        return a->list.n == b->list.n &&
               same_numbers(a->list.x, b->list.x, (a->kind == SM_DATUM_POINTS ? 2 : 1) * a->list.n);
    default:
        return false;
    }
}

void sm_datum_destroy(sm_datum *d)
{
    if (d->kind == SM_DATUM_LIST || d->kind == SM_DATUM_POINTS)
        free((double *)d->list.x);
    free((char *)d->json);
    free((char *)d->plain);
    *d = (sm_datum){0};
}
