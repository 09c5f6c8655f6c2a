/* cases_csv.h - a table with one case a row -> cases.
 *
 * The header names the keys with dots: left.ostium_gap, implant.nominal_diameter_mm (docs/new.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_NEWCASE_CASES_CSV_H
#define SM_NEWCASE_CASES_CSV_H

#include "format/csv.h"
#include "newcase/draft.h"

#define SM_TABLE_CASES 1000 /* rows, at most */

/* What one column gives. */
typedef struct {
    sm_question question;      /* its key and where it stands; kind is SM_QUESTION_KEY */
    char reader[SM_NAME_SIZE]; /* "": not one reader's readings */
    bool is_reading;           /* the quantity itself, or one reader's readings of it */
    bool is_deep;              /* a key inside a reading written in full */
    size_t field;              /* its place in a row */
} sm_table_column;

typedef struct {
    char *name; /* of the case; NULL if it has none (a fault was reported) */
    sm_draft draft;
    size_t line;
    sm_place *place; /* of each column's cell */
} sm_table_row;

/* Zero-initialise; destroy in every case. */
typedef struct {
    const char *file;
    sm_table_column *column;
    size_t n_columns;
    sm_table_row *row;
    size_t n;
} sm_cases;

/* Reads every row. Faults of form (header, numbers, names that stand twice) go to d; each row becomes a case all the
 * same, so that sm_cases_csv_check can tell its other faults. SM_REFUSED if the header leaves nothing to read. */
sm_status sm_cases_csv_read(sm_file_text text, sm_diag *d, sm_cases *out);
/* Checks case i as a case is checked; messages name the line and column of the table. */
sm_status sm_cases_csv_check(const sm_cases *cases, size_t i, sm_file_text profile, sm_diag *d);
void sm_cases_destroy(sm_cases *cases);

#endif
