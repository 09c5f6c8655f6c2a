/* variance_components.c - how much of the spread of readings comes from the cases, the readers and the repeats.
 *
 * Contents: 1. names  2. what the design can tell  3. minimisation  4. information
 *           5. the last digits  6. fit  7. analysis of variance
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/variance_components.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multimin.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "readers/mean_sd.h"
#include "readers/mixed_model.h"

/* 1. Names */

const char *sm_vc_name(sm_vc c)
{
    static const char *const name[SM_VCS] = {"case", "reader", "reader_case", "repeat"};
    return name[c];
}

/* 2. What the design can tell */

/* Degrees of freedom of the cells beyond additive case and reader effects. */
static size_t interaction_dof(const sm_crossed *d)
{
    return d->n_cells - sm_crossed_rank(d);
}

/* A component is reported if it has two levels and its levels are not those of another one. If no case was read by
 * two readers, a difference between readers could as well be one between their cases. */
static void say_what_is_told(const sm_crossed *d, sm_reml *out)
{
    bool shared = d->n_cells > d->n_cases;
    out->told[SM_VC_CASE] = d->n_cases > 1 && d->n_cases < d->n_readings;
    out->told[SM_VC_READER] = d->n_readers > 1 && shared && d->n_readers < d->n_readings;
    out->told[SM_VC_READER_CASE] =
        out->told[SM_VC_CASE] && out->told[SM_VC_READER] && d->within_dof > 0 && interaction_dof(d) > 0;
    out->told[SM_VC_REPEAT] = d->within_dof + interaction_dof(d) > 0;
    out->repeat_holds_reader_case = out->told[SM_VC_REPEAT] && d->within_dof == 0;
}

/* 3. Minimisation */

/* The search sees only the thetas that are estimated; the deviance is even in each, so no bound is needed and 0 is a
 * smooth point of it. */
typedef struct {
    sm_mixed_model *model;
    size_t n, which[SM_THETAS];
    gsl_multimin_fminimizer *simplex;
    gsl_vector *x, *step; /* best point so far, size of the first simplex */
} search;

static bool search_allocate(search *s)
{
    s->simplex = gsl_multimin_fminimizer_alloc(gsl_multimin_fminimizer_nmsimplex2, s->n);
    s->x = gsl_vector_alloc(s->n);
    s->step = gsl_vector_alloc(s->n);
    return s->simplex && s->x && s->step;
}

static void search_free(search *s)
{
    if (s->simplex)
        gsl_multimin_fminimizer_free(s->simplex);
    gsl_vector_free(s->x);
    gsl_vector_free(s->step);
}

static void search_theta(const search *s, const gsl_vector *x, double theta[SM_THETAS])
{
    for (int t = 0; t < SM_THETAS; t++)
        theta[t] = 0.0;
    for (size_t i = 0; i < s->n; i++)
        theta[s->which[i]] = fabs(gsl_vector_get(x, i));
}

static double search_deviance(const gsl_vector *x, void *params)
{
    search *s = params;
    double theta[SM_THETAS];
    search_theta(s, x, theta);
    double deviance = sm_mixed_model_deviance(s->model, theta);
    return isfinite(deviance) ? deviance : 1e300;
}

/* One simplex search from s->x, which it replaces by the best point. Returns whether the simplex shrank to nothing. */
static bool descend(search *s, double *deviance)
{
    enum { MOST = 2000 };
    gsl_multimin_function f = {.f = search_deviance, .n = s->n, .params = s};
    for (size_t i = 0; i < s->n; i++)
        gsl_vector_set(s->step, i, 0.1 + 0.3 * fabs(gsl_vector_get(s->x, i)));
    bool done = false;
    int status = gsl_multimin_fminimizer_set(s->simplex, &f, s->x, s->step);
    for (int i = 0; status == GSL_SUCCESS && i < MOST && !done; i++) {
        status = gsl_multimin_fminimizer_iterate(s->simplex);
        double size = gsl_multimin_fminimizer_size(s->simplex);
        done = gsl_multimin_test_size(size, 1e-7 * (1.0 + gsl_blas_dnrm2(s->simplex->x))) == GSL_SUCCESS;
    }
    gsl_vector_memcpy(s->x, s->simplex->x);
    *deviance = s->simplex->fval;
    return done;
}

