/* json_doc.h - a JSON text as a cJSON tree in which every node knows where it stood.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_FORMAT_JSON_DOC_H
#define SM_FORMAT_JSON_DOC_H

#include <cjson/cJSON.h>

#include "format/json_scan.h"

/* Where a node stood. A node put in by an override has `changed` and no offsets; `added` too if the override's own
 * pointer leads to it and nothing stood there: no text states it beside its neighbours. */
typedef struct {
    const cJSON *node, *parent;
    size_t key, value; /* byte offsets or SM_JSON_NOWHERE */
    size_t index;      /* position in its parent */
    bool changed, added;
} sm_json_place;

typedef struct {
    sm_file_text file;
    cJSON *root;
    cJSON *removed;       /* what overrides replaced: kept, so that no new node takes the address of an old one */
    sm_json_place *place; /* sorted by address of node */
    size_t n, cap;
} sm_json_doc;

/* Scans and parses file. SM_OK, SM_REFUSED with one fault in d, SM_NO_MEMORY. Destroy doc in every case. */
sm_status sm_json_doc_read(sm_json_doc *doc, sm_file_text file, sm_diag *d);
void sm_json_doc_destroy(sm_json_doc *doc);

/* The place of node, NULL if it is not in this document. */
const sm_json_place *sm_json_doc_place(const sm_json_doc *doc, const cJSON *node);
/* Adds the JSON pointer of node (RFC 6901, ~ and / escaped). */
void sm_json_doc_pointer(const sm_json_doc *doc, const cJSON *node, sm_text *out);
/* The node at a pointer; NULL if there is none. */
const cJSON *sm_json_doc_at(const sm_json_doc *doc, const char *pointer);
/* Puts value at the pointer, replacing what stands there and creating missing objects on the way; takes value over in
 * every case. A bare reading in the way (/coronaries/left/stj_gap) is first written in full. NULL when done, else what
 * is wrong with the pointer in words. */
const char *sm_json_doc_put(sm_json_doc *doc, const char *pointer, cJSON *value, bool *no_memory);

/* Takes away what stands at the pointer; false if nothing does. */
bool sm_json_doc_remove(sm_json_doc *doc, const char *pointer);

/* The node as JSON in one line; numbers by sm_number_write, since cJSON's do not all read back the same. */
void sm_json_doc_write(const cJSON *node, sm_text *out);

#endif
