/* agreement.c - how well readers agree: intraclass correlations, and limits of agreement of each pair.
 *
 * Contents: 1. mean squares  2. intraclass correlations  3. differences and slopes  4. limits of agreement
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "readers/agreement.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>

#include "readers/mean_sd.h"

/* 1. Mean squares */

static sm_mean_sd strided(const double *y, size_t n, size_t stride, double *room)
{
    for (size_t i = 0; i < n; i++)
        room[i] = y[i * stride];
    return sm_mean_sd_of(room, n);
}

/* Squares of what additive case and reader means leave. */
static double rest_ss(const double *y, const sm_icc *r, const double *row, const double *col, double grand)
{
    double ss = 0.0;
    for (size_t i = 0; i < r->cases; i++)
        for (size_t j = 0; j < r->readers; j++) {
            double left = (y[i * r->readers + j] - row[i]) - (col[j] - grand);
            ss += left * left;
        }
    return ss;
}

static void fill_mean_squares(const double *y, double *room, sm_icc *r)
{
    size_t n = r->cases, k = r->readers;
    double *row = room, *col = room + n, *copy = room + n + k;
    double within = 0.0;
    for (size_t i = 0; i < n; i++) {
        sm_mean_sd m = sm_mean_sd_of(y + i * k, k);
        row[i] = m.mean;
        within += m.ss;
    }
    for (size_t j = 0; j < k; j++)
        col[j] = strided(y + j, n, k, copy).mean;
    sm_mean_sd rows = sm_mean_sd_of(row, n), cols = sm_mean_sd_of(col, k);
    r->bms = (double)k * rows.ss / (double)(n - 1);
    r->wms = within / (double)(n * (k - 1));
    r->jms = (double)n * cols.ss / (double)(k - 1);
    r->ems = rest_ss(y, r, row, col, rows.mean) / (double)((n - 1) * (k - 1));
}

/* 2. Intraclass correlations */

/* Forms 1 and 3: a correlation of one reading (f - 1)/(f + k - 1), of the mean of k 1 - 1/f, f = BMS/rest with (n-1,
 * dof) degrees. */
static void fill_one_ratio(sm_icc *r, sm_icc_form single, sm_icc_form mean, double rest, double dof)
{
    double k = (double)r->readers, dof_case = (double)(r->cases - 1), f = r->bms / rest;
    double ends[3] = {f, f / gsl_cdf_fdist_Pinv(0.975, dof_case, dof), f * gsl_cdf_fdist_Pinv(0.975, dof, dof_case)};
    double one[3], all[3];
    for (int i = 0; i < 3; i++) {
        one[i] = isfinite(ends[i]) ? (ends[i] - 1.0) / (ends[i] + k - 1.0) : 1.0;
        all[i] = 1.0 - 1.0 / ends[i];
    }
    r->form[single] = (sm_ci95){one[0], one[1], one[2]};
    r->form[mean] = (sm_ci95){all[0], all[1], all[2]};
}

/* Shrout and Fleiss 1979, p. 424: degrees of freedom of the rest in form 2, a sum of two mean squares. */
static double form2_dof(const sm_icc *r, double icc)
{
    double n = (double)r->cases, k = (double)r->readers, f = r->jms / r->ems;
    double b = n * (1.0 + (k - 1.0) * icc) - k * icc;
    double top = (k - 1.0) * (n - 1.0) * pow(k * icc * f + b, 2.0);
    return top / ((n - 1.0) * k * k * icc * icc * f * f + b * b);
}

static double of_mean(double icc, double k)
{
    return icc * k / (1.0 + icc * (k - 1.0));
}

static void fill_form2(sm_icc *r)
{
    double n = (double)r->cases, k = (double)r->readers;
    double icc = (r->bms - r->ems) / (r->bms + (k - 1.0) * r->ems + k * (r->jms - r->ems) / n);
    sm_ci95 c = {icc, icc, icc};
    double dof = form2_dof(r, icc);
    if (isfinite(dof) && dof > 0.0) {
        double up = gsl_cdf_fdist_Pinv(0.975, n - 1.0, dof), down = gsl_cdf_fdist_Pinv(0.975, dof, n - 1.0);
        double rest = k * r->jms + (k * n - k - n) * r->ems;
        c.low = n * (r->bms - up * r->ems) / (up * rest + n * r->bms);
        c.high = n * (down * r->bms - r->ems) / (rest + n * down * r->bms);
    }
    r->form[SM_ICC_2_1] = c;
    r->form[SM_ICC_2_K] = (sm_ci95){of_mean(c.value, k), of_mean(c.low, k), of_mean(c.high, k)};
    r->form[SM_ICC_2_K].value = (r->bms - r->ems) / (r->bms + (r->jms - r->ems) / n);
}

