/* doubts.h - how far each judged default may itself be off: what of it is moved, and over which range.
 *
 * A default that was judged, remembered or carried over by analogy is one of many that could stand there. Its doubt is
 * a range for its value, or where it is a distribution for one point of it (its shape and relative spread are kept).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_DOUBTS_H
#define SM_CASEFILE_DOUBTS_H

#include "casefile/defaults.h"

/* What of a value is moved. */
typedef enum {
    SM_POINT_VALUE,     /* the number itself */
    SM_POINT_MODE,      /* of a distribution, which is scaled so that this point lies there: its most likely value, */
    SM_POINT_MEDIAN,    /* its median, */
    SM_POINT_MIDDLE,    /* the middle between its ends, */
    SM_POINT_UPPER_END, /* its upper end */
    SM_POINT_SHIFT,     /* its mean; it is shifted, as it lies about 0 */
    SM_POINT_TOP        /* of a frame's shape, the diameter at the top */
} sm_doubt_point;

typedef enum {
    SM_DOUBT_NONE,   /* measured, published, or no value of the answer as planned */
    SM_DOUBT_JUDGED, /* taken as uncertain together with all others of this kind, and alone */
    SM_DOUBT_ALONE   /* a choice that is asked about by itself: a limit, whether a wall is bright */
} sm_doubt_kind;

typedef struct {
    sm_doubt_kind kind;
    sm_doubt_point point;
    double low, high;   /* of that point; the default's own lies between, or at an end */
    const char *reason; /* why this range, in plain words; the line's own source if it states the range itself */
} sm_doubt;

/* The doubt of a line of the table of defaults. */
sm_doubt sm_doubt_of(const sm_default *line);
/* "most likely value", "median": what of a distribution is moved; "" of a number. */
const char *sm_doubt_point_words(sm_doubt_point p);
/* Where that point of a value lies. NaN if it has none. */
double sm_doubt_point_at(const sm_datum *value, sm_doubt_point p);

#endif
