/* html.h - the frame of a page that stands alone, and figures on it.
 *
 * One file, no script, nothing fetched: a policy in the page itself forbids both.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_PAGE_HTML_H
#define SM_REPORT_PAGE_HTML_H

#include "report/blocks/block.h"
#include "report/figures/figure.h"

/* What stands at the head of every printed page. Plain words, escaped here. */
typedef struct {
    const char *title;   /* of the document */
    const char *running; /* beside the program's name */
} sm_html_head;

/* The whole page, of blocks, which are emptied. */
void sm_html_page(sm_text *out, const sm_html_head *head, sm_blocks *b);

/* Adds a picture of a figure, at the width of the page and once more for a narrow screen. */
void sm_html_figure(sm_blocks *b, const sm_figure *g, const sm_findings *f, int i);

#endif
