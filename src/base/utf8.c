/* utf8.c - the characters of a UTF-8 text.
 *
 * Contents: 1. one character  2. whole texts
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/utf8.h"

/* 1. One character */

bool sm_utf8_continues(char c)
{
    return ((unsigned char)c & 0xC0) == 0x80;
}

/* The bytes that the first one announces; 0 if it starts no character. */
static size_t announced(unsigned char first)
{
    return first < 0x80 ? 1 : first < 0xC0 ? 0 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : first < 0xF8 ? 4 : 0;
}

size_t sm_utf8_decode(const char *s, size_t left, uint32_t *code)
{
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000}; /* the first code that needs so many bytes */
    const unsigned char first = (unsigned char)s[0];
    const size_t n = announced(first);
    if (n == 0 || n > left)
        return 0;
    uint32_t c = n == 1 ? first : first & (0x7FU >> n);
    for (size_t i = 1; i < n; i++) {
        if (!sm_utf8_continues(s[i]))
            return 0;
        c = c << 6 | ((unsigned char)s[i] & 0x3F);
    }
    const bool surrogate = c >= 0xD800 && c <= 0xDFFF;
    if (c < least[n] || surrogate || c > 0x10FFFF)
        return 0;
    *code = c;
    return n;
}

/* 2. Whole texts */

size_t sm_utf8_check(const char *s, size_t n)
{
    uint32_t unused;
    size_t i = 0, length = 1;
    while (length > 0 && i < n && s[i] != '\0') {
        length = sm_utf8_decode(s + i, n - i, &unused);
        i += length;
    }
    return i;
}

size_t sm_utf8_count(const char *s)
{
    size_t n = 0;
    for (; *s; s++)
        n += !sm_utf8_continues(*s);
    return n;
}
