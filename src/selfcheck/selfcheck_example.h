/* selfcheck_example.h - a published example as data: its formula, and what it ought to give. For the self-check alone.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SELFCHECK_SELFCHECK_EXAMPLE_H
#define SM_SELFCHECK_SELFCHECK_EXAMPLE_H

#include "selfcheck/check_table.h"

typedef struct {
    uint64_t seed;
    int64_t trials;
} sm_selfcheck_size;

typedef enum {
    SM_ASK_END, /* no more answers */
    SM_ASK_MEAN,
    SM_ASK_SD,
    SM_ASK_POINT, /* the quantile at p */
    SM_ASK_SHORTEST_LOW,
    SM_ASK_SHORTEST_HIGH,
    SM_ASK_SHORTEST_LENGTH,
    SM_ASK_EVENT,
    SM_ASK_SHARE, /* of the event among the trials that have the event `given` */
    SM_ASK_FIRST, /* the first-order index of an input, by redrawing it, on output 0 */
    SM_ASK_TOTAL  /* its total index */
} sm_example_ask;

/* widest: the tolerance at 1,000,000 trials, 5 standard errors there (check_table.h); not read for events and shares,
 * whose standard errors follow from what is expected. of: the output, event or input that is asked. */
typedef struct {
    sm_example_ask ask;
    const char *name;
    double expected, widest;
    int of, given;
    double p;
} sm_answer;

enum { SM_EXAMPLE_ANSWERS = 16 };

typedef struct {
    const char *title, *source;
    sm_seen seen;
    sm_formula formula;
    sm_answer answer[SM_EXAMPLE_ANSWERS];
} sm_example;

/* Inputs that many examples have. */
/* clang-format off */
#define SM_UNIT {SM_NORMAL, {0, 1}}
#define SM_DRAW {SM_UNIFORM, {0, 1}}
/* clang-format on */

/* Runs an example and adds it to t as a group. */
void sm_selfcheck_example(const sm_example *e, const sm_selfcheck_size *size, sm_checks *t);

/* The tables, one a file. */
extern const sm_example sm_examples_of_propagation[], sm_examples_of_probability[], sm_examples_of_sensitivity[];
extern const int sm_n_examples_of_propagation, sm_n_examples_of_probability, sm_n_examples_of_sensitivity;

#endif
