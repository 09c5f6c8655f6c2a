/* markup.c - text made safe to stand in HTML and SVG.
 *
 * Contents: 1. characters  2. markup  3. CSV
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/markup.h"

#include <string.h>

#include "base/utf8.h"

/* 1. Characters */

/* C0 and C1 controls and the two non-characters: not allowed in XML. */
static bool is_control(uint32_t c)
{
    return c < 0x20 || (c >= 0x7f && c < 0xa0) || c == 0xfffe || c == 0xffff;
}

/* 2. Markup */

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

void sm_markup_text(sm_text *out, const char *s)
{
    uint32_t c;
    while (*s) {
        size_t n = sm_utf8_decode(s, SM_UTF8_LONGEST, &c);
        const char *escaped = entity(*s);
        if (n == 0)
            sm_text_puts(out, SM_UTF8_REPLACEMENT);
        else if (is_control(c))
            sm_text_puts(out, " ");
        else if (escaped)
            sm_text_puts(out, escaped);
        else
            sm_text_putn(out, s, n);
        s += n ? n : 1;
    }
}

/* 3. CSV */

void sm_markup_csv(sm_text *out, const char *s)
{
    if (!strpbrk(s, ",\"\r\n")) {
        sm_text_puts(out, s);
        return;
    }
    sm_text_puts(out, "\"");
    for (; *s; s++)
        sm_text_puts(out, *s == '"' ? "\"\"" : (char[]){*s, '\0'});
    sm_text_puts(out, "\"");
}
