/* study_csv.c - the tables of a reader study (CSV) -> the study.
 *
 * Contents: 1. columns and ranges  2. names  3. what a column is  4. header  5. columns of readers  6. values
 *           7. rows  8. repeats given twice  9. the study  10. files
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "study/study_csv.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/grow.h"
#include "base/utf8.h"
#include "format/csv.h"
#include "format/json_scan.h"
#include "casefile/identifiers.h"
#include "casefile/keys.h"

/* 1. Columns and ranges */

typedef enum { COLUMN_CASE, COLUMN_QUANTITY, COLUMN_READER, COLUMN_REPEAT, COLUMN_VALUE, COLUMNS } column;

static const char *const column_name[COLUMNS] = {"case", "quantity", "reader", "repeat", "value_mm"};
static const size_t longest_name[COLUMNS] = {64, 32, 64, 9, 40}; /* bytes */

#define ANY_RANGE_MM 100.0 /* no length in the root of the aorta is larger */

/* The range that a reading of a known quantity may have (docs/case-format.md); false for another name. */
static bool study_range(const char *quantity, double *low, double *high)
{
    const sm_quantity_kind *kind;
    size_t n = sm_keys_quantities(&kind);
    for (size_t i = 0; i < n; i++)
        if (strcmp(quantity, kind[i].name) == 0) {
            *low = kind[i].low;
            *high = kind[i].high;
            return true;
        }
    *low = -ANY_RANGE_MM;
    *high = ANY_RANGE_MM;
    return false;
}

/* 2. Names */

/* Names in the order in which they first stand in the file. */
typedef struct {
    char **name;
    size_t n, cap, last, most;
    const char *kind; /* "cases", for the message when there are too many */
} names;

typedef struct {
    size_t quantity;
    sm_study_reading reading;
} row_entry;

/* A column that holds the readings of one reader. */
typedef struct {
    size_t field;
    char *reader;
} own_column;

typedef struct {
    const sm_file_text *text;
    size_t n_texts, file; /* that is read now */
    sm_csv csv;
    sm_csv_row row;
    sm_diag *d;
    size_t column[COLUMNS]; /* place of each column in a row; SM_CSV_MAX_FIELDS: none */
    own_column own[SM_CSV_MAX_FIELDS];
    size_t n_own;    /* above 0: one column a reader in place of reader and value_mm */
    size_t fields;   /* of the header */
    size_t unitless; /* the column "value": whose unit the row below must say; SM_CSV_MAX_FIELDS: none */
    names cases, readers, quantities;
    row_entry *entry;
    size_t n, cap;
    bool no_memory;
} reader;

static bool same_but_for_capitals(const char *a, const char *b)
{
    while (*a && tolower((unsigned char)*a) == tolower((unsigned char)*b)) {
        a++;
        b++;
    }
    return *a == '\0' && *b == '\0';
}

static bool names_grow(names *s)
{
    char **name = sm_grow(s->name, s->n, &s->cap, 16, sizeof *name);
    s->name = name ? name : s->name;
    return name != NULL;
}

/* A name that differs from a known one only in capitals is most likely the same reader or case typed twice. */
static void warn_of_capitals(reader *r, const names *s, const char *name, sm_place place)
{
    for (size_t i = 0; i < s->n; i++)
        if (same_but_for_capitals(s->name[i], name)) {
            sm_diag_add(r->d, SM_WARNING, place, "\"%s\" and \"%s\" differ only in capitals and are taken as two",
                        s->name[i], name);
            return;
        }
}

/* The number of name in s, which it joins if it is new. */
static size_t number_of(reader *r, names *s, const char *name, sm_place place)
{
    if (s->last < s->n && strcmp(s->name[s->last], name) == 0)
        return s->last;
    for (size_t i = 0; i < s->n; i++)
        if (strcmp(s->name[i], name) == 0)
            return s->last = i;
    warn_of_capitals(r, s, name, place);
    if (s->n == s->most)
        sm_diag_add(r->d, SM_FAULT, place, "there are more than %zu %s", s->most, s->kind);
    char *copy = names_grow(s) ? sm_string_copy(name) : NULL;
    if (!copy) {
        r->no_memory = true;
        return 0;
    }
    s->name[s->n] = copy;
    return s->last = s->n++;
}

