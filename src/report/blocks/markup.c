/* markup.c - text made safe to stand in HTML, SVG and CSV.
 *
 * Contents: 1. markup  2. CSV
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/markup.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/shown.h"

/* 1. Markup */

static const char *entity(char c)
{
    switch (c) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    default:
        return NULL;
    }
}

/* "+-" before a number, as a terminal writes it. */
static bool is_plus_minus(const char *s)
{
    if (s[0] != '+' || s[1] != '-')
        return false;
    const char *after = s + (s[2] == ' ' ? 3 : 2);
    return *after >= '0' && *after <= '9';
}

void sm_markup_text(sm_text *out, const char *s)
{
    for (size_t n; *s; s += n) {
        const char *escaped = entity(*s);
        if (sm_shown_escape(out, s, &n))
            continue;
        if (is_plus_minus(s)) {
            sm_text_puts(out, "\u00b1");
            n = 2;
        } else if (escaped)
            sm_text_puts(out, escaped);
        else
            sm_text_putn(out, s, n);
    }
}

/* 2. CSV */

/* Whether a spreadsheet would compute the cell. A tab or a line end in front is an escape by now. */
static bool is_formula(const char *s)
{
    char *end;
    if (!s[0] || !strchr("=+-@", s[0]))
        return false;
    strtod(s, &end);
    return end == s || *end || strspn(s, "+-.0123456789eE") < strlen(s);
}

void sm_markup_csv(sm_text *out, const char *s)
{
    const bool quoted = strpbrk(s, ",;\"") != NULL;
    sm_text_puts(out, quoted ? "\"" : "");
    sm_text_puts(out, is_formula(s) ? "'" : "");
    for (size_t n; *s; s += n) {
        if (sm_shown_escape(out, s, &n))
            continue;
        sm_text_puts(out, *s == '"' ? "\"" : "");
        sm_text_putn(out, s, n);
    }
    sm_text_puts(out, quoted ? "\"" : "");
}
