/* source.h - the named sources of randomness, one line each: name, kind, words.
 *
 * Streams of random numbers are named after these names (sampling/rng.h): a source that is renamed draws anew.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_SOURCE_H
#define SM_MEASUREMENT_SOURCE_H

#include <stdbool.h>
#include <stddef.h>

#include "measurement/case.h"

#define SM_SOURCE_NAME_SIZE 64

/* Those of its kind are in the order of the result. */
typedef enum {
    SM_SOURCE_MEASURED,    /* one for all sides; a re-measurement can shrink it */
    SM_SOURCE_READING,     /* the same, one a side */
    SM_SOURCE_LOOK,        /* the same, one a side that has a second look at that quantity */
    SM_SOURCE_DIRECT_LOOK, /* the same, one for all sides, if the case has a second look at that quantity */
    SM_SOURCE_CALIBRATION, /* the same, one for all sides, if any has a second look at a gap */
    SM_SOURCE_DEPLOYMENT,  /* one for all sides; cannot be known before the valve is in */
    SM_SOURCE_LIMIT,       /* the same, if the case takes a limit as uncertain: nothing measured in a root shows it */
    SM_SOURCE_SUCCESS      /* of what an alternative does on a side */
} sm_source_kind;

/* id, kind, name (of a side's own what follows "left."), what it is, what to do about it (if it is reducible). '*'
 * stands for the name of the side. */
/* clang-format off */
#define SM_SOURCE_LIST(X) \
    X(BASE_PLANE,        MEASURED,    "base_plane",              "where the base plane was placed", "Place the base plane again") \
    X(CENTRELINE,        MEASURED,    "centreline",              "where the axis was centred", "Centre the axis again") \
    X(BLOOMING,          MEASURED,    "blooming",                "blooming of bright edges", "Reconstruct sharper, against blooming") \
    X(INNER_DIAMETER,    MEASURED,    "inner_diameter",          "the inner diameter of the ring", "Measure the ring's inner diameter") \
    X(LEAFLET_THICKNESS, MEASURED,    "leaflet_thickness",       "the thickness of the old leaflets", "Measure the leaflets' thickness") \
    X(MOUNT_OFFSET,      MEASURED,    "mount_offset",            "the stand-off of outside leaflets", "Measure how far the leaflets stand off") \
    X(POST_AZIMUTH,      MEASURED,    "post_azimuth",            "where the posts stand", "Find the posts") \
    X(ECCENTRICITY,      MEASURED,    "eccentricity",            "the outline of the ring", "Trace the ring's outline") \
    X(OSTIUM_HEIGHT,     READING,     "ostium_height",           "the * height of the ostium", "Read the * ostium height again") \
    X(OSTIUM_GAP,        READING,     "ostium_gap",              "the * gap beside the ostium", "Read the * gap beside the ostium again") \
    X(STJ_HEIGHT,        READING,     "stj_height",              "the * height of the sinotubular junction", "Read the * STJ height again") \
    X(STJ_GAP,           READING,     "stj_gap",                 "the * gap at the sinotubular junction", "Read the * gap at the STJ again") \
    X(LEAFLET_HEIGHT,    READING,     "leaflet_height",          "the * height of the leaflet top", "Read the * leaflet height again") \
    X(OSTIUM_GAP_LOOK,   LOOK,        "ostium_gap.cross_check",  "the * gap beside the ostium, second look", "Repeat the other look at the * gap beside the ostium") \
    X(STJ_GAP_LOOK,      LOOK,        "stj_gap.cross_check",     "the * gap at the sinotubular junction, second look", "Repeat the other look at the * gap at the STJ") \
    X(LEAFLET_HEIGHT_LOOK, LOOK,      "leaflet_height.cross_check", "the * height of the leaflet top, second look", "Repeat the other look at the * leaflet height") \
    X(INNER_DIAMETER_LOOK, DIRECT_LOOK, "inner_diameter.cross_check", "the inner diameter of the ring, second look", "Repeat the other look at the ring's inner diameter") \
    X(LEAFLET_THICKNESS_LOOK, DIRECT_LOOK, "leaflet_thickness.cross_check", "the thickness of the old leaflets, second look", "Repeat the other look at the leaflets' thickness") \
    X(LOOK_SCALE,        CALIBRATION, "cross_check_calibration", "the scale of the other look", "Calibrate the other look's scale") \
    X(OVEREXPANSION,     DEPLOYMENT,  "overexpansion",           "how far the new valve is expanded", NULL) \
    X(RING_GIVE,         DEPLOYMENT,  "ring_give",               "how far the ring gives way", NULL) \
    X(FLARE,             DEPLOYMENT,  "flare",                   "how far the new frame flares above the ring", NULL) \
    X(IMPLANT_DEPTH,     DEPLOYMENT,  "implant_depth",           "how deep the new valve sits", NULL) \
    X(CANTING,           DEPLOYMENT,  "canting",                 "how the new valve leans", NULL) \
    X(OFFSET,            DEPLOYMENT,  "offset",                  "how far off centre the new valve sits", NULL) \
    X(MID,               DEPLOYMENT,  "mid",                     "the stand-off half way between posts", NULL) \
    X(LEAFLET_OVERHANG,  DEPLOYMENT,  "leaflet_overhang",        "free leaflet above the frame", NULL) \
    X(LIMITS,            LIMIT,       "limits",                  "where the limits themselves lie", NULL) \
    X(LACERATION,        SUCCESS,     "laceration",              "whether the laceration on the * side succeeds", NULL) \
    X(RESCUE,            SUCCESS,     "rescue",                  "whether the rescue on the * side succeeds", NULL)
/* clang-format on */

#define SM_SOURCE_ENUM(id, kind, name, words, again) SM_SOURCE_##id,
typedef enum { SM_SOURCE_NONE, SM_SOURCE_LIST(SM_SOURCE_ENUM) SM_SOURCES } sm_source_id;
#undef SM_SOURCE_ENUM

typedef struct {
    sm_source_kind kind;
    const char *name;
    const char *words; /* NULL for SM_SOURCE_NONE */
    const char *again; /* NULL if nothing can be done about it */
} sm_source_line;

/* SM_SOURCE_NONE has an empty name. */
extern const sm_source_line sm_source_table[SM_SOURCES];

bool sm_source_of_side(sm_source_id id);
bool sm_source_is_reducible(sm_source_id id);

/* Its name in the result and in the names of its streams: "blooming", "left.ostium_gap". side: NULL or "" for none. */
void sm_source_name(sm_source_id id, const char *side, char out[SM_SOURCE_NAME_SIZE]);
/* The reverse: SM_SOURCE_NONE if there is none of that name. *side_length receives how much of the name is the side's;
 * it may be NULL. */
sm_source_id sm_source_named(const char *name, size_t *side_length);

/* The reading of a quantity of a side. */
sm_source_id sm_source_of_quantity(sm_quantity_id quantity);

#endif
