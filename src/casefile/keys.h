/* keys.h - every key of a case and of a profile, one line each: name, kind, whether required, domain, place, words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_KEYS_H
#define SM_CASEFILE_KEYS_H

#include <stdbool.h>
#include <stddef.h>

#include "measurement/source.h"

typedef enum {
    SM_KEY_TEXT,         /* read by its own code: format, case, note, ... */
    SM_KEY_CHOICE,       /* one of a few words */
    SM_KEY_NUMBER,       /* a number, stored as double */
    SM_KEY_COUNT,        /* a whole number, stored as size_t */
    SM_KEY_TRUTH,        /* true or false */
    SM_KEY_DIST,         /* a number or a distribution */
    SM_KEY_QUANTITY,     /* a reading, a number or a distribution */
    SM_KEY_AZIMUTHS,     /* three base points */
    SM_KEY_POST_AZIMUTH, /* "unknown", a number or a distribution */
    SM_KEY_SHAPE,        /* points of a waisted frame */
    SM_KEY_OBJECT,       /* an object or list read by its own code */
    SM_KEY_LIST
} sm_key_kind;

enum {
    SM_KEY_REQUIRED = 1,
    SM_KEY_NOT_BELOW_0 = 2,    /* a family that can go below 0 is refused */
    SM_KEY_ABOVE_LOW = 4,      /* the lower end itself is not allowed */
    SM_KEY_BELOW_HIGH = 8,     /* nor the upper */
    SM_KEY_SPREAD = 16,        /* an SD or an amplitude */
    SM_KEY_NEEDS_POSTS = 32,   /* refused if the case states it for a stentless valve */
    SM_KEY_NEEDS_OUTSIDE = 64, /* speaks of leaflets outside the posts; from profile or default only there */
    SM_KEY_TILT_FORM = 128,    /* of scan.base_plane */
    SM_KEY_POINTS_FORM = 256,
    SM_KEY_OF_OSTIUM = 1024, /* of a side from which a coronary leaves */
    SM_KEY_STOPGAP = 512     /* with REQUIRED: asked for, but where a default holds it stands in, with a warning */
};

/* One word that a key may hold, the value it stands for, and the fact that defaults may depend on. */
typedef struct {
    const char *name;
    unsigned value, fact;
} sm_key_word;

typedef struct {
    const char *name;
    sm_key_kind kind;
    unsigned flags;
    double low, high;
    size_t offset;             /* of the field in the struct of its object */
    const sm_key_word *choice; /* ended by a NULL name */
    const char *unit, *words;
    sm_source_id draws; /* the random source that it feeds */
} sm_key;

typedef struct {
    const char *group; /* name in the table of defaults */
    const char *what;  /* "the scan": for messages */
    const sm_key *key;
    size_t n;
} sm_keys;

/* No table is longer: room for what is kept beside each key. */
#define SM_KEYS_MOST 20

extern const sm_keys sm_keys_case, sm_keys_scan, sm_keys_base_plane, sm_keys_valve, sm_keys_implant, sm_keys_limits,
    sm_keys_population, sm_keys_action, sm_keys_coronary, sm_keys_reading, sm_keys_cross_check, sm_keys_direct_look,
    sm_keys_alternative, sm_keys_look, sm_keys_axes, sm_keys_axes_profile, sm_keys_gantry, sm_keys_profile,
    sm_keys_profile_reader, sm_keys_profile_cross_check, sm_keys_profile_value;

/* A quantity that may be read: where it stands and how its reading is taken. */
typedef struct {
    const char *name; /* in the table of defaults and in a profile's `readers` */
    const char *key;  /* in the case */
    double low, high;
    unsigned flags;
    bool bare_is_reading; /* a bare number is a reading (inside coronaries) and not exact */
    sm_source_id source;  /* its random source */
    sm_source_id look;    /* that of a second look, SM_SOURCE_NONE if none may be stated */
    const sm_keys
        *looks; /* what such a look states: sm_keys_cross_check (a projection), sm_keys_direct_look, or NULL */
    const char *words;
} sm_quantity_kind;

/* Whether it is a gap: its second look is a projection, with the errors of a picture. */
bool sm_keys_is_gap(const sm_quantity_kind *kind);

/* Which of them, by the key of the case; NULL if none. */
const sm_quantity_kind *sm_keys_quantity(const char *key);
size_t sm_keys_quantities(const sm_quantity_kind **out);

const sm_key *sm_keys_find(const sm_keys *keys, const char *name);

/* The object of a case in whose table that name stands, NULL if in none: for a key put in the wrong place. */
const sm_keys *sm_keys_home(const char *name);

/* The known name that is nearest to `name`, NULL if none is near: the one whose unit was left out, or
 * the least edit distance. */
const char *sm_keys_nearest(const char *name, const char *const *known, size_t n);

#endif
