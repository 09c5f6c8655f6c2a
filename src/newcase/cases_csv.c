/* cases_csv.c - a table with one case a row -> cases.
 *
 * Contents: 1. what a header names  2. the header  3. cells  4. one row  5. all rows  6. checking
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "newcase/cases_csv.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/casefile.h"
#include "casefile/identifiers.h"

/* 1. What a header names */

enum { PARTS = 5, PART_SIZE = 64 };

typedef struct {
    char part[PARTS][PART_SIZE];
    size_t n;
} dotted;

static bool split(const char *name, dotted *out)
{
    out->n = 0;
    for (;;) {
        const size_t n = strcspn(name, ".");
        if (out->n == PARTS || n == 0 || n >= PART_SIZE)
            return false;
        memcpy(out->part[out->n], name, n);
        out->part[out->n++][n] = '\0';
        if (!name[n])
            break;
        name += n + 1;
    }
    if (strcmp(out->part[0], "coronaries") == 0 && out->n > 1) /* may be left out */
        memmove(out->part, out->part + 1, --out->n * sizeof *out->part);
    return true;
}

static const sm_keys *section_named(const char *name)
{
    static const sm_keys *const sections[] = {&sm_keys_scan, &sm_keys_valve, &sm_keys_implant, &sm_keys_limits,
                                              &sm_keys_population};
    for (size_t i = 0; i < sizeof sections / sizeof *sections; i++)
        if (strcmp(sections[i]->group, name) == 0)
            return sections[i];
    return NULL;
}

/* A key that one cell can hold. */
static bool set_key(sm_table_column *c, const sm_keys *keys, const char *name)
{
    const sm_key *key = sm_keys_find(keys, name);
    c->question.keys = keys;
    c->question.key = key;
    return key && key->kind != SM_KEY_OBJECT && key->kind != SM_KEY_LIST && strcmp(name, "format") != 0;
}

static bool resolve_top(sm_table_column *c, const dotted *d)
{
    const sm_keys *keys = strcmp(d->part[0], "action_line") == 0 ? &sm_keys_action : &sm_keys_case;
    snprintf(c->question.pointer, sizeof c->question.pointer, "/%s", d->part[0]);
    if (strcmp(d->part[0], "alternatives") == 0) {
        c->question.kind = SM_QUESTION_ALTERNATIVES;
        set_key(c, keys, d->part[0]);
        return true;
    }
    return set_key(c, keys, d->part[0]);
}

/* What follows a quantity: one of its keys, or readings_mm.READER. */
static bool resolve_in_reading(sm_table_column *c, const dotted *d)
{
    const size_t used = strlen(c->question.pointer);
    if (d->n == 2) {
        c->is_reading = c->question.key->kind == SM_KEY_QUANTITY;
        return true;
    }
    if (c->question.key->kind != SM_KEY_QUANTITY)
        return false;
    if (strcmp(d->part[2], "readings_mm") == 0) {
        c->is_reading = true;
        if (d->n != 4 || !isalpha((unsigned char)d->part[3][0]) || strlen(d->part[3]) >= SM_NAME_SIZE)
            return false;
        memcpy(c->reader, d->part[3], strlen(d->part[3]) + 1);
        return true;
    }
    c->is_deep = true;
    if (d->n == 3 && strcmp(d->part[2], "cross_check") == 0 && sm_keys_quantity(c->question.key->name)->looks) {
        c->question.kind = SM_QUESTION_LOOK;
        snprintf(c->question.pointer + used, sizeof c->question.pointer - used, "/cross_check");
        return true;
    }
    snprintf(c->question.pointer + used, sizeof c->question.pointer - used, "/%s", d->part[2]);
    return d->n == 3 && set_key(c, &sm_keys_reading, d->part[2]);
}

static bool resolve_plane(sm_table_column *c, const dotted *d)
{
    snprintf(c->question.pointer, sizeof c->question.pointer, "/scan/base_plane/%s", d->part[2]);
    return d->n == 3 && set_key(c, &sm_keys_base_plane, d->part[2]);
}

static bool resolve(const char *name, sm_table_column *c)
{
    dotted d;
    if (!split(name, &d))
        return false;
    if (d.n == 1)
        return resolve_top(c, &d);
    if (d.n > 2 && strcmp(d.part[0], "scan") == 0 && strcmp(d.part[1], "base_plane") == 0)
        return resolve_plane(c, &d);
    const sm_keys *section = section_named(d.part[0]);
    snprintf(c->question.pointer, sizeof c->question.pointer, "%s/%s/%s", section ? "" : "/coronaries", d.part[0],
             d.part[1]);
    if (!section) {
        if (strlen(d.part[0]) >= SM_NAME_SIZE)
            return false;
        memcpy(c->question.side, d.part[0], strlen(d.part[0]) + 1);
    }
    return set_key(c, section ? section : &sm_keys_coronary, d.part[1]) && resolve_in_reading(c, &d);
}

