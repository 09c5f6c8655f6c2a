/* mixed_model.c - the REML deviance of case, reader and reader-within-case effects at given ratios of SDs.
 *
 * Henderson's mixed-model equations with scaled effects, as in Bates et al. (J Stat Softw 2015;67(1), section 3),
 * reduced twice by hand: the reader-within-case effect and the repeats go into the weight of a cell's mean, and the
 * cases, whose block is diagonal, are eliminated. What is left is one matrix of the size of the readers, positive
 * definite for every theta including 0, and no entry of it is a difference of large numbers.
 *
 * Contents: 1. workspace  2. weights  3. equations  4. deviance
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/mixed_model.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>

/* 1. Workspace */

static bool workspace_allocate(sm_mixed_model *m)
{
    size_t cells = m->d->n_cells, rows = m->d->n_cases, size = m->d->n_readers + 1;
    m->count = calloc(cells, sizeof *m->count);
    m->weight = calloc(cells, sizeof *m->weight);
    m->row_weight = calloc(rows, sizeof *m->row_weight);
    m->row_shrink = calloc(rows, sizeof *m->row_shrink);
    m->row_pull = calloc(rows, sizeof *m->row_pull);
    m->system = gsl_matrix_calloc(size, size);
    m->rhs = gsl_vector_calloc(size);
    m->solution = gsl_vector_calloc(size);
    return m->count && m->weight && m->row_weight && m->row_shrink && m->row_pull && m->system && m->rhs && m->solution;
}

sm_mixed_model *sm_mixed_model_create(const sm_crossed *d, bool cells_only)
{
    sm_mixed_model *m = calloc(1, sizeof *m);
    if (!m)
        return NULL;
    m->d = d;
    if (!workspace_allocate(m)) {
        sm_mixed_model_destroy(m);
        return NULL;
    }
    for (size_t k = 0; k < d->n_cells; k++)
        m->count[k] = cells_only ? 1.0 : (double)d->cell[k].n;
    m->readings = (double)(cells_only ? d->n_cells : d->n_readings);
    m->within_ss = cells_only ? 0.0 : d->within_ss;
    m->within_dof = cells_only ? 0.0 : (double)d->within_dof;
    return m;
}

void sm_mixed_model_destroy(sm_mixed_model *m)
{
    if (!m)
        return;
    free(m->count);
    free(m->weight);
    free(m->row_weight);
    free(m->row_shrink);
    free(m->row_pull);
    gsl_matrix_free(m->system);
    gsl_vector_free(m->rhs);
    gsl_vector_free(m->solution);
    free(m);
}

/* 2. Weights */

/* Variance of a cell mean given its case and reader: theta_rc^2 + 1/n. */
static void weigh_cells(sm_mixed_model *m)
{
    double rc = m->theta[SM_THETA_READER_CASE] * m->theta[SM_THETA_READER_CASE];
    for (size_t k = 0; k < m->d->n_cells; k++) {
        m->weight[k] = m->count[k] / (1.0 + m->count[k] * rc);
        m->log_det += log1p(m->count[k] * rc);
    }
}

static void weigh_rows(sm_mixed_model *m)
{
    double c = m->theta[SM_THETA_CASE] * m->theta[SM_THETA_CASE];
    for (size_t i = 0; i < m->d->n_cases; i++) {
        double sum = 0.0, pull = 0.0;
        for (size_t k = m->d->row_start[i]; k < m->d->row_start[i + 1]; k++) {
            sum += m->weight[k];
            pull += m->weight[k] * m->d->cell[k].mean;
        }
        m->row_weight[i] = sum;
        m->row_shrink[i] = 1.0 / (1.0 + c * sum);
        m->row_pull[i] = c * m->row_shrink[i] * pull;
        m->log_det += log1p(c * sum);
    }
}

/* 3. Equations */

static void add_at(gsl_matrix *a, size_t i, size_t j, double x)
{
    gsl_matrix_set(a, i, j, gsl_matrix_get(a, i, j) + x);
}

