/* study_csv.h - the tables of a reader study (CSV) -> the study.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_STUDY_STUDY_CSV_H
#define SM_STUDY_STUDY_CSV_H

#include "readers/reader_study.h"
#include "base/diag.h"
#include "casefile/casefile.h"

#define SM_STUDY_SIZE_LIMIT ((size_t)16 * 1024 * 1024)

/* Reads the tables of one study: quantities, cases and readers of one name in several files are the same. The header
 * names the columns case, quantity, reader, repeat and value_mm in any order, in capitals or not, "value (mm)" for
 * value_mm; or, in place of reader and value_mm, a column "reader A" for each reader (repeat may then be left out).
 * Other columns are passed over with a warning, those that look like a patient's identity are refused. A row of units
 * below the header must say mm. Fields are separated by commas, or by semicolons or tabs with decimal commas or points.
 * A row without a value is passed over with a warning. A reading that stands twice, in one file or in two, is refused,
 * and so is a file that is there twice. SM_OK with *out set (warnings may be in d), SM_REFUSED with *out zeroed and
 * every bad row in d, or SM_NO_MEMORY. n is at least 1. */
sm_status sm_study_csv_read(const sm_file_text *text, size_t n, sm_diag *d, sm_reader_study *out);

#endif
