/* paths.c - the names of files beside others.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "command/paths.h"

#include <stdint.h>
#include <string.h>

#include "base/text.h"

char *sm_path_beside(const char *beside, const char *path)
{
    const char *slash = strrchr(beside, '/');
    sm_text name = {0};
    if (path[0] != '/' && slash)
        sm_text_putn(&name, beside, (size_t)(slash - beside) + 1);
    sm_text_puts(&name, path);
    return sm_text_take(&name);
}

/* 32-bit FNV-1a. */
static uint32_t digest(const char *s)
{
    uint32_t h = 2166136261U;
    for (; *s; s++)
        h = (h ^ (unsigned char)*s) * 16777619U;
    return h;
}

/* The number of bytes of s, at most n, that end with a whole character of UTF-8. */
static size_t whole_characters(const char *s, size_t n)
{
    while (n > 0 && ((unsigned char)s[n] & 0xC0) == 0x80)
        n--;
    return n;
}

char *sm_path_ending(const char *path, const char *without, const char *ending)
{
    enum { LONGEST = 255, DIGEST = 9 }; /* bytes of a name on the usual file systems */
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    const size_t folder = (size_t)(name - path), end = strlen(without);
    size_t n = strlen(name);
    sm_text out = {0};
    if (n > end && strcmp(name + n - end, without) == 0)
        n -= end;
    const bool fits = n + strlen(ending) <= LONGEST;
    if (!fits)
        n = whole_characters(name, LONGEST - strlen(ending) - DIGEST);
    sm_text_putn(&out, path, folder + n);
    if (!fits)
        sm_text_addf(&out, "-%08x", (unsigned)digest(name));
    sm_text_puts(&out, ending);
    return sm_text_take(&out);
}
