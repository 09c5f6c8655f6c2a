/* questions.h - what must be asked to make a case, taken from the tables of keys; and typed answers as JSON.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_NEWCASE_QUESTIONS_H
#define SM_NEWCASE_QUESTIONS_H

#include "base/text.h"
#include "casefile/keys.h"
#include "measurement/case.h"

typedef enum {
    SM_QUESTION_KEY,   /* the value of one key */
    SM_QUESTION_SIDES, /* the names of the coronaries */
    SM_QUESTION_EDGE,  /* whether a gap meets a bright edge */
    SM_QUESTION_LOOK,  /* a gap as read on angiography or echo */
    SM_QUESTION_ALTERNATIVES
} sm_question_kind;

#define SM_QUESTION_POINTER 256

typedef struct {
    sm_question_kind kind;
    char pointer[SM_QUESTION_POINTER]; /* JSON pointer into the case */
    const sm_keys *keys;
    const sm_key *key;
    char side[SM_NAME_SIZE]; /* "" outside coronaries */
    bool optional;           /* it has a default, or may stay open */
} sm_question;

/* The questions for these sides, at most `room` of them (0 sides: none of theirs). Returns how many there are. */
size_t sm_questions_list(const char *const *side, size_t n_sides, sm_question *out, size_t room);
/* True for an optional key that is asked all the same: too much rests on it to pass it over in silence. */
bool sm_questions_asks(const sm_keys *keys, const sm_key *key);

/* The group in which a report has it, as a title: "The surgical valve", "Coronary: left". */
void sm_question_group(const sm_question *q, sm_text *out);
/* Whether it is likely that two sides have the same answer. */
bool sm_question_is_of_both_sides(const sm_question *q);
/* "Left: ostium gap": what is asked, for a person. */
void sm_question_words(const sm_question *q, sm_text *out);
/* What may be answered: "a number from 12 to 35 (mm)". */
void sm_question_expects(const sm_question *q, sm_text *out);
/* What the program takes if the answer is left out, "" if it must be given. */
void sm_question_default(const sm_question *q, sm_text *out);

/* How numbers are typed. */
typedef enum { SM_DECIMAL_POINT, SM_DECIMAL_COMMA_TOO } sm_decimals;

/* What was typed as JSON. False if it has no meaning here, with the reason in wrong; whether it is within its domain
 * is for the check to say. */
bool sm_answer_read(const sm_question *q, const char *typed, sm_decimals decimals, sm_text *json, sm_text *wrong);

#endif
