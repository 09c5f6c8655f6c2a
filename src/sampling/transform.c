/* transform.c - from a stored base draw, a standard normal or a uniform, to a draw from any family.
 *
 * Contents: 1. preparing a transform  2. applying it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/transform.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

#include "base/lanes.h"

/* 1. Preparing a transform */

/* A wider lognormal rises too steeply for the cells of a table. */
#define WIDEST_TABLED_GSD 2.5

sm_base sm_transform_base(sm_family f)
{
    return f == SM_UNIFORM || f == SM_TRIANGULAR || f == SM_ARCSINE ? SM_BASE_UNIFORM : SM_BASE_NORMAL;
}

sm_status sm_transform_create(sm_tables *tables, const sm_dist *d, sm_base base, sm_transform *out)
{
    const double *p = d->p;
    memset(out, 0, sizeof *out);
    sm_dist_set(&out->dist, d);
    out->base = base;
    out->constant = sm_dist_is_constant(d);
    out->location = sm_dist_mean(d);
    if (out->constant)
        return SM_OK;
    switch (d->family) {
    case SM_LOGNORMAL:
        out->location = 0;
        out->scale = p[0];
        return p[1] > WIDEST_TABLED_GSD ? SM_OK : sm_tables_get(tables, d->family, p[1], 0, &out->table);
    case SM_HALF_NORMAL:
        out->location = 0;
        out->scale = p[0];
        return sm_tables_get(tables, d->family, 0, 0, &out->table);
    case SM_STUDENT_T:
        out->location = p[0];
        out->scale = p[1];
        return sm_tables_get(tables, d->family, p[2], 0, &out->table);
    case SM_TRUNCATED_NORMAL:
        out->location = p[0];
        out->scale = p[1];
        return sm_tables_get(tables, d->family, (p[2] - p[0]) / p[1], (p[3] - p[0]) / p[1], &out->table);
    case SM_BETA:
        out->location = p[2];
        out->scale = p[3] - p[2];
        return sm_tables_get(tables, d->family, p[0], p[1], &out->table);
    default:
        return SM_OK;
    }
}

/* 2. Applying it */

static void apply_constant(double value, double *restrict out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = value;
}

SM_WIDE static void apply_linear(double at_zero, double slope, const double *restrict base, double *restrict out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = at_zero + slope * base[i];
}

SM_WIDE static void apply_triangular(const double p[4], const double *restrict u, double *restrict out, int n)
{
    const double min = p[0], max = p[2], span = p[2] - p[0], left = p[1] - p[0], right = p[2] - p[1];
    for (int i = 0; i < n; i++) {
        const bool rising = u[i] * span < left;
        const double root = sqrt(rising ? u[i] * span * left : (1 - u[i]) * span * right);
        out[i] = rising ? min + root : max - root;
    }
}

/* The families that are a formula of a standard normal (first two) or of a uniform. */
static void apply_formula(const sm_dist *d, const double *restrict base, double *restrict out, int n)
{
    const double a = d->p[0], b = d->p[1], log_gsd = d->family == SM_LOGNORMAL ? log(b) : 0;
    switch (d->family) {
    case SM_NORMAL:
        apply_linear(a, b, base, out, n);
        break;
    case SM_LOGNORMAL:
        for (int i = 0; i < n; i++)
            out[i] = a * exp(log_gsd * base[i]);
        break;
    case SM_UNIFORM:
        apply_linear(a, b - a, base, out, n);
        break;
    case SM_ARCSINE:
        for (int i = 0; i < n; i++)
            out[i] = (a + b) / 2 - (b - a) / 2 * cos(M_PI * base[i]);
        break;
    default:
        apply_triangular(d->p, base, out, n);
        break;
    }
}

/* Brings base draws of one kind to the other, a piece at a time so that no memory is needed. */
enum { PIECE = 64 };

static void apply_in_pieces(const sm_transform *t, const double *restrict base, double *restrict out, int n)
{
    double other[PIECE];
    for (int start = 0; start < n; start += PIECE) {
        int m = n - start < PIECE ? n - start : PIECE;
        for (int i = 0; i < m; i++)
            other[i] = t->base == SM_BASE_UNIFORM ? gsl_cdf_ugaussian_Pinv(base[start + i])
                                                  : gsl_cdf_ugaussian_P(base[start + i]);
        if (t->table)
            sm_table_apply(t->table, t->location, t->scale, other, out + start, m);
        else
            apply_formula(&t->dist, other, out + start, m);
    }
}

void sm_transform_apply(const sm_transform *t, const double *restrict base, double *restrict out, int n)
{
    if (t->constant)
        apply_constant(t->location, out, n);
    else if (t->base != sm_transform_base(t->dist.family))
        apply_in_pieces(t, base, out, n);
    else if (t->table)
        sm_table_apply(t->table, t->location, t->scale, base, out, n);
    else
        apply_formula(&t->dist, base, out, n);
}
