/* additive_fit.c - cell means as case + reader: each reader's offset, and what each cell leaves.
 *
 * The cases are eliminated (their means are taken off); what is left is one symmetric matrix of the size of the
 * readers, singular by one dimension or more, which is solved through its eigenvalues.
 *
 * Contents: 1. equations  2. solution  3. residuals  4. create and destroy
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/additive_fit.h"

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

/* 1. Equations */

typedef struct {
    const sm_crossed *d;
    const double *weight;
    double *row_weight, *row_mean;
    gsl_matrix *normal; /* X'WX of the readers after the cases, then its pseudo-inverse */
    gsl_vector *rhs;
    gsl_matrix *vectors;
    gsl_vector *values;
    gsl_eigen_symmv_workspace *eigen;
    double *effect;
} additive;

static void fill_rows(additive *a)
{
    for (size_t i = 0; i < a->d->n_cases; i++) {
        for (size_t k = a->d->row_start[i]; k < a->d->row_start[i + 1]; k++) {
            a->row_weight[i] += a->weight[k];
            a->row_mean[i] += a->weight[k] * a->d->cell[k].mean;
        }
        a->row_mean[i] /= a->row_weight[i];
    }
}

static void fill_equations(additive *a)
{
    for (size_t i = 0; i < a->d->n_cases; i++)
        for (size_t k = a->d->row_start[i]; k < a->d->row_start[i + 1]; k++) {
            size_t j = a->d->cell[k].col;
            double w = a->weight[k];
            *gsl_vector_ptr(a->rhs, j) += w * (a->d->cell[k].mean - a->row_mean[i]);
            for (size_t l = a->d->row_start[i]; l < a->d->row_start[i + 1]; l++) {
                double link = w * a->weight[l] / a->row_weight[i];
                if (l != k) {
                    *gsl_matrix_ptr(a->normal, j, a->d->cell[l].col) -= link;
                    *gsl_matrix_ptr(a->normal, j, j) += link;
                }
            }
        }
}

/* 2. Solution */

/* Replaces the normal matrix by its pseudo-inverse of the rank that the links give, and solves for the reader effects
 * (mean 0 if the design is connected). */
static int solve_readers(additive *a)
{
    size_t n = a->d->n_readers;
    int status = gsl_eigen_symmv(a->normal, a->values, a->vectors, a->eigen);
    if (status == GSL_SUCCESS)
        status = gsl_eigen_symmv_sort(a->values, a->vectors, GSL_EIGEN_SORT_VAL_DESC);
    size_t rank = sm_crossed_rank(a->d) - a->d->n_cases;
    gsl_matrix_set_zero(a->normal);
    for (size_t e = 0; e < rank; e++)
        for (size_t i = 0; i < n; i++)
            for (size_t j = 0; j < n; j++)
                *gsl_matrix_ptr(a->normal, i, j) +=
                    gsl_matrix_get(a->vectors, i, e) * gsl_matrix_get(a->vectors, j, e) / gsl_vector_get(a->values, e);
    for (size_t i = 0; i < n; i++) {
        a->effect[i] = 0.0;
        for (size_t j = 0; j < n; j++)
            a->effect[i] += gsl_matrix_get(a->normal, i, j) * gsl_vector_get(a->rhs, j);
    }
    return status;
}

/* 3. Residuals */

/* x'Gx with x the reader indicator of cell k less the case's weighted mean of it, G the pseudo-inverse. */
static double reader_leverage(const additive *a, size_t i, size_t k)
{
    double sum = 0.0;
    for (size_t p = a->d->row_start[i]; p < a->d->row_start[i + 1]; p++)
        for (size_t q = a->d->row_start[i]; q < a->d->row_start[i + 1]; q++) {
            double xp = (p == k) - a->weight[p] / a->row_weight[i], xq = (q == k) - a->weight[q] / a->row_weight[i];
            sum += xp * xq * gsl_matrix_get(a->normal, a->d->cell[p].col, a->d->cell[q].col);
        }
    return sum;
}

