/* pivots.c - 95 % intervals of the SDs that readers make, by generalized pivots.
 *
 * Contents: 1. contrasts of the readers  2. what is left in the cells  3. probability  4. quantiles
 *           5. create and destroy
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/pivots.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <stdlib.h>

/* 1. Contrasts of the readers */

/* Cell means less the mean of their case: what cases do is gone, and with it whatever they have in common. */
typedef struct {
    const sm_crossed *d;
    double *left;       /* of each cell, mm; the reader contrasts are taken off one by one */
    double *freedom;    /* of each cell: 1 - its leverage so far */
    double *weight;     /* of each cell in one contrast */
    gsl_matrix *normal; /* readers' links: X'MX, X the readers' columns, M what takes the cases off */
    gsl_matrix *vectors;
    gsl_vector *values;
    gsl_eigen_symmv_workspace *eigen;
} reduction;

static double row_cells(const sm_crossed *d, size_t row)
{
    return (double)(d->row_start[row + 1] - d->row_start[row]);
}

/* values[k] less the mean over its case. */
static void centre_rows(const sm_crossed *d, double *values)
{
    for (size_t i = 0; i < d->n_cases; i++) {
        double sum = 0.0;
        for (size_t k = d->row_start[i]; k < d->row_start[i + 1]; k++)
            sum += values[k];
        for (size_t k = d->row_start[i]; k < d->row_start[i + 1]; k++)
            values[k] -= sum / row_cells(d, i);
    }
}

static void fill_links(reduction *r)
{
    const sm_crossed *d = r->d;
    for (size_t k = 0; k < d->n_cells; k++) {
        size_t row = d->cell[k].row, col = d->cell[k].col;
        for (size_t l = d->row_start[row]; l < d->row_start[row + 1]; l++)
            *gsl_matrix_ptr(r->normal, col, d->cell[l].col) += (k == l ? 1.0 : 0.0) - 1.0 / row_cells(d, row);
    }
}

/* Contrast e: weights z = M X u, u the e-th eigenvector of X'MX with value v. z'y / v carries the readers' variance
 * once and that of the cells by 1/v; contrasts are independent if all cells have one variance. */
static void take_contrast(reduction *r, size_t e, sm_reader_contrast *out)
{
    const sm_crossed *d = r->d;
    double v = gsl_vector_get(r->values, e), product = 0.0, repeats = 0.0;
    for (size_t k = 0; k < d->n_cells; k++)
        r->weight[k] = gsl_matrix_get(r->vectors, d->cell[k].col, e);
    centre_rows(d, r->weight);
    for (size_t k = 0; k < d->n_cells; k++) {
        product += r->weight[k] * r->left[k];
        repeats += r->weight[k] * r->weight[k] / (double)d->cell[k].n;
    }
    for (size_t k = 0; k < d->n_cells; k++) {
        r->left[k] -= r->weight[k] * product / v;
        r->freedom[k] -= r->weight[k] * r->weight[k] / v;
    }
    /* Readers who agree to the last digit count as a hair apart: their limit, and never 0 / 0. */
    *out = (sm_reader_contrast){
        .square = fmax(product / v * product / v, 1e-40), .share = 1.0 / v, .repeat_share = repeats / v};
}

static int take_readers(reduction *r, sm_pivots *p)
{
    int status = gsl_eigen_symmv(r->normal, r->values, r->vectors, r->eigen);
    if (status == GSL_SUCCESS)
        status = gsl_eigen_symmv_sort(r->values, r->vectors, GSL_EIGEN_SORT_VAL_DESC);
    for (size_t e = 0; status == GSL_SUCCESS && e < p->reader_dof; e++)
        take_contrast(r, e, &p->reader[e]);
    return status;
}

/* 2. What is left in the cells */

static void take_cells(const reduction *r, sm_pivots *p)
{
    const sm_crossed *d = r->d;
    for (size_t k = 0; k < d->n_cells && p->cell_dof > 0; k++) {
        p->cell_ss += r->left[k] * r->left[k];
        p->cell_repeat_share += r->freedom[k] / (double)d->cell[k].n / (double)p->cell_dof;
    }
}

/* 3. Probability */

/* Nodes of the trapezoid rule over a normal score z, from -REACH to REACH: beyond, 4e-6 of the weight are left. The
 * rule converges faster than any power of the step for what is smooth in z (Trefethen and Weideman, SIAM Rev
 * 2014;56:385-458; from memory). Against 401 nodes from -6.5 to 6.5 the ends of one reading's SD are right to 1 in
 * 10,000 with 3 readers and 12 cases; with 2 readers and 2 cases the upper one, 40 times the SD, to 5 in 100. */
static const double REACH = 4.6;

static double node_score(int i)
{
    return REACH * (2.0 * i / (SM_PIVOT_NODES - 1) - 1.0);
}

