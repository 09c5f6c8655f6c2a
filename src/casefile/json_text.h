/* json_text.h - JSON written member by member, indented, with numbers that read back the same.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CASEFILE_JSON_TEXT_H
#define SM_CASEFILE_JSON_TEXT_H

#include <stdbool.h>

#include "base/text.h"

/* Zero-initialise with `out` set. Every call writes one value; name is its key, NULL inside an array or at the top. */
typedef struct {
    sm_text *out;
    size_t depth;
    bool follows; /* a value stands before at this depth */
} sm_json_text;

void sm_json_open(sm_json_text *j, const char *name, char bracket);
void sm_json_close(sm_json_text *j, char bracket);
void sm_json_number(sm_json_text *j, const char *name, double x); /* null where not finite */
void sm_json_count(sm_json_text *j, const char *name, size_t n);
void sm_json_bool(sm_json_text *j, const char *name, bool b);
void sm_json_null(sm_json_text *j, const char *name);
void sm_json_string(sm_json_text *j, const char *name, const char *s);
/* [low, high] in one line. */
void sm_json_range(sm_json_text *j, const char *name, double low, double high);

/* s in quotes, escaped (RFC 8259, 7). */
void sm_json_quote(sm_text *out, const char *s);

#endif
