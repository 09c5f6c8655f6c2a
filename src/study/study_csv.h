/* study_csv.h - the text of a reader study (CSV, one reading a row) -> the study.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_STUDY_STUDY_CSV_H
#define SM_STUDY_STUDY_CSV_H

#include "readers/reader_study.h"
#include "base/diag.h"
#include "casefile/casefile.h"

#define SM_STUDY_SIZE_LIMIT ((size_t)16 * 1024 * 1024)

/* The header names the columns case, quantity, reader, repeat and value_mm in any order, in capitals or not; other
 * columns are passed over with a warning, those that look like a patient's identity are refused. Fields are separated
 * by commas, or by semicolons with decimal commas or points. A row without a value is passed over with a warning. SM_OK
 * with *out set (warnings may be in d), SM_REFUSED with *out zeroed and every bad row in d, or SM_NO_MEMORY. */
sm_status sm_study_csv_read(sm_file_text text, sm_diag *d, sm_reader_study *out);

#endif