/* Simplex searches, each from the end of the last, until one gains nothing: a single one can collapse on a slope. */
static bool descend_fully(search *s, double *deviance)
{
    enum { ROUNDS = 8 };
    double before = INFINITY;
    for (int round = 0; round < ROUNDS; round++) {
        bool done = descend(s, deviance);
        if (done && before - *deviance < 1e-9 * (1.0 + fabs(*deviance)))
            return true;
        before = *deviance;
    }
    return false;
}

/* An estimate that came to rest beside 0 is put on 0 if that is as likely. */
static void settle_at_zero(search *s, double *deviance)
{
    for (size_t i = 0; i < s->n; i++) {
        double kept = gsl_vector_get(s->x, i);
        gsl_vector_set(s->x, i, 0.0);
        double there = search_deviance(s->x, s);
        if (there <= *deviance + 1e-10 * (1.0 + fabs(*deviance)))
            *deviance = there;
        else
            gsl_vector_set(s->x, i, kept);
    }
}

/* Rough ratios of SDs to start from: the spread of the cells beside the spread inside them. */
static void guess_theta(const sm_crossed *d, double guess[SM_THETAS])
{
    double total = 0.0, between = 0.0;
    for (size_t k = 0; k < d->n_cells; k++) {
        total += (double)d->cell[k].n * d->cell[k].mean * d->cell[k].mean;
        between += d->cell[k].mean * d->cell[k].mean;
    }
    double within = d->within_dof > 0 ? d->within_ss / (double)d->within_dof : 0.1 * between / (double)d->n_cells;
    double ratio = within > 0.0 ? sqrt(total / (double)d->n_readings / within) : 1.0;
    guess[SM_THETA_CASE] = fmin(fmax(ratio, 0.5), 1e4);
    guess[SM_THETA_READER] = fmin(fmax(0.5 * ratio, 0.5), 1e4);
    guess[SM_THETA_READER_CASE] = 1.0;
}

/* The best of two starts: the rough ratios, and all effects as large as the repeats. */
static sm_status minimise(search *s, const double guess[SM_THETAS], double theta[SM_THETAS], bool *converged)
{
    double best = INFINITY;
    bool room = search_allocate(s);
    *converged = false;
    for (int start = 0; room && start < 2; start++) {
        for (size_t i = 0; i < s->n; i++)
            gsl_vector_set(s->x, i, start == 0 ? guess[s->which[i]] : 1.0);
        double deviance = INFINITY;
        bool done = descend_fully(s, &deviance);
        settle_at_zero(s, &deviance);
        if (deviance < best) {
            best = deviance;
            *converged = done && best < 1e300;
            search_theta(s, s->x, theta);
        }
    }
    search_free(s);
    return room ? SM_OK : SM_NO_MEMORY;
}

/* 4. Information */

/* Expected REML information of (case, reader, reader within case, repeat) in units of the repeat variance:
 * I_ab = tr(P D_a P D_b)/2, D the derivative of the covariance of the cell means (Searle, Casella and McCulloch
 * 1992, 6.6; from memory), plus the dof inside the cells for the repeats. With the variances put in, a balanced design
 * gives the Welch-Satterthwaite formula of its mean squares. */
typedef struct {
    const sm_mixed_model *m;
    gsl_matrix *inverse;                                 /* of the mixed-model equations of cases, readers and mean */
    gsl_matrix *case_case, *case_reader, *reader_reader; /* Z'PZ */
    double *row;                                         /* one row of P */
    double *by_case, *by_reader;
    double *pull_case, *pull_reader; /* Z'Py, y the cell means */
    double info[SM_VCS][SM_VCS];
    double trace[SM_VCS], pull[SM_VCS]; /* tr(P D_a) and y'P D_a P y: their difference is the score */
} information;

