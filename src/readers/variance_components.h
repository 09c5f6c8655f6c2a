/* variance_components.h - how much of the spread of readings comes from the cases, the readers and the repeats.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_VARIANCE_COMPONENTS_H
#define SM_READERS_VARIANCE_COMPONENTS_H

#include <stdbool.h>

#include "readers/crossed.h"

/* In the order of every table: the cases themselves, one reader against another, a reader's own way with a case, the
 * same reader again. */
typedef enum { SM_VC_CASE, SM_VC_READER, SM_VC_READER_CASE, SM_VC_REPEAT, SM_VCS } sm_vc;

/* "case", "reader", "reader_case", "repeat" */
const char *sm_vc_name(sm_vc c);

typedef struct {
    bool told[SM_VCS];                 /* the design can tell this component from the others */
    double variance[SM_VCS];           /* mm^2; NaN if not told */
    double covariance[SM_VCS][SM_VCS]; /* of the estimates: inverse expected information; NaN if not told */
    bool repeat_holds_reader_case;     /* nobody read a case twice: the last component is both together */
    double mean;                       /* mm */
    double deviance;                   /* the REML criterion at the estimates */
    bool converged;
    size_t evaluations;
} sm_reml;

/* REML of whatever the design can tell. SM_OK, SM_NO_MEMORY, or SM_REFUSED if nothing is left to estimate a spread
 * from (no repeat and no case read by two readers, or no spread at all). A fit that did not converge is SM_OK with
 * converged false. A component whose estimate would be negative is 0. If all repeats agree exactly the repeat variance
 * is 0. */
sm_status sm_reml_fit(const sm_crossed *d, sm_reml *out);

/* Variance of a sum of components and the variance of that estimate; use[] holds 1 or 0. What is not told counts as 0.
 */
typedef struct {
    double variance, var_of_variance;
} sm_vc_sum;
sm_vc_sum sm_reml_sum(const sm_reml *r, const int use[SM_VCS]);

/* Analysis of variance of a complete design with equal numbers of repeats. */
typedef struct {
    bool balanced;
    size_t dof[SM_VCS];
    double ss[SM_VCS], ms[SM_VCS]; /* by row of the table; ms NaN if dof is 0 */
    double variance[SM_VCS];       /* from the expected mean squares; may be negative; NaN if not told */
} sm_anova;

sm_anova sm_anova_fit(const sm_crossed *d);

#endif
