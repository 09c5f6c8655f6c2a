/* write_html.c - blocks as the body of a page of HTML: sections, paragraphs, lists, tables, pictures.
 *
 * Contents: 1. words  2. sections and groups  3. lists  4. tables  5. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "report/blocks/markup.h"
#include "report/blocks/write.h"

/* What is open. */
typedef struct {
    sm_text *out;
    const sm_blocks *b;
    bool section, columns;
    const char *list; /* class of the list, "" for one without; NULL: none is open */
} writer;

/* element NULL: not written. cls "": without a class. section: opens one of that class. list: an item of one. */
static const struct {
    const char *element, *cls, *section, *list;
} kinds[SM_BLOCK_KINDS] = {
    [SM_HEADLINE] = {"h1", "", "call", NULL},
    [SM_TITLE] = {"h2", "", "", NULL},
    [SM_CAUTION_TITLE] = {"h2", "", "caution", NULL},
    [SM_SUBTITLE] = {"h3", "", NULL, NULL},
    [SM_SAY] = {"p", "", NULL, NULL},
    [SM_STRONG] = {"p", "strong", NULL, NULL},
    [SM_MUTED] = {"p", "note", NULL, NULL},
    [SM_LEAD] = {"p", "lead", NULL, NULL},
    [SM_NOTE] = {"p", "note", NULL, NULL},
    [SM_SCREEN_NOTE] = {"p", "note screen", NULL, NULL},
    [SM_ORIGIN] = {"p", "note sha", NULL, NULL},
    [SM_ITEM] = {"li", "", NULL, ""},
    [SM_RUN] = {"li", "", NULL, "run"},
    [SM_NUMBERED] = {"li", "", NULL, "run"},
    [SM_WARNED] = {"li", "", NULL, ""},
    [SM_PAIR] = {"div", "pair", NULL, NULL},
    [SM_UNEVEN] = {"div", "pair uneven", NULL, NULL},
    [SM_COLUMNS] = {"div", "columns", NULL, NULL},
    [SM_SCREEN] = {"div", "screen", NULL, NULL},
};

/* 1. Words */

/* The words at i and what goes on with them, escaped; returns the block after them. */
static size_t words_write(const writer *w, size_t i)
{
    static const char *const before[] = {[SM_BOLD] = "<b>", [SM_SMALL] = " <small>"},
                             *const after[] = {[SM_BOLD] = "</b>", [SM_SMALL] = "</small>"};
    const size_t next = sm_block_next(w->b, i);
    sm_markup_text(w->out, sm_block_string(w->b, i));
    for (i++; i < next; i++) {
        const sm_block_kind kind = w->b->block[i].kind;
        if (kind == SM_DRAWN || kind == SM_SAID)
            continue;
        sm_text_puts(w->out, kind == SM_MORE ? "" : before[kind]);
        sm_markup_text(w->out, sm_block_string(w->b, i));
        sm_text_puts(w->out, kind == SM_MORE ? "" : after[kind]);
    }
    return next;
}

static void open_element(const writer *w, const char *element, const char *cls)
{
    sm_text_addf(w->out, cls && cls[0] ? "<%s class=\"%s\">" : "<%s>", element, cls);
}

/* Leads that follow each other are one paragraph. */
static size_t element_write(const writer *w, size_t i)
{
    const sm_block_kind kind = w->b->block[i].kind;
    open_element(w, kinds[kind].element, kinds[kind].cls);
    i = words_write(w, i);
    for (; kind == SM_LEAD && i < w->b->n && w->b->block[i].kind == SM_LEAD; i = words_write(w, i))
        sm_text_puts(w->out, " ");
    sm_text_addf(w->out, "</%s>\n", kinds[kind].element);
    return i;
}

/* 2. Sections and groups */

static void section_end(writer *w)
{
    sm_text_puts(w->out, w->section ? "</section>\n" : "");
    w->section = false;
}

static void section_begin(writer *w, const char *cls)
{
    section_end(w);
    open_element(w, "section", cls);
    sm_text_puts(w->out, "\n");
    w->section = true;
}

/* Columns stand within a section, the others around sections. */
static void group_begin(writer *w, sm_block_kind kind)
{
    w->columns = kind == SM_COLUMNS;
    if (!w->columns)
        section_end(w);
    open_element(w, kinds[kind].element, kinds[kind].cls);
    sm_text_puts(w->out, "\n");
}

static void group_end(writer *w)
{
    if (!w->columns)
        section_end(w);
    w->columns = false;
    sm_text_puts(w->out, "</div>\n");
}

/* 3. Lists */

