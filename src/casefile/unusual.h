/* unusual.h - numbers of a case that are possible but unusual, with the slip that is likely behind each
 * (docs/slips.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_UNUSUAL_H
#define SM_CASEFILE_UNUSUAL_H

#include <stdbool.h>
#include <stddef.h>

typedef struct {
    char *at;    /* JSON pointer of the value that is asked about */
    char *name;  /* "left.ostium_height": as `confirmed` calls it */
    char *what;  /* "left, ostium height": what was looked at */
    char *other; /* the name of the other number that took part, "" if none */
    double value, low, high;
    const char *unit; /* of all three */
    const char *slip; /* "in centimetres?", "" if none is likelier than others */
    bool confirmed;   /* the case says that it is right */
} sm_unusual;

/* Zero-initialise to start empty. Once memory runs out `failed` stays set: look at the end. */
typedef struct {
    sm_unusual *item;
    size_t n, cap;
    bool failed;
} sm_unusuals;

/* Takes over the four texts; NULL among them means that memory ran out. */
void sm_unusuals_add(sm_unusuals *u, sm_unusual found);
void sm_unusuals_destroy(sm_unusuals *u);

#endif
