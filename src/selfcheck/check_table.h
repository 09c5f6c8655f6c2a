/* check_table.h - what the engine gives beside what it ought to give, with the tolerance and the verdict.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SELFCHECK_CHECK_TABLE_H
#define SM_SELFCHECK_CHECK_TABLE_H

#include <stdbool.h>

#include "selfcheck/formula.h"

/* How the expected values of a group of checks were seen by those who wrote them down. */
#define SM_SEEN_LIST(X)                                                                                                \
    X(SM_SEEN_IN_FULL, "source read in full, value recomputed")                                                        \
    X(SM_SEEN_IN_EXCERPT, "source seen in excerpt, value recomputed")                                                  \
    X(SM_SEEN_IN_MEMORY, "source from memory, value recomputed")                                                       \
    X(SM_SEEN_COMPUTED, "value computed for this project")

#define SM_SEEN_ENUM(id, words) id,
typedef enum { SM_SEEN_LIST(SM_SEEN_ENUM) SM_SEEN_COUNT } sm_seen;
#undef SM_SEEN_ENUM
const char *sm_seen_words(sm_seen s);

/* One check. tolerance is the largest |got - expected| that passes. Names are literals. */
typedef struct {
    int group;
    const char *name;
    double expected, got, tolerance;
    bool pass;
} sm_check;

typedef struct {
    const char *title, *source;
    sm_seen seen;
    int first, n; /* its checks */
} sm_check_group;

/* Zero-initialise to start empty. `status` stays at the first that was not SM_OK. */
typedef struct {
    sm_check *check;
    int n;
    size_t cap, cap_groups;
    sm_check_group *group;
    int n_groups, failures;
    sm_status status;
} sm_checks;

/* The verdict: false for a value or tolerance that is not a number. */
bool sm_check_passes(double expected, double got, double tolerance);

/* Starts a group; the checks that follow belong to it. */
void sm_checks_group(sm_checks *t, const char *title, const char *source, sm_seen seen);
/* A value that carries no Monte Carlo error. */
void sm_checks_exact(sm_checks *t, const char *name, double expected, double got, double tolerance);
/* A value with a Monte Carlo standard error: passes within 5 standard errors and within `widest`, the tolerance that
 * belongs to 1,000,000 trials; and fails if 5 standard errors are more than 1.5 times `widest`, so that a small
 * sample cannot pass. */
void sm_checks_simulated(sm_checks *t, const char *name, double expected, double got, double standard_error,
                         double widest);
/* Adds the groups of `other` behind those of t. */
void sm_checks_append(sm_checks *t, const sm_checks *other);
void sm_checks_destroy(sm_checks *t);

/* Checks of one output of a formula, with standard errors from the sample: mean u/sqrt n; sd u sqrt((kurtosis -
 * 1)/(4n)); quantile sqrt(p(1-p)/n) over the density there. */
void sm_checks_mean(sm_checks *t, const char *name, const sm_formula_result *r, int output, double expected,
                    double widest);
void sm_checks_sd(sm_checks *t, const char *name, const sm_formula_result *r, int output, double expected,
                  double widest);
void sm_checks_quantile(sm_checks *t, const char *name, const sm_formula_result *r, int output, double p,
                        double expected, double widest);
/* Ends and length of the shortest 95 % interval, whose error does not follow the square root of n: `widest` alone
 * decides, and as many as 1,000,000 trials are asked for. */
void sm_checks_shortest(sm_checks *t, const char *name, const sm_formula_result *r, int output, int end,
                        double expected, double widest);
void sm_checks_shortest_length(sm_checks *t, const char *name, const sm_formula_result *r, int output, double expected,
                               double widest);
/* The probability of an event, its standard error from the expected value; `widest` is taken at 1,000,000 trials. */
void sm_checks_event(sm_checks *t, const char *name, const sm_formula_result *r, int event, double expected);
/* The probability of `event` among the trials that have the event `given`, of which 1,000,000 trials hold their share.
 */
void sm_checks_share(sm_checks *t, const char *name, const sm_formula_result *r, int event, int given, double expected);

#endif
