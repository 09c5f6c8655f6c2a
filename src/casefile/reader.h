/* reader.h - what the readers of this floor share: the documents, the messages, what is known so far.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_READER_H
#define SM_CASEFILE_READER_H

#include "format/json_doc.h"
#include "casefile/assumptions.h"
#include "casefile/keys.h"

/* More messages than this help nobody; the last one says that there are more. */
#define SM_READER_MESSAGES 1000

typedef struct {
    sm_diag *diag;
    sm_json_doc case_doc, profile_doc; /* a root of NULL: there is none */
    cJSON **default_node;              /* parsed values of the table of defaults, made when first asked for */
    unsigned facts;                    /* SM_FACT_...: what the case says that defaults depend on */
    bool placements_by_default;        /* base_plane.placements is stated nowhere */
    bool muted;                        /* messages are dropped: the value was checked where it stands */
    bool no_memory;
    size_t faults; /* muted ones too: tells a caller whether a step went well */
    sm_assumptions assumptions;
} sm_reader;

void sm_reader_destroy(sm_reader *r);

/* Adds a fault or warning at the value of node. */
void sm_reader_fault(sm_reader *r, const cJSON *node, const char *fmt, ...) SM_PRINTF(3, 4);
void sm_reader_warn(sm_reader *r, const cJSON *node, const char *fmt, ...) SM_PRINTF(3, 4);
/* Adds a fault at the key of node. */
void sm_reader_fault_key(sm_reader *r, const cJSON *node, const char *fmt, ...) SM_PRINTF(3, 4);

#define SM_FOUND_SIZE 64
/* What stands there, as the file writes it ("an object", "-3.20", "\"soft\""). Returns out. */
const char *sm_reader_found(sm_reader *r, const cJSON *node, char out[SM_FOUND_SIZE]);

/* The key of node as a message shows it: cut if it is long. Returns out. */
const char *sm_reader_key(const cJSON *node, char out[SM_FOUND_SIZE]);

/* True if an override put this very value in and the text states none there (sm_json_place). */
bool sm_reader_is_added(const sm_reader *r, const cJSON *node);

/* The value of a line of the table of defaults as a node; NULL if it has none. */
const cJSON *sm_reader_default(sm_reader *r, const sm_default *line);

/* Refuses every key of object that is unknown, of the wrong case or there twice. */
void sm_reader_check_keys(sm_reader *r, const cJSON *object, const sm_keys *keys);
/* The same for an object whose keys the user names: only duplicates. */
void sm_reader_check_duplicates(sm_reader *r, const cJSON *object);
/* The member of an object, NULL if there is none or object is none. */
const cJSON *sm_reader_member(const cJSON *object, const char *name);

/* The value itself where the case says beside it that it was measured: {"value": 0.9, "measured": true}; any other node
 * is its own value. */
const cJSON *sm_reader_value(sm_reader *r, const cJSON *node, bool *measured);

#endif
