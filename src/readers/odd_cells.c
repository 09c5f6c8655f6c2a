/* odd_cells.c - cells that stand out: repeats that differ too much (Cochran), a mean that does not fit (Grubbs).
 *
 * Contents: 1. one cell  2. all cells  3. outlying repeats  4. outlying means  5. outlying cells
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/odd_cells.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#define ODD_P 0.05 /* the straggler level of ISO 5725-2 */

#define OUTLYING_P 0.01 /* its outlier level */

/* 1. One cell */

/* What the repeats of several cells hold together. */
typedef struct {
    size_t cells;
    double ss, dof;
} repeats;

static repeats all_repeats(const sm_crossed *d, const bool *left_out)
{
    repeats r = {0};
    for (size_t k = 0; k < d->n_cells; k++)
        if (d->cell[k].n > 1 && !(left_out && left_out[k])) {
            r.cells++;
            r.ss += d->cell[k].ss;
            r.dof += (double)d->cell[k].n - 1.0;
        }
    return r;
}

static sm_odd_cell cochran(const sm_crossed *d, size_t k, repeats all)
{
    sm_odd_cell odd = {.kind = SM_ODD_SPREAD, .cell = k, .p = 1.0};
    double dof = (double)d->cell[k].n - 1.0, others = all.dof - dof;
    if (dof < 1.0 || others < 1.0 || !(all.ss > 0.0))
        return odd;
    odd.statistic = d->cell[k].ss / all.ss;
    double rest = all.ss - d->cell[k].ss;
    double tail = rest > 0.0 ? gsl_cdf_fdist_Q(d->cell[k].ss / dof / (rest / others), dof, others) : 0.0;
    odd.p = fmin(1.0, (double)all.cells * tail);
    return odd;
}