/* 3. What a column is */

enum { FOLDED = 80 };

/* Lower case, with one _ for all between letters and digits: "Value [mm]" becomes value_mm. */
static void fold(const char *name, char out[FOLDED])
{
    size_t n = 0;
    for (; *name && n + 2 < FOLDED; name++) {
        const unsigned char ch = (unsigned char)*name;
        if (isalnum(ch) || ch >= 0x80)
            out[n++] = (char)tolower(ch);
        else if (n > 0 && out[n - 1] != '_')
            out[n++] = '_';
    }
    out[n - (n > 0 && out[n - 1] == '_')] = '\0';
}

static size_t column_of(const char *folded)
{
    size_t c = 0;
    while (c < COLUMNS && strcmp(folded, column_name[c]) != 0)
        c++;
    return c;
}

/* Lengths that are not in millimetres. */
static bool is_other_unit(const char *folded)
{
    static const char *const units[] = {"cm",        "m",         "in", "inch",  "inches", "um",
                                        "\xC2\xB5m", "\xCE\xBCm", "px", "pixel", "pixels"};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcmp(folded, units[i]) == 0)
            return true;
    return false;
}

/* What others call a column; the word of this program for it, NULL if none is known. */
static const char *our_word(const char *folded)
{
    static const char *const word[][2] = {{"patient", "case"},    {"patient_id", "case"},   {"subject", "case"},
                                          {"scan", "case"},       {"observer", "reader"},   {"rater", "reader"},
                                          {"session", "repeat"},  {"reading", "repeat"},    {"repetition", "repeat"},
                                          {"trial", "repeat"},    {"variable", "quantity"}, {"measurement", "quantity"},
                                          {"measure", "quantity"}};
    for (size_t i = 0; i < sizeof word / sizeof *word; i++)
        if (strcmp(folded, word[i][0]) == 0)
            return word[i][1];
    return NULL;
}

/* The name of the reader if a column is headed "reader A", "Reader_A (mm)": copied; NULL if it is not. */
static char *reader_of(const char *name)
{
    static const char word[] = "reader";
    static const char *const unit[] = {"(mm)", "[mm]", " mm", "_mm"};
    const size_t n = sizeof word - 1;
    char folded[FOLDED];
    fold(name, folded);
    if (strncmp(folded, word, n) != 0 || folded[n] != '_')
        return NULL;
    const char *start = name + strcspn(name, "rR") + n;
    start += strspn(start, " _:-");
    size_t length = strlen(start);
    for (size_t i = 0; i < sizeof unit / sizeof *unit; i++) {
        const size_t m = strlen(unit[i]);
        if (length >= m && strcmp(start + length - m, unit[i]) == 0) {
            length -= m;
            break;
        }
    }
    while (length > 0 && (start[length - 1] == ' ' || start[length - 1] == '_'))
        length--;
    return sm_string_copyn(start, length);
}

/* 4. Header */

static sm_place header_place(const reader *r)
{
    return (sm_place){.file = r->csv.file, .line = r->row.line, .column = 1};
}

static void take_column(reader *r, column c, size_t i)
{
    if (r->column[c] != SM_CSV_MAX_FIELDS)
        sm_diag_add(r->d, SM_FAULT, sm_csv_place(&r->csv, &r->row, i), "the column \"%s\" stands twice in the header",
                    sm_csv_text(&r->row, i));
    else
        r->column[c] = i;
}

/* The columns that this program knows by name. */
static void find_columns(reader *r)
{
    for (size_t i = 0; i < r->row.n && i < SM_CSV_MAX_FIELDS; i++) {
        char folded[FOLDED];
        fold(sm_csv_text(&r->row, i), folded);
        const size_t c = column_of(folded);
        if (c < COLUMNS)
            take_column(r, (column)c, i);
        else if (strcmp(folded, "value") == 0)
            r->unitless = i;
    }
    if (r->column[COLUMN_VALUE] != SM_CSV_MAX_FIELDS)
        r->unitless = SM_CSV_MAX_FIELDS;
    else if (r->unitless != SM_CSV_MAX_FIELDS)
        r->column[COLUMN_VALUE] = r->unitless;
}