static information information_create(const sm_mixed_model *m)
{
    const size_t nc = m->d->n_cases, nr = m->d->n_readers;
    return (information){.m = m,
                         .inverse = gsl_matrix_alloc(nc + nr + 1, nc + nr + 1),
                         .case_case = gsl_matrix_alloc(nc, nc),
                         .case_reader = gsl_matrix_alloc(nc, nr),
                         .reader_reader = gsl_matrix_alloc(nr, nr),
                         .row = calloc(m->d->n_cells, sizeof(double)),
                         .by_case = calloc(nc, sizeof(double)),
                         .by_reader = calloc(nr, sizeof(double)),
                         .pull_case = calloc(nc, sizeof(double)),
                         .pull_reader = calloc(nr, sizeof(double))};
}

static bool information_is_whole(const information *f)
{
    return f->inverse && f->case_case && f->case_reader && f->reader_reader && f->row && f->by_case && f->by_reader &&
           f->pull_case && f->pull_reader;
}

static void information_destroy(information *f)
{
    gsl_matrix_free(f->inverse);
    gsl_matrix_free(f->case_case);
    gsl_matrix_free(f->case_reader);
    gsl_matrix_free(f->reader_reader);
    free(f->row);
    free(f->by_case);
    free(f->by_reader);
    free(f->pull_case);
    free(f->pull_reader);
}

static void information_empty(information *f)
{
    gsl_matrix_set_zero(f->case_case);
    gsl_matrix_set_zero(f->case_reader);
    gsl_matrix_set_zero(f->reader_reader);
    memset(f->pull_case, 0, f->m->d->n_cases * sizeof *f->pull_case);
    memset(f->pull_reader, 0, f->m->d->n_readers * sizeof *f->pull_reader);
    memset(f->info, 0, sizeof f->info);
    memset(f->trace, 0, sizeof f->trace);
    memset(f->pull, 0, sizeof f->pull);
}

/* Equations of cases, readers and mean, undone: their inverse serves every element of P. */
static int invert_equations(information *f)
{
    const sm_mixed_model *m = f->m;
    size_t nc = m->d->n_cases, nr = m->d->n_readers, mean = nc + nr;
    double c = m->theta[SM_THETA_CASE], r = m->theta[SM_THETA_READER];
    gsl_matrix_set_zero(f->inverse);
    for (size_t i = 0; i < mean; i++)
        gsl_matrix_set(f->inverse, i, i, 1.0);
    for (size_t k = 0; k < m->d->n_cells; k++) {
        size_t at[3] = {m->d->cell[k].row, nc + m->d->cell[k].col, mean};
        double scale[3] = {c, r, 1.0};
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++)
                *gsl_matrix_ptr(f->inverse, at[a], at[b]) += m->weight[k] * scale[a] * scale[b];
    }
    int status = gsl_linalg_cholesky_decomp1(f->inverse);
    return status == GSL_SUCCESS ? gsl_linalg_cholesky_invert(f->inverse) : status;
}

/* Row k of P = W - W F M^-1 F' W, with its sums by case and by reader. */
static void fill_row(information *f, size_t k)
{
    const sm_mixed_model *m = f->m;
    size_t nc = m->d->n_cases, mean = nc + m->d->n_readers;
    double scale[3] = {m->theta[SM_THETA_CASE], m->theta[SM_THETA_READER], 1.0};
    size_t at_k[3] = {m->d->cell[k].row, nc + m->d->cell[k].col, mean};
    for (size_t i = 0; i < nc; i++)
        f->by_case[i] = 0.0;
    for (size_t j = 0; j < m->d->n_readers; j++)
        f->by_reader[j] = 0.0;
    for (size_t l = 0; l < m->d->n_cells; l++) {
        size_t at_l[3] = {m->d->cell[l].row, nc + m->d->cell[l].col, mean};
        double sum = 0.0;
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++)
                sum += scale[a] * scale[b] * gsl_matrix_get(f->inverse, at_k[a], at_l[b]);
        f->row[l] = (k == l ? m->weight[k] : 0.0) - m->weight[k] * m->weight[l] * sum;
        f->by_case[m->d->cell[l].row] += f->row[l];
        f->by_reader[m->d->cell[l].col] += f->row[l];
    }
}

