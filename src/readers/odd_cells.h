/* odd_cells.h - cells that stand out: repeats that differ too much (Cochran), a mean that does not fit (Grubbs).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_ODD_CELLS_H
#define SM_READERS_ODD_CELLS_H

#include "readers/additive_fit.h"
#include "readers/crossed.h"

typedef enum { SM_ODD_SPREAD, SM_ODD_MEAN } sm_odd_kind;

/* A cell worth a second look. p counts every cell that was looked at (Bonferroni): the chance of one so odd anywhere,
 * if all is well. */
typedef struct {
    sm_odd_kind kind;
    size_t cell;
    double statistic; /* Cochran's C of the cell; for a mean its distance from the fit in its own SDs (Grubbs) */
    double p;
} sm_odd_cell;

/* Cochran's test of one cell against the others, for unequal numbers too: C = ss_k / sum of ss, referred to F with the
 * cell's and the others' degrees of freedom. p 1 if it has no repeats. */
sm_odd_cell sm_cochran_cell(const sm_crossed *d, size_t k);
/* Grubbs' test of one cell mean after case and reader are taken off. p 1 if there are under 2 degrees of freedom. */
sm_odd_cell sm_grubbs_cell(const sm_additive_fit *f, size_t k);

/* All cells with p < 0.05, the least likely first; at most max of them go to out. Returns how many there are. fit may
 * be NULL. */
size_t sm_odd_cells(const sm_crossed *d, const sm_additive_fit *fit, sm_odd_cell *out, size_t max);

/* Cells that are outlying: the same two tests at 1 % (the outlier level of ISO 5725-2), one cell after another, each
 * time on what is left without those before it, and all up to the last that is odd (generalized ESD: Rosner,
 * Technometrics 1983;25:165-172; from memory). So several typing errors do not hide each other. weight: as for
 * sm_additive_fit_create. A cell that both tests find is named once, for its repeats. At most SM_OUTLYING_MOST go to
 * out, *n of them. */
enum { SM_OUTLYING_MOST = 20 };
sm_status sm_outlying_cells(const sm_crossed *d, const double *weight, sm_odd_cell out[SM_OUTLYING_MOST], size_t *n);

#endif
