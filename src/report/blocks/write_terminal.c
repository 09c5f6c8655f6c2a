/* write_terminal.c - blocks as a page of a terminal: wrapped words, tables in columns, spreads drawn with signs.
 *
 * Contents: 1. words  2. cells  3. tables  4. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "report/blocks/write.h"

typedef struct {
    sm_text *out;
    const sm_style *style;
    const sm_blocks *b;
} writer;

/* 1. Words */

/* What stands before the words, and how far in the first line and the others. */
typedef struct {
    sm_paint paint;
    size_t first, rest;
    const char *sign;
} shape;

/* Other words are paragraphs from the first column. */
static const shape shapes[SM_BLOCK_KINDS] = {
    [SM_HEADLINE] = {.paint = SM_PAINT_STRONG}, [SM_SUBTITLE] = {.paint = SM_PAINT_STRONG},
    [SM_STRONG] = {.paint = SM_PAINT_STRONG},   [SM_MUTED] = {.paint = SM_PAINT_MUTED},
    [SM_ITEM] = {.first = 2, .rest = 4},        [SM_RUN] = {.first = 2, .rest = 6},
    [SM_NUMBERED] = {.first = 0, .rest = 4},    [SM_WARNED] = {.first = 2, .rest = 4, .sign = "! "},
};

/* The words at i as they are shown; returns the block after them. */
static size_t shown(const writer *w, size_t i, sm_text *words)
{
    const size_t next = sm_block_gather(w->b, i, SM_DRAWN, words);
    sm_layout_make_safe(words, w->style);
    return next;
}

static void paragraph(const writer *w, const shape *s, const sm_text *words)
{
    sm_text whole = {0}, wrapped = {0};
    sm_text_addf(&whole, "%s%s", s->sign ? s->sign : "", sm_text_string(words));
    sm_layout_wrap(&wrapped, w->style, s->first, s->rest, sm_text_string(&whole));
    if (wrapped.len > 0)
        wrapped.s[wrapped.len - 1] = '\0'; /* the line end stays outside the paint */
    sm_layout_paint(w->out, w->style, s->paint, sm_text_string(&wrapped));
    sm_text_puts(w->out, "\n");
    sm_text_done(&whole, w->out);
    sm_text_done(&wrapped, w->out);
}

/* Left and right if both have room, else one under the other. */
static void masthead(const writer *w, size_t i)
{
    sm_text left = {0}, right = {0};
    sm_layout_safe(&left, w->style, sm_block_string(w->b, i));
    sm_layout_safe(&right, w->style, sm_block_string(w->b, i + 1));
    const size_t columns = sm_layout_columns(sm_text_string(&right));
    if (sm_layout_columns(sm_text_string(&left)) + columns + 2 > w->style->width)
        sm_layout_wrap(w->out, w->style, 0, 2, sm_text_string(&left));
    else
        sm_layout_left(w->out, sm_text_string(&left), w->style->width - columns);
    sm_text_addf(w->out, "%s\n", sm_text_string(&right));
    sm_text_done(&left, w->out);
    sm_text_done(&right, w->out);
}

static void legend(const writer *w, const char *hollow)
{
    sm_text_addf(w->out,
                 w->style->utf8 ? "\n● median  ━ 95 of 100 lie here  ▒ beyond the limit  │ limit  ○ %s\n"
                                : "\nO median  = 95 of 100 lie here  / beyond the limit  | limit  o %s\n",
                 hollow);
}

static void ruler(const writer *w, size_t i)
{
    sm_ruler r = w->b->block[i].ruler;
    for (size_t k = 0; k < SM_RULER_RANGES; k++)
        if (r.range[k].words)
            r.range[k].words = sm_block_string(w->b, i + 1 + k);
    sm_text_puts(w->out, "\n");
    sm_layout_hundred(w->out, w->style, 2, &r, sm_block_string(w->b, i));
}

static size_t words_write(const writer *w, size_t i)
{
    const sm_block_kind kind = w->b->block[i].kind;
    sm_text words = {0};
    const size_t next = shown(w, i, &words);
    if (kind == SM_TITLE || kind == SM_CAUTION_TITLE)
        sm_layout_title(w->out, w->style, sm_text_string(&words));
    else if (kind <= SM_WARNED && kind != SM_SPOKEN && words.len > 0)
        paragraph(w, &shapes[kind], &words);
    sm_text_done(&words, w->out);
    return next;
}

/* 2. Cells */

/* A line without the spaces that columns leave at its end. */
static void end_line(sm_text *out)
{
    while (!out->failed && out->len > 0 && out->s[out->len - 1] == ' ')
        out->s[--out->len] = '\0';
    sm_text_puts(out, "\n");
}

static void cell(const writer *w, const sm_told_column *c, const char *words)
{
    const bool tight = c->align == SM_RIGHT && c->gap == 0 && sm_layout_columns(words) >= c->width;
    sm_text_fill(w->out, ' ', c->gap + tight); /* else two numbers would be read as one */
    (c->align == SM_RIGHT ? sm_layout_right : sm_layout_left)(w->out, words, c->width);
}