/* What row k adds to the score. */
static void add_to_score(information *f, size_t k)
{
    const sm_crossed_cell *cell = &f->m->d->cell[k];
    const double of_repeat = 1.0 / f->m->count[k];
    double py = 0.0;
    for (size_t l = 0; l < f->m->d->n_cells; l++)
        py += f->row[l] * f->m->d->cell[l].mean;
    f->pull_case[cell->row] += py;
    f->pull_reader[cell->col] += py;
    f->pull[SM_VC_READER_CASE] += py * py;
    f->pull[SM_VC_REPEAT] += py * py * of_repeat;
    f->trace[SM_VC_CASE] += f->by_case[cell->row];
    f->trace[SM_VC_READER] += f->by_reader[cell->col];
    f->trace[SM_VC_READER_CASE] += f->row[k];
    f->trace[SM_VC_REPEAT] += f->row[k] * of_repeat;
}

/* What row k of P adds to each trace, and to Z'PZ. */
static void add_row(information *f, size_t k)
{
    const sm_crossed *d = f->m->d;
    double of_repeat = 1.0 / f->m->count[k];
    for (size_t l = 0; l < d->n_cells; l++) {
        double p2 = f->row[l] * f->row[l];
        f->info[SM_VC_READER_CASE][SM_VC_READER_CASE] += p2;
        f->info[SM_VC_READER_CASE][SM_VC_REPEAT] += p2 * of_repeat;
        f->info[SM_VC_REPEAT][SM_VC_REPEAT] += p2 * of_repeat / f->m->count[l];
    }
    for (size_t i = 0; i < d->n_cases; i++) {
        double p2 = f->by_case[i] * f->by_case[i];
        f->info[SM_VC_CASE][SM_VC_READER_CASE] += p2;
        f->info[SM_VC_CASE][SM_VC_REPEAT] += p2 * of_repeat;
        *gsl_matrix_ptr(f->case_case, d->cell[k].row, i) += f->by_case[i];
    }
    for (size_t j = 0; j < d->n_readers; j++) {
        double p2 = f->by_reader[j] * f->by_reader[j];
        f->info[SM_VC_READER][SM_VC_READER_CASE] += p2;
        f->info[SM_VC_READER][SM_VC_REPEAT] += p2 * of_repeat;
        *gsl_matrix_ptr(f->case_reader, d->cell[k].row, j) += f->by_reader[j];
        *gsl_matrix_ptr(f->reader_reader, d->cell[k].col, j) += f->by_reader[j];
    }
}

static double sum_of_squares(const gsl_matrix *a)
{
    double sum = 0.0;
    for (size_t i = 0; i < a->size1; i++)
        for (size_t j = 0; j < a->size2; j++)
            sum += gsl_matrix_get(a, i, j) * gsl_matrix_get(a, i, j);
    return sum;
}

static int fill_information(information *f)
{
    int status = invert_equations(f);
    if (status != GSL_SUCCESS)
        return status;
    information_empty(f);
    for (size_t k = 0; k < f->m->d->n_cells; k++) {
        fill_row(f, k);
        add_row(f, k);
        add_to_score(f, k);
    }
    for (size_t i = 0; i < f->m->d->n_cases; i++)
        f->pull[SM_VC_CASE] += f->pull_case[i] * f->pull_case[i];
    for (size_t j = 0; j < f->m->d->n_readers; j++)
        f->pull[SM_VC_READER] += f->pull_reader[j] * f->pull_reader[j];
    f->pull[SM_VC_REPEAT] += f->m->within_ss;
    f->trace[SM_VC_REPEAT] += f->m->within_dof;
    f->info[SM_VC_CASE][SM_VC_CASE] = sum_of_squares(f->case_case);
    f->info[SM_VC_CASE][SM_VC_READER] = sum_of_squares(f->case_reader);
    f->info[SM_VC_READER][SM_VC_READER] = sum_of_squares(f->reader_reader);
    f->info[SM_VC_REPEAT][SM_VC_REPEAT] += f->m->within_dof;
    return GSL_SUCCESS;
}

