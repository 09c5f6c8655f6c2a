/* diag.c - what was found wrong with the input, all of it in one run.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/diag.h"

#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/shown.h"

static sm_diag_item *diag_grow(sm_diag *d)
{
    sm_diag_item *item = sm_grow(d->item, d->n, &d->cap, 16, sizeof *item);
    if (!item)
        return NULL;
    d->item = item;
    return &d->item[d->n];
}

void sm_diag_add(sm_diag *d, sm_diag_kind kind, sm_place place, const char *fmt, ...)
{
    d->faults += kind == SM_FAULT;
    sm_text words = {0};
    va_list args;
    va_start(args, fmt);
    sm_text_addv(&words, fmt, args);
    va_end(args);
    sm_diag_item *item = diag_grow(d);
    if (!item || words.failed) {
        d->failed = true;
        sm_text_destroy(&words);
        return;
    }
    *item = (sm_diag_item){.kind = kind,
                           .file = place.file ? sm_string_copy(place.file) : NULL,
                           .line = place.line,
                           .column = place.column,
                           .pointer = place.pointer ? sm_string_copy(place.pointer) : NULL,
                           .words = sm_text_take(&words)};
    d->failed |= !item->words;
    d->failed |= (place.file && !item->file) || (place.pointer && !item->pointer);
    d->n++;
}

static bool goes_before(const sm_diag_item *a, const sm_diag_item *b)
{
    const bool same_file = a->file && b->file && strcmp(a->file, b->file) == 0;
    return !same_file || a->line < b->line || (a->line == b->line && a->column <= b->column);
}

/* Insertion keeps the order of messages at the same place; they are few, or nearly sorted. */
void sm_diag_sort(sm_diag *d, size_t first)
{
    for (size_t i = first + 1; i < d->n; i++) {
        sm_diag_item item = d->item[i];
        size_t j = i;
        for (; j > first && !goes_before(&d->item[j - 1], &item); j--)
            d->item[j] = d->item[j - 1];
        d->item[j] = item;
    }
}

void sm_diag_write(const sm_diag *d, sm_text *out)
{
    for (size_t i = 0; i < d->n; i++) {
        const sm_diag_item *m = &d->item[i];
        if (m->file) {
            sm_text_shown(out, m->file);
            sm_text_puts(out, ":");
        }
        if (m->line)
            sm_text_addf(out, "%zu:%zu:", m->line, m->column);
        if (m->file || m->line)
            sm_text_puts(out, " ");
        if (m->pointer && m->pointer[0]) {
            sm_text_shown(out, m->pointer);
            sm_text_puts(out, ": ");
        }
        sm_text_puts(out, m->kind == SM_WARNING ? "warning: " : "");
        sm_text_shown(out, m->words ? m->words : "");
        sm_text_puts(out, "\n");
    }
    out->failed |= d->failed;
}

void sm_diag_destroy(sm_diag *d)
{
    for (size_t i = 0; i < d->n; i++) {
        free(d->item[i].file);
        free(d->item[i].pointer);
        free(d->item[i].words);
    }
    free(d->item);
    *d = (sm_diag){0};
}
