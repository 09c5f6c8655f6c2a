/* csv.h - comma-separated text (RFC 4180) taken apart row by row.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_FORMAT_CSV_H
#define SM_FORMAT_CSV_H

#include <stdbool.h>

#include "base/diag.h"
#include "base/file_text.h"

#define SM_CSV_MAX_FIELDS 64

/* Where a field stands in the file (counted from 1, column in bytes) and in the text of its row. */
typedef struct {
    size_t line, column, at;
} sm_csv_field;

/* One row: its fields without quotes and without white space around them, each ended by a zero. */
typedef struct {
    size_t line;
    size_t n; /* fields; those beyond SM_CSV_MAX_FIELDS are counted and dropped */
    sm_csv_field field[SM_CSV_MAX_FIELDS];
    sm_text text;
    bool bad; /* broken quotes; the message is in the sm_diag */
} sm_csv_row;

typedef struct {
    const char *file, *s;
    size_t n, at, line, line_start;
    char separator; /* ',', ';' or a tab */
    char comment;   /* rows that begin with it are passed over; 0: none are */
} sm_csv;

/* Starts at the first row, after a byte order mark. The separator is ';' if the first row holds one outside quotes,
 * else a tab if it holds more tabs than commas, else ','. */
sm_csv sm_csv_open(sm_file_text text);
/* The same of a text in which lines that begin with `comment` are no rows, the first row neither. */
sm_csv sm_csv_open_with_comments(sm_file_text text, char comment);
/* False, with a fault at its place, if the text is no UTF-8. */
bool sm_csv_is_utf8(sm_file_text text, sm_diag *d);
/* Reads the next row that is not blank into row (which it empties first). False at the end of the text, or if memory
 * runs out, of which d->failed tells. */
bool sm_csv_next(sm_csv *c, sm_csv_row *row, sm_diag *d);
/* Field i of the row, "" if it has none. */
const char *sm_csv_text(const sm_csv_row *row, size_t i);
/* Line and column of field i, or of the row if it has none. */
sm_place sm_csv_place(const sm_csv *c, const sm_csv_row *row, size_t i);
void sm_csv_row_destroy(sm_csv_row *row);

#endif
