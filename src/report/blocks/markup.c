/* markup.c - text made safe to stand in HTML and SVG.
 *
 * Contents: 1. characters  2. markup  3. CSV
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/markup.h"

#include <stdint.h>
#include <string.h>

/* 1. Characters */

/* Bytes of the character that s starts with, by its first byte; 0 where that starts none. */
static size_t announced(unsigned char first)
{
    return first < 0x80                    ? 1
           : first >= 0xc2 && first < 0xe0 ? 2
           : first >= 0xe0 && first < 0xf0 ? 3
           : first >= 0xf0 && first < 0xf5 ? 4
                                           : 0;
}

/* Bytes of a well-formed character at s (RFC 3629), 0 where there is none. */
static size_t character(const unsigned char *s)
{
    size_t n = announced(s[0]);
    for (size_t i = 1; i < n; i++)
        if ((s[i] & 0xc0) != 0x80)
            return 0;
    if ((s[0] == 0xe0 && s[1] < 0xa0) || (s[0] == 0xed && s[1] >= 0xa0)) /* overlong; a surrogate */
        return 0;
    if ((s[0] == 0xf0 && s[1] < 0x90) || (s[0] == 0xf4 && s[1] >= 0x90)) /* overlong; beyond U+10FFFF */
        return 0;
    return n;
}

/* C0 and C1 controls and the two non-characters: not allowed in XML. */
static bool is_control(const unsigned char *s, size_t n)
{
    if (n == 1)
        return s[0] < 0x20 || s[0] == 0x7f;
    if (n == 2)
        return s[0] == 0xc2 && s[1] < 0xa0;
    return n == 3 && s[0] == 0xef && s[1] == 0xbf && s[2] >= 0xbe;
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
    while (*s) {
        const unsigned char *u = (const unsigned char *)s;
        size_t n = character(u);
        const char *escaped = entity(*s);
        if (n == 0)
            sm_text_puts(out, "\xef\xbf\xbd");
        else if (is_control(u, n))
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
