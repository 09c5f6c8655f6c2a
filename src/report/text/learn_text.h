/* learn_text.h - what a reader study taught, in words and then in tables.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_TEXT_LEARN_TEXT_H
#define SM_REPORT_TEXT_LEARN_TEXT_H

#include <stdbool.h>

#include "readers/reader_study.h"
#include "report/blocks/layout.h"

/* learned: one a quantity of the study. brief: one sentence a quantity and the short caution. */
void sm_learn_text_write(const sm_reader_study *study, const sm_learned *learned, const sm_style *style, bool brief,
                         sm_text *out);

/* "reader A read the ostium gap of case 04 as 15.2 mm; again by the same reader 9.2; others read 9.1, 9.3" */
void sm_learn_outlying_write(const sm_reader_study *study, size_t quantity, const sm_learned_odd *odd, sm_text *out);

/* "reader study study.csv: 12 cases, 3 readers, 72 readings": the source of a profile's entry, with what had to be
 * assumed. */
void sm_learn_source_write(const sm_learned *l, const char *study_name, sm_text *out);

#endif
