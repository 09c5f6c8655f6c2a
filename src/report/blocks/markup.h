/* markup.h - text made safe to stand in HTML, SVG and CSV.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_BLOCKS_MARKUP_H
#define SM_REPORT_BLOCKS_MARKUP_H

#include "base/text.h"

/* s as the content of an element or of a double-quoted attribute: & < > " ' escaped, and fit to be shown
 * (base/shown.h). */
void sm_markup_text(sm_text *out, const char *s);

/* One cell of a CSV file: fit to be shown, quoted if it holds a separator or a quote, and behind an apostrophe if
 * a spreadsheet would take it for a formula. */
void sm_markup_csv(sm_text *out, const char *s);

#endif
