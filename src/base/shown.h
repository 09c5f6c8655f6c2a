/* shown.h - text from outside made fit to be shown: nothing in it may move a cursor, turn the direction of writing or
 * begin a line.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_SHOWN_H
#define SM_BASE_SHOWN_H

#include <stdint.h>

#include "base/text.h"

/* True of the characters that are shown as an escape: controls (C0, delete, C1), marks that turn the direction of
 * writing, separators of lines and paragraphs, and the two non-characters. */
bool sm_shown_is_hostile(uint32_t c);

/* *bytes receives the bytes of the character at s, 1 if there is none. If it must not stand as it is, adds its
 * escape, "\u202e" or "\xff" of a byte that is no UTF-8, and returns true. */
bool sm_shown_escape(sm_text *out, const char *s, size_t *bytes);

/* Adds one line of text from outside. What it adds stays as it is when it comes through here again. */
void sm_text_shown(sm_text *out, const char *s);
/* The same of a text that has line ends of its own. */
void sm_text_shown_lines(sm_text *out, const char *s);

#endif
