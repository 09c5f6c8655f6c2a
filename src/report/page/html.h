/* html.h - the frame of a page that stands alone, and its small parts.
 *
 * One file, no script, nothing fetched: a policy in the page itself forbids both.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_PAGE_HTML_H
#define SM_REPORT_PAGE_HTML_H

#include "report/figures/figure.h"

/* What stands at the head of every printed page. Plain words, escaped here. */
typedef struct {
    const char *title;   /* of the document */
    const char *running; /* beside the program's name */
} sm_html_head;

void sm_html_begin(sm_text *out, const sm_html_head *head);
void sm_html_end(sm_text *out);

/* <element class="cls">words</element>, escaped; cls may be NULL. */
void sm_html_element(sm_text *out, const char *element, const char *cls, const char *words);
/* The same with a text that was gathered, which is emptied. */
void sm_html_words(sm_text *out, const char *element, const char *cls, sm_text *words);

/* Opens a section with its heading; level 2 or 3. */
void sm_html_section(sm_text *out, const char *cls, int level, const char *heading);
void sm_html_section_end(sm_text *out);

/* A table: caption (NULL: none), then the header cells. It may be scrolled sideways where it is too wide. */
void sm_html_table(sm_text *out, const char *cls, const char *caption, const char *const *head, size_t n);
void sm_html_table_end(sm_text *out);
/* One cell with words; head: a header of its row. small (may be NULL) stands below it. */
void sm_html_cell(sm_text *out, bool head, const char *words, const char *small);

/* A picture of a figure, at the width of the page and once more for a narrow screen; caption may be NULL. */
void sm_html_figure(sm_text *out, const sm_figure *g, const sm_findings *f, int i, const char *caption);

#endif
