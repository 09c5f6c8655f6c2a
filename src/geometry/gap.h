/* gap.h - the two gaps of a side: what is read, computed, limited and said of each.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_GEOMETRY_GAP_H
#define SM_GEOMETRY_GAP_H

#include <stddef.h>

#include "geometry/output.h"
#include "measurement/source.h"

typedef struct {
    sm_quantity_id quantity; /* the reading of this gap; its name is the gap's name in the result */
    sm_quantity_id height;   /* if it is read */
    sm_source_id look;       /* the source of a second look at it */
    sm_output_id clearance, conventional;
    size_t limit;            /* of the clearance: offset in sm_limits */
    const char *where;       /* "at the sinotubular junction" */
    const char *where_short; /* "at the junction" */
    const char *where_stj;   /* "at the STJ" */
    const char *reached;     /* what the tube must reach: "junction" */
    const char *place;       /* what is crossed: a sealed "sinus" */
    const char *crossed;     /* "sealed" */
    const char *suffix;      /* of the names of its pictures */
} sm_gap;

extern const sm_gap sm_gaps[SM_GAPS];

/* Whether this side has it: a sinus from which no coronary leaves has no gap beside an ostium. */
bool sm_gap_is_there(const sm_coronary *o, sm_gap_id gap);

/* mm; the mean of one that is taken as uncertain. */
double sm_gap_limit(const sm_limits *limits, sm_gap_id gap);
const sm_dist *sm_gap_limit_dist(const sm_limits *limits, sm_gap_id gap);

#endif
