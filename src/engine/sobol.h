/* sobol.h - first-order and total indices of a group of draws, by redrawing it.
 *
 * f_A and f_B are two independent samples of an output, f_AB is A with the group's draws taken from B. First order:
 * Saltelli et al., Comput Phys Commun 2010;181:259, centred; total: Jansen, Comput Phys Commun 1999;117:35. The
 * variance is pooled over A and B. Standard errors by the delete-one jackknife over batches.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_SOBOL_H
#define SM_ENGINE_SOBOL_H

#include <stdbool.h>

#include "engine/interval.h"
#include "engine/spread.h"

enum { SM_BATCHES = 32 };

/* Sums of one batch for one group and one output. */
typedef struct {
    double product, difference, square; /* of f_B (f_AB - f_A), f_AB - f_A, (f_A - f_AB)^2 / 2 */
} sm_sobol_sums;

typedef struct {
    sm_estimate first, total;
} sm_sobol;

void sm_sobol_add(sm_sobol_sums *s, const double *f_A, const double *f_B, const double *f_AB, int n);

/* Indices from SM_BATCHES batches; f[b] holds the pooled moments of f_A and f_B in batch b. All zero, without error,
 * if f does not vary. */
sm_sobol sm_sobol_of(const sm_sobol_sums *batch, const sm_moments *f);

/* The delete-one jackknife of a statistic of SM_BATCHES batches: left_out[b] is the statistic without batch b. */
double sm_jackknife_error(const double *left_out);

#endif
