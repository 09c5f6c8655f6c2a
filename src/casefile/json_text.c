/* json_text.c - JSON written member by member, indented, with numbers that read back the same.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/json_text.h"

void sm_json_quote(sm_text *out, const char *s)
{
    sm_text_puts(out, "\"");
    for (; *s; s++) {
        unsigned char ch = (unsigned char)*s;
        if (ch == '"' || ch == '\\')
            sm_text_addf(out, "\\%c", ch);
        else if (ch == '\n')
            sm_text_puts(out, "\\n");
        else if (ch == '\t')
            sm_text_puts(out, "\\t");
        else if (ch < 0x20 || ch == 0x7F)
            sm_text_addf(out, "\\u%04x", ch);
        else
            sm_text_putn(out, s, 1);
    }
    sm_text_puts(out, "\"");
}

/* Comma, new line, indent and key of the next value. */
static void start_value(sm_json_text *j, const char *name)
{
    if (j->follows)
        sm_text_puts(j->out, ",");
    if (j->depth > 0) {
        sm_text_puts(j->out, "\n");
        sm_text_fill(j->out, ' ', 2 * j->depth);
    }
    if (name) {
        sm_json_quote(j->out, name);
        sm_text_puts(j->out, ": ");
    }
    j->follows = true;
}

void sm_json_open(sm_json_text *j, const char *name, char bracket)
{
    start_value(j, name);
    sm_text_putn(j->out, &bracket, 1);
    j->depth++;
    j->follows = false;
}

void sm_json_close(sm_json_text *j, char bracket)
{
    j->depth--;
    if (j->follows) {
        sm_text_puts(j->out, "\n");
        sm_text_fill(j->out, ' ', 2 * j->depth);
    }
    sm_text_putn(j->out, &bracket, 1);
    j->follows = true;
}

void sm_json_number(sm_json_text *j, const char *name, double x)
{
    char number[SM_NUMBER_SIZE];
    start_value(j, name);
    sm_text_puts(j->out, sm_number_write(x, number));
}

void sm_json_count(sm_json_text *j, const char *name, size_t n)
{
    start_value(j, name);
    sm_text_addf(j->out, "%zu", n);
}

void sm_json_bool(sm_json_text *j, const char *name, bool b)
{
    start_value(j, name);
    sm_text_puts(j->out, b ? "true" : "false");
}

void sm_json_null(sm_json_text *j, const char *name)
{
    start_value(j, name);
    sm_text_puts(j->out, "null");
}

void sm_json_string(sm_json_text *j, const char *name, const char *s)
{
    start_value(j, name);
    sm_json_quote(j->out, s);
}

void sm_json_range(sm_json_text *j, const char *name, double low, double high)
{
    char a[SM_NUMBER_SIZE], b[SM_NUMBER_SIZE];
    start_value(j, name);
    sm_text_addf(j->out, "[%s, %s]", sm_number_write(low, a), sm_number_write(high, b));
}