static bool is_known(const reader *r, size_t field)
{
    for (size_t c = 0; c < COLUMNS; c++)
        if (r->column[c] == field)
            return true;
    for (size_t k = 0; k < r->n_own; k++)
        if (r->own[k].field == field)
            return true;
    return false;
}

/* A column that is not used is warned of, one that would identify somebody or is in another unit refused. */
static void judge_column(reader *r, size_t i)
{
    const char *name = sm_csv_text(&r->row, i);
    const sm_place place = sm_csv_place(&r->csv, &r->row, i);
    char folded[FOLDED];
    fold(name, folded);
    const char *ours = our_word(folded);
    if (folded[0] == '\0' || is_known(r, i))
        return;
    if (ours && r->column[column_of(ours)] == SM_CSV_MAX_FIELDS && !(r->n_own > 0 && strcmp(ours, "reader") == 0))
        sm_diag_add(r->d, SM_FAULT, place, "the column \"%s\": call it \"%s\" if that is what it holds", name, ours);
    else if (sm_identifiers_key(name))
        sm_diag_add(r->d, SM_FAULT, place,
                    "the column \"%s\" looks as if it identified patients: take it out of the file", name);
    else if (strncmp(folded, "value_", 6) == 0 && is_other_unit(folded + 6))
        sm_diag_add(r->d, SM_FAULT, place,
                    "the column \"%s\" is not in millimetres: convert it and call it \"value_mm\"", name);
    else if (strncmp(folded, "reader", 6) == 0 && folded[6] != '\0')
        sm_diag_add(
            r->d, SM_FAULT, place,
            "the column \"%s\" holds a reader's readings beside \"%s\": a table has one column of values, with the "
            "readers in a column \"reader\", or a column for each reader",
            name, sm_csv_text(&r->row, r->column[COLUMN_VALUE]));
    else if (r->n_own > 0)
        sm_diag_add(r->d, SM_WARNING, place,
                    "the column \"%s\" is not used; if it holds the readings of a reader, call it \"reader %s\"", name,
                    name);
    else
        sm_diag_add(r->d, SM_WARNING, place, "the column \"%s\" is not used", name);
}

/* Fields of the row less empty ones at its end, but not below least. */
static size_t fields_without_tail(const sm_csv_row *row, size_t least)
{
    size_t n = row->n;
    while (n > least && n <= SM_CSV_MAX_FIELDS && sm_csv_text(row, n - 1)[0] == '\0')
        n--;
    return n;
}

/* 5. Columns of readers */

/* Length of a name without the digits at its end. */
static size_t stem(const char *name)
{
    size_t n = strlen(name);
    while (n > 0 && isdigit((unsigned char)name[n - 1]))
        n--;
    return n;
}

static bool is_of_stem(const char *a, const char *b)
{
    return stem(a) == stem(b) && strncmp(a, b, stem(a)) == 0 && a[stem(a)] && b[stem(b)];
}

/* "A1, A2, B1, B2" may be two readers with two readings each, or four readers: at least two stems with two numbers
 * each. "R1, R2, R3" are readers. */
static bool may_be_repeats(const reader *r)
{
    size_t pairs = 0;
    for (size_t i = 0; i < r->n_own; i++) {
        size_t same = 0, before = 0;
        for (size_t k = 0; k < r->n_own; k++)
            if (is_of_stem(r->own[i].reader, r->own[k].reader)) {
                same++;
                before += k < i;
            }
        pairs += same > 1 && before == 0;
    }
    return pairs > 1;
}

static void judge_own_columns(reader *r)
{
    for (size_t i = 0; i < r->n_own; i++) {
        const char *name = r->own[i].reader;
        const sm_place place = sm_csv_place(&r->csv, &r->row, r->own[i].field);
        if (name[0] == '\0' || strlen(name) > longest_name[COLUMN_READER])
            sm_diag_add(r->d, SM_FAULT, place, "after \"reader\" a name of 1 to %zu characters must stand",
                        longest_name[COLUMN_READER]);
        for (size_t k = 0; k < i; k++)
            if (strcmp(r->own[k].reader, name) == 0)
                sm_diag_add(r->d, SM_FAULT, place,
                            "reader %s has two columns: write repeats as rows, with a column "
                            "\"repeat\"",
                            name);
    }
    if (may_be_repeats(r))
        sm_diag_add(r->d, SM_FAULT, header_place(r),
                    "\"reader %s\" and its like may be one reader's repeats or several readers: write repeats as rows, "
                    "with a column \"repeat\" that holds 1, 2, ..., and one column a reader; or give readers names "
                    "without a number at the end",
                    r->own[0].reader);
}

