/* read_section.h - one object of a case, each key from the first place that states it: patch, case, profile, default.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READ_SECTION_H
#define SM_CASEFILE_READ_SECTION_H

#include "casefile/reader.h"
#include "measurement/case.h"

typedef enum { SM_LAYER_NONE, SM_LAYER_DEFAULT, SM_LAYER_PROFILE, SM_LAYER_CASE, SM_LAYER_PATCH } sm_layer;

/* The objects in which the keys of one section may stand; NULL if there is none. */
typedef struct sm_section {
    const sm_keys *keys;
    const cJSON *patch, *stated, *profile;
    const char *profile_source; /* NULL: each value of the profile is {"value":, "source":}; else all are bare */
    const char *path;           /* JSON pointer of the section in the case */
    const char *side;           /* name of the coronary, NULL outside */
    unsigned skip;              /* keys with one of these flags do not apply here */
    bool list;                  /* add the optional keys to the assumptions */
    /* Reads a key of kind QUANTITY; NULL if the table has none. A quantity has a section of its own, its cross-check.
     */
    bool (*read_quantity)(sm_reader *r, const struct sm_section *s, const sm_key *key, const cJSON *node,
                          sm_quantity *out);
} sm_section;

/* Where the value of one key comes from. */
typedef struct {
    sm_layer layer;
    const cJSON *node;
    const char *source;     /* of a profile's value */
    const sm_default *line; /* of the table of defaults; NULL: none */
    bool measured;          /* the case says so */
    bool ok;                /* it was read and found good */
} sm_entry;

sm_origin sm_read_section_origin(sm_layer layer);

/* Where the values of one object of the profile come from: its own source, or that of the whole profile. */
const char *sm_read_section_source(const sm_reader *r, const cJSON *object);

/* Reads every key of the section into its field of object, in the order of the table; keys of their own code are left.
 * entry (NULL or room for keys->n) receives where each came from. Clears the facts that the section states first. */
void sm_read_section(sm_reader *r, const sm_section *s, void *object, sm_entry *entry);

/* The entry of a key by its name. */
const sm_entry *sm_read_section_entry(const sm_section *s, const sm_entry *entry, const char *name);

/* A member that must be an object: NULL (after a fault if it is something else) or the object. */
const cJSON *sm_read_section_object(sm_reader *r, const cJSON *parent, const char *name);

#endif
