/* context_html.c - what published series say of a reading like this one, as a section of a page.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page/html.h"
#include "report/page/report_html.h"
#include "report/text/weigh_text.h"

void sm_context_html(sm_text *out, const sm_case *c, const sm_context *x)
{
    /* Two pages of paper have no room for the last two; `weigh` prints them. */
    static const char *const cls[SM_CONTEXT_PARAGRAPHS] = {"note", "note", "note", "note screen", "note screen"};
    sm_text words[SM_CONTEXT_PARAGRAPHS] = {0};
    sm_html_section(out, NULL, 2, SM_CONTEXT_TITLE);
    sm_text_puts(&words[0], SM_CONTEXT_APART " ");
    sm_context_paragraphs(c, x, words);
    for (int i = 0; i < SM_CONTEXT_PARAGRAPHS; i++) {
        if (words[i].len > 0)
            sm_html_words(out, "p", cls[i], &words[i]);
        sm_text_done(&words[i], out);
    }
    sm_html_section_end(out);
}