static double node_weight(int i)
{
    double z = node_score(i), step = 2.0 * REACH / (SM_PIVOT_NODES - 1);
    return step * exp(-0.5 * z * z) / sqrt(2.0 * M_PI);
}

static void fill_nodes(double chi[SM_PIVOT_NODES], size_t dof)
{
    for (int i = 0; i < SM_PIVOT_NODES && dof > 0; i++) {
        double z = node_score(i), tail = gsl_cdf_ugaussian_Q(fabs(z));
        chi[i] = z < 0.0 ? gsl_cdf_chisq_Pinv(tail, (double)dof) : gsl_cdf_chisq_Qinv(tail, (double)dof);
    }
}

/* P(chi-square <= x); the left tail keeps its digits. */
static double within(double x, size_t dof)
{
    return x < 1e6 ? gsl_cdf_chisq_P(x, (double)dof) : 1.0;
}

/* Over s^2_r > variance: the squares of the contrasts are then smaller than chi-square would have them. A variance
 * below 0 stands for what the cells' error already brings into a contrast. */
static double readers_above(const sm_pivots *p, double variance, double cell, double repeat)
{
    double sum = 0.0;
    for (size_t i = 0; i < p->reader_dof; i++) {
        const sm_reader_contrast *c = &p->reader[i];
        double own = variance + c->share * fmax(0.0, cell + c->repeat_share * repeat);
        if (!(own > 0.0))
            return 1.0;
        sum += c->square / own;
    }
    return within(sum, p->reader_dof);
}

/* At one s^2_w, over all that s^2_c can be. A negative s^2_c or s^2_r is kept inside a sum, as the analysis of variance
 * keeps it: with 0 in its place the low end of a sum lay too high if readers do not differ (truth outside 5 to 6 of
 * 100 times instead of 2.5). */
static double sum_above(const sm_pivots *p, sm_pivot_sum sum, double variance, double repeat)
{
    double room = variance - (sum.repeat ? repeat : 0.0), above = 0.0, weights = 0.0;
    double in_cell = p->cell_repeat_share * repeat;
    if (!sum.reader)
        return room + in_cell > 0.0 ? within(p->cell_ss / (room + in_cell), p->cell_dof) : 1.0;
    if (p->cell_dof == 0)
        return readers_above(p, room, 0.0, repeat);
    for (int i = 0; i < SM_PIVOT_NODES; i++) {
        double cell = p->cell_ss / p->chi_cell[i] - in_cell, weight = node_weight(i);
        above += weight * readers_above(p, room - (sum.cell ? cell : 0.0), cell, repeat);
        weights += weight;
    }
    return above / weights;
}

double sm_pivots_above(const sm_pivots *p, sm_pivot_sum sum, double variance)
{
    if ((sum.reader && p->reader_dof == 0) || (sum.repeat && p->repeat_dof == 0) ||
        (sum.cell && !sum.reader && p->cell_dof == 0))
        return NAN;
    if (!sum.reader && !sum.cell)
        return variance > 0.0 ? within(p->repeat_ss / variance, p->repeat_dof) : 1.0;
    if (p->repeat_dof == 0)
        return sum_above(p, sum, variance, 0.0);
    double above = 0.0, weights = 0.0;
    for (int i = 0; i < SM_PIVOT_NODES; i++) {
        double weight = node_weight(i);
        above += weight * sum_above(p, sum, variance, p->repeat_ss / p->chi_repeat[i]);
        weights += weight;
    }
    return above / weights;
}

/* 4. Quantiles */

/* Any variance of the size of the study's own: where the search begins. */
static double first_guess(const sm_pivots *p)
{
    double guess = 0.0;
    for (size_t i = 0; i < p->reader_dof; i++)
        guess += p->reader[i].square / (double)p->reader_dof;
    guess += p->cell_dof > 0 ? p->cell_ss / (double)p->cell_dof : 0.0;
    return guess + (p->repeat_dof > 0 ? p->repeat_ss / (double)p->repeat_dof : 0.0);
}

typedef struct {
    const sm_pivots *p;
    sm_pivot_sum sum;
    double share; /* wanted above */
} target;

/* Falls with x, the log of a variance; near a straight line in both tails. */
static double miss(const target *t, double x)
{
    return log(fmax(sm_pivots_above(t->p, t->sum, exp(x)), 1e-300) / t->share);
}

/* Between two logs with a miss above 0 and one not above 0: false position, where the weight of an end that stays is
 * halved (the Illinois rule). */
static double close_in(const target *t, double low, double f_low, double high, double f_high)
{
    enum { MOST = 100 };
    int stayed = 0; /* +1: the last step moved the low end; -1: the high one */
    double x = low;
    for (int i = 0; i < MOST && high - low > 1e-9; i++) {
        x = high - f_high * (high - low) / (f_high - f_low);
        double f = miss(t, x);
        if (fabs(f) < 1e-9)
            break;
        if (f > 0.0) {
            low = x, f_low = f;
            f_high *= stayed > 0 ? 0.5 : 1.0;
            stayed = 1;
        } else {
            high = x, f_high = f;
            f_low *= stayed < 0 ? 0.5 : 1.0;
            stayed = -1;
        }
    }
    return x;
}

