/* additive_fit.h - cell means as case + reader: each reader's offset, and what each cell leaves.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_ADDITIVE_FIT_H
#define SM_READERS_ADDITIVE_FIT_H

#include "readers/ci95.h"
#include "readers/crossed.h"

/* Weighted least squares with cases and readers as fixed effects. */
typedef struct {
    size_t n_cells, n_readers, dof;  /* dof: cells less the rank of case and reader effects */
    double variance;                 /* of a cell of weight 1; NaN if dof is 0 */
    sm_ci95 *offset;                 /* of each reader from the mean of the readers, mm; NaN if cases do not link all */
    double *residual;                /* of each cell, mm */
    double *leverage;                /* of each cell: 1 is a cell that fits itself */
    double *residual_variance_share; /* residual variance of the cell in units of `variance`: (1 - leverage)/weight */
} sm_additive_fit;

/* weight: one a cell, 1/variance up to a common factor. */
sm_status sm_additive_fit_create(const sm_crossed *d, const double *weight, sm_additive_fit **out);
void sm_additive_fit_destroy(sm_additive_fit *f);

#endif
