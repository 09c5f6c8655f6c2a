/* reading.c - a reading becomes a distribution (model.md section 3).
 *
 * Contents: 1. the variance of a mean of readers  2. type A  3. the reading as constants
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/reading.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

/* 1. The variance of a mean of readers */

double sm_reading_variance(const sm_quantity *q)
{
    if (!q->is_read || q->sd_from_readings)
        return 0;
    const double s_b = q->between_reader_sd_mm, s_r = q->repeat_sd_mm, m = (double)q->readings.n;
    double sum = 0;
    for (size_t i = 0; i < q->readings.n; i++)
        sum += 1.0 / (double)q->readings.row[i].n;
    return s_b * s_b / m + s_r * s_r / (m * m) * sum; /* (3.2) */
}

/* By 3 standard deviations of two readers' difference, and as seldom with more of them. */
#define SELDOM 0.0026997960632602

double sm_reading_excess(const sm_quantity *q)
{
    const double s_b = q->between_reader_sd_mm, s_r = q->repeat_sd_mm, m = (double)q->readings.n;
    double sum_w = 0, sum_wx = 0, chi2 = 0;
    if (!q->is_read || q->sd_from_readings || q->readings.n < 2 || s_b * s_b + s_r * s_r == 0)
        return 1;
    for (size_t i = 0; i < q->readings.n; i++) {
        const sm_reader_row *row = &q->readings.row[i];
        const double w = 1 / (s_b * s_b + s_r * s_r / (double)row->n);
        sum_w += w;
        sum_wx += w * sm_reader_mean(row);
    }
    for (size_t i = 0; i < q->readings.n; i++) {
        const sm_reader_row *row = &q->readings.row[i];
        chi2 += gsl_pow_2(sm_reader_mean(row) - sum_wx / sum_w) / (s_b * s_b + s_r * s_r / (double)row->n);
    }
    return 1 + fmax(0, chi2 - gsl_cdf_chisq_Qinv(SELDOM, m - 1)) / (m - 1); /* (3.9) */
}

/* 2. Type A */

/* Beyond, a t is the normal. */
#define MOST_DOF 1e9

/* Running mean and sum of squares over all readings (Welford), so that large readings lose no digits. */
static double all_readings_sd(const sm_readings *r, double *n_out)
{
    double n = 0, mean = 0, sum_sq = 0;
    for (size_t i = 0; i < r->n; i++)
        for (size_t j = 0; j < r->row[i].n; j++) {
            double d = r->row[i].mm[j] - mean;
            n += 1;
            mean += d / n;
            sum_sq += d * (r->row[i].mm[j] - mean);
        }
    *n_out = n;
    return sqrt(sum_sq / (n - 1));
}

/* (3.3); of one reader alone (3.10): what readers differ by, which one reader's scatter does not show, is added, with
 * the effective degrees of freedom of Welch and Satterthwaite (JCGM 100:2008, G.4.1, from memory). */
static sm_dist type_a_error(const sm_quantity *q)
{
    double n, s = all_readings_sd(&q->readings, &n);
    const double own = s * s / n, between = q->readings.n == 1 ? gsl_pow_2(q->between_reader_sd_mm) : 0;
    if (between == 0)
        return (sm_dist){SM_STUDENT_T, {0, s / sqrt(n), n - 1}};
    const double of_between = q->dof > 0 ? gsl_pow_2(between) / q->dof : 0;
    const double dof = gsl_pow_2(own + between) / (gsl_pow_2(own) / (n - 1) + of_between);
    return (sm_dist){SM_STUDENT_T, {0, sqrt(own + between), fmin(dof, MOST_DOF)}};
}

/* 3. The reading as constants */

static void take_plane_off(const sm_quantity *q, double plane_variance, sm_reading *r)
{
    double plane = plane_variance / (double)q->readings.n;
    r->plane_exceeds = plane > r->variance;
    r->plane_taken = fmin(plane, r->variance);
    r->variance -= r->plane_taken;
}

static sm_dist error_of(const sm_quantity *q, const sm_reading *r)
{
    if (q->sd_from_readings)
        return type_a_error(q);
    if (q->dof > 0)
        return (sm_dist){SM_STUDENT_T, {0, sqrt(r->variance), q->dof}};
    return sm_dist_normal(0, sqrt(r->variance));
}

void sm_reading_create(const sm_quantity *q, double plane_variance, double reference, sm_reading *r)
{
    memset(r, 0, sizeof *r);
    if (!q->is_read) {
        sm_dist_set(&r->error, &q->value);
        return;
    }
    r->estimate = sm_quantity_estimate(q);
    r->bloom_edges = q->bloom_edges;
    r->reference = reference;
    r->resolution = q->resolution_mm;
    r->variance = sm_reading_variance(q) * sm_reading_excess(q);
    r->reread_variance = gsl_pow_2(q->between_reader_sd_mm) + gsl_pow_2(q->repeat_sd_mm);
    r->one_more = !q->sd_from_readings;
    r->dof = q->dof;
    if (q->sd_includes_plane)
        take_plane_off(q, plane_variance, r);
    const sm_dist error = error_of(q, r);
    sm_dist_set(&r->error, &error);
}
