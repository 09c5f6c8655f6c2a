/* key_facts.h - what the tables of the reader say of a key of a case: domain, unit, default and source.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_GUIDE_KEY_FACTS_H
#define SM_REPORT_GUIDE_KEY_FACTS_H

#include "casefile/keys.h"
#include "report/blocks/layout.h"

/* An object of a case in which keys stand. */
typedef struct {
    const sm_keys *keys;
    const char *path, *title; /* "scan.", "The scan" */
} sm_key_place;

/* All of them, in the order in which a case is told. */
size_t sm_key_places(const sm_key_place **out);

/* Where the key stands, whether it is required, what it may hold. */
void sm_key_facts_write(sm_text *out, const sm_key_place *p, const sm_key *key);
/* Its built-in defaults, one paragraph each; nothing if it has none. */
void sm_key_facts_defaults(sm_text *out, const sm_style *style, const sm_key_place *p, const char *name, size_t indent);
/* Both for every key of that name, one paragraph for each place where it may stand. Nothing if there is none. */
void sm_key_facts(sm_text *out, const sm_style *style, const char *name);

#endif
