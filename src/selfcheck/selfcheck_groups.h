/* selfcheck_groups.h - the groups of the self-check, for selfcheck.c alone.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SELFCHECK_SELFCHECK_GROUPS_H
#define SM_SELFCHECK_SELFCHECK_GROUPS_H

#include "selfcheck/selfcheck_example.h"

/* Known answers of the parts: each adds one or more groups to t. In the order of the report; the examples of
 * selfcheck_example.h follow. */
#define SM_SELFCHECK_GROUPS(X)                                                                                         \
    X(generator)                                                                                                       \
    X(quantiles)                                                                                                       \
    X(moments)                                                                                                         \
    X(few_readings)                                                                                                    \
    X(plane)                                                                                                           \
    X(distances)                                                                                                       \
    X(proportions)                                                                                                     \
    X(sequences)                                                                                                       \
    X(conformity)

#define SM_SELFCHECK_DECLARE(group) void sm_selfcheck_##group(const sm_selfcheck_size *size, sm_checks *t);
SM_SELFCHECK_GROUPS(SM_SELFCHECK_DECLARE)
#undef SM_SELFCHECK_DECLARE

/* Runs a formula for a group; NULL, and t->status set, if that failed. The caller frees it. */
sm_formula_result *sm_selfcheck_formula(const sm_formula *f, const sm_selfcheck_size *size, sm_checks *t);

#endif
