/* text.c - a growing piece of text, and numbers written so that they read back the same.
 *
 * Contents: 1. growing and adding  2. numbers  3. copies
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/text.h"

#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* 1. Growing and adding */

/* Makes room for n more bytes and the closing zero. */
static bool text_reserve(sm_text *t, size_t n)
{
    if (t->failed)
        return false;
    if (n < t->cap - t->len)
        return true;
    size_t cap = t->cap ? t->cap : 64;
    while (cap - t->len <= n && cap <= SIZE_MAX / 2)
        cap *= 2;
    char *s = cap - t->len > n ? realloc(t->s, cap) : NULL;
    if (!s) {
        t->failed = true;
        return false;
    }
    t->s = s;
    t->cap = cap;
    return true;
}

void sm_text_putn(sm_text *t, const char *s, size_t n)
{
    if (!text_reserve(t, n))
        return;
    memcpy(t->s + t->len, s, n);
    t->len += n;
    t->s[t->len] = '\0';
}

void sm_text_puts(sm_text *t, const char *s)
{
    sm_text_putn(t, s, strlen(s));
}

void sm_text_fill(sm_text *t, char c, size_t n)
{
    if (!text_reserve(t, n))
        return;
    memset(t->s + t->len, c, n);
    t->len += n;
    t->s[t->len] = '\0';
}

void sm_text_addv(sm_text *t, const char *fmt, va_list args)
{
    va_list again;
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, fmt, args);
    if (n < 0)
        t->failed = true;
    else if (text_reserve(t, (size_t)n)) {
        t->failed = vsnprintf(t->s + t->len, (size_t)n + 1, fmt, again) != n; /* many digits need memory of their own */
        t->len += t->failed ? 0 : (size_t)n;
        t->s[t->len] = '\0';
    }
    va_end(again);
}

void sm_text_addf(sm_text *t, const char *fmt, ...)
{
    va_list args;
    va_start(args, fmt);
    sm_text_addv(t, fmt, args);
    va_end(args);
}

const char *sm_text_string(const sm_text *t)
{
    return t->s ? t->s : "";
}

void sm_text_done(sm_text *piece, sm_text *whole)
{
    whole->failed |= piece->failed;
    sm_text_destroy(piece);
}

char *sm_text_take(sm_text *t)
{
    char *s = t->failed ? NULL : t->s;
    if (t->failed)
        free(t->s);
    else if (!s)
        s = sm_string_copy("");
    *t = (sm_text){0};
    return s;
}

void sm_text_destroy(sm_text *t)
{
    free(t->s);
    *t = (sm_text){0};
}

/* 2. Numbers */

const char *sm_number_write(double x, char out[SM_NUMBER_SIZE])
{
    if (!isfinite(x)) {
        memcpy(out, "null", 5);
        return out;
    }
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(out, SM_NUMBER_SIZE, "%.*g", digits, x);
        if (strtod(out, NULL) == x)
            break;
    }
    return out;
}

/* Whole numbers below are exact as doubles. */
#define EXACT 9007199254740992.0

const char *sm_number_computed(double x, char out[SM_NUMBER_SIZE])
{
    if (x == floor(x) && fabs(x) < EXACT)
        snprintf(out, SM_NUMBER_SIZE, "%.0f", x == 0 ? 0.0 : x); /* no -0 */
    else if (isfinite(x))
        snprintf(out, SM_NUMBER_SIZE, "%.*g", SM_DIGITS, x);
    else
        memcpy(out, "null", 5);
    return out;
}

/* 3. Copies */

char *sm_string_copyn(const char *s, size_t n)
{
    char *copy = malloc(n + 1);
    if (copy) {
        memcpy(copy, s, n);
        copy[n] = '\0';
    }
    return copy;
}

char *sm_string_copy(const char *s)
{
    return sm_string_copyn(s, strlen(s));
}
