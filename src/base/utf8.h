/* utf8.h - the characters of a UTF-8 text.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_UTF8_H
#define SM_BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* No character takes more bytes. A text that a zero ends may say that so many are left: the zero stops the decoder. */
enum { SM_UTF8_LONGEST = 4 };

/* Reads the character at s, of which `left` bytes (1 or more) are left. Returns its bytes and stores its code; returns
 * 0 and leaves code as it was if there is none (RFC 3629: nothing overlong or cut short, no surrogates, nothing beyond
 * U+10FFFF). A zero byte is a character like any other. */
size_t sm_utf8_decode(const char *s, size_t left, uint32_t *code);

/* The offset of the first byte of n that belongs to no character or is a zero; n if there is none. */
size_t sm_utf8_check(const char *s, size_t n);

/* True if c continues a character and starts none: a text is never cut in front of it. */
bool sm_utf8_continues(char c);

/* Characters of a valid text. */
size_t sm_utf8_count(const char *s);

#endif