static void fill_residuals(const additive *a, sm_additive_fit *f)
{
    double ss = 0.0;
    for (size_t i = 0; i < a->d->n_cases; i++) {
        double centre = a->row_mean[i];
        for (size_t k = a->d->row_start[i]; k < a->d->row_start[i + 1]; k++)
            centre -= a->weight[k] * a->effect[a->d->cell[k].col] / a->row_weight[i];
        for (size_t k = a->d->row_start[i]; k < a->d->row_start[i + 1]; k++) {
            f->residual[k] = a->d->cell[k].mean - centre - a->effect[a->d->cell[k].col];
            f->leverage[k] = a->weight[k] * (1.0 / a->row_weight[i] + reader_leverage(a, i, k));
            f->residual_variance_share[k] = (1.0 - f->leverage[k]) / a->weight[k];
            ss += a->weight[k] * f->residual[k] * f->residual[k];
        }
    }
    f->variance = f->dof ? ss / (double)f->dof : NAN;
}

static void fill_offsets(const additive *a, sm_additive_fit *f)
{
    for (size_t j = 0; j < f->n_readers; j++) {
        double se = sqrt(f->variance * gsl_matrix_get(a->normal, j, j));
        f->offset[j] = a->d->parts == 1 ? sm_ci95_t(a->effect[j], se, (double)f->dof) : (sm_ci95){NAN, NAN, NAN};
    }
}

/* 4. Create and destroy */

static sm_additive_fit *fit_allocate(const sm_crossed *d)
{
    sm_additive_fit *f = calloc(1, sizeof *f);
    if (!f)
        return NULL;
    *f = (sm_additive_fit){.n_cells = d->n_cells, .n_readers = d->n_readers, .dof = d->n_cells - sm_crossed_rank(d)};
    f->offset = calloc(d->n_readers, sizeof *f->offset);
    f->residual = calloc(d->n_cells, sizeof *f->residual);
    f->leverage = calloc(d->n_cells, sizeof *f->leverage);
    f->residual_variance_share = calloc(d->n_cells, sizeof *f->residual_variance_share);
    if (f->offset && f->residual && f->leverage && f->residual_variance_share)
        return f;
    sm_additive_fit_destroy(f);
    return NULL;
}

static bool additive_allocate(additive *a)
{
    size_t n = a->d->n_readers;
    a->row_weight = calloc(a->d->n_cases, sizeof *a->row_weight);
    a->row_mean = calloc(a->d->n_cases, sizeof *a->row_mean);
    a->effect = calloc(n, sizeof *a->effect);
    a->normal = gsl_matrix_calloc(n, n);
    a->vectors = gsl_matrix_calloc(n, n);
    a->rhs = gsl_vector_calloc(n);
    a->values = gsl_vector_calloc(n);
    a->eigen = gsl_eigen_symmv_alloc(n);
    return a->row_weight && a->row_mean && a->effect && a->normal && a->vectors && a->rhs && a->values && a->eigen;
}

static void additive_free(additive *a)
{
    free(a->row_weight);
    free(a->row_mean);
    free(a->effect);
    gsl_matrix_free(a->normal);
    gsl_matrix_free(a->vectors);
    gsl_vector_free(a->rhs);
    gsl_vector_free(a->values);
    gsl_eigen_symmv_free(a->eigen);
}

sm_status sm_additive_fit_create(const sm_crossed *d, const double *weight, sm_additive_fit **out)
{
    additive a = {.d = d, .weight = weight};
    sm_additive_fit *f = fit_allocate(d);
    sm_status status = additive_allocate(&a) && f ? SM_OK : SM_NO_MEMORY;
    if (status == SM_OK) {
        fill_rows(&a);
        fill_equations(&a);
        status = solve_readers(&a) == GSL_SUCCESS ? SM_OK : SM_NUMERIC;
    }
    if (status == SM_OK) {
        fill_residuals(&a, f);
        fill_offsets(&a, f);
    } else {
        sm_additive_fit_destroy(f);
        f = NULL;
    }
    additive_free(&a);
    *out = f;
    return status;
}

void sm_additive_fit_destroy(sm_additive_fit *f)
{
    if (!f)
        return;
    free(f->offset);
    free(f->residual);
    free(f->leverage);
    free(f->residual_variance_share);
    free(f);
}
