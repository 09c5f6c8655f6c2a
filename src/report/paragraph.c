/* paragraph.c - words broken into lines, and cells of a table, counted in characters, not bytes.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/paragraph.h"

#include <string.h>

static size_t characters_of(const char *s, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++)
        count += ((unsigned char)s[i] & 0xC0) != 0x80;
    return count;
}

size_t sm_characters(const char *s)
{
    return characters_of(s, strlen(s));
}

/* Bytes of the next word; "72 %" and "1.6 mm" are one word, so that no line starts with a unit. */
static size_t word_length(const char *p)
{
    size_t n = strcspn(p, " ");
    if (n > 0 && p[n - 1] >= '0' && p[n - 1] <= '9' && (strncmp(p + n, " %", 2) == 0 || strncmp(p + n, " mm", 3) == 0))
        n += 1 + strcspn(p + n + 1, " ");
    return n;
}

void sm_paragraph_put(sm_text *out, const char *words, size_t indent, size_t width)
{
    size_t column = 0;
    for (const char *p = words + strspn(words, " "); *p; p += strspn(p, " ")) {
        size_t n = word_length(p), long_as = characters_of(p, n);
        if (column > 0 && column + 1 + long_as > width) {
            sm_text_puts(out, "\n");
            column = 0;
        }
        size_t gap = column > 0 ? 1 : indent;
        sm_text_fill(out, ' ', gap);
        sm_text_putn(out, p, n);
        column += gap + long_as;
        p += n;
    }
    sm_text_puts(out, "\n");
}

void sm_cell_put(sm_text *out, const char *s, size_t width)
{
    size_t n = sm_characters(s);
    sm_text_puts(out, s);
    sm_text_fill(out, ' ', n < width ? width - n : 1);
}
