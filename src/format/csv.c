/* csv.c - comma-separated text (RFC 4180) taken apart row by row.
 *
 * Contents: 1. opening  2. fields  3. rows
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "format/csv.h"

#include <string.h>

#include "base/utf8.h"
#include "format/json_scan.h"

/* 1. Opening */

/* A semicolon anywhere; else a tab, unless there are more commas. */
static char find_separator(const char *s, size_t n)
{
    bool quoted = false;
    size_t tabs = 0, commas = 0;
    for (size_t i = 0; i < n && (quoted || (s[i] != '\n' && s[i] != '\r')); i++) {
        quoted ^= s[i] == '"';
        if (s[i] == ';' && !quoted)
            return ';';
        tabs += s[i] == '\t' && !quoted;
        commas += s[i] == ',' && !quoted;
    }
    return tabs > commas ? '\t' : ',';
}

static bool at_line_end(const sm_csv *c)
{
    return c->at == c->n || c->s[c->at] == '\n' || c->s[c->at] == '\r';
}

/* Steps over LF, CR LF or CR. */
static void step_line(sm_csv *c)
{
    if (c->at < c->n && c->s[c->at] == '\r')
        c->at++;
    if (c->at < c->n && c->s[c->at] == '\n')
        c->at++;
    c->line++;
    c->line_start = c->at;
}

/* Steps over lines of comments at the start of a row. */
static void skip_comments(sm_csv *c)
{
    while (c->comment && c->at < c->n && c->s[c->at] == c->comment) {
        while (!at_line_end(c))
            c->at++;
        step_line(c);
    }
}

sm_csv sm_csv_open(sm_file_text text)
{
    return sm_csv_open_with_comments(text, 0);
}

sm_csv sm_csv_open_with_comments(sm_file_text text, char comment)
{
    sm_csv c = {.file = text.name, .s = text.text ? text.text : "", .n = text.length, .line = 1, .comment = comment};
    if (c.n >= 3 && memcmp(c.s, "\xEF\xBB\xBF", 3) == 0)
        c.at = c.line_start = 3;
    skip_comments(&c);
    c.separator = find_separator(c.s + c.at, c.n - c.at);
    return c;
}

bool sm_csv_is_utf8(sm_file_text text, sm_diag *d)
{
    const size_t at = sm_utf8_check(text.text, text.length);
    if (at == text.length)
        return true;
    size_t line, column;
    sm_json_locate(text.text, at, &line, &column);
    sm_diag_add(d, SM_FAULT, (sm_place){.file = text.name, .line = line, .column = column},
                "this is not UTF-8 text: save the table as CSV UTF-8");
    return false;
}

/* 2. Fields */

static bool is_blank(const sm_csv *c, char ch)
{
    return ch == ' ' || (ch == '\t' && c->separator != '\t');
}

static void skip_blanks(sm_csv *c)
{
    while (c->at < c->n && is_blank(c, c->s[c->at]))
        c->at++;
}

static void fault(const sm_csv *c, sm_csv_row *row, size_t line, size_t column, sm_diag *d, const char *words)
{
    sm_diag_add(d, SM_FAULT, (sm_place){.file = c->file, .line = line, .column = column}, "%s", words);
    row->bad = true;
}

/* From after the opening quote to after the closing one. A line end inside belongs to the field. */
static void read_quoted(sm_csv *c, sm_csv_row *row, sm_diag *d)
{
    size_t line = c->line, column = c->at - c->line_start;
    while (c->at < c->n) {
        char ch = c->s[c->at];
        if (ch == '"' && !(c->at + 1 < c->n && c->s[c->at + 1] == '"')) {
            c->at++;
            skip_blanks(c);
            if (!at_line_end(c) && c->s[c->at] != c->separator)
                fault(c, row, c->line, c->at - c->line_start + 1, d,
                      "there is text after the closing quote; write a quote inside quotes twice");
            return;
        }
        if (ch == '\n' || ch == '\r') {
            sm_text_puts(&row->text, " ");
            step_line(c);
            continue;
        }
        sm_text_putn(&row->text, &ch, 1);
        c->at += ch == '"' ? 2 : 1;
    }
    fault(c, row, line, column, d, "this quote is never closed: everything after it was taken as one field");
}

static void read_plain(sm_csv *c, sm_csv_row *row, sm_diag *d)
{
    size_t start = c->at;
    while (!at_line_end(c) && c->s[c->at] != c->separator) {
        if (c->s[c->at] == '"' && !row->bad)
            fault(c, row, c->line, c->at - c->line_start + 1, d,
                  "there is a quote inside a field that does not start with one");
        c->at++;
    }
    size_t end = c->at;
    while (end > start && is_blank(c, c->s[end - 1]))
        end--;
    sm_text_putn(&row->text, c->s + start, end - start);
}

/* 3. Rows */

static void read_field(sm_csv *c, sm_csv_row *row, sm_diag *d)
{
    skip_blanks(c);
    if (row->n < SM_CSV_MAX_FIELDS)
        row->field[row->n] = (sm_csv_field){.line = c->line, .column = c->at - c->line_start + 1, .at = row->text.len};
    row->n++;
    if (c->at < c->n && c->s[c->at] == '"') {
        c->at++;
        read_quoted(c, row, d);
    } else
        read_plain(c, row, d);
    while (row->bad && !at_line_end(c) && c->s[c->at] != c->separator)
        c->at++;
    sm_text_putn(&row->text, "", 1);
}

static void read_row(sm_csv *c, sm_csv_row *row, sm_diag *d)
{
    row->n = 0;
    row->line = c->line;
    row->bad = false;
    row->text.len = 0;
    read_field(c, row, d);
    while (!at_line_end(c)) {
        c->at++; /* the separator */
        read_field(c, row, d);
    }
    step_line(c);
}

/* True if no field holds anything: an empty line, or one of separators alone. */
static bool row_is_blank(const sm_csv_row *row)
{
    return row->text.len == row->n && !row->bad;
}

bool sm_csv_next(sm_csv *c, sm_csv_row *row, sm_diag *d)
{
    for (skip_comments(c); c->at < c->n && !row->text.failed; skip_comments(c)) {
        read_row(c, row, d);
        if (!row_is_blank(row) && !row->text.failed)
            return true;
    }
    d->failed |= row->text.failed;
    return false;
}

const char *sm_csv_text(const sm_csv_row *row, size_t i)
{
    return i < row->n && i < SM_CSV_MAX_FIELDS && row->text.s && !row->text.failed ? row->text.s + row->field[i].at
                                                                                   : "";
}

sm_place sm_csv_place(const sm_csv *c, const sm_csv_row *row, size_t i)
{
    if (i < row->n && i < SM_CSV_MAX_FIELDS)
        return (sm_place){.file = c->file, .line = row->field[i].line, .column = row->field[i].column};
    return (sm_place){.file = c->file, .line = row->line, .column = 1};
}

void sm_csv_row_destroy(sm_csv_row *row)
{
    sm_text_destroy(&row->text);
}