/* One column a reader: headed "reader A", if there is neither a column of readers nor one of values. */
static void find_own_columns(reader *r)
{
    if (r->column[COLUMN_READER] != SM_CSV_MAX_FIELDS || r->column[COLUMN_VALUE] != SM_CSV_MAX_FIELDS)
        return;
    for (size_t i = 0; i < r->row.n && i < SM_CSV_MAX_FIELDS; i++) {
        char folded[FOLDED];
        fold(sm_csv_text(&r->row, i), folded);
        if (strncmp(folded, "reader_", 7) != 0)
            continue;
        char *name = reader_of(sm_csv_text(&r->row, i));
        if (!name) {
            r->no_memory = true;
            return;
        }
        r->own[r->n_own++] = (own_column){i, name};
    }
    judge_own_columns(r);
}

static void forget_own_columns(reader *r)
{
    for (size_t i = 0; i < r->n_own; i++)
        free(r->own[i].reader);
    r->n_own = 0;
}

/* Whether a column must stand in the header. Readers with a column each need no repeat: each reads a case once. */
static bool is_needed(const reader *r, size_t c)
{
    return r->n_own == 0 || c == COLUMN_CASE || c == COLUMN_QUANTITY;
}

static bool look_for_columns(reader *r)
{
    bool complete = true;
    for (size_t c = 0; c < COLUMNS; c++)
        if (r->column[c] == SM_CSV_MAX_FIELDS && is_needed(r, c)) {
            complete = false;
            sm_diag_add(r->d, SM_FAULT, header_place(r),
                        "the header has no column \"%s\"; it must name case, quantity, reader, repeat and value_mm, "
                        "separated by commas, semicolons or tabs%s",
                        column_name[c],
                        c == COLUMN_READER && r->column[COLUMN_VALUE] == SM_CSV_MAX_FIELDS
                            ? ". If each reader has a column, call these columns \"reader A\", \"reader B\""
                            : "");
        }
    return complete;
}

/* False if a column is missing: rows then mean nothing. */
static bool read_header(reader *r)
{
    for (size_t c = 0; c < COLUMNS; c++)
        r->column[c] = SM_CSV_MAX_FIELDS;
    r->unitless = SM_CSV_MAX_FIELDS;
    if (!sm_csv_next(&r->csv, &r->row, r->d)) {
        sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file, .line = 1, .column = 1}, "the file is empty");
        return false;
    }
    r->fields = fields_without_tail(&r->row, 0);
    find_columns(r);
    const size_t faults = r->d->faults;
    find_own_columns(r);
    for (size_t i = 0; i < r->row.n && i < SM_CSV_MAX_FIELDS; i++)
        judge_column(r, i);
    return look_for_columns(r) && r->d->faults == faults && !r->no_memory;
}

/* 6. Values */

/* A plain decimal number with at most one decimal mark; NULL if it is one, else what is wrong with it. */
static const char *parse_number(const char *s, char separator, double *out)
{
    char plain[48];
    size_t n = strlen(s), marks = 0, digits = 0;
    if (n >= sizeof plain)
        return "is not a number";
    for (size_t i = 0; i <= n; i++) {
        plain[i] = s[i] == ',' ? '.' : s[i];
        marks += s[i] == ',' || s[i] == '.';
        digits += isdigit((unsigned char)s[i]) != 0;
        if (s[i] == ',' && separator == ',')
            return "has a decimal comma, but commas separate the columns: write a decimal point";
        if (s[i] && !isdigit((unsigned char)s[i]) && !strchr(".,", s[i]) && !(i == 0 && strchr("+-", s[i])))
            return "is not a number: write digits and a decimal mark only, without a unit";
    }
    if (marks > 1)
        return "has more than one decimal mark";
    if (digits == 0)
        return "is not a number";
    *out = strtod(plain, NULL);
    return NULL;
}

