/* assumptions.h - the list of what the answer rests on: each optional key in force, its origin, grade, source and
 * range.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_ASSUMPTIONS_H
#define SM_CASEFILE_ASSUMPTIONS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"
#include "casefile/datum.h"
#include "casefile/doubts.h"
#include "measurement/source.h"

struct cJSON;

typedef enum { SM_FROM_CASE, SM_FROM_PROFILE, SM_FROM_DEFAULT } sm_origin;
const char *sm_origin_name(sm_origin o);

/* One thing that the answer rests on: an optional key, where its value came from and how far it can be trusted. */
typedef struct {
    char *path;     /* JSON pointer into the case, as if stated there */
    sm_datum value; /* in force */
    char *unit;     /* "mm", "degrees", "fraction", "mm per edge", "" */
    char *words;    /* what it is, in plain words: "centreline error, SD" */
    char *reason;   /* why a default is what it is, "" for all else */
    char *source;   /* where it comes from: literature, judgement, or what the case or the profile says */
    sm_origin origin;
    sm_grade grade;
    char *draws;      /* the random source that it feeds ("blooming", "left.ostium_gap"), "" for none */
    bool is_constant; /* the value is one number or word, an SD too, and no distribution: its influence is a swing over
                       * [low, high]; what `draws` names has a share of the variance as well */
    sm_doubt
        doubt;  /* how far it may be off, ends as values for `path`; what was measured or stated otherwise has none */
    double own; /* where the point that the doubt moves lies */
} sm_assumption;

/* Why it is what it is: "REASON Source: SOURCE." of a default, the source alone of all else. */
void sm_assumption_why(const sm_assumption *a, sm_text *out);

/* Zero-initialise to start empty. Once memory runs out `failed` stays set: look at the end. */
typedef struct {
    sm_assumption *item;
    size_t n, cap;
    bool failed;
    bool none; /* nothing is listed: of a version of a case, whose list nobody reads */
} sm_assumptions;

/* What is known of one optional key when it has been read. */
typedef struct {
    const char *path, *key;   /* pointer of the object, name of the key */
    const struct cJSON *node; /* the value in force; NULL: `number` is */
    double number;
    const char *unit;
    const char *about, *words; /* "ostium gap" (or ""), "SD between readers" */
    sm_origin origin;
    const char *source;     /* of the profile; other origins need none */
    const sm_default *line; /* grade, source and range; NULL if the table of defaults has none */
    bool stands_in;         /* the default stands in for what a case should state */
    double scale;           /* of the doubt's ends; 0 means 1 */
    bool measured;          /* the case says so: its value is no default, whatever it is */
    const char *side;       /* "left", "" outside coronaries */
    sm_source_id draws;
    bool is_constant;
} sm_assumption_ask;

void sm_assumptions_add(sm_assumptions *list, const sm_assumption_ask *ask);
/* Takes off the one at that pointer, if there is one. */
void sm_assumptions_drop(sm_assumptions *list, const char *path);
void sm_assumptions_destroy(sm_assumptions *list);

#endif