/* 2. The header */

/* The key that was most likely meant, by the last part of the name. */
static const char *near_key(const char *name)
{
    static const sm_keys *const tables[] = {&sm_keys_case,    &sm_keys_scan,   &sm_keys_base_plane, &sm_keys_valve,
                                            &sm_keys_implant, &sm_keys_limits, &sm_keys_coronary,   &sm_keys_reading};
    const char *dot = strrchr(name, '.'), *known[sizeof tables / sizeof *tables * SM_KEYS_MOST];
    size_t n = 0;
    for (size_t t = 0; t < sizeof tables / sizeof *tables; t++)
        for (size_t k = 0; k < tables[t]->n; k++)
            known[n++] = tables[t]->key[k].name;
    return sm_keys_nearest(dot ? dot + 1 : name, known, n);
}

static void refuse_column(const char *name, sm_place place, sm_diag *d)
{
    const char *dot = strrchr(name, '.'), *last = dot ? dot + 1 : name, *near = near_key(name);
    const sm_keys *home = sm_keys_home(last);
    if (sm_identifiers_key(name) || sm_identifiers_key(last)) {
        sm_diag_add(d, SM_FAULT, place, "the column \"%s\" looks as if it identified patients: take it out of the file",
                    name);
        return;
    }
    if (home) /* a known key in the wrong place */
        sm_diag_add(d, SM_FAULT, place, "found the column \"%s\", expected a key with its place: \"%s\" is a key of %s",
                    name, last, home->what);
    else
        sm_diag_add(d, SM_FAULT, place,
                    "found the column \"%s\", expected a dotted key such as left.ostium_gap or "
                    "surgical_valve.leaflet_mount%s%s%s",
                    name, near ? "; did you mean " : "", near ? near : "", near ? "?" : "");
}

static bool same_column(const sm_table_column *a, const sm_table_column *b)
{
    return strcmp(a->question.pointer, b->question.pointer) == 0 && strcmp(a->reader, b->reader) == 0;
}

/* Several columns of one quantity are several readings; anything else stands once. */
static bool stands_twice(const sm_cases *cases, const sm_table_column *c)
{
    for (size_t i = 0; i < cases->n_columns && !c->is_reading; i++)
        if (same_column(&cases->column[i], c))
            return true;
    return false;
}

static void read_column(sm_cases *cases, const sm_csv *csv, const sm_csv_row *row, size_t i, sm_diag *d)
{
    const char *name = sm_csv_text(row, i);
    const sm_place place = sm_csv_place(csv, row, i);
    sm_table_column c = {.field = i};
    if (!resolve(name, &c))
        refuse_column(name, place, d);
    else if (stands_twice(cases, &c))
        sm_diag_add(d, SM_FAULT, place, "the column \"%s\" stands twice in the header", name);
    else {
        c.question.optional = true;
        cases->column[cases->n_columns++] = c;
    }
}

static bool has_column(const sm_cases *cases, const char *pointer)
{
    for (size_t i = 0; i < cases->n_columns; i++)
        if (strncmp(cases->column[i].question.pointer, pointer, strlen(pointer)) == 0)
            return true;
    return false;
}

static sm_status read_header(sm_cases *cases, sm_csv *csv, sm_csv_row *row, sm_diag *d)
{
    const sm_place top = {.file = cases->file, .line = 1, .column = 1};
    if (!sm_csv_next(csv, row, d)) {
        sm_diag_add(d, SM_FAULT, top, "the file is empty");
        return SM_REFUSED;
    }
    if (row->n > SM_CSV_MAX_FIELDS)
        sm_diag_add(d, SM_FAULT, top, "found %zu columns, expected at most %d", row->n, SM_CSV_MAX_FIELDS);
    cases->column = calloc(SM_CSV_MAX_FIELDS, sizeof *cases->column);
    if (!cases->column)
        return SM_NO_MEMORY;
    for (size_t i = 0; i < row->n && i < SM_CSV_MAX_FIELDS; i++)
        if (sm_csv_text(row, i)[0])
            read_column(cases, csv, row, i, d);
    if (!has_column(cases, "/case"))
        sm_diag_add(d, SM_FAULT, top, "the header has no column \"case\"");
    if (!has_column(cases, "/coronaries/"))
        sm_diag_add(d, SM_FAULT, top, "the header has no column of a coronary, such as left.ostium_gap");
    return d->faults ? SM_REFUSED : SM_OK;
}

