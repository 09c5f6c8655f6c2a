/* json_write.h - JSON text, written from its parts: objects, lists, escaped strings, numbers that read back the same.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_FORMAT_JSON_WRITE_H
#define SM_FORMAT_JSON_WRITE_H

#include <stdint.h>

#include "base/text.h"

/* How deep objects and lists may nest; out->failed is set beyond. */
enum { SM_JSON_DEPTH = 32 };

/* How the parts of an object or a list are laid out: one a line, or all in one line. */
typedef enum { SM_JSON_LINES, SM_JSON_LINE } sm_json_layout;

/* Zero-initialise with `out` set. Commas, line ends and indentation are the writer's business. */
typedef struct {
    sm_text *out;
    int depth;
    struct {
        bool list, filled;
        sm_json_layout layout;
    } level[SM_JSON_DEPTH];
} sm_json;

/* key: the member's name inside an object; NULL inside a list and for the outermost value. close ends what was opened
 * last. */
void sm_json_open(sm_json *w, const char *key, sm_json_layout layout);
void sm_json_open_list(sm_json *w, const char *key, sm_json_layout layout);
void sm_json_close(sm_json *w);

/* NULL is written as null. */
void sm_json_string(sm_json *w, const char *key, const char *s);

/* A number as it was entered, to its last digit; and one that was computed, to SM_DIGITS. null if not finite. */
void sm_json_number(sm_json *w, const char *key, double x);
void sm_json_computed(sm_json *w, const char *key, double x);
void sm_json_count(sm_json *w, const char *key, int64_t n);
void sm_json_natural(sm_json *w, const char *key, uint64_t n);
void sm_json_truth(sm_json *w, const char *key, bool b);
void sm_json_null(sm_json *w, const char *key);

/* Two computed numbers as a list. */
void sm_json_pair(sm_json *w, const char *key, double a, double b);
/* A value that is JSON text already. NULL is written as null. */
void sm_json_raw(sm_json *w, const char *key, const char *json);

/* A string alone, in quotes: what must not be shown as it is (base/shown.h) as an escape that reads back the same, a
 * byte that is no UTF-8 as the four characters \xff, since JSON has no other way. */
void sm_json_escape(sm_text *out, const char *s);

#endif