static bool read_value(reader *r, size_t field, const char *quantity, double *mm)
{
    const char *text = sm_csv_text(&r->row, field);
    sm_place place = sm_csv_place(&r->csv, &r->row, field);
    const char *wrong = parse_number(text, r->csv.separator, mm);
    if (wrong) {
        sm_diag_add(r->d, SM_FAULT, place, "value_mm \"%.40s\" %s", text, wrong);
        return false;
    }
    double low, high;
    bool known = study_range(quantity, &low, &high);
    if (*mm >= low && *mm <= high)
        return true;
    sm_diag_add(r->d, SM_FAULT, place, "value_mm %g is not between %g and %g mm, the range of %s", *mm, low, high,
                known ? quantity : "any length here");
    return false;
}

static bool read_repeat(reader *r, long *repeat)
{
    const char *text = sm_csv_text(&r->row, r->column[COLUMN_REPEAT]);
    *repeat = 1;
    if (r->column[COLUMN_REPEAT] == SM_CSV_MAX_FIELDS)
        return true;
    size_t digits = strspn(text, "0123456789");
    if (digits > 0 && digits <= 9 && text[digits] == '\0') {
        *repeat = strtol(text, NULL, 10);
        if (*repeat >= 1)
            return true;
    }
    sm_diag_add(
        r->d, SM_FAULT, sm_csv_place(&r->csv, &r->row, r->column[COLUMN_REPEAT]),
        "repeat \"%.40s\" is not a whole number from 1: the first reading of a case by a reader is 1, the next 2",
        text);
    return false;
}

/* Any text without control characters; a quantity only letters, digits and . _ - so that it can be a key. */
static bool read_name(reader *r, column c)
{
    const char *text = sm_csv_text(&r->row, r->column[c]);
    sm_place place = sm_csv_place(&r->csv, &r->row, r->column[c]);
    size_t n = strlen(text);
    if (n == 0)
        sm_diag_add(r->d, SM_FAULT, place, "%s is empty", column_name[c]);
    else if (n > longest_name[c])
        sm_diag_add(r->d, SM_FAULT, place, "%s is longer than %zu characters", column_name[c], longest_name[c]);
    for (size_t i = 0; n > 0 && n <= longest_name[c] && i < n; i++) {
        unsigned char ch = (unsigned char)text[i];
        if (ch < 0x20 || ch == 0x7F || (c == COLUMN_QUANTITY && !isalnum(ch) && !strchr("._-", ch))) {
            sm_diag_add(r->d, SM_FAULT, place,
                        c == COLUMN_QUANTITY ? "quantity \"%.40s\" may hold only letters, digits, . _ and -"
                                             : "%.40s holds a control character",
                        c == COLUMN_QUANTITY ? text : column_name[c]);
            return false;
        }
    }
    return n > 0 && n <= longest_name[c];
}

/* 7. Rows */

static void keep_entry(reader *r, row_entry e)
{
    row_entry *entry = sm_grow(r->entry, r->n, &r->cap, 256, sizeof *entry);
    if (!entry) {
        r->no_memory = true;
        return;
    }
    r->entry = entry;
    r->entry[r->n++] = e;
}

/* Spreadsheets end rows with separators of empty columns: a row has as many fields as the header, and empty ones may
 * follow. */
static bool check_fields(reader *r)
{
    size_t n = fields_without_tail(&r->row, r->fields);
    if (n == r->fields)
        return true;
    sm_diag_add(r->d, SM_FAULT, sm_csv_place(&r->csv, &r->row, 0), "the row has %zu fields, the header %zu%s", n,
                r->fields,
                n > r->fields && r->csv.separator == ','
                    ? ": a decimal comma? Write a decimal point, or separate the columns with semicolons"
                    : "");
    return false;
}

static sm_place place_of(const reader *r, column c)
{
    return sm_csv_place(&r->csv, &r->row, r->column[c]);
}