/* 3. Cells */

typedef struct {
    const sm_cases *cases;
    const sm_csv *csv;
    const sm_csv_row *row;
    sm_diag *d;
    sm_draft *draft;
    sm_status status;
} at_row;

static const char *cell(const at_row *r, const sm_table_column *c)
{
    return sm_csv_text(r->row, c->field);
}

/* A key of a reading that found nothing to stand in. One that is itself missing is told elsewhere; an exact number is
 * not: what is exact has no readers and no second look. */
static void tell_exact(at_row *r, const sm_table_column *c)
{
    sm_question of = c->question;
    sm_text given = {0};
    *strrchr(of.pointer, '/') = '\0';
    const sm_answer_state state = sm_draft_state(r->draft, &of, &given);
    if (state == SM_ANSWER_UNKNOWN)
        r->status = SM_NO_MEMORY;
    if (state == SM_ANSWER_GIVEN && strspn(given.s, "+-.eE0123456789") == given.len) {
        sm_place place = sm_csv_place(r->csv, r->row, c->field);
        place.pointer = c->question.pointer;
        sm_diag_add(r->d, SM_FAULT, place,
                    "%s is exact in this row, expected it as read (read 22.1) or with its SD (22.3 +- 0.3) for this to "
                    "stand beside it",
                    given.s);
    }
    sm_text_destroy(&given);
}

static void put_cell(at_row *r, const sm_table_column *c, const char *typed)
{
    sm_text json = {0}, wrong = {0};
    const sm_decimals decimals = r->csv->separator != ',' ? SM_DECIMAL_COMMA_TOO : SM_DECIMAL_POINT;
    if (sm_answer_read(&c->question, typed, decimals, &json, &wrong)) {
        const sm_status s = sm_draft_put(r->draft, c->question.pointer, json.s);
        r->status = s == SM_NO_MEMORY ? s : r->status;
        if (s == SM_REFUSED && c->is_deep)
            tell_exact(r, c);
    } else {
        sm_place place = sm_csv_place(r->csv, r->row, c->field);
        place.pointer = c->question.pointer;
        sm_diag_add(r->d, SM_FAULT, place, "%s", sm_text_string(&wrong));
    }
    if (json.failed || wrong.failed)
        r->status = SM_NO_MEMORY;
    sm_text_destroy(&json);
    sm_text_destroy(&wrong);
}

/* All cells of the quantity of column `first`, in the words of one answer: "5.7; 5.9; B: 6.1". Cells without a reader
 * come first, since a name holds for all that follows it. */
static void gather_readings(const at_row *r, const sm_table_column *first, sm_text *typed)
{
    bool named = false;
    for (int pass = 0; pass < 2; pass++)
        for (size_t i = 0; i < r->cases->n_columns; i++) {
            const sm_table_column *c = &r->cases->column[i];
            if (!c->is_reading || strcmp(c->question.pointer, first->question.pointer) != 0 ||
                (c->reader[0] != '\0') != (pass == 1) || !cell(r, c)[0])
                continue;
            sm_text_puts(typed, typed->len ? "; " : "");
            if (pass == 1)
                sm_text_addf(typed, "%s: ", c->reader);
            named |= pass == 1;
            sm_text_puts(typed, cell(r, c));
        }
    if (named && !sm_keys_quantity(first->question.key->name)->bare_is_reading) {
        sm_text all = {0};
        sm_text_addf(&all, "read %s", sm_text_string(typed));
        sm_text_done(typed, &all);
        *typed = all;
    }
}

/* Whether an earlier column gave the same quantity, and so took this one along. */
static bool was_taken(const at_row *r, size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (r->cases->column[j].is_reading &&
            strcmp(r->cases->column[j].question.pointer, r->cases->column[i].question.pointer) == 0)
            return true;
    return false;
}

static void put_readings(at_row *r, size_t i)
{
    sm_text typed = {0};
    if (was_taken(r, i))
        return;
    gather_readings(r, &r->cases->column[i], &typed);
    if (typed.failed)
        r->status = SM_NO_MEMORY;
    else if (typed.len)
        put_cell(r, &r->cases->column[i], typed.s);
    sm_text_destroy(&typed);
}

/* 4. One row */

static bool side_is_filled(const at_row *r, const char *side)
{
    for (size_t i = 0; i < r->cases->n_columns; i++)
        if (strcmp(r->cases->column[i].question.side, side) == 0 && cell(r, &r->cases->column[i])[0])
            return true;
    return false;
}

