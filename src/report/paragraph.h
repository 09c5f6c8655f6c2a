/* paragraph.h - words broken into lines, and cells of a table, counted in characters, not bytes.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_PARAGRAPH_H
#define SM_REPORT_PARAGRAPH_H

#include "base/text.h"

/* Characters (code points) of UTF-8 text. */
size_t sm_characters(const char *s);
/* Adds words, indented, broken at spaces so that no line is longer than width where it can be. Ends with a line end. */
void sm_paragraph_put(sm_text *out, const char *words, size_t indent, size_t width);
/* Adds s and spaces up to width; at least one space. */
void sm_cell_put(sm_text *out, const char *s, size_t width);

#endif
