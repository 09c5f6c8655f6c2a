/* study_json.h - what a reader study taught, as JSON ("slimmargin-readers-1").
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_JSON_STUDY_JSON_H
#define SM_REPORT_JSON_STUDY_JSON_H

#include "readers/reader_study.h"
#include "base/text.h"

/* learned: one a quantity of the study. study_name: the file's name, as the reader of the JSON should see it. */
void sm_study_json_write(const sm_reader_study *study, const sm_learned *learned, const char *study_name, sm_text *out);

#endif