static bool is_listed(const char *const *list, size_t n, const char *name)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(list[i], name) == 0)
            return true;
    return false;
}

/* The sides of which the row says something; all of the header if it says nothing of any. */
static void sides_of(const at_row *r, const char **side)
{
    const char *known[SM_CSV_MAX_FIELDS];
    size_t n_known = 0, n = 0;
    for (size_t i = 0; i < r->cases->n_columns; i++) {
        const char *name = r->cases->column[i].question.side;
        if (name[0] && !is_listed(known, n_known, name))
            known[n_known++] = name;
    }
    for (size_t i = 0; i < n_known; i++)
        if (side_is_filled(r, known[i]))
            side[n++] = known[i];
    for (size_t i = 0; i < n_known && n > 0; i++)
        if (!is_listed(side, n, known[i]))
            sm_diag_add(r->d, SM_WARNING, sm_csv_place(r->csv, r->row, SM_CSV_MAX_FIELDS),
                        "nothing is said of %s: the case has no such ostium", known[i]);
    for (size_t i = 0; i < n_known && n == 0; i++)
        side[i] = known[i];
    side[n ? n : n_known] = NULL;
}

static void fill(at_row *r)
{
    for (int deep = 0; deep < 2; deep++)
        for (size_t i = 0; i < r->cases->n_columns; i++) {
            const sm_table_column *c = &r->cases->column[i];
            if (c->is_deep != (deep == 1))
                continue;
            if (c->is_reading)
                put_readings(r, i);
            else if (cell(r, c)[0])
                put_cell(r, c, cell(r, c));
        }
}

static void refuse_surplus(const at_row *r, size_t n_header)
{
    for (size_t i = n_header; i < r->row->n && i < SM_CSV_MAX_FIELDS; i++)
        if (sm_csv_text(r->row, i)[0]) {
            sm_diag_add(r->d, SM_FAULT, sm_csv_place(r->csv, r->row, i),
                        "there are more cells than the header has columns (a decimal comma makes two of one)");
            return;
        }
}

static char *name_of(at_row *r)
{
    char *name = NULL;
    for (size_t i = 0; !name && i < r->cases->n_columns; i++)
        if (strcmp(r->cases->column[i].question.pointer, "/case") == 0 && cell(r, &r->cases->column[i])[0]) {
            name = sm_string_copy(cell(r, &r->cases->column[i]));
            r->status = name ? r->status : SM_NO_MEMORY;
        }
    return name;
}

static sm_status read_row(sm_cases *cases, const sm_csv *csv, const sm_csv_row *row, size_t n_header, sm_diag *d)
{
    const char *side[SM_CSV_MAX_FIELDS + 1];
    sm_table_row *out = &cases->row[cases->n];
    at_row r = {cases, csv, row, d, &out->draft, SM_OK};
    *out = (sm_table_row){.line = row->line, .place = calloc(cases->n_columns + 1, sizeof *out->place)};
    if (!out->place)
        return SM_NO_MEMORY;
    cases->n++;
    for (size_t i = 0; i < cases->n_columns; i++)
        out->place[i] = sm_csv_place(csv, row, cases->column[i].field);
    refuse_surplus(&r, n_header);
    sides_of(&r, side);
    r.status = sm_draft_create(side, false, &out->draft);
    if (r.status == SM_OK)
        fill(&r);
    out->name = name_of(&r);
    return r.status;
}

/* 5. All rows */

static bool same_but_for_capitals(const char *a, const char *b)
{
    while (*a && tolower((unsigned char)*a) == tolower((unsigned char)*b)) {
        a++;
        b++;
    }
    return !*a && !*b;
}

/* Names become names of files: two that differ only in capitals are one on some computers. */
static void check_names(const sm_cases *cases, sm_diag *d)
{
    for (size_t i = 0; i < cases->n; i++) {
        const char *name = cases->row[i].name;
        const sm_place place = {.file = cases->file, .line = cases->row[i].line, .column = 1, .pointer = "/case"};
        if (name && name[0] == '.')
            sm_diag_add(d, SM_FAULT, place, "found the name \"%s\", expected one that does not begin with a dot", name);
        for (size_t j = 0; name && j < i; j++)
            if (cases->row[j].name && same_but_for_capitals(cases->row[j].name, name)) {
                sm_diag_add(d, SM_FAULT, place, "the name \"%s\" stands in line %zu as well", name, cases->row[j].line);
                break;
            }
    }
}

