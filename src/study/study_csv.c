/* study_csv.c - the text of a reader study (CSV, one reading a row) -> the study.
 *
 * Contents: 1. columns and ranges  2. names  3. header  4. values  5. rows  6. repeats given twice  7. the study
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

typedef struct {
    sm_csv csv;
    sm_csv_row row;
    sm_diag *d;
    size_t column[COLUMNS]; /* place of each column in a row */
    size_t fields;          /* of the header */
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

/* 3. Header */

static size_t column_of(const char *name)
{
    size_t c = 0;
    while (c < COLUMNS && !same_but_for_capitals(name, column_name[c]))
        c++;
    return c;
}

static void read_header_field(reader *r, size_t i)
{
    const char *name = sm_csv_text(&r->row, i);
    sm_place place = sm_csv_place(&r->csv, &r->row, i);
    size_t c = column_of(name);
    if (name[0] == '\0')
        return;
    if (c < COLUMNS && r->column[c] != SM_CSV_MAX_FIELDS)
        sm_diag_add(r->d, SM_FAULT, place, "the column \"%s\" stands twice in the header", name);
    else if (c < COLUMNS)
        r->column[c] = i;
    else if (sm_identifiers_key(name))
        sm_diag_add(r->d, SM_FAULT, place,
                    "the column \"%s\" looks as if it identified patients: take it out of the file", name);
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

/* False if a column is missing: rows then mean nothing. */
static bool read_header(reader *r)
{
    for (size_t c = 0; c < COLUMNS; c++)
        r->column[c] = SM_CSV_MAX_FIELDS;
    if (!sm_csv_next(&r->csv, &r->row, r->d)) {
        sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file, .line = 1, .column = 1}, "the file is empty");
        return false;
    }
    r->fields = fields_without_tail(&r->row, 0);
    for (size_t i = 0; i < r->row.n && i < SM_CSV_MAX_FIELDS; i++)
        read_header_field(r, i);
    bool complete = true;
    for (size_t c = 0; c < COLUMNS; c++)
        if (r->column[c] == SM_CSV_MAX_FIELDS) {
            complete = false;
            sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file, .line = r->row.line, .column = 1},
                        "the header has no column \"%s\"; it must name case, quantity, reader, repeat and value_mm, "
                        "separated by commas or semicolons",
                        column_name[c]);
        }
    return complete;
}

/* 4. Values */

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

static bool read_value(reader *r, const char *quantity, double *mm)
{
    const char *text = sm_csv_text(&r->row, r->column[COLUMN_VALUE]);
    sm_place place = sm_csv_place(&r->csv, &r->row, r->column[COLUMN_VALUE]);
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

/* 5. Rows */

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

static void read_entry(reader *r)
{
    if (r->row.bad || !check_fields(r))
        return;
    bool good = read_name(r, COLUMN_CASE);
    good = read_name(r, COLUMN_QUANTITY) && good;
    good = read_name(r, COLUMN_READER) && good;
    row_entry e = {.reading.line = r->row.line};
    good = read_repeat(r, &e.reading.repeat) && good;
    const char *quantity = sm_csv_text(&r->row, r->column[COLUMN_QUANTITY]);
    if (sm_csv_text(&r->row, r->column[COLUMN_VALUE])[0] == '\0') {
        sm_diag_add(r->d, SM_WARNING, place_of(r, COLUMN_VALUE), "value_mm is empty: the row is passed over");
        return;
    }
    good = read_value(r, quantity, &e.reading.mm) && good;
    if (!good)
        return;
    e.reading.case_id = number_of(r, &r->cases, sm_csv_text(&r->row, r->column[COLUMN_CASE]), place_of(r, COLUMN_CASE));
    e.reading.reader_id =
        number_of(r, &r->readers, sm_csv_text(&r->row, r->column[COLUMN_READER]), place_of(r, COLUMN_READER));
    e.quantity = number_of(r, &r->quantities, quantity, place_of(r, COLUMN_QUANTITY));
    keep_entry(r, e);
}

/* A case is best called 01 or harbour-07; a date or a record number in a name is warned of. */
static void warn_of_identity(reader *r, const names *s)
{
    for (size_t i = 0; i < s->n; i++) {
        const char *holds = sm_identifiers_text(s->name[i]);
        if (holds)
            sm_diag_add(r->d, SM_WARNING, (sm_place){.file = r->csv.file},
                        "the name \"%s\" holds %s: make sure that it identifies nobody", s->name[i], holds);
    }
}

/* 6. Repeats given twice */

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
    return order ? order : compare(p->reading.line, q->reading.line);
}

