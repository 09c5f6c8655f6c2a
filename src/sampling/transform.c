/* transform.c - from a stored base draw, a standard normal or a uniform, to a draw from any family.
 *
 * Contents: 1. tables of quantiles  2. preparing a transform  3. applying it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/transform.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

#include "base/ends.h"
#include "base/lanes.h"

/* 1. Tables of quantiles */

/* A normal draw beyond 8.5 has probability 2e-17: it is taken as 8.5. */
#define Z_END 8.5
enum { CELLS = 1024 };
#define Z_STEP   (2 * Z_END / CELLS)
#define ROUNDING 1e-14 /* relative */

/* The quantile in one cell, f = 0 to 1 of the way through it: value + f slope + f^2 square + f^3 cube. */
typedef struct {
    double value, slope, square, cube;
} cell;

struct sm_table {
    sm_table *next;
    sm_family family;
    double s1, s2;
    cell cell[CELLS + 1]; /* the last begins at Z_END: its value holds beyond */
};

struct sm_tables {
    sm_table *first;
};

sm_tables *sm_tables_create(void)
{
    return calloc(1, sizeof(sm_tables));
}

void sm_tables_destroy(sm_tables *t)
{
    while (t && t->first) {
        sm_table *next = t->first->next;
        free(t->first);
        t->first = next;
    }
    free(t);
}

/* Slopes by the five-point rule, one-sided at the ends; where the value does not change at an edge the slope is 0, so
 * that no bend is invented beside the flat end of a beta or truncated normal. */
static void table_slopes(sm_table *t)
{
    cell *k = t->cell;
    for (int i = 0; i <= CELLS; i++) {
        int low = i > 0 ? i - 1 : 0, high = i < CELLS ? i + 1 : CELLS;
        double d = (k[high].value - k[low].value) / (high - low);
        if (i > 1 && i < CELLS - 1)
            d = (8 * (k[i + 1].value - k[i - 1].value) - (k[i + 2].value - k[i - 2].value)) / 12;
        k[i].slope = k[high].value == k[i].value || k[i].value == k[low].value ? 0 : fmax(d, 0);
    }
}

/* Cubic Hermite: each cell takes the values and slopes at its two edges. */
static void table_bends(sm_table *t)
{
    for (int i = 0; i < CELLS; i++) {
        cell *a = &t->cell[i], *b = &t->cell[i + 1];
        const double rise = b->value - a->value;
        a->square = 3 * rise - 2 * a->slope - b->slope;
        a->cube = a->slope + b->slope - 2 * rise;
    }
}

static sm_table *table_create(sm_family f, double s1, double s2)
{
    sm_table *t = malloc(sizeof *t);
    if (!t)
        return NULL;
    *t = (sm_table){.family = f, .s1 = s1, .s2 = s2};
    for (int i = 0; i <= CELLS; i++) {
        double v = sm_dist_standard_quantile(f, s1, s2, -Z_END + i * Z_STEP), last = i > 0 ? t->cell[i - 1].value : v;
        bool rounding = v < last && last - v <= ROUNDING * fabs(last); /* a flat stretch may fall by its last digits */
        t->cell[i].value = rounding ? last : v;
    }
    table_slopes(t);
    table_bends(t);
    return t;
}

static bool table_is_sound(const sm_table *t)
{
    for (int i = 0; i <= CELLS; i++)
        if (!isfinite(t->cell[i].value) || (i > 0 && t->cell[i].value < t->cell[i - 1].value))
            return false;
    return true;
}

static sm_status tables_get(sm_tables *tables, sm_family f, double s1, double s2, const sm_table **out)
{
    for (sm_table *t = tables->first; t; t = t->next)
        if (t->family == f && t->s1 == s1 && t->s2 == s2) {
            *out = t;
            return SM_OK;
        }
    sm_table *t = table_create(f, s1, s2);
    if (!t)
        return SM_NO_MEMORY;
    t->next = tables->first;
    tables->first = t;
    *out = t;
    return table_is_sound(t) ? SM_OK : SM_NUMERIC;
}

/* The cell of each z and how far into it z lies, 0 to 1. */
SM_WIDE static void find_cells(const double *restrict z, int32_t *restrict place, double *restrict into, int n)
{
    sm_ends_place(z, -Z_END, Z_STEP, CELLS, into, n);
    for (int i = 0; i < n; i++) {
        place[i] = (int32_t)into[i];
        into[i] -= place[i];
    }
}

/* For SM_LANES numbers at most. Places first, in vectors; then a loop that its loads alone hold up. */
static void table_apply_group(const sm_table *t, double location, double scale, const double *restrict z,
                              double *restrict out, int n)
{
    int32_t place[SM_LANES];
    double into[SM_LANES];
    find_cells(z, place, into, n);
    for (int i = 0; i < n; i++) {
        const cell *c = &t->cell[place[i]];
        const double f = into[i];
        out[i] = location + scale * (c->value + f * (c->slope + f * (c->square + f * c->cube)));
    }
}

static void table_apply(const sm_table *t, double location, double scale, const double *restrict z,
                        double *restrict out, int n)
{
    for (int i = 0; i < n; i += SM_LANES)
        table_apply_group(t, location, scale, z + i, out + i, n - i < SM_LANES ? n - i : SM_LANES);
}

/* 2. Preparing a transform */

/* A wider lognormal rises too steeply for the cells of a table. */
#define WIDEST_TABLED_GSD 2.5

sm_base sm_transform_base(sm_family f)
{
    return f == SM_UNIFORM || f == SM_TRIANGULAR || f == SM_ARCSINE ? SM_BASE_UNIFORM : SM_BASE_NORMAL;
}

sm_status sm_transform_create(sm_tables *tables, const sm_dist *d, sm_base base, sm_transform *out)
{
    const double *p = d->p;
    *out = (sm_transform){.dist = *d, .base = base, .constant = sm_dist_is_constant(d), .location = sm_dist_mean(d)};
    if (out->constant)
        return SM_OK;
    switch (d->family) {
    case SM_LOGNORMAL:
        out->location = 0;
        out->scale = p[0];
        return p[1] > WIDEST_TABLED_GSD ? SM_OK : tables_get(tables, d->family, p[1], 0, &out->table);
    case SM_HALF_NORMAL:
        out->location = 0;
        out->scale = p[0];
        return tables_get(tables, d->family, 0, 0, &out->table);
    case SM_STUDENT_T:
        out->location = p[0];
        out->scale = p[1];
        return tables_get(tables, d->family, p[2], 0, &out->table);
    case SM_TRUNCATED_NORMAL:
        out->location = p[0];
        out->scale = p[1];
        return tables_get(tables, d->family, (p[2] - p[0]) / p[1], (p[3] - p[0]) / p[1], &out->table);
    case SM_BETA:
        out->location = p[2];
        out->scale = p[3] - p[2];
        return tables_get(tables, d->family, p[0], p[1], &out->table);
    default:
        return SM_OK;
    }
}

/* 3. Applying it */

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
            table_apply(t->table, t->location, t->scale, other, out + start, m);
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
        table_apply(t->table, t->location, t->scale, base, out, n);
    else
        apply_formula(&t->dist, base, out, n);
}