sm_status sm_icc_fit(const double *y, size_t cases, size_t readers, sm_icc *out)
{
    *out = (sm_icc){.cases = cases, .readers = readers};
    if (cases < 2 || readers < 2)
        return SM_REFUSED;
    double *room = malloc((2 * cases + readers) * sizeof *room);
    if (!room)
        return SM_NO_MEMORY;
    fill_mean_squares(y, room, out);
    free(room);
    if (!(out->bms > 0.0) && !(out->wms > 0.0))
        return SM_REFUSED;
    double n = (double)cases, k = (double)readers;
    fill_one_ratio(out, SM_ICC_1_1, SM_ICC_1_K, out->wms, n * (k - 1.0));
    fill_one_ratio(out, SM_ICC_3_1, SM_ICC_3_K, out->ems, (n - 1.0) * (k - 1.0));
    fill_form2(out);
    return SM_OK;
}

/* 3. Differences and slopes */

typedef struct {
    double slope, p;
} trend;

/* Least squares of y on x; left[i] becomes what the line leaves. */
static trend trend_of(const double *x, const double *y, size_t n, double *left)
{
    double mx = sm_mean_sd_of(x, n).mean, my = sm_mean_sd_of(y, n).mean, sxx = 0.0, sxy = 0.0, rest = 0.0;
    for (size_t i = 0; i < n; i++) {
        sxx += (x[i] - mx) * (x[i] - mx);
        sxy += (x[i] - mx) * (y[i] - my);
    }
    trend t = {.slope = sxx > 0.0 ? sxy / sxx : NAN, .p = NAN};
    for (size_t i = 0; i < n; i++) {
        left[i] = y[i] - my - (sxx > 0.0 ? t.slope * (x[i] - mx) : 0.0);
        rest += left[i] * left[i];
    }
    double dof = (double)n - 2.0;
    if (sxx > 0.0 && rest > 0.0 && dof > 0.0)
        t.p = 2.0 * gsl_cdf_tdist_Q(fabs(t.slope) / sqrt(rest / dof / sxx), dof);
    return t;
}

/* 4. Limits of agreement */

static void fill_slopes(const sm_agreement_readings *in, double *room, sm_agreement *out)
{
    double *size = room, *difference = room + in->n, *left = room + 2 * in->n, *rest = room + 3 * in->n;
    for (size_t i = 0; i < in->n; i++)
        size[i] = 0.5 * (in->a[i] + in->b[i]);
    trend bias = trend_of(size, difference, in->n, left);
    for (size_t i = 0; i < in->n; i++)
        left[i] = fabs(left[i]);
    trend spread = trend_of(size, left, in->n, rest);
    out->bias_slope = bias.slope;
    out->bias_slope_p = bias.p;
    out->spread_slope = spread.slope;
    out->spread_slope_p = spread.p;
}

/* Variance of the SD of single differences (delta method): the part seen in the means, with the paper's n, and the
 * repeats. */
static double variance_of_sd(const sm_agreement_readings *in, double sd_of_means, double sd_single)
{
    double add_a = (1.0 - in->inverse_a) * in->within_a, add_b = (1.0 - in->inverse_b) * in->within_b;
    double v = 2.0 * pow(sd_of_means, 4.0) / (double)in->n;
    if (in->dof_a > 0.0)
        v += 2.0 * add_a * add_a / in->dof_a;
    if (in->dof_b > 0.0)
        v += 2.0 * add_b * add_b / in->dof_b;
    return sd_single > 0.0 ? v / (4.0 * sd_single * sd_single) : 0.0;
}

static void fill_limits(const sm_agreement_readings *in, sm_mean_sd d, sm_agreement *out)
{
    double n = (double)in->n;
    out->n = in->n;
    out->sd_of_means = d.sd;
    out->sd_single = sqrt(d.sd * d.sd + (1.0 - in->inverse_a) * in->within_a + (1.0 - in->inverse_b) * in->within_b);
    double var_sd = variance_of_sd(in, out->sd_of_means, out->sd_single);
    double se = sqrt(d.sd * d.sd / n + in->factor * in->factor * var_sd);
    out->bias = sm_ci95_t(d.mean, d.sd / sqrt(n), n - 1.0);
    out->lower = sm_ci95_t(d.mean - in->factor * out->sd_single, se, n - 1.0);
    out->upper = sm_ci95_t(d.mean + in->factor * out->sd_single, se, n - 1.0);
}

sm_status sm_agreement_fit(const sm_agreement_readings *in, sm_agreement *out)
{
    *out = (sm_agreement){.n = in->n};
    if (in->n < 3)
        return SM_REFUSED;
    double *room = malloc(4 * in->n * sizeof *room);
    if (!room)
        return SM_NO_MEMORY;
    double *difference = room + in->n;
    for (size_t i = 0; i < in->n; i++)
        difference[i] = in->a[i] - in->b[i];
    fill_limits(in, sm_mean_sd_of(difference, in->n), out);
    fill_slopes(in, room, out);
    free(room);
    return SM_OK;
}