/* One reading, whose case and quantity are good. */
static void read_reading(reader *r, row_entry e, size_t field, const char *reader_name, sm_place reader_place)
{
    const char *quantity = sm_csv_text(&r->row, r->column[COLUMN_QUANTITY]);
    if (!read_value(r, field, quantity, &e.reading.mm))
        return;
    e.reading.case_id = number_of(r, &r->cases, sm_csv_text(&r->row, r->column[COLUMN_CASE]), place_of(r, COLUMN_CASE));
    e.reading.reader_id = number_of(r, &r->readers, reader_name, reader_place);
    e.quantity = number_of(r, &r->quantities, quantity, place_of(r, COLUMN_QUANTITY));
    keep_entry(r, e);
}

/* An empty field of a reader is a reading that was not made. */
static void read_own_columns(reader *r, row_entry e)
{
    for (size_t i = 0; i < r->n_own; i++) {
        const size_t field = r->own[i].field;
        if (sm_csv_text(&r->row, field)[0] != '\0')
            read_reading(r, e, field, r->own[i].reader, sm_csv_place(&r->csv, &r->row, field));
    }
}

static void read_entry(reader *r)
{
    if (r->row.bad || !check_fields(r))
        return;
    bool good = read_name(r, COLUMN_CASE);
    good = read_name(r, COLUMN_QUANTITY) && good;
    good = (r->n_own > 0 || read_name(r, COLUMN_READER)) && good;
    row_entry e = {.reading = {.file = r->file, .line = r->row.line}};
    good = read_repeat(r, &e.reading.repeat) && good;
    if (r->n_own == 0 && sm_csv_text(&r->row, r->column[COLUMN_VALUE])[0] == '\0') {
        sm_diag_add(r->d, SM_WARNING, place_of(r, COLUMN_VALUE), "value_mm is empty: the row is passed over");
        return;
    }
    if (good && r->n_own > 0)
        read_own_columns(r, e);
    else if (good)
        read_reading(r, e, r->column[COLUMN_VALUE], sm_csv_text(&r->row, r->column[COLUMN_READER]),
                     place_of(r, COLUMN_READER));
    else if (r->n_own == 0) {
        double mm;
        read_value(r, r->column[COLUMN_VALUE], sm_csv_text(&r->row, r->column[COLUMN_QUANTITY]), &mm);
    }
}

typedef enum { UNITS_NONE, UNITS_MM, UNITS_OTHER } units;

static units unit_in(const reader *r, size_t field)
{
    char folded[FOLDED];
    fold(sm_csv_text(&r->row, field), folded);
    return strcmp(folded, "mm") == 0 ? UNITS_MM : is_other_unit(folded) ? UNITS_OTHER : UNITS_NONE;
}

/* A row of units below the header, by what stands where the values will. */
static units unit_row(const reader *r)
{
    units found = r->n_own > 0 ? UNITS_NONE : unit_in(r, r->column[COLUMN_VALUE]);
    for (size_t i = 0; i < r->n_own; i++) {
        const units u = unit_in(r, r->own[i].field);
        found = u > found ? u : found;
    }
    return found;
}

/* The first row, which may hold units. False if nothing can be read below it. */
static bool read_first(reader *r)
{
    const units u = unit_row(r);
    if (u == UNITS_OTHER)
        sm_diag_add(r->d, SM_FAULT, header_place(r),
                    "this row names a unit other than mm: convert the readings to millimetres and write mm here, or "
                    "take the row out");
    else if (r->unitless != SM_CSV_MAX_FIELDS && u == UNITS_NONE)
        sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file, .line = 1, .column = 1},
                    "the column \"value\" has no unit: call it \"value_mm\" if it holds millimetres");
    else if (u == UNITS_NONE)
        read_entry(r);
    return u != UNITS_OTHER && (u == UNITS_MM || r->unitless == SM_CSV_MAX_FIELDS);
}

/* A case is best called 01 or harbour-07; a date or a record number in a name is warned of. */
static void warn_of_identity(reader *r, const names *s, size_t from)
{
    for (size_t i = from; i < s->n; i++) {
        const char *holds = sm_identifiers_text(s->name[i]);
        if (holds)
            sm_diag_add(r->d, SM_WARNING, (sm_place){.file = r->csv.file},
                        "the name \"%s\" holds %s: make sure that it identifies nobody", s->name[i], holds);
    }
}