/* Inverse of the information of the told components, in mm^4. */
static int invert_information(const information *f, sm_reml *out)
{
    size_t n = 0, which[SM_VCS];
    for (size_t c = 0; c < SM_VCS; c++)
        if (out->told[c])
            which[n++] = c;
    gsl_matrix *a = gsl_matrix_alloc(n, n);
    if (!a)
        return GSL_ENOMEM;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            gsl_matrix_set(a, i, j, 0.5 * f->info[i < j ? which[i] : which[j]][i < j ? which[j] : which[i]]);
    int status = gsl_linalg_cholesky_decomp1(a);
    if (status == GSL_SUCCESS)
        status = gsl_linalg_cholesky_invert(a);
    double scale = f->m->repeat_variance * f->m->repeat_variance;
    for (size_t i = 0; status == GSL_SUCCESS && i < n; i++)
        for (size_t j = 0; j < n; j++)
            out->covariance[which[i]][which[j]] = scale * gsl_matrix_get(a, i, j);
    gsl_matrix_free(a);
    return status;
}

static sm_status fit_covariance(const sm_mixed_model *m, sm_reml *out)
{
    information f = information_create(m);
    int error = information_is_whole(&f) ? fill_information(&f) : GSL_ENOMEM;
    if (error == GSL_SUCCESS)
        error = invert_information(&f, out);
    out->converged = out->converged && error == GSL_SUCCESS;
    information_destroy(&f);
    return error == GSL_ENOMEM ? SM_NO_MEMORY : SM_OK;
}

/* 5. The last digits */

/* Solves I delta = U over the components in `which`, in units of the repeat variance. */
static bool score_step(const information *f, size_t n, const size_t which[SM_VCS], double delta[SM_VCS])
{
    double matrix[SM_VCS * SM_VCS], right[SM_VCS];
    gsl_matrix_view a = gsl_matrix_view_array(matrix, n, n);
    gsl_vector_view u = gsl_vector_view_array(right, n), x = gsl_vector_view_array(delta, n);
    for (size_t i = 0; i < n; i++) {
        right[i] = f->pull[which[i]] / f->m->repeat_variance - f->trace[which[i]];
        for (size_t j = 0; j < n; j++) {
            const size_t low = which[i] < which[j] ? which[i] : which[j], high = which[i] + which[j] - low;
            matrix[i * n + j] = f->info[low][high];
        }
    }
    return gsl_linalg_cholesky_decomp1(&a.matrix) == GSL_SUCCESS &&
           gsl_linalg_cholesky_solve(&a.matrix, &u.vector, &x.vector) == GSL_SUCCESS;
}

/* theta after the step; false if it leads out of what may be. *size: the step, of the whole variance. */
static bool take_step(size_t n, const size_t which[SM_VCS], const double delta[SM_VCS], double theta[SM_THETAS],
                      double *size)
{
    double variance[SM_VCS] = {0}, whole = 1.0;
    for (int t = 0; t < SM_THETAS; t++)
        whole += variance[t] = theta[t] * theta[t];
    variance[SM_VC_REPEAT] = 1.0;
    *size = 0.0;
    for (size_t i = 0; i < n; i++) {
        variance[which[i]] += delta[i];
        *size = fmax(*size, fabs(delta[i]) / whole);
        if (!(variance[which[i]] > 0.0))
            return false;
    }
    for (int t = 0; t < SM_THETAS; t++)
        theta[t] = sqrt(variance[t] / variance[SM_VC_REPEAT]);
    return true;
}

/* Fisher's scoring from where the search stopped: the deviance is flat there, so that where a search by its values ends
 * hangs on its last bits, and these on the processor; the score is not flat. theta is kept if that leads nowhere. */
static sm_status settle(sm_mixed_model *m, const sm_reml *told, double theta[SM_THETAS])
{
    enum { MOST = 100 };
    size_t n = 0, which[SM_VCS];
    double at[SM_THETAS], delta[SM_VCS], size = INFINITY;
    information f = information_create(m);
    const double before = sm_mixed_model_deviance(m, theta);
    bool good = isfinite(before) && m->repeat_variance > 0.0;
    for (size_t t = 0; t < SM_THETAS; t++)
        if (told->told[t] && theta[t] > 0.0)
            which[n++] = t;
    which[n++] = SM_VC_REPEAT;
    memcpy(at, theta, sizeof at);
    const bool room = information_is_whole(&f);
    for (int i = 0; room && good && i < MOST && size > 1e-13; i++)
        good = fill_information(&f) == GSL_SUCCESS && score_step(&f, n, which, delta) &&
               take_step(n, which, delta, at, &size) && isfinite(sm_mixed_model_deviance(m, at));
    if (good && sm_mixed_model_deviance(m, at) <= before + 1e-9 * (1.0 + fabs(before)))
        memcpy(theta, at, sizeof at);
    information_destroy(&f);
    return room ? SM_OK : SM_NO_MEMORY;
}

