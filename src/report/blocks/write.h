/* write.h - blocks written: as a page of a terminal, as plain sentences, as the body of a page of HTML.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_BLOCKS_WRITE_H
#define SM_REPORT_BLOCKS_WRITE_H

#include "report/blocks/block.h"

void sm_write_terminal(sm_text *out, const sm_style *style, const sm_blocks *b); /* write_terminal.c */
void sm_write_plain(sm_text *out, const sm_style *style, const sm_blocks *b);    /* write_plain.c */
void sm_write_html(sm_text *out, const sm_blocks *b);                            /* write_html.c */

/* As text, plain or drawn as the style says; empties b. */
void sm_write_text(sm_text *out, const sm_style *style, sm_blocks *b); /* write_terminal.c */

#endif