/* Ends the list that is open and begins another; NULL: none. */
static void list_change(writer *w, const char *cls)
{
    if (w->list && (!cls || strcmp(cls, w->list) != 0))
        sm_text_puts(w->out, "</ul>\n");
    if (cls && (!w->list || strcmp(cls, w->list) != 0)) {
        open_element(w, "ul", cls);
        sm_text_puts(w->out, "\n");
    }
    w->list = cls;
}

/* 4. Tables */

/* Line ends part the lines of a heading on a terminal; here they are spaces. */
static void heading_write(const writer *w, const char *head)
{
    for (size_t n; *head; head += n + (head[n] == '\n')) {
        sm_text line = {0};
        n = strcspn(head, "\n");
        sm_text_putn(&line, head, n);
        sm_markup_text(w->out, sm_text_string(&line));
        sm_text_puts(w->out, head[n] ? " " : "");
        sm_text_done(&line, w->out);
    }
}

/* A table of more columns than a phone is wide becomes a card for each row there: each cell then needs its head. */
static bool becomes_cards(size_t n)
{
    enum { NARROW_COLUMNS = 5 };
    return n > NARROW_COLUMNS;
}

static void table_head(const writer *w, size_t table, size_t n)
{
    const sm_told_table *t = &w->b->block[table].table;
    open_element(w, "div", becomes_cards(n) ? "across cards" : "across");
    open_element(w, "table", t->name);
    sm_text_puts(w->out, "\n");
    if (t->caption) {
        open_element(w, "caption", NULL);
        sm_markup_text(w->out, t->caption);
        sm_text_puts(w->out, "</caption>\n");
    }
    sm_text_puts(w->out, "<thead><tr>");
    for (size_t i = table + 1; i <= table + n; i++) {
        if (w->b->block[i].axis.columns > 0)
            continue;
        sm_text_puts(w->out, "<th scope=\"col\">");
        heading_write(w, sm_block_string(w->b, i));
        sm_text_puts(w->out, "</th>");
    }
    sm_text_puts(w->out, "</tr></thead>\n<tbody>\n");
}

static size_t cell_write(const writer *w, size_t i, const char *head)
{
    size_t next = i + 1;
    if (w->b->block[i].kind == SM_STRIP)
        return next;
    sm_text_puts(w->out, "<td");
    if (head) {
        sm_text_puts(w->out, " data-head=\"");
        heading_write(w, head);
        sm_text_puts(w->out, "\"");
    }
    sm_text_puts(w->out, ">");
    if (w->b->block[i].kind == SM_NONE)
        sm_text_puts(w->out, "\xe2\x80\x93");
    else
        next = words_write(w, i);
    sm_text_puts(w->out, "</td>");
    return next;
}

static size_t table_write(const writer *w, size_t table)
{
    const size_t n = sm_block_count_columns(w->b, table);
    size_t i = table + 1 + n;
    table_head(w, table, n);
    while (i < w->b->n && w->b->block[i].kind == SM_ROW) {
        sm_text_puts(w->out, "<tr><th scope=\"row\">");
        i = words_write(w, i);
        sm_text_puts(w->out, "</th>");
        for (size_t k = 1; k < n && i < w->b->n; k++)
            i = cell_write(w, i, becomes_cards(n) ? sm_block_string(w->b, table + 1 + k) : NULL);
        sm_text_puts(w->out, "</tr>\n");
    }
    sm_text_puts(w->out, "</tbody></table></div>\n");
    return i;
}

/* 5. The whole */

static size_t block_write(writer *w, size_t i)
{
    const sm_block_kind kind = w->b->block[i].kind;
    if (kind == SM_TABLE)
        return table_write(w, i);
    if (kind == SM_PICTURE)
        sm_text_puts(w->out, sm_block_string(w->b, i));
    else if (kind == SM_GROUP_END)
        group_end(w);
    else if (kind == SM_PAIR || kind == SM_UNEVEN || kind == SM_COLUMNS || kind == SM_SCREEN)
        group_begin(w, kind);
    else if (kinds[kind].element) {
        if (kinds[kind].section)
            section_begin(w, kinds[kind].section);
        return element_write(w, i);
    }
    return sm_block_next(w->b, i);
}

void sm_write_html(sm_text *out, const sm_blocks *b)
{
    writer w = {.out = out, .b = b};
    out->failed |= b->text.failed;
    for (size_t i = 0; !out->failed && i < b->n;)
        if (sm_block_idle_title(b, i) || (b->block[i].kind < SM_TABLE && !sm_block_string(b, i)[0]))
            i = sm_block_next(b, i);
        else {
            list_change(&w, kinds[b->block[i].kind].list);
            i = block_write(&w, i);
        }
    list_change(&w, NULL);
    section_end(&w);
}
