/* odd_cells.c - cells that stand out: repeats that differ too much (Cochran), a mean that does not fit (Grubbs).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/odd_cells.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

#define ODD_P 0.05 /* the straggler level of ISO 5725-2 */

static size_t cells_with_repeats(const sm_crossed *d)
{
    size_t n = 0;
    for (size_t k = 0; k < d->n_cells; k++)
        n += d->cell[k].n > 1;
    return n;
}

sm_odd_cell sm_cochran_cell(const sm_crossed *d, size_t k)
{
    sm_odd_cell odd = {.kind = SM_ODD_SPREAD, .cell = k, .p = 1.0};
    double dof = (double)d->cell[k].n - 1.0, others = (double)d->within_dof - dof;
    if (dof < 1.0 || others < 1.0 || !(d->within_ss > 0.0))
        return odd;
    odd.statistic = d->cell[k].ss / d->within_ss;
    double rest = d->within_ss - d->cell[k].ss;
    double tail = rest > 0.0 ? gsl_cdf_fdist_Q(d->cell[k].ss / dof / (rest / others), dof, others) : 0.0;
    odd.p = fmin(1.0, (double)cells_with_repeats(d) * tail);
    return odd;
}

sm_odd_cell sm_grubbs_cell(const sm_additive_fit *f, size_t k)
{
    sm_odd_cell odd = {.kind = SM_ODD_MEAN, .cell = k, .p = 1.0};
    double own = f->residual_variance_share[k];
    if (f->dof < 2 || !(f->variance > 0.0) || !(f->leverage[k] < 1.0 - 1e-9))
        return odd;
    double dof = (double)f->dof, g2 = f->residual[k] * f->residual[k] / (f->variance * own);
    odd.statistic = sqrt(g2);
    /* The residual measured by the spread of the other cells follows t with one degree less. */
    double t = g2 < dof ? sqrt(g2 * (dof - 1.0) / (dof - g2)) : INFINITY;
    odd.p = isfinite(t) ? fmin(1.0, 2.0 * (double)f->n_cells * gsl_cdf_tdist_Q(t, dof - 1.0)) : 0.0;
    return odd;
}

static int odd_compare(const void *a, const void *b)
{
    const sm_odd_cell *p = a, *q = b;
    if (p->p != q->p)
        return p->p < q->p ? -1 : 1;
    if (p->kind != q->kind)
        return p->kind < q->kind ? -1 : 1;
    return (p->cell > q->cell) - (p->cell < q->cell);
}

size_t sm_odd_cells(const sm_crossed *d, const sm_additive_fit *fit, sm_odd_cell *out, size_t max)
{
    size_t n = 0;
    for (size_t k = 0; k < d->n_cells; k++) {
        sm_odd_cell found[2] = {sm_cochran_cell(d, k), fit ? sm_grubbs_cell(fit, k) : (sm_odd_cell){.p = 1.0}};
        for (int i = 0; i < 2; i++)
            if (found[i].p < ODD_P) {
                if (n < max)
                    out[n] = found[i];
                n++;
            }
    }
    qsort(out, n < max ? n : max, sizeof *out, odd_compare);
    return n;
}
