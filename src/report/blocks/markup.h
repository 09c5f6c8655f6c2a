/* markup.h - text made safe to stand in HTML and SVG.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_BLOCKS_MARKUP_H
#define SM_REPORT_BLOCKS_MARKUP_H

#include "base/text.h"

/* s as the content of an element or of a double-quoted attribute: & < > " ' escaped, control characters become spaces,
 * bytes that are not UTF-8 become U+FFFD. */
void sm_markup_text(sm_text *out, const char *s);

/* One cell of a CSV file: quoted if it holds a comma, a quote or a line end. */
void sm_markup_csv(sm_text *out, const char *s);

#endif
