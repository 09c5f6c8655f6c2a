/* json_write.c - JSON text, written from its parts.
 *
 * Contents: 1. commas, lines and names  2. objects and lists  3. strings  4. other values
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "format/json_write.h"

#include <inttypes.h>
#include <string.h>

/* 1. Commas, lines and names */

static void escaped(sm_text *out, const char *s);

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
        escaped(w->out, key);
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

/* The length of the UTF-8 sequence at s, 0 where there is none (overlong forms and surrogates included). */
static size_t sequence_length(const unsigned char *s)
{
    static const struct {
        unsigned char first, last, second_low, second_high, length;
    } forms[] = {{0x00, 0x7f, 0, 0, 1},       {0xc2, 0xdf, 0x80, 0xbf, 2}, {0xe0, 0xe0, 0xa0, 0xbf, 3},
                 {0xe1, 0xec, 0x80, 0xbf, 3}, {0xed, 0xed, 0x80, 0x9f, 3}, {0xee, 0xef, 0x80, 0xbf, 3},
                 {0xf0, 0xf0, 0x90, 0xbf, 4}, {0xf1, 0xf3, 0x80, 0xbf, 4}, {0xf4, 0xf4, 0x80, 0x8f, 4}};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        if (s[0] < forms[i].first || s[0] > forms[i].last)
            continue;
        if (forms[i].length > 1 && (s[1] < forms[i].second_low || s[1] > forms[i].second_high))
            return 0;
        for (size_t j = 2; j < forms[i].length; j++)
            if ((s[j] & 0xc0) != 0x80)
                return 0;
        return forms[i].length;
    }
    return 0;
}

static void escaped(sm_text *out, const char *s)
{
    sm_text_puts(out, "\"");
    while (*s) {
        size_t n = sequence_length((const unsigned char *)s);
        if (n == 0)
            sm_text_puts(out, "\xef\xbf\xbd");
        else if (*s == '"' || *s == '\\')
            sm_text_addf(out, "\\%c", *s);
        else if (*s == '\n')
            sm_text_puts(out, "\\n");
        else if (*s == '\t')
            sm_text_puts(out, "\\t");
        else if ((unsigned char)*s < 0x20 || *s == 0x7f)
            sm_text_addf(out, "\\u%04x", (unsigned)*s);
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
        escaped(w->out, s);
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
    sm_json_number(w, NULL, a);
    sm_json_number(w, NULL, b);
    sm_json_close(w);
}
