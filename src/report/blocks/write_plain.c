/* write_plain.c - blocks as plain sentences, for screen readers: nothing drawn, no columns.
 *
 * Contents: 1. words  2. rows  3. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/write.h"

typedef struct {
    sm_text *out;
    const sm_style *style;
    const sm_blocks *b;
} writer;

/* 1. Words */

/* Adds the words as one paragraph and empties them. */
static void paragraph(const writer *w, sm_text *words)
{
    sm_layout_make_safe(words, w->style);
    sm_layout_words(w->out, w->style, 0, 0, words);
}

static size_t words_write(const writer *w, size_t i)
{
    const sm_block_kind kind = w->b->block[i].kind;
    sm_text words = {0};
    const size_t next = sm_block_next(w->b, i);
    if (kind == SM_MASTHEAD)
        sm_text_addf(&words, "%s, %s", sm_block_string(w->b, i), sm_block_string(w->b, i + 1));
    else
        sm_block_gather(w->b, i, SM_SAID, &words);
    if (kind <= SM_WARNED && words.len > 0) {
        if (kind == SM_MASTHEAD || kind == SM_SUBTITLE)
            sm_text_puts(&words, ".");
        if (kind == SM_TITLE || kind == SM_CAUTION_TITLE)
            sm_text_puts(w->out, "\n");
        paragraph(w, &words);
    } else if (kind == SM_GAP)
        sm_text_puts(w->out, "\n");
    sm_text_done(&words, w->out);
    return next;
}

/* 2. Rows */

static const char *or_nothing(const char *s)
{
    return s ? s : "";
}

/* Adds the cells of a row from i on that are said first, or the others, and returns the block after the row. */
static size_t cells(const writer *w, size_t table, size_t i, bool first, bool *begun, sm_text *out)
{
    const char *joint = w->b->block[table].table.joint;
    for (size_t k = table + 2; k <= table + sm_block_count_columns(w->b, table) && i < w->b->n; k++) {
        const sm_block_kind kind = w->b->block[i].kind;
        const sm_told_column *c = &w->b->block[k].column;
        sm_text words = {0};
        if (kind == SM_CELL && c->first == first)
            sm_block_gather(w->b, i, SM_SAID, &words);
        if (words.len > 0) {
            sm_text_addf(out, "%s%s%s%s", *begun ? joint ? joint : ", " : ": ", or_nothing(c->before), words.s,
                         or_nothing(c->after));
            *begun = true;
        }
        sm_text_done(&words, out);
        i = sm_block_next(w->b, i);
    }
    return i;
}

static size_t table_write(const writer *w, size_t table)
{
    size_t i = table + 1 + sm_block_count_columns(w->b, table);
    while (i < w->b->n && w->b->block[i].kind == SM_ROW) {
        sm_text words = {0};
        bool begun = false;
        i = sm_block_gather(w->b, i, SM_SAID, &words);
        const bool is_said = words.len > 0;
        cells(w, table, i, true, &begun, &words);
        i = cells(w, table, i, false, &begun, &words);
        if (words.len > 0 && words.s[words.len - 1] != '.')
            sm_text_puts(&words, ".");
        if (is_said)
            paragraph(w, &words);
        sm_text_done(&words, w->out);
    }
    return i;
}

/* 3. The whole */

void sm_write_plain(sm_text *out, const sm_style *style, const sm_blocks *b)
{
    const writer w = {out, style, b};
    out->failed |= b->text.failed;
    for (size_t i = 0; !out->failed && i < b->n;)
        if (sm_block_idle_title(b, i))
            i = sm_block_next(b, i);
        else
            i = b->block[i].kind == SM_TABLE ? table_write(&w, i) : words_write(&w, i);
}
