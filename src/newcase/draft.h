/* draft.h - a case on its way: what has been answered, and null where something must still be filled in.
 *
 * A draft is the text of a case. The same reader that refuses a case checks every answer, so that a question can accept
 * nothing that `check` would refuse.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_NEWCASE_DRAFT_H
#define SM_NEWCASE_DRAFT_H

#include "base/diag.h"
#include "base/file_text.h"
#include "base/status.h"
#include "casefile/casefile.h"
#include "newcase/questions.h"

/* Zero-initialise; destroy in every case. */
typedef struct {
    sm_text text; /* JSON */
} sm_draft;

/* A form: every required key with null, for these sides (ended by NULL). for_dialogue: also a null for each optional
 * key that is asked, and none of the sides, which are asked first. */
sm_status sm_draft_create(const char *const *sides, bool for_dialogue, sm_draft *out);
/* A text that is to go on as a draft. SM_REFUSED if it is no JSON object of the format of a case. */
sm_status sm_draft_read(sm_file_text file, sm_diag *d, sm_draft *out);
void sm_draft_destroy(sm_draft *draft);

/* UNKNOWN: memory ran out. */
typedef enum { SM_ANSWER_BLANK, SM_ANSWER_LEFT_OUT, SM_ANSWER_GIVEN, SM_ANSWER_UNKNOWN } sm_answer_state;

/* The questions of a draft, in the order in which they are asked; *out is on the heap. */
sm_status sm_draft_questions(const sm_draft *draft, sm_question **out, size_t *n);
/* What stands at a question; the value as JSON goes to json, unless that is NULL. */
sm_answer_state sm_draft_state(const sm_draft *draft, const sm_question *q, sm_text *json);
/* "9.1, 9.4 by A; 9.9 by B" for readings, "left, right" for the sides; false (and nothing) for any other value. */
bool sm_draft_words(const sm_question *q, const char *json, sm_text *out);

/* Puts a value, without a check. SM_REFUSED if the pointer leads through a blank. */
sm_status sm_draft_put(sm_draft *draft, const char *pointer, const char *json);

/* Puts the answer if it brings no fault into the draft. SM_REFUSED: d holds the faults that it brings, and the draft is
 * as before. Warnings at the question go to d in either case. json NULL: the key is left out. */
sm_status sm_draft_answer(sm_draft *draft, const sm_question *q, const char *json, sm_diag *d);
/* The whole check, without a profile. */
sm_status sm_draft_check(const sm_draft *draft, sm_diag *d);
/* The same; *out is the case, for the caller to destroy, NULL unless SM_OK. */
sm_status sm_draft_case(const sm_draft *draft, sm_diag *d, sm_casefile **out);
/* JSON of the first other side's answer to the same question to json; false if no other side has one. *status:
 * SM_NO_MEMORY if that could not be found out. */
bool sm_draft_other_side(const sm_draft *draft, const sm_question *q, sm_text *json, sm_status *status);
/* JSON of the list at q, a list of alternatives, with those of `more` at its end. */
sm_status sm_draft_longer_list(const sm_draft *draft, const sm_question *q, const char *more, sm_text *json);

#endif
