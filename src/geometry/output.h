/* output.h - the continuous outputs of a side, one line each: its name in the result and how it is told.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_GEOMETRY_OUTPUT_H
#define SM_GEOMETRY_OUTPUT_H

#include "measurement/case.h"

/* id, kind, gap, name in the result, title of its table in a text, head of its column on a page; in the order of the
 * result. All in mm. */
/* clang-format off */
#define SM_OUTPUT_LIST(X) \
    X(SM_OSTIUM_CLEARANCE,    ROOM,   OSTIUM, "ostium_clearance_mm",    "Room beside the ostium, mm", "room beside ostium, mm") \
    X(SM_STJ_CLEARANCE,       ROOM,   STJ,    "stj_clearance_mm",       "Room at the sinotubular junction, mm", "room at junction, mm") \
    X(SM_CONVENTIONAL_OSTIUM, DRAWN,  OSTIUM, "conventional_ostium_mm", "Room beside the ostium by the drawn circle, mm", "by drawn circle") \
    X(SM_CONVENTIONAL_STJ,    DRAWN,  STJ,    "conventional_stj_mm",    "Room at the sinotubular junction by the drawn circle, mm", "by drawn circle") \
    X(SM_COVER,               HEIGHT, OSTIUM, "cover_mm",               "Tube above the lower edge of the ostium (cover), mm", "tube above ostium") \
    X(SM_REACH,               HEIGHT, STJ,    "reach_mm",               "Tube above the sinotubular junction (reach), mm", "tube above junction")
/* clang-format on */

#define SM_OUTPUT_ENUM(id, kind, gap, name, title, column) id,
typedef enum { SM_OUTPUT_LIST(SM_OUTPUT_ENUM) SM_OUTPUTS } sm_output_id;
#undef SM_OUTPUT_ENUM

typedef enum {
    SM_OUTPUT_ROOM,  /* a room with a limit: below it counts */
    SM_OUTPUT_DRAWN, /* the room by the drawn circle: told beside the room of its gap, in one table */
    SM_OUTPUT_HEIGHT /* of the tube above a landmark: above 0 counts */
} sm_output_kind;

typedef struct {
    sm_output_kind kind;
    sm_gap_id gap;
    const char *name, *title, *column;
} sm_output;

extern const sm_output sm_outputs[SM_OUTPUTS];

/* The order in which people are told: gap by gap, and in each as above. */
void sm_outputs_by_gap(sm_output_id order[SM_OUTPUTS]);

#endif