/* 8. Repeats given twice */

static int compare(size_t a, size_t b)
{
    return (a > b) - (a < b);
}

static int entry_compare(const void *a, const void *b)
{
    const row_entry *p = a, *q = b;
    int order = compare(p->quantity, q->quantity);
    if (order == 0)
        order = compare(p->reading.case_id, q->reading.case_id);
    if (order == 0)
        order = compare(p->reading.reader_id, q->reading.reader_id);
    if (order == 0)
        order = (p->reading.repeat > q->reading.repeat) - (p->reading.repeat < q->reading.repeat);
    if (order == 0)
        order = compare(p->reading.file, q->reading.file);
    return order ? order : compare(p->reading.line, q->reading.line);
}

static bool same_reading(const row_entry *p, const row_entry *q)
{
    return p->quantity == q->quantity && p->reading.case_id == q->reading.case_id &&
           p->reading.reader_id == q->reading.reader_id && p->reading.repeat == q->reading.repeat;
}

/* "line 3", "line 3 of first.csv". */
static void place_words(const reader *r, const row_entry *e, const row_entry *seen_from, sm_text *out)
{
    sm_text_addf(out, "line %zu", e->reading.line);
    if (e->reading.file != seen_from->reading.file)
        sm_text_addf(out, " of %s", r->text[e->reading.file].name);
}

static void tell_double(reader *r, const row_entry *first, const row_entry *second)
{
    const sm_study_reading *e = &second->reading;
    const bool copy = first->reading.mm == e->mm;
    sm_text place = {0};
    place_words(r, first, second, &place);
    sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->text[e->file].name, .line = e->line, .column = 1},
                "case %s, %s, reader %s, repeat %ld stands already on %s %s", r->cases.name[e->case_id],
                r->quantities.name[second->quantity], r->readers.name[e->reader_id], e->repeat,
                place.s ? place.s : "another line",
                copy
                    ? "with the same value: take one of the two out; if it was read again, number it as the next repeat"
                    : "with another value: number the repeats 1, 2, ..., and name other readers and cases otherwise");
    r->no_memory = r->no_memory || place.failed;
    sm_text_destroy(&place);
}

static void find_doubles(reader *r)
{
    for (size_t i = 1; i < r->n; i++)
        if (same_reading(&r->entry[i - 1], &r->entry[i]))
            tell_double(r, &r->entry[i - 1], &r->entry[i]);
}

/* 9. The study */

static bool take_quantity(reader *r, size_t q, size_t first, size_t n, sm_study_quantity *out)
{
    if (n > SM_STUDY_MAX_READINGS)
        sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->text[0].name}, "%s has %zu readings; at most %d are taken",
                    r->quantities.name[q], n, SM_STUDY_MAX_READINGS);
    out->reading = malloc(n * sizeof *out->reading);
    if (!out->reading)
        return false;
    for (size_t i = 0; i < n; i++)
        out->reading[i] = r->entry[first + i].reading;
    out->n = n;
    out->name = r->quantities.name[q];
    r->quantities.name[q] = NULL;
    return true;
}

/* Without their folders. */
static void take_file_names(reader *r, sm_reader_study *out)
{
    out->file_name = calloc(r->n_texts, sizeof *out->file_name);
    for (size_t i = 0; out->file_name && i < r->n_texts; i++) {
        const char *slash = strrchr(r->text[i].name, '/');
        out->file_name[i] = sm_string_copy(slash ? slash + 1 : r->text[i].name);
        r->no_memory = r->no_memory || !out->file_name[i];
    }
    out->n_files = out->file_name ? r->n_texts : 0;
    r->no_memory = r->no_memory || !out->file_name;
}