/* The variance above which `share` of the belief lies, mm^2; 0 if the sum may as well be none. */
static double upper_quantile(const target *t)
{
    enum { MOST = 60 };
    const double step = log(4.0);
    double x = log(first_guess(t->p)), f = miss(t, x);
    if (!isfinite(f))
        return NAN;
    const bool up = f > 0.0;
    for (int i = 0; i < MOST; i++) {
        double next = x + (up ? step : -step), f_next = miss(t, next);
        if (up && f_next <= 0.0)
            return exp(close_in(t, x, f, next, f_next));
        if (!up && f_next > 0.0)
            return exp(close_in(t, next, f_next, x, f));
        x = next;
        f = f_next;
    }
    return up ? INFINITY : 0.0;
}

/* If readers agree by luck better than their repeats allow, the whole belief may lie below 0, and an interval from
 * it would say for sure that there is no spread. The upper end therefore takes only the part above 0 (as the CLs limits
 * of particle physics do: Read, J Phys G 2002;28:2693-2704; from memory): then more than 95 of 100 hold. */
sm_ci95 sm_pivots_sd(const sm_pivots *p, sm_pivot_sum sum, double value)
{
    double above = sm_pivots_above(p, sum, 0.0);
    if (isnan(above))
        return (sm_ci95){value, NAN, NAN};
    target low = {p, sum, 0.975}, high = {p, sum, 0.025 * above};
    double from = sqrt(upper_quantile(&low)), to = above > 0.0 ? sqrt(upper_quantile(&high)) : value;
    return (sm_ci95){.value = value, .low = from > value ? value : from, .high = to < value ? value : to};
}

/* 5. Create and destroy */

static bool reduction_allocate(reduction *r)
{
    size_t readers = r->d->n_readers;
    r->left = calloc(r->d->n_cells, sizeof *r->left);
    r->freedom = calloc(r->d->n_cells, sizeof *r->freedom);
    r->weight = calloc(r->d->n_cells, sizeof *r->weight);
    r->normal = gsl_matrix_calloc(readers, readers);
    r->vectors = gsl_matrix_calloc(readers, readers);
    r->values = gsl_vector_calloc(readers);
    r->eigen = gsl_eigen_symmv_alloc(readers);
    return r->left && r->freedom && r->weight && r->normal && r->vectors && r->values && r->eigen;
}

static void reduction_free(reduction *r)
{
    free(r->left);
    free(r->freedom);
    free(r->weight);
    gsl_matrix_free(r->normal);
    gsl_matrix_free(r->vectors);
    gsl_vector_free(r->values);
    gsl_eigen_symmv_free(r->eigen);
}

static void start_reduction(reduction *r)
{
    const sm_crossed *d = r->d;
    for (size_t k = 0; k < d->n_cells; k++) {
        r->left[k] = d->cell[k].mean;
        r->freedom[k] = 1.0 - 1.0 / row_cells(d, d->cell[k].row);
    }
    centre_rows(d, r->left);
    fill_links(r);
}

static sm_pivots *pivots_allocate(const sm_crossed *d)
{
    sm_pivots *p = calloc(1, sizeof *p);
    if (!p)
        return NULL;
    p->reader_dof = sm_crossed_rank(d) - d->n_cases;
    p->cell_dof = d->n_cells - sm_crossed_rank(d);
    p->repeat_dof = d->within_dof;
    p->repeat_ss = d->within_ss;
    p->reader = calloc(d->n_readers, sizeof *p->reader);
    if (p->reader)
        return p;
    sm_pivots_destroy(p);
    return NULL;
}

sm_status sm_pivots_create(const sm_crossed *d, sm_pivots **out)
{
    reduction r = {.d = d};
    sm_pivots *p = pivots_allocate(d);
    sm_status status = p && reduction_allocate(&r) ? SM_OK : SM_NO_MEMORY;
    if (status == SM_OK) {
        start_reduction(&r);
        status = take_readers(&r, p) == GSL_SUCCESS ? SM_OK : SM_NUMERIC;
    }
    if (status == SM_OK) {
        take_cells(&r, p);
        fill_nodes(p->chi_cell, p->cell_dof);
        fill_nodes(p->chi_repeat, p->repeat_dof);
    } else {
        sm_pivots_destroy(p);
        p = NULL;
    }
    reduction_free(&r);
    *out = p;
    return status;
}

void sm_pivots_destroy(sm_pivots *p)
{
    if (!p)
        return;
    free(p->reader);
    free(p);
}
