/* block.h - what is told, once: words, tables and pictures in their order. Writers (write.h) make of it a page of a
 * terminal, plain sentences or HTML.
 *
 * How to tell something. A builder is a function `void sm_topic_part(sm_blocks *b, ...)` that begins blocks one after
 * the other and never asks who will write them:
 *
 *     sm_block_say(b, SM_TITLE, "The call");                  words that stand already
 *     sm_text *w = sm_block_words(b, SM_SAY);                 or a text to write them to, until the next block begins
 *     sm_text_puts(w, "Your line: ");
 *     sm_words_line(w, line, 0);
 *
 * Each writer leaves out what it cannot write: pictures in text, rulers and legends on a page. Nothing has to be asked
 * beforehand: a block without words is left out, and so is a title that nothing follows. (The text that is returned
 * holds the words of all blocks, so its len is never 0.) A user's words are made safe by the writers. An output that
 * needs something of its own (a page that must fill two sheets) begins other blocks with the same functions that write
 * words.
 *
 * A table: sm_block_table names its columns; then each row begins with its label (SM_ROW) and goes on with its cells
 * (SM_CELL, SM_NONE, sm_block_strip). The terminal writes columns, HTML a <table>, plain style a sentence a row:
 * "label: before CELL after, before CELL after." What stands in the drawn table or in the sentence alone follows its
 * label or cell as SM_DRAWN or SM_SAID.
 *
 *     static const sm_told_column column[] = {{.width = 20}, {"of 100", 8, SM_RIGHT, .after = " of 100"}};
 *     sm_block_table(b, &(sm_told_table){0}, column, 2);
 *     sm_words_side(sm_block_words(b, SM_ROW), name);
 *     sm_words_of_100(sm_block_words(b, SM_CELL), p);
 *
 * Then sm_write_text(out, style, &b) writes all of it as text and empties b. A function that is not converted yet calls
 * a builder in the same way, with blocks of its own.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_BLOCKS_BLOCK_H
#define SM_REPORT_BLOCKS_BLOCK_H

#include "report/blocks/layout.h"

typedef enum {
    /* Titles. */
    SM_MASTHEAD,      /* the first line of text; what stands at its right follows as SM_MORE */
    SM_HEADLINE,      /* the answer in one sentence */
    SM_TITLE,         /* of a section */
    SM_CAUTION_TITLE, /* of the section with the cautions */
    SM_SUBTITLE,      /* within a section */
    /* Paragraphs. */
    SM_SAY,
    SM_STRONG,
    SM_MUTED,
    SM_LEAD,        /* below the headline */
    SM_NOTE,        /* small on a page */
    SM_SCREEN_NOTE, /* the same, not printed */
    SM_ORIGIN,      /* program, seed, files */
    SM_SPOKEN,      /* plain sentences only, in place of a table whose rows are not said */
    /* Items; those that follow each other are a list. */
    SM_ITEM,
    SM_RUN,      /* of a long list, which runs on in print */
    SM_NUMBERED, /* its words begin with its number */
    SM_WARNED,
    /* What goes on with the words before it. */
    SM_MORE,
    SM_BOLD,
    SM_SMALL, /* below the words of a cell, or in parentheses */
    SM_DRAWN, /* in place of the words, in a drawn table */
    SM_SAID,  /* in place of the words, in a sentence; empty: this cell, or the row of this label, is not said */
    /* Tables. */
    SM_TABLE,
    SM_COLUMN,
    SM_ROW,
    SM_CELL,
    SM_NONE, /* a cell that has nothing to say */
    SM_STRIP,
    /* The rest. */
    SM_RULER,     /* one hundred roots, drawn with signs */
    SM_LEGEND,    /* what the signs of strips mean; its words: what a hollow one shows */
    SM_PICTURE,   /* its words are the markup of a figure, ready for a page */
    SM_GAP,       /* an empty line of text */
    SM_PAIR,      /* sections side by side where a page is wide */
    SM_UNEVEN,    /* the same in print only, the first the wider */
    SM_COLUMNS,   /* two columns within a section */
    SM_SCREEN,    /* sections that are not printed */
    SM_GROUP_END, /* of one of these four */
    SM_BLOCK_KINDS
} sm_block_kind;

typedef enum { SM_LEFT, SM_RIGHT } sm_align;

typedef struct {
    const char *head;           /* above the column; "\n" parts its lines. NULL: none, or words of its own */
    size_t width;               /* on the terminal */
    sm_align align;             /* the same */
    size_t gap;                 /* spaces before it */
    const char *before, *after; /* around the cell's words in a sentence; NULL: nothing */
    bool first;                 /* said before the others */
} sm_told_column;

typedef struct {
    const char *name;    /* class on a page; NULL: none */
    const char *caption; /* on a page; NULL: none */
    const char *joint;   /* between the cells of a sentence; NULL: ", " */
    size_t hang;         /* a label too long for its column stands alone, its later lines so much further in */
} sm_told_table;

typedef struct {
    sm_block_kind kind;
    size_t words; /* where they begin in the text */
    union {
        sm_told_table table;
        struct {
            sm_told_column column;
            sm_axis axis; /* of strips; columns 0: none */
            double step;
        };
        sm_strip strip;
        sm_ruler ruler; /* the words of its ranges follow it as SM_MORE */
    };
} sm_block;

/* Zero-initialise to start empty. text.failed once memory runs out: then nothing is written. */
typedef struct {
    sm_text text; /* the words of all blocks, each ends with a 0 */
    sm_block *block;
    size_t n, cap;
} sm_blocks;

/* Begins a block and returns where its words go. They may be added until the next block begins. */
sm_text *sm_block_words(sm_blocks *b, sm_block_kind kind);
/* The same with all its words. */
void sm_block_say(sm_blocks *b, sm_block_kind kind, const char *words);

/* Begins a table with its first columns; more may follow before the first row. */
void sm_block_table(sm_blocks *b, const sm_told_table *t, const sm_told_column *column, size_t n);
void sm_block_columns(sm_blocks *b, const sm_told_column *column, size_t n);
/* A column whose heading is written to what is returned. */
sm_text *sm_block_column(sm_blocks *b, const sm_told_column *column);
/* A column of strips on one axis. Only the terminal draws it. */
void sm_block_axis(sm_blocks *b, const sm_axis *axis, double step, size_t gap);
void sm_block_strip(sm_blocks *b, const sm_strip *s);

/* See sm_layout_hundred; the words beside the notch go to what is returned. */
sm_text *sm_block_ruler(sm_blocks *b, double share, double line);
/* A range below the ruler that was begun last; returns where its words go. At most SM_RULER_RANGES. */
sm_text *sm_block_ruler_range(sm_blocks *b, double low, double high);

void sm_blocks_destroy(sm_blocks *b);

/* For writers. */

/* The words of block i alone. */
const char *sm_block_string(const sm_blocks *b, size_t i);
/* Adds the words of block i and of what goes on with them, or, if there is one, only what stands in their `place`
 * (SM_DRAWN or SM_SAID). Returns the block after them. */
size_t sm_block_gather(const sm_blocks *b, size_t i, sm_block_kind place, sm_text *out);
/* The block after i and what goes on with it. */
size_t sm_block_next(const sm_blocks *b, size_t i);
/* The number of columns of the table at i. */
size_t sm_block_count_columns(const sm_blocks *b, size_t i);
/* Whether block i is a title that nothing follows before the next of its rank. */
bool sm_block_idle_title(const sm_blocks *b, size_t i);

#endif