/* 6. Fit */

static void put_nan(sm_reml *out)
{
    for (int a = 0; a < SM_VCS; a++) {
        out->variance[a] = NAN;
        for (int b = 0; b < SM_VCS; b++)
            out->covariance[a][b] = NAN;
    }
}

static void fill_estimates(sm_mixed_model *m, const double theta[SM_THETAS], sm_reml *out)
{
    out->deviance = sm_mixed_model_deviance(m, theta);
    out->evaluations = m->evaluations;
    out->mean = m->d->centre + gsl_vector_get(m->solution, m->d->n_readers);
    for (int t = 0; t < SM_THETAS; t++)
        if (out->told[t])
            out->variance[t] = theta[t] * theta[t] * m->repeat_variance;
    out->variance[SM_VC_REPEAT] = m->repeat_variance;
}

static void swap(double *a, double *b)
{
    double kept = *a;
    *a = *b;
    *b = kept;
}

/* Repeats that all agree leave the reader-within-case effect as the only spread of a cell: its estimate moves there. */
static void move_to_reader_case(sm_reml *out)
{
    for (int a = 0; a < SM_VCS; a++)
        swap(&out->covariance[SM_VC_READER_CASE][a], &out->covariance[SM_VC_REPEAT][a]);
    for (int a = 0; a < SM_VCS; a++)
        swap(&out->covariance[a][SM_VC_READER_CASE], &out->covariance[a][SM_VC_REPEAT]);
    for (int a = 0; a < SM_VCS; a++)
        out->covariance[SM_VC_REPEAT][a] = out->covariance[a][SM_VC_REPEAT] = 0.0;
    out->variance[SM_VC_READER_CASE] = out->variance[SM_VC_REPEAT];
    out->variance[SM_VC_REPEAT] = 0.0;
    out->told[SM_VC_READER_CASE] = true;
}

static sm_status fit_model(sm_mixed_model *m, sm_reml *out)
{
    search s = {.model = m};
    for (size_t t = 0; t < SM_THETAS; t++)
        if (out->told[t])
            s.which[s.n++] = t;
    double theta[SM_THETAS] = {0}, guess[SM_THETAS];
    guess_theta(m->d, guess);
    out->converged = true;
    if (s.n > 0 && minimise(&s, guess, theta, &out->converged) != SM_OK)
        return SM_NO_MEMORY;
    if (settle(m, out, theta) != SM_OK)
        return SM_NO_MEMORY;
    fill_estimates(m, theta, out);
    if (!isfinite(out->deviance) || !(m->repeat_variance > 0.0))
        return SM_REFUSED;
    return fit_covariance(m, out);
}

sm_status sm_reml_fit(const sm_crossed *d, sm_reml *out)
{
    *out = (sm_reml){0};
    put_nan(out);
    say_what_is_told(d, out);
    bool exact_repeats = d->within_dof > 0 && !(d->within_ss > 0.0);
    if (!out->told[SM_VC_REPEAT] || (exact_repeats && interaction_dof(d) == 0))
        return SM_REFUSED;
    if (exact_repeats)
        out->told[SM_VC_READER_CASE] = false;
    sm_mixed_model *m = sm_mixed_model_create(d, exact_repeats);
    if (!m)
        return SM_NO_MEMORY;
    sm_status status = fit_model(m, out);
    if (status == SM_OK && exact_repeats)
        move_to_reader_case(out);
    sm_mixed_model_destroy(m);
    return status;
}

sm_vc_sum sm_reml_sum(const sm_reml *r, const int use[SM_VCS])
{
    sm_vc_sum s = {0};
    for (int a = 0; a < SM_VCS; a++) {
        if (!use[a] || !r->told[a])
            continue;
        s.variance += r->variance[a];
        for (int b = 0; b < SM_VCS; b++)
            if (use[b] && r->told[b])
                s.var_of_variance += r->covariance[a][b];
    }
    return s;
}