/* What one cell adds: its reader's diagonal and border, and its links with the other readers of the same case. */
static void add_cell(sm_mixed_model *m, size_t i, size_t k)
{
    const sm_crossed *d = m->d;
    size_t j = d->cell[k].col, mean = d->n_readers;
    double r = m->theta[SM_THETA_READER], c2 = m->theta[SM_THETA_CASE] * m->theta[SM_THETA_CASE];
    double w = m->weight[k], s = m->row_shrink[i];
    add_at(m->system, j, j, r * r * w * s * (1.0 + c2 * (m->row_weight[i] - w)));
    add_at(m->system, j, mean, r * w * s);
    add_at(m->system, mean, j, r * w * s);
    add_at(m->system, mean, mean, w * s);
    double above = w * (d->cell[k].mean - m->row_pull[i]);
    gsl_vector_set(m->rhs, j, gsl_vector_get(m->rhs, j) + r * above);
    gsl_vector_set(m->rhs, mean, gsl_vector_get(m->rhs, mean) + above);
    for (size_t l = d->row_start[i]; l < d->row_start[i + 1]; l++)
        if (l != k)
            add_at(m->system, j, d->cell[l].col, -r * r * c2 * w * m->weight[l] * s);
}

static int solve_equations(sm_mixed_model *m)
{
    gsl_matrix_set_zero(m->system);
    gsl_vector_set_zero(m->rhs);
    for (size_t j = 0; j < m->d->n_readers; j++)
        gsl_matrix_set(m->system, j, j, 1.0);
    for (size_t i = 0; i < m->d->n_cases; i++)
        for (size_t k = m->d->row_start[i]; k < m->d->row_start[i + 1]; k++)
            add_cell(m, i, k);
    int status = gsl_linalg_cholesky_decomp1(m->system);
    if (status == GSL_SUCCESS)
        status = gsl_linalg_cholesky_solve(m->system, m->rhs, m->solution);
    for (size_t j = 0; status == GSL_SUCCESS && j < m->system->size1; j++)
        m->log_det += 2.0 * log(gsl_matrix_get(m->system, j, j));
    return status;
}

/* 4. Deviance */

/* Squares of what the fit leaves, plus the penalty on the effects: summed from the residuals themselves. */
static double penalised_squares(const sm_mixed_model *m)
{
    const sm_crossed *d = m->d;
    double mean = gsl_vector_get(m->solution, d->n_readers), r = m->theta[SM_THETA_READER], c = m->theta[SM_THETA_CASE];
    double sum = m->within_ss;
    for (size_t j = 0; j < d->n_readers; j++)
        sum += gsl_vector_get(m->solution, j) * gsl_vector_get(m->solution, j);
    for (size_t i = 0; i < d->n_cases; i++) {
        double pull = 0.0;
        for (size_t k = d->row_start[i]; k < d->row_start[i + 1]; k++)
            pull += m->weight[k] * (d->cell[k].mean - mean - r * gsl_vector_get(m->solution, d->cell[k].col));
        double effect = c * m->row_shrink[i] * pull; /* of the case, in units of theta */
        sum += effect * effect;
        for (size_t k = d->row_start[i]; k < d->row_start[i + 1]; k++) {
            double left = d->cell[k].mean - mean - r * gsl_vector_get(m->solution, d->cell[k].col) - c * effect;
            sum += m->weight[k] * left * left;
        }
    }
    return sum;
}

double sm_mixed_model_deviance(sm_mixed_model *m, const double theta[SM_THETAS])
{
    for (int t = 0; t < SM_THETAS; t++)
        m->theta[t] = fabs(theta[t]);
    m->log_det = 0.0;
    m->evaluations++;
    weigh_cells(m);
    weigh_rows(m);
    if (solve_equations(m) != GSL_SUCCESS)
        return INFINITY;
    double dof = m->readings - 1.0;
    m->repeat_variance = penalised_squares(m) / dof;
    double deviance = m->log_det + dof * (1.0 + log(2.0 * M_PI * m->repeat_variance));
    return isfinite(deviance) ? deviance : INFINITY;
}
