/* text.h - a growing piece of text, and numbers written so that they read back the same.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_TEXT_H
#define SM_BASE_TEXT_H

#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>

/* Zero-initialise to start empty. Once memory runs out `failed` stays set, s stays valid and
 * further additions do nothing: check `failed` once, at the end. s is NULL until something is added. */
typedef struct {
    char *s;
    size_t len, cap;
    bool failed;
} sm_text;

#if defined(__GNUC__)
#define SM_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))
#else
#define SM_PRINTF(fmt, args)
#endif

void sm_text_puts(sm_text *t, const char *s);
void sm_text_putn(sm_text *t, const char *s, size_t n);
void sm_text_addf(sm_text *t, const char *fmt, ...) SM_PRINTF(2, 3);
void sm_text_addv(sm_text *t, const char *fmt, va_list args);
/* Repeats c n times. */
void sm_text_fill(sm_text *t, char c, size_t n);
/* What has been added so far; "" if nothing was. Valid until the next addition. */
const char *sm_text_string(const sm_text *t);
/* Destroys a piece that went into a whole; if memory ran out for the piece, the whole has failed too. */
void sm_text_done(sm_text *piece, sm_text *whole);
/* Hands over the string ("" if empty; NULL if memory ran out) and leaves t empty. The caller frees it. */
char *sm_text_take(sm_text *t);
void sm_text_destroy(sm_text *t);

/* Room that sm_number_write needs. */
#define SM_NUMBER_SIZE 32
/* Writes the shortest of %.15g, %.16g, %.17g that reads back as exactly x; "null" if x is not finite
 * (JSON has no other word for it). Returns out. */
const char *sm_number_write(double x, char out[SM_NUMBER_SIZE]);
/* A computed number: a whole one exactly, others with SM_DIGITS significant digits, far below any Monte Carlo error and
 * far above what processors and compilers differ by (the last bits of exp or sin), so that every machine writes the
 * same. "null" if x is not finite. */
enum { SM_DIGITS = 9 };
const char *sm_number_computed(double x, char out[SM_NUMBER_SIZE]);

/* A heap copy of s (n bytes of it), NULL if memory runs out. */
char *sm_string_copy(const char *s);
char *sm_string_copyn(const char *s, size_t n);

#endif
