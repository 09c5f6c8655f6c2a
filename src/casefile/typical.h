/* typical.h - what is usual for each number that is typed, and for what two of them say together; with how far it can
 * be trusted (docs/slips.md). A value outside is no fault: it is asked about.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_TYPICAL_H
#define SM_CASEFILE_TYPICAL_H

#include "casefile/defaults.h"

/* The usual range of one number by its key. */
typedef struct {
    const char *key;  /* "ostium_height", "inner_diameter_mm" */
    const char *side; /* "left": of this coronary alone; NULL: of any */
    const char *what; /* "ostium height" */
    unsigned when;    /* these facts must hold; 0: always */
    double low, high; /* in `unit` */
    const char *unit;
    sm_grade grade;
    const char *source;
} sm_typical;

/* The line for a key on a side (NULL: none) under these facts; NULL if there is none. */
const sm_typical *sm_typical_find(const char *key, const char *side, unsigned facts);
size_t sm_typical_count(void);
const sm_typical *sm_typical_line(size_t i);

/* What two numbers say together. */
typedef enum {
    SM_JOINT_HALF_WIDTH,       /* ostium gap and half the circle: half the width of the sinus there */
    SM_JOINT_SINUS,            /* the same less half of the width that is stated */
    SM_JOINT_EXCHANGED,        /* ostium height and gap: likelihood the other way round against as typed */
    SM_JOINT_STJ_LESS_GAP,     /* STJ height less STJ gap */
    SM_JOINT_STJ_ABOVE_OSTIUM, /* STJ height less ostium height */
    SM_JOINT_GAPS,             /* STJ gap less ostium gap */
    SM_JOINT_LEAFLET_ABOVE_RING,
    SM_JOINT_LEAFLET_ABOVE_SKIRT,
    SM_JOINT_LEAFLET_ABOVE_FRAME,
    SM_JOINT_LABEL,             /* inner diameter: likelihood as a label size against as the true one */
    SM_JOINT_OVERSIZING,        /* nominal diameter against the inner diameter, % */
    SM_JOINT_CIRCLE_LESS_WAIST, /* readers draw the waist or the nominal diameter: asked if it is neither */
    SM_JOINT_CIRCLE_LESS_NOMINAL,
    SM_JOINT_CIRCLES, /* circle of one side less that of the first */
    SM_JOINT_RIGHT_LESS_LEFT,
    SM_JOINT_LEAFLETS, /* leaflet height less that of the first side */
    SM_JOINT_STJS,
    SM_JOINT_OSTIUM_GAPS,
    SM_JOINT_AZIMUTHS, /* degrees between two ostia */
    SM_JOINTS
} sm_joint_id;

typedef struct {
    const char *what; /* "drawn circle less the waist in the ring" */
    double low, high;
    const char *unit;
    const char *below, *above; /* the likely slip where the value lies below or above */
    sm_grade grade;
    const char *source;
} sm_joint;

const sm_joint *sm_joint_line(sm_joint_id id);

/* Mean and SD, mm unless told, by which an exchange of numbers, or a label size, is weighed. */
typedef enum {
    SM_SPREAD_LEFT_HEIGHT,    /* ostium height, left */
    SM_SPREAD_HEIGHT,         /* of any other side */
    SM_SPREAD_GAP,            /* ostium gap */
    SM_SPREAD_STJ_GAP,        /* STJ gap less half the ostium gap */
    SM_SPREAD_GAPS,           /* ostium gap of one side less that of another */
    SM_SPREAD_OVERSIZING,     /* nominal diameter against the inner diameter, % */
    SM_SPREAD_CIRCLE_NOMINAL, /* a circle drawn at the nominal diameter, less that */
    SM_SPREAD_CIRCLE_INNER,   /* a circle drawn at the waist, less the inner diameter */
    SM_SPREAD_INNER,          /* inner diameter */
    SM_SPREAD_LABEL,          /* label size less the inner diameter */
} sm_typical_spread_id;

typedef struct {
    double mean, sd;
} sm_typical_spread;

const sm_typical_spread *sm_typical_spread_line(sm_typical_spread_id id);

#endif