/* Where the last whole line of out begins. */
static size_t last_line(const sm_text *out)
{
    size_t begin = out->len > 0 ? out->len - 1 : 0;
    while (begin > 0 && out->s[begin - 1] != '\n')
        begin--;
    return begin;
}

/* A label too long for its column stands on lines of its own, the last of which the row goes on with if it has room. */
static void label(const writer *w, const sm_told_table *t, const sm_told_column *c, const char *words)
{
    const size_t in = c->gap + strspn(words, " "), wide = c->gap + c->width;
    if (sm_layout_columns(words) < c->width) {
        cell(w, c, words);
        return;
    }
    sm_layout_wrap(w->out, w->style, in, in + t->hang, words);
    if (w->out->failed)
        return;
    w->out->s[w->out->len - 1] = '\0';
    const size_t taken = sm_layout_columns(w->out->s + last_line(w->out));
    w->out->s[w->out->len - 1] = '\n';
    if (taken < wide)
        w->out->s[--w->out->len] = '\0';
    sm_text_fill(w->out, ' ', taken < wide ? wide - taken : wide);
}

static size_t cell_write(const writer *w, const sm_block *column, size_t i)
{
    sm_text words = {0};
    const size_t next = shown(w, i, &words);
    if (w->b->block[i].kind == SM_STRIP) {
        sm_text_fill(w->out, ' ', column->column.gap);
        sm_layout_strip(w->out, w->style, &column->axis, &w->b->block[i].strip);
    } else
        cell(w, &column->column, w->b->block[i].kind == SM_NONE ? "-" : sm_text_string(&words));
    sm_text_done(&words, w->out);
    return next;
}

/* 3. Tables */

static size_t lines_of(const char *head)
{
    size_t lines = head[0] != '\0';
    for (; *head; head++)
        lines += *head == '\n';
    return lines;
}

/* Line k of `lines`; a heading with fewer stands at the bottom. */
static void heading(const writer *w, size_t i, size_t k, size_t lines)
{
    const sm_block *x = &w->b->block[i];
    const char *head = sm_block_string(w->b, i);
    const size_t above = lines - lines_of(head);
    sm_text words = {0};
    for (size_t j = above; j < k; j++)
        head += strcspn(head, "\n") + 1;
    sm_text_putn(&words, k < above ? "" : head, k < above ? 0 : strcspn(head, "\n"));
    sm_layout_make_safe(&words, w->style);
    if (x->axis.columns > 0) { /* a scale begins one column before its axis */
        sm_text_fill(w->out, ' ', x->column.gap);
        w->out->len -= w->out->len > 0;
        sm_layout_left(w->out, sm_text_string(&words), x->column.width + 1);
    } else
        cell(w, &x->column, sm_text_string(&words));
    sm_text_done(&words, w->out);
}

static void headings(const writer *w, size_t first, size_t n)
{
    size_t lines = 0;
    for (size_t i = first; i < first + n; i++)
        lines = lines_of(sm_block_string(w->b, i)) > lines ? lines_of(sm_block_string(w->b, i)) : lines;
    for (size_t k = 0; k < lines; k++) {
        for (size_t i = first; i < first + n; i++)
            heading(w, i, k, lines);
        end_line(w->out);
    }
}

static size_t table_write(const writer *w, size_t i)
{
    const sm_told_table *t = &w->b->block[i].table;
    const size_t n = sm_block_count_columns(w->b, i), first = i + 1;
    headings(w, first, n);
    for (i = first + n; i < w->b->n && w->b->block[i].kind == SM_ROW;) {
        sm_text words = {0};
        i = shown(w, i, &words);
        label(w, t, &w->b->block[first].column, sm_text_string(&words));
        sm_text_done(&words, w->out);
        for (size_t k = first + 1; k < first + n && i < w->b->n; k++)
            i = cell_write(w, &w->b->block[k], i);
        end_line(w->out);
    }
    return i;
}

/* 4. The whole */

static size_t block_write(const writer *w, size_t i)
{
    switch (w->b->block[i].kind) {
    case SM_MASTHEAD:
        masthead(w, i);
        break;
    case SM_GAP:
        sm_text_puts(w->out, "\n");
        break;
    case SM_LEGEND:
        legend(w, sm_block_string(w->b, i));
        break;
    case SM_RULER:
        ruler(w, i);
        break;
    case SM_TABLE:
        return table_write(w, i);
    default:
        return words_write(w, i);
    }
    return sm_block_next(w->b, i);
}

void sm_write_terminal(sm_text *out, const sm_style *style, const sm_blocks *b)
{
    const writer w = {out, style, b};
    out->failed |= b->text.failed;
    for (size_t i = 0; !out->failed && i < b->n;)
        i = sm_block_idle_title(b, i) ? sm_block_next(b, i) : block_write(&w, i);
}

void sm_write_text(sm_text *out, const sm_style *style, sm_blocks *b)
{
    (style->plain ? sm_write_plain : sm_write_terminal)(out, style, b);
    sm_blocks_destroy(b);
}