sm_odd_cell sm_cochran_cell(const sm_crossed *d, size_t k)
{
    return cochran(d, k, all_repeats(d, NULL));
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

/* 2. All cells */

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
    const repeats all = all_repeats(d, NULL);
    for (size_t k = 0; k < d->n_cells; k++) {
        sm_odd_cell found[2] = {cochran(d, k, all), fit ? sm_grubbs_cell(fit, k) : (sm_odd_cell){.p = 1.0}};
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

/* 3. Outlying repeats */

enum { STEPS = SM_OUTLYING_MOST / 2 }; /* of each test: half of the room */

/* Hardly more than a tenth of what there is: what is called odd must be few. */
static size_t steps_for(size_t n)
{
    const size_t most = n < 4 ? 0 : n / 10 + 1;
    return most < STEPS ? most : STEPS;
}

/* Found cells are set in left_out, which the caller clears. Returns how many go to out. */
static size_t outlying_repeats(const sm_crossed *d, bool *left_out, sm_odd_cell out[STEPS])
{
    size_t last = 0;
    for (size_t i = 0; i < steps_for(all_repeats(d, NULL).cells); i++) {
        const repeats all = all_repeats(d, left_out);
        out[i] = (sm_odd_cell){.p = 2.0};
        for (size_t k = 0; k < d->n_cells; k++) {
            const sm_odd_cell c = cochran(d, k, all);
            if (!left_out[k] && (c.p < out[i].p || (c.p == out[i].p && c.statistic > out[i].statistic)))
                out[i] = c;
        }
        if (!(out[i].statistic > 0.0))
            break;
        left_out[out[i].cell] = true;
        last = out[i].p < OUTLYING_P ? i + 1 : last;
    }
    return last;
}

/* 4. Outlying means */

/* The cells that are left as a study of their own: one reading a cell, its mean. */
typedef struct {
    sm_crossed *d;
    double *weight;
    size_t *of; /* the cell of the whole study */
} rest;

static void rest_destroy(rest *r)
{
    sm_crossed_destroy(r->d);
    free(r->weight);
    free(r->of);
}

/* The number in d of cell k of the rest. */
static size_t same_cell(const rest *r, size_t k, const sm_crossed *d)
{
    const sm_crossed_cell *c = &r->d->cell[k];
    size_t at = d->row_start[r->d->case_id[c->row]];
    while (d->cell[at].col != r->d->reader_id[c->col])
        at++;
    return at;
}

static sm_status rest_cells(const sm_crossed *d, const bool *left_out, rest *out)
{
    size_t *id = malloc(2 * d->n_cells * sizeof *id), n = 0;
    double *y = malloc(d->n_cells * sizeof *y);
    sm_status status = id && y ? SM_OK : SM_NO_MEMORY;
    for (size_t k = 0; status == SM_OK && k < d->n_cells; k++)
        if (!left_out[k]) {
            id[n] = d->cell[k].row;
            id[d->n_cells + n] = d->cell[k].col;
            y[n++] = d->cell[k].mean;
        }
    if (status == SM_OK) {
        const size_t ids = d->n_cases > d->n_readers ? d->n_cases : d->n_readers;
        sm_readings_list list = {.n = n, .ids = ids, .case_id = id, .reader_id = id + d->n_cells, .y = y};
        status = sm_crossed_create(&list, &out->d);
    }
    free(id);
    free(y);
    return status;
}

static sm_status rest_create(const sm_crossed *d, const double *weight, const bool *left_out, rest *out)
{
    *out = (rest){.weight = malloc(d->n_cells * sizeof(double)), .of = malloc(d->n_cells * sizeof(size_t))};
    sm_status status = out->weight && out->of ? rest_cells(d, left_out, out) : SM_NO_MEMORY;
    for (size_t k = 0; status == SM_OK && k < out->d->n_cells; k++) {
        out->of[k] = same_cell(out, k, d);
        out->weight[k] = weight[out->of[k]];
    }
    return status;
}

/* The oddest mean of those that are left, as a cell of the whole study. */
static sm_status oddest_mean(const sm_crossed *d, const double *weight, const bool *left_out, sm_odd_cell *out)
{
    rest r;
    sm_additive_fit *fit = NULL;
    *out = (sm_odd_cell){.p = 2.0};
    sm_status status = rest_create(d, weight, left_out, &r);
    if (status == SM_OK)
        status = sm_additive_fit_create(r.d, r.weight, &fit);
    for (size_t k = 0; status == SM_OK && k < r.d->n_cells; k++) {
        sm_odd_cell c = sm_grubbs_cell(fit, k);
        c.cell = r.of[k];
        if (c.p < out->p || (c.p == out->p && c.statistic > out->statistic))
            *out = c;
    }
    sm_additive_fit_destroy(fit);
    rest_destroy(&r);
    return status;
}

static sm_status outlying_means(const sm_crossed *d, const double *weight, bool *left_out, sm_odd_cell out[STEPS],
                                size_t *n)
{
    sm_status status = SM_OK;
    *n = 0;
    const size_t steps = steps_for(d->n_cells - sm_crossed_rank(d));
    for (size_t i = 0; status == SM_OK && i < steps; i++) {
        status = oddest_mean(d, weight, left_out, &out[i]);
        if (status != SM_OK || !(out[i].statistic > 0.0))
            break;
        left_out[out[i].cell] = true;
        *n = out[i].p < OUTLYING_P ? i + 1 : *n;
    }
    return status;
}

/* 5. Outlying cells */

static bool is_among(const sm_odd_cell *found, size_t n, size_t cell)
{
    for (size_t i = 0; i < n; i++)
        if (found[i].cell == cell)
            return true;
    return false;
}

sm_status sm_outlying_cells(const sm_crossed *d, const double *weight, sm_odd_cell out[SM_OUTLYING_MOST], size_t *n)
{
    sm_odd_cell mean[STEPS];
    size_t means = 0;
    bool *left_out = calloc(2 * d->n_cells, sizeof *left_out);
    *n = 0;
    if (!left_out)
        return SM_NO_MEMORY;
    *n = outlying_repeats(d, left_out, out);
    sm_status status = outlying_means(d, weight, left_out + d->n_cells, mean, &means);
    for (size_t i = 0; i < means; i++)
        if (!is_among(out, *n, mean[i].cell))
            out[(*n)++] = mean[i];
    qsort(out, *n, sizeof *out, odd_compare);
    free(left_out);
    return status;
}