static sm_status read_rows(sm_cases *cases, sm_csv *csv, sm_csv_row *row, size_t n_header, sm_diag *d)
{
    sm_status s = SM_OK;
    cases->row = calloc(SM_TABLE_CASES, sizeof *cases->row);
    if (!cases->row)
        return SM_NO_MEMORY;
    while (s == SM_OK && sm_csv_next(csv, row, d)) {
        if (cases->n == SM_TABLE_CASES) {
            sm_diag_add(d, SM_FAULT, sm_csv_place(csv, row, 0), "there are more than %d rows", SM_TABLE_CASES);
            break;
        }
        if (!row->bad)
            s = read_row(cases, csv, row, n_header, d);
    }
    if (s == SM_OK && cases->n == 0 && d->faults == 0)
        sm_diag_add(d, SM_FAULT, (sm_place){.file = cases->file, .line = 1, .column = 1},
                    "there is no row below the header");
    return s;
}

sm_status sm_cases_csv_read(sm_file_text text, sm_diag *d, sm_cases *out)
{
    *out = (sm_cases){.file = text.name};
    if (!sm_csv_is_utf8(text, d))
        return SM_REFUSED;
    sm_csv csv = sm_csv_open(text);
    sm_csv_row row = {0};
    sm_status s = read_header(out, &csv, &row, d);
    if (s == SM_OK)
        s = read_rows(out, &csv, &row, row.n, d);
    if (s == SM_OK)
        check_names(out, d);
    sm_csv_row_destroy(&row);
    return d->failed ? SM_NO_MEMORY : s;
}

void sm_cases_destroy(sm_cases *cases)
{
    for (size_t i = 0; i < cases->n; i++) {
        free(cases->row[i].name);
        free(cases->row[i].place);
        sm_draft_destroy(&cases->row[i].draft);
    }
    free(cases->row);
    free(cases->column);
    *cases = (sm_cases){0};
}

/* 6. Checking */

/* The column that gave what the message speaks of: the longest pointer that leads to it. n_columns if none did. */
static size_t column_of(const sm_cases *cases, const char *pointer)
{
    size_t best = cases->n_columns, longest = 0;
    for (size_t i = 0; pointer && i < cases->n_columns; i++) {
        const char *own = cases->column[i].question.pointer;
        const size_t n = strlen(own);
        if (n > longest && strncmp(pointer, own, n) == 0 && (!pointer[n] || pointer[n] == '/')) {
            longest = n;
            best = i;
        }
    }
    return best;
}

/* A blank is an empty cell, or a column that is missing. */
static void translate(const sm_cases *cases, const sm_table_row *row, const sm_diag_item *item, sm_diag *d)
{
    static const char blank[] = "found null (not filled in)";
    const size_t column = column_of(cases, item->pointer);
    const bool known = column < cases->n_columns, is_blank = strncmp(item->words, blank, sizeof blank - 1) == 0;
    sm_place place = known ? row->place[column] : (sm_place){.line = row->line, .column = 1};
    place.file = cases->file;
    place.pointer = item->pointer;
    sm_diag_add(d, item->kind, place, "%s%s",
                !is_blank ? ""
                : known   ? "the cell is empty"
                          : "no column gives this",
                item->words + (is_blank ? sizeof blank - 1 : 0));
}

/* Whether a cell of the row was refused already at that place: what is then missing there need not be reported again.
 */
static bool was_told(const sm_diag *d, const sm_cases *cases, const sm_table_row *row, const char *pointer)
{
    const size_t column = column_of(cases, pointer);
    for (size_t i = 0; column < cases->n_columns && i < d->n; i++)
        if (d->item[i].line == row->place[column].line && d->item[i].column == row->place[column].column)
            return true;
    return false;
}

sm_status sm_cases_csv_check(const sm_cases *cases, size_t i, sm_file_text profile, sm_diag *d)
{
    const sm_table_row *row = &cases->row[i];
    sm_diag own = {0};
    sm_casefile *f = NULL;
    const sm_file_text text = {"case", row->draft.text.s, row->draft.text.len};
    const sm_status s = sm_casefile_read(text, profile, NULL, 0, &own, &f);
    const size_t before = d->n;
    for (size_t m = 0; m < own.n; m++) {
        const sm_diag told = {.item = d->item, .n = before};
        if (own.item[m].file && strcmp(own.item[m].file, "case") != 0) /* of the profile */
            sm_diag_add(d, own.item[m].kind,
                        (sm_place){own.item[m].file, own.item[m].line, own.item[m].column, own.item[m].pointer}, "%s",
                        own.item[m].words);
        else if (!was_told(&told, cases, row, own.item[m].pointer))
            translate(cases, row, &own.item[m], d);
    }
    d->failed |= own.failed;
    sm_casefile_destroy(f);
    sm_diag_destroy(&own);
    return s;
}
