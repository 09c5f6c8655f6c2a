/* selfcheck_groups.h - the groups of the self-check, for selfcheck.c alone.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ANALYSIS_SELFCHECK_GROUPS_H
#define SM_ANALYSIS_SELFCHECK_GROUPS_H

#include "analysis/check_table.h"

typedef struct {
    uint64_t seed;
    int64_t trials;
} sm_selfcheck_size;

/* Adds one or more groups to t. In the order of the report. */
#define SM_SELFCHECK_GROUPS(X)                                                                                         \
    X(generator)                                                                                                       \
    X(quantiles)                                                                                                       \
    X(moments)                                                                                                         \
    X(sum_of_normals)                                                                                                  \
    X(sum_of_rectangles)                                                                                               \
    X(one_wide_rectangle)                                                                                              \
    X(mass)                                                                                                            \
    X(microwave)                                                                                                       \
    X(gauge_block)                                                                                                     \
    X(logarithm)                                                                                                       \
    X(impedance)                                                                                                       \
    X(viscosity)                                                                                                       \
    X(magnitude_and_phase)                                                                                             \
    X(few_readings)                                                                                                    \
    X(conformity)                                                                                                      \
    X(global_risk)                                                                                                     \
    X(structures)                                                                                                      \
    X(proportions)                                                                                                     \
    X(sequences)                                                                                                       \
    X(plane)                                                                                                           \
    X(distances)

#define SM_SELFCHECK_DECLARE(group) void sm_selfcheck_##group(const sm_selfcheck_size *size, sm_checks *t);
SM_SELFCHECK_GROUPS(SM_SELFCHECK_DECLARE)
#undef SM_SELFCHECK_DECLARE

/* Runs a formula for a group; NULL, and t->status set, where that failed. The caller frees it. */
sm_formula_result *sm_selfcheck_formula(const sm_formula *f, const sm_selfcheck_size *size, sm_checks *t);

#endif
