/* block.c - blocks, one after the other, and their words.
 *
 * Contents: 1. adding  2. tables and the ruler  3. reading
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/blocks/block.h"

#include <stdlib.h>

/* 1. Adding */

/* If memory ran out, a block that nobody keeps is returned, so that callers need not ask. */
static sm_block *add(sm_blocks *b, sm_block_kind kind, sm_block *nobodys)
{
    if (b->n == b->cap && !b->text.failed) {
        const size_t cap = b->cap ? 2 * b->cap : 64;
        sm_block *block = realloc(b->block, cap * sizeof *block);
        b->text.failed = !block;
        b->block = block ? block : b->block;
        b->cap = block ? cap : b->cap;
    }
    if (b->n > 0)
        sm_text_putn(&b->text, "", 1);
    sm_block *added = b->text.failed ? nobodys : &b->block[b->n++];
    *added = (sm_block){.kind = kind, .words = b->text.len};
    return added;
}

sm_text *sm_block_words(sm_blocks *b, sm_block_kind kind)
{
    sm_block nobodys;
    add(b, kind, &nobodys);
    return &b->text;
}

void sm_block_say(sm_blocks *b, sm_block_kind kind, const char *words)
{
    sm_text_puts(sm_block_words(b, kind), words);
}

void sm_blocks_destroy(sm_blocks *b)
{
    sm_text_destroy(&b->text);
    free(b->block);
    *b = (sm_blocks){0};
}

/* 2. Tables and the ruler */

sm_text *sm_block_column(sm_blocks *b, const sm_told_column *column)
{
    sm_block nobodys;
    add(b, SM_COLUMN, &nobodys)->column = *column;
    return &b->text;
}

void sm_block_columns(sm_blocks *b, const sm_told_column *column, size_t n)
{
    for (size_t i = 0; i < n; i++)
        sm_text_puts(sm_block_column(b, &column[i]), column[i].head ? column[i].head : "");
}

void sm_block_table(sm_blocks *b, const sm_told_table *t, const sm_told_column *column, size_t n)
{
    sm_block nobodys;
    add(b, SM_TABLE, &nobodys)->table = *t;
    sm_block_columns(b, column, n);
}

void sm_block_axis(sm_blocks *b, const sm_axis *axis, double step, size_t gap)
{
    sm_block nobodys, *column = add(b, SM_COLUMN, &nobodys);
    column->column = (sm_told_column){.width = axis->columns, .gap = gap};
    column->axis = *axis;
    column->step = step;
    sm_layout_scale(&b->text, axis, step);
}

void sm_block_strip(sm_blocks *b, const sm_strip *s)
{
    sm_block nobodys;
    add(b, SM_STRIP, &nobodys)->strip = *s;
}

sm_text *sm_block_ruler(sm_blocks *b, double share, double line)
{
    sm_block nobodys, *ruler = add(b, SM_RULER, &nobodys);
    ruler->ruler = (sm_ruler){.share = share, .line = line};
    return &b->text;
}

sm_text *sm_block_ruler_range(sm_blocks *b, double low, double high)
{
    size_t at = b->n;
    while (at > 0 && b->block[at - 1].kind != SM_RULER)
        at--;
    for (int i = 0; at > 0 && i < SM_RULER_RANGES; i++)
        if (!b->block[at - 1].ruler.range[i].words) {
            b->block[at - 1].ruler.range[i] = (sm_ruler_range){low, high, ""}; /* the writer puts its words there */
            break;
        }
    return sm_block_words(b, SM_MORE);
}

/* 3. Reading */

const char *sm_block_string(const sm_blocks *b, size_t i)
{
    return sm_text_string(&b->text) + b->block[i].words;
}

static bool goes_on(const sm_blocks *b, size_t i)
{
    return i < b->n && b->block[i].kind >= SM_MORE && b->block[i].kind <= SM_SAID;
}

size_t sm_block_next(const sm_blocks *b, size_t i)
{
    for (i++; goes_on(b, i); i++)
        ;
    return i;
}

size_t sm_block_gather(const sm_blocks *b, size_t i, sm_block_kind place, sm_text *out)
{
    const size_t next = sm_block_next(b, i);
    for (size_t k = i + 1; k < next; k++)
        if (b->block[k].kind == place) {
            sm_text_puts(out, sm_block_string(b, k));
            return next;
        }
    for (size_t k = i; k < next; k++) {
        const sm_block_kind kind = b->block[k].kind;
        if (kind != SM_DRAWN && kind != SM_SAID)
            sm_text_addf(out, kind == SM_SMALL ? " (%s)" : "%s", sm_block_string(b, k));
    }
    return next;
}

size_t sm_block_count_columns(const sm_blocks *b, size_t i)
{
    size_t n = 0;
    while (i + n + 1 < b->n && b->block[i + n + 1].kind == SM_COLUMN)
        n++;
    return n;
}

static bool is_title(sm_block_kind kind)
{
    return kind == SM_TITLE || kind == SM_CAUTION_TITLE || kind == SM_SUBTITLE;
}

bool sm_block_idle_title(const sm_blocks *b, size_t i)
{
    const sm_block_kind title = b->block[i].kind;
    if (!is_title(title))
        return false;
    for (i++; i < b->n; i++) {
        const sm_block_kind kind = b->block[i].kind;
        if (is_title(kind) && (kind != SM_SUBTITLE || title == SM_SUBTITLE))
            return true;
        if (!is_title(kind) && kind < SM_GAP && (kind >= SM_TABLE || sm_block_string(b, i)[0]))
            return false;
    }
    return true;
}