/* 7. Analysis of variance */

static bool is_balanced(const sm_crossed *d)
{
    bool same = d->n_cells == d->n_cases * d->n_readers;
    for (size_t k = 1; k < d->n_cells; k++)
        same = same && d->cell[k].n == d->cell[0].n;
    return same;
}

/* Sum of n (mean of a row or column)^2, the grand mean being 0: the cells of a balanced design weigh the same. */
static double margin_ss(const sm_crossed *d, bool rows)
{
    size_t levels = rows ? d->n_cases : d->n_readers, others = rows ? d->n_readers : d->n_cases;
    double ss = 0.0;
    for (size_t i = 0; i < levels; i++) {
        sm_sum sum = {0};
        for (size_t j = 0; j < others; j++)
            sm_sum_add(&sum, d->cell[rows ? i * others + j : j * levels + i].mean);
        double mean = sm_sum_value(&sum) / (double)others;
        ss += (double)(others * d->cell[0].n) * mean * mean;
    }
    return ss;
}

static double interaction_ss(const sm_crossed *d)
{
    double ss = 0.0;
    for (size_t i = 0; i < d->n_cases; i++)
        for (size_t j = 0; j < d->n_readers; j++) {
            double row = 0.0, col = 0.0;
            for (size_t l = 0; l < d->n_readers; l++)
                row += d->cell[i * d->n_readers + l].mean;
            for (size_t l = 0; l < d->n_cases; l++)
                col += d->cell[l * d->n_readers + j].mean;
            double left = d->cell[i * d->n_readers + j].mean - row / (double)d->n_readers - col / (double)d->n_cases;
            ss += (double)d->cell[0].n * left * left;
        }
    return ss;
}

/* Expected mean squares of the crossed design (ISO 5725-3 and every textbook), solved from the last row upward. If a
 * row has no degrees of freedom the next lower mean square takes its place. */
static void solve_mean_squares(const sm_crossed *d, sm_anova *a)
{
    double n = (double)d->cell[0].n, cases = (double)d->n_cases, readers = (double)d->n_readers;
    double repeat = a->dof[SM_VC_REPEAT] ? a->ms[SM_VC_REPEAT] : a->ms[SM_VC_READER_CASE];
    double cell = a->dof[SM_VC_READER_CASE] ? a->ms[SM_VC_READER_CASE] : a->ms[SM_VC_REPEAT];
    a->variance[SM_VC_REPEAT] = repeat;
    if (a->dof[SM_VC_READER_CASE] && a->dof[SM_VC_REPEAT])
        a->variance[SM_VC_READER_CASE] = (cell - repeat) / n;
    if (a->dof[SM_VC_READER])
        a->variance[SM_VC_READER] = (a->ms[SM_VC_READER] - cell) / (n * cases);
    if (a->dof[SM_VC_CASE])
        a->variance[SM_VC_CASE] = (a->ms[SM_VC_CASE] - cell) / (n * readers);
}

sm_anova sm_anova_fit(const sm_crossed *d)
{
    sm_anova a = {.balanced = is_balanced(d)};
    for (int c = 0; c < SM_VCS; c++)
        a.ss[c] = a.ms[c] = a.variance[c] = NAN;
    if (!a.balanced)
        return a;
    a.dof[SM_VC_CASE] = d->n_cases - 1;
    a.dof[SM_VC_READER] = d->n_readers - 1;
    a.dof[SM_VC_READER_CASE] = (d->n_cases - 1) * (d->n_readers - 1);
    a.dof[SM_VC_REPEAT] = d->within_dof;
    a.ss[SM_VC_CASE] = margin_ss(d, true);
    a.ss[SM_VC_READER] = margin_ss(d, false);
    a.ss[SM_VC_READER_CASE] = interaction_ss(d);
    a.ss[SM_VC_REPEAT] = d->within_ss;
    for (int c = 0; c < SM_VCS; c++)
        if (a.dof[c])
            a.ms[c] = a.ss[c] / (double)a.dof[c];
    solve_mean_squares(d, &a);
    return a;
}