static bool same_reading(const row_entry *p, const row_entry *q)
{
    return p->quantity == q->quantity && p->reading.case_id == q->reading.case_id &&
           p->reading.reader_id == q->reading.reader_id && p->reading.repeat == q->reading.repeat;
}

static void find_doubles(reader *r)
{
    for (size_t i = 1; i < r->n; i++)
        if (same_reading(&r->entry[i - 1], &r->entry[i]))
            sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file, .line = r->entry[i].reading.line, .column = 1},
                        "case %s, %s, reader %s, repeat %ld stands already on line %zu: number the repeats 1, 2, ...",
                        r->cases.name[r->entry[i].reading.case_id], r->quantities.name[r->entry[i].quantity],
                        r->readers.name[r->entry[i].reading.reader_id], r->entry[i].reading.repeat,
                        r->entry[i - 1].reading.line);
}

/* 7. The study */

static bool take_quantity(reader *r, size_t q, size_t first, size_t n, sm_study_quantity *out)
{
    if (n > SM_STUDY_MAX_READINGS)
        sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file}, "%s has %zu readings; at most %d are taken",
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
    out->n_cases = r->cases.n;
    out->case_name = r->cases.name;
    out->n_readers = r->readers.n;
    out->reader_name = r->readers.name;
    r->cases = r->readers = (names){0};
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

static void read_rows(reader *r, sm_reader_study *out)
{
    size_t faults = r->d->faults;
    if (!read_header(r))
        return;
    while (!r->no_memory && sm_csv_next(&r->csv, &r->row, r->d))
        read_entry(r);
    r->no_memory = r->no_memory || r->row.text.failed;
    if (r->n == 0 && r->d->faults == faults)
        sm_diag_add(r->d, SM_FAULT, (sm_place){.file = r->csv.file}, "there is no reading under the header");
    if (r->n == 0)
        return;
    qsort(r->entry, r->n, sizeof *r->entry, entry_compare);
    find_doubles(r);
    warn_of_identity(r, &r->cases);
    warn_of_identity(r, &r->readers);
    if (!r->no_memory)
        take_study(r, out);
}

static void names_destroy(names *s)
{
    for (size_t i = 0; i < s->n; i++)
        free(s->name[i]);
    free(s->name);
}

sm_status sm_study_csv_read(sm_file_text text, sm_diag *d, sm_reader_study *out)
{
    *out = (sm_reader_study){0};
    size_t faults = d->faults;
    if (!check_text(text, d))
        return d->failed ? SM_NO_MEMORY : SM_REFUSED;
    reader r = {.csv = sm_csv_open(text),
                .d = d,
                .cases = {.most = SM_STUDY_MAX_CASES, .kind = "cases"},
                .readers = {.most = SM_STUDY_MAX_READERS, .kind = "readers"},
                .quantities = {.most = SM_STUDY_MAX_QUANTITIES, .kind = "quantities"}};
    read_rows(&r, out);
    names_destroy(&r.cases);
    names_destroy(&r.readers);
    names_destroy(&r.quantities);
    free(r.entry);
    sm_status status = r.no_memory || r.row.text.failed || d->failed ? SM_NO_MEMORY
                       : d->faults > faults                          ? SM_REFUSED
                                                                     : SM_OK;
    sm_csv_row_destroy(&r.row);
    if (status != SM_OK)
        sm_reader_study_destroy(out);
    return status;
}
