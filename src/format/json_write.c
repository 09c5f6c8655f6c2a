/* json_write.c - JSON text, written from its parts.
 *
 * Contents: 1. commas, lines and names  2. objects and lists  3. strings  4. other values
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "format/json_write.h"

#include <inttypes.h>
#include <string.h>

#include "base/shown.h"
#include "base/utf8.h"

/* 1. Commas, lines and names */

static void new_line(sm_json *w)
{
    sm_text_puts(w->out, "\n");
    sm_text_fill(w->out, ' ', 2 * (size_t)w->depth);
}

/* All that stands before a value: the comma after the one before, the line end, the name. */
static void begin(sm_json *w, const char *key)
{
    if (w->depth > 0) {
        const bool lines = w->level[w->depth - 1].layout == SM_JSON_LINES;
        if (w->level[w->depth - 1].filled)
            sm_text_puts(w->out, lines ? "," : ", ");
        if (lines)
            new_line(w);
        w->level[w->depth - 1].filled = true;
    }
    if (key) {
        sm_json_escape(w->out, key);
        sm_text_puts(w->out, ": ");
    }
}

/* 2. Objects and lists */

static void open_as(sm_json *w, const char *key, bool list, sm_json_layout layout)
{
    begin(w, key);
    if (w->depth == SM_JSON_DEPTH) {
        w->out->failed = true;
        return;
    }
    w->level[w->depth].list = list;
    w->level[w->depth].filled = false;
    w->level[w->depth].layout = layout;
    w->depth++;
    sm_text_puts(w->out, list ? "[" : "{");
}

void sm_json_open(sm_json *w, const char *key, sm_json_layout layout)
{
    open_as(w, key, false, layout);
}

void sm_json_open_list(sm_json *w, const char *key, sm_json_layout layout)
{
    open_as(w, key, true, layout);
}

void sm_json_close(sm_json *w)
{
    if (w->depth == 0) {
        w->out->failed = true;
        return;
    }
    w->depth--;
    if (w->level[w->depth].layout == SM_JSON_LINES && w->level[w->depth].filled)
        new_line(w);
    sm_text_puts(w->out, w->level[w->depth].list ? "]" : "}");
    if (w->depth == 0)
        sm_text_puts(w->out, "\n");
}

/* 3. Strings */

void sm_json_escape(sm_text *out, const char *s)
{
    uint32_t code;
    sm_text_puts(out, "\"");
    while (*s) {
        const size_t n = sm_utf8_decode(s, SM_UTF8_LONGEST, &code);
        if (n == 0)
            sm_text_addf(out, "\\\\x%02x", (unsigned)(unsigned char)*s);
        else if (*s == '"' || *s == '\\')
            sm_text_addf(out, "\\%c", *s);
        else if (*s == '\n')
            sm_text_puts(out, "\\n");
        else if (*s == '\t')
            sm_text_puts(out, "\\t");
        else if (sm_shown_is_hostile(code))
            sm_text_addf(out, "\\u%04x", (unsigned)code);
        else
            sm_text_putn(out, s, n);
        s += n ? n : 1;
    }
    sm_text_puts(out, "\"");
}

void sm_json_string(sm_json *w, const char *key, const char *s)
{
    begin(w, key);
    if (s)
        sm_json_escape(w->out, s);
    else
        sm_text_puts(w->out, "null");
}

/* 4. Other values */

void sm_json_raw(sm_json *w, const char *key, const char *json)
{
    begin(w, key);
    sm_text_puts(w->out, json ? json : "null");
}

void sm_json_number(sm_json *w, const char *key, double x)
{
    char digits[SM_NUMBER_SIZE];
    sm_json_raw(w, key, sm_number_write(x, digits));
}

void sm_json_computed(sm_json *w, const char *key, double x)
{
    char digits[SM_NUMBER_SIZE];
    sm_json_raw(w, key, sm_number_computed(x, digits));
}

void sm_json_count(sm_json *w, const char *key, int64_t n)
{
    begin(w, key);
    sm_text_addf(w->out, "%" PRId64, n);
}

void sm_json_natural(sm_json *w, const char *key, uint64_t n)
{
    begin(w, key);
    sm_text_addf(w->out, "%" PRIu64, n);
}

void sm_json_truth(sm_json *w, const char *key, bool b)
{
    sm_json_raw(w, key, b ? "true" : "false");
}

void sm_json_null(sm_json *w, const char *key)
{
    sm_json_raw(w, key, NULL);
}

void sm_json_pair(sm_json *w, const char *key, double a, double b)
{
    sm_json_open_list(w, key, SM_JSON_LINE);
    sm_json_computed(w, NULL, a);
    sm_json_computed(w, NULL, b);
    sm_json_close(w);
}
