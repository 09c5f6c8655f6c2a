/* sources.h - the named sources of randomness of a case and the columns of base draws that belong to them.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_SOURCES_H
#define SM_ENGINE_SOURCES_H

#include <stdbool.h>
#include <stdint.h>

#include <gsl/gsl_rng.h>

#include "base/lanes.h"
#include "measurement/source.h"
#include "sampling/transform.h"

#define SM_SHARED (-1) /* the side of a source that all sides share */

/* Which sample a draw belongs to: no two purposes share a stream. */
typedef enum { SM_FOR_RUN, SM_FOR_PILOT, SM_FOR_RANGE, SM_FOR_REDRAW, SM_PURPOSES } sm_purpose;

typedef struct {
    char name[SM_SOURCE_NAME_SIZE];
    sm_source_id id; /* SM_SOURCE_NONE: of no case */
    bool reducible;  /* a re-measurement can shrink it (model.md section 6) */
    int side;        /* index of its coronary, or SM_SHARED */
} sm_source;

/* What of a root is made of a column: where its parts ask for one, it is noted (root.c). */
typedef enum {
    SM_FEEDS_SCAN = 1,
    SM_FEEDS_FRAME = 2,
    SM_FEEDS_TUBE = 4,
    SM_FEEDS_READINGS = 8,
    SM_FEEDS_OUTPUTS = 16,
    SM_FEEDS_ALL = 31
} sm_feeds;

/* One scalar draw a trial. Its stream is named by its source and its part alone. */
typedef struct {
    int source;
    char part[24];
    sm_base base;
    unsigned feeds; /* sm_feeds of all roots together; 0: none of them has asked for it */
    uint64_t stream[SM_PURPOSES];
} sm_column;

typedef struct {
    sm_source *source;
    int n_sources;
    size_t cap_sources;
    sm_column *column;
    int n_columns;
    size_t cap_columns;
    int next_source, next_column; /* asked for after the last: a further root of the case asks in the same order */
} sm_sources;

/* The index of a case's source, added if it is new; -1 if memory runs out. side, side_name: of its coronary; SM_SHARED
 * and NULL for those that all sides share. */
int sm_sources_add(sm_sources *s, sm_source_id id, int side, const char *side_name);
/* The same for one of no case, by name. */
int sm_sources_add_named(sm_sources *s, const char *name, bool reducible, int side);
/* The index of a part's column, added with the given kind of base draw if it is new (then the kind stays); -1 if memory
 * runs out. */
int sm_sources_column(sm_sources *s, int source, const char *part, sm_base base);
/* The index of a source, -1 if there is none. */
int sm_sources_of(const sm_sources *s, sm_source_id id, int side);
int sm_sources_find(const sm_sources *s, const char *name);
void sm_sources_destroy(sm_sources *s);

/* Draws one block of a column. r is a generator of sm_rng_philox; out has SM_BLOCK places. */
void sm_sources_draw(const sm_column *c, gsl_rng *r, uint64_t seed, sm_purpose purpose, uint32_t block, double *out);

#endif