/* Moves names and readings into the study. */
static void take_study(reader *r, sm_reader_study *out)
{
    out->quantity = calloc(r->quantities.n, sizeof *out->quantity);
    if (!out->quantity) {
        r->no_memory = true;
        return;
    }
    out->n_quantities = r->quantities.n;
    for (size_t first = 0, end; first < r->n && !r->no_memory; first = end) {
        for (end = first; end < r->n && r->entry[end].quantity == r->entry[first].quantity; end++)
            ;
        size_t q = r->entry[first].quantity;
        r->no_memory = !take_quantity(r, q, first, end - first, &out->quantity[q]);
    }
    take_file_names(r, out);
    out->n_cases = r->cases.n;
    out->case_name = r->cases.name;
    out->n_readers = r->readers.n;
    out->reader_name = r->readers.name;
    r->cases = r->readers = (names){0};
}

/* 10. Files */

/* The same bytes twice would count every reading twice. */
static bool is_copy(const reader *r, size_t file)
{
    const sm_file_text *t = &r->text[file];
    for (size_t i = 0; i < file; i++)
        if (r->text[i].length == t->length && t->length > 0 && memcmp(r->text[i].text, t->text, t->length) == 0) {
            sm_diag_add(r->d, SM_FAULT, (sm_place){.file = t->name}, "holds the same bytes as %s: name it once",
                        r->text[i].name);
            return true;
        }
    return false;
}

static bool check_text(sm_file_text text, sm_diag *d)
{
    sm_place place = {.file = text.name};
    if (text.length > SM_STUDY_SIZE_LIMIT) {
        sm_diag_add(d, SM_FAULT, place, "the file is larger than %zu MB", SM_STUDY_SIZE_LIMIT / 1024 / 1024);
        return false;
    }
    size_t bad = sm_utf8_check(text.text, text.length);
    if (bad == text.length)
        return true;
    sm_json_locate(text.text, bad, &place.line, &place.column);
    sm_diag_add(d, SM_FAULT, place, "this is not UTF-8 text: save the table as \"CSV UTF-8\"");
    return false;
}

static void read_rows(reader *r)
{
    const size_t faults = r->d->faults, n = r->n;
    bool reads = read_header(r);
    if (reads && sm_csv_next(&r->csv, &r->row, r->d))
        reads = read_first(r);
    while (reads && !r->no_memory && sm_csv_next(&r->csv, &r->row, r->d))
        read_entry(r);
    r->no_memory = r->no_memory || r->row.text.failed;
    if (reads && r->n == n && r->d->faults == faults)
        sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file}, "there is no reading under the header");
    forget_own_columns(r);
}

static void read_file(reader *r)
{
    const size_t cases = r->cases.n, readers = r->readers.n;
    if (!check_text(r->text[r->file], r->d) || is_copy(r, r->file))
        return;
    r->csv = sm_csv_open(r->text[r->file]);
    read_rows(r);
    warn_of_identity(r, &r->cases, cases);
    warn_of_identity(r, &r->readers, readers);
}

static void names_destroy(names *s)
{
    for (size_t i = 0; i < s->n; i++)
        free(s->name[i]);
    free(s->name);
}

static void reader_destroy(reader *r)
{
    names_destroy(&r->cases);
    names_destroy(&r->readers);
    names_destroy(&r->quantities);
    free(r->entry);
    sm_csv_row_destroy(&r->row);
}

sm_status sm_study_csv_read(const sm_file_text *text, size_t n, sm_diag *d, sm_reader_study *out)
{
    *out = (sm_reader_study){0};
    size_t faults = d->faults;
    reader r = {.text = text,
                .n_texts = n,
                .d = d,
                .cases = {.most = SM_STUDY_MAX_CASES, .kind = "cases"},
                .readers = {.most = SM_STUDY_MAX_READERS, .kind = "readers"},
                .quantities = {.most = SM_STUDY_MAX_QUANTITIES, .kind = "quantities"}};
    for (r.file = 0; r.file < n && !r.no_memory; r.file++)
        read_file(&r);
    if (r.n > 0) {
        qsort(r.entry, r.n, sizeof *r.entry, entry_compare);
        find_doubles(&r);
    }
    if (r.n > 0 && !r.no_memory)
        take_study(&r, out);
    sm_status status = r.no_memory || r.row.text.failed || d->failed ? SM_NO_MEMORY
                       : d->faults > faults                          ? SM_REFUSED
                                                                     : SM_OK;
    reader_destroy(&r);
    if (status != SM_OK)
        sm_reader_study_destroy(out);
    return status;
}
