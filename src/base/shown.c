/* shown.c - text from outside made fit to be shown.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/shown.h"

#include <string.h>

#include "base/utf8.h"

bool sm_shown_is_hostile(uint32_t c)
{
    const bool control = c < 0x20 || (c >= 0x7f && c < 0xa0);
    const bool turns =
        c == 0x061c || c == 0x200e || c == 0x200f || (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069);
    return control || turns || c == 0x2028 || c == 0x2029 || c == 0xfffe || c == 0xffff;
}

bool sm_shown_escape(sm_text *out, const char *s, size_t *bytes)
{
    uint32_t c = 0;
    const size_t n = sm_utf8_decode(s, SM_UTF8_LONGEST, &c);
    *bytes = n ? n : 1;
    if (n == 0)
        sm_text_addf(out, "\\x%02x", (unsigned)(unsigned char)*s);
    else if (sm_shown_is_hostile(c))
        sm_text_addf(out, "\\u%04x", (unsigned)c);
    else
        return false;
    return true;
}

static void shown(sm_text *out, const char *s, size_t length)
{
    size_t bytes;
    for (size_t i = 0; i < length; i += bytes)
        if (!sm_shown_escape(out, s + i, &bytes))
            sm_text_putn(out, s + i, bytes);
}

void sm_text_shown(sm_text *out, const char *s)
{
    shown(out, s, strlen(s));
}

void sm_text_shown_lines(sm_text *out, const char *s)
{
    for (size_t n; *s; s += n + (s[n] == '\n')) {
        n = strcspn(s, "\n");
        shown(out, s, n);
        sm_text_puts(out, s[n] ? "\n" : "");
    }
}
