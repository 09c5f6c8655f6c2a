/* sources.c - the named sources of randomness of a case and the columns of base draws that belong to them.
 *
 * Contents: 1. sources  2. columns  3. drawing
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/sources.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "sampling/rng.h"

/* 1. Sources */

int sm_sources_find(const sm_sources *s, const char *name)
{
    for (int i = 0; i < s->n_sources; i++)
        if (strcmp(s->source[i].name, name) == 0)
            return i;
    return -1;
}

int sm_sources_add_named(sm_sources *s, const char *name, bool reducible, int side)
{
    const bool next = s->next_source < s->n_sources && strcmp(s->source[s->next_source].name, name) == 0;
    const int found = next ? s->next_source : sm_sources_find(s, name);
    if (found >= 0) {
        s->next_source = found + 1;
        return found;
    }
    sm_source *more = sm_grow(s->source, (size_t)s->n_sources, &s->cap_sources, 32, sizeof *more);
    if (!more)
        return -1;
    s->source = more;
    sm_source *new = &s->source[s->n_sources];
    snprintf(new->name, sizeof new->name, "%s", name);
    new->id = SM_SOURCE_NONE;
    new->reducible = reducible;
    new->side = side;
    return s->n_sources++;
}

int sm_sources_add(sm_sources *s, sm_source_id id, int side, const char *side_name)
{
    char name[SM_SOURCE_NAME_SIZE];
    sm_source_name(id, side_name, name);
    const int i = sm_sources_add_named(s, name, sm_source_is_reducible(id), side);
    if (i >= 0)
        s->source[i].id = id;
    return i;
}

int sm_sources_of(const sm_sources *s, sm_source_id id, int side)
{
    for (int i = 0; i < s->n_sources; i++)
        if (s->source[i].id == id && s->source[i].side == side)
            return i;
    return -1;
}

void sm_sources_destroy(sm_sources *s)
{
    free(s->source);
    free(s->column);
    *s = (sm_sources){0};
}

/* 2. Columns */

static int column_find(const sm_sources *s, int source, const char *part)
{
    for (int i = 0; i < s->n_columns; i++)
        if (s->column[i].source == source && strcmp(s->column[i].part, part) == 0)
            return i;
    return -1;
}

static void name_streams(sm_column *c, const char *source_name)
{
    char stream[SM_SOURCE_NAME_SIZE + sizeof c->part + 1];
    snprintf(stream, sizeof stream, "%s/%s", source_name, c->part);
    for (uint32_t purpose = SM_FOR_RUN; purpose < SM_PURPOSES; purpose++)
        c->stream[purpose] = sm_rng_stream(stream, purpose);
}

int sm_sources_column(sm_sources *s, int source, const char *part, sm_base base)
{
    if (source < 0)
        return -1;
    const sm_column *c = &s->column[s->next_column];
    const bool next = s->next_column < s->n_columns && c->source == source && strcmp(c->part, part) == 0;
    const int found = next ? s->next_column : column_find(s, source, part);
    if (found >= 0) {
        s->next_column = found + 1;
        return found;
    }
    sm_column *more = sm_grow(s->column, (size_t)s->n_columns, &s->cap_columns, 64, sizeof *more);
    if (!more)
        return -1;
    s->column = more;
    sm_column *new = &s->column[s->n_columns];
    *new = (sm_column){.source = source, .base = base};
    snprintf(new->part, sizeof new->part, "%s", part);
    name_streams(new, s->source[source].name);
    return s->n_columns++;
}

/* 3. Drawing */

void sm_sources_draw(const sm_column *c, gsl_rng *r, uint64_t seed, sm_purpose purpose, uint32_t block, double *out)
{
    sm_rng_seek(r, seed, c->stream[purpose], block);
    if (c->base == SM_BASE_NORMAL)
        sm_rng_normals(r, out, SM_BLOCK);
    else
        sm_rng_uniforms(r, out, SM_BLOCK);
}
