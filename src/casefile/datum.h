/* datum.h - one value of a case by its type: what a reader of the list of assumptions, of defaults or of differences
 * works with, so that nobody looks into JSON text.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_DATUM_H
#define SM_CASEFILE_DATUM_H

#include <stdbool.h>
#include <stddef.h>

#include "sampling/dist.h"

struct cJSON;

typedef enum {
    SM_DATUM_NONE, /* nothing is stated; a zeroed datum */
    SM_DATUM_NUMBER,
    SM_DATUM_TRUTH,
    SM_DATUM_WORD, /* `plain` is it */
    SM_DATUM_DIST,
    SM_DATUM_LIST,   /* numbers: base points */
    SM_DATUM_POINTS, /* pairs of numbers: the shape of a frame */
    SM_DATUM_OBJECT  /* readings, and whatever else has parts of its own */
} sm_datum_kind;

typedef struct {
    sm_datum_kind kind;
    union {
        double number;
        bool truth;
        sm_dist dist;
        struct {
            size_t n;        /* numbers, or pairs */
            const double *x; /* n of them, or 2 n */
        } list;
    };
    const char *json;  /* as it was entered, for the files that are written */
    const char *plain; /* the same without brackets and quotes */
} sm_datum;

/* The value at node; none if node is NULL. False if memory runs out. Destroy out in every case. */
bool sm_datum_take(const struct cJSON *node, sm_datum *out);
/* The value that a JSON text states. */
bool sm_datum_read(const char *json, sm_datum *out);
bool sm_datum_number(double x, sm_datum *out);
/* Whether both say the same, to a fiftieth: a value that was typed as it is printed (0.42 for 0.4243), or nearly the
 * same, is no other one. Numbers of b count times `scale`. */
bool sm_datum_same(const sm_datum *a, const sm_datum *b, double scale);
void sm_datum_destroy(sm_datum *d);

#endif
