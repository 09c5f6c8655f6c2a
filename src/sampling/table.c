/* table.c - tables of costly quantiles.
 *
 * Contents: 1. building  2. looking up, one at a time  3. looking up, four at a time
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "sampling/table.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>

#include "base/ends.h"
#include "base/lanes.h"

/* 1. Building */

/* A normal draw beyond 8.5 has probability 2e-17: it is taken as 8.5. */
#define Z_END 8.5
enum { CELLS = 1024 };
#define Z_STEP   (2 * Z_END / CELLS)
#define ROUNDING 1e-14 /* relative */

/* The quantile in one cell, f = 0 to 1 of the way through it: value + f slope + f^2 square + f^3 cube. */
typedef struct {
    double value, slope, square, cube;
} cell;

/* What is tabled: a family's quantile, or one of these. */
enum { KIND_PHI = SM_FAMILY_COUNT, KIND_T_SCALE };

struct sm_table {
    sm_table *next;
    int kind;
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

/* Slopes by the five-point rule, one-sided at the ends; if the value does not change at an edge the slope is 0, so
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

/* sqrt(dof/x) with x the chi-square that is exceeded with probability Phi(z). GSL's quantile fails from some ten
 * thousand degrees on; from here on Wilson and Hilferty's cube (1931) errs by less than 1e-6 of the scale. */
#define MOST_CHI_SQUARE_DOF 1000

static double t_scale(double dof, double z)
{
    if (dof > MOST_CHI_SQUARE_DOF)
        return pow(1 - 2 / (9 * dof) - z * sqrt(2 / (9 * dof)), -1.5);
    return sqrt(dof / (z < 0 ? gsl_cdf_chisq_Qinv(gsl_cdf_ugaussian_P(z), dof)
                             : gsl_cdf_chisq_Pinv(gsl_cdf_ugaussian_Q(z), dof)));
}

/* Its logarithm is so smooth that every eighth is taken from GSL, which takes 10,000 instructions for each, and those
 * between from the polynomial through twelve: within 2e-14 of the value from 3 degrees on (tested). */
enum { STRIDE = 8, NODES_ASIDE = 6, NODES = CELLS / STRIDE + 2 * NODES_ASIDE };

/* Lagrange's weights of the nodes about a place `part` of the way from one to the next, 0 to 1. */
static void weights_between(double part, double weight[2 * NODES_ASIDE])
{
    for (int a = 0; a < 2 * NODES_ASIDE; a++) {
        weight[a] = 1;
        for (int b = 0; b < 2 * NODES_ASIDE; b++)
            if (b != a)
                weight[a] *= (part - (b - NODES_ASIDE + 1)) / (a - b);
    }
}

static void fill_t_scales(double dof, cell *k)
{
    double node[NODES], weight[2 * NODES_ASIDE];
    for (int j = 0; j < NODES; j++)
        node[j] = log(t_scale(dof, -Z_END + (j - NODES_ASIDE + 1) * STRIDE * Z_STEP));
    for (int part = 0; part < STRIDE; part++) {
        weights_between((double)part / STRIDE, weight);
        for (int i = part; i <= CELLS; i += STRIDE) {
            double sum = 0;
            for (int a = 0; a < 2 * NODES_ASIDE; a++)
                sum += weight[a] * node[i / STRIDE + a];
            k[i].value = exp(sum);
        }
    }
}

static double value_at(int kind, double s1, double s2, double z)
{
    return kind == KIND_PHI ? gsl_cdf_ugaussian_P(z) : sm_dist_standard_quantile((sm_family)kind, s1, s2, z);
}

static void fill_values(sm_table *t)
{
    if (t->kind == KIND_T_SCALE) {
        fill_t_scales(t->s1, t->cell);
        return;
    }
    for (int i = 0; i <= CELLS; i++)
        t->cell[i].value = value_at(t->kind, t->s1, t->s2, -Z_END + i * Z_STEP);
}

/* A flat stretch may fall by its last digits. */
static void even_out(cell *k)
{
    for (int i = 1; i <= CELLS; i++) {
        const double v = k[i].value, last = k[i - 1].value;
        k[i].value = v < last && last - v <= ROUNDING * fabs(last) ? last : v;
    }
}

static sm_table *table_create(int kind, double s1, double s2)
{
    sm_table *t = malloc(sizeof *t);
    if (!t)
        return NULL;
    *t = (sm_table){.kind = kind, .s1 = s1, .s2 = s2};
    fill_values(t);
    even_out(t->cell);
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

static sm_status find_or_build(sm_tables *tables, int kind, double s1, double s2, const sm_table **out)
{
    for (sm_table *t = tables->first; t; t = t->next)
        if (t->kind == kind && t->s1 == s1 && t->s2 == s2) {
            *out = t;
            return SM_OK;
        }
    sm_table *t = table_create(kind, s1, s2);
    if (!t)
        return SM_NO_MEMORY;
    if (!table_is_sound(t)) {
        free(t);
        return SM_NUMERIC;
    }
    t->next = tables->first;
    tables->first = t;
    *out = t;
    return SM_OK;
}

sm_status sm_tables_get(sm_tables *tables, sm_family f, double s1, double s2, const sm_table **out)
{
    return find_or_build(tables, (int)f, s1, s2, out);
}

sm_status sm_tables_phi(sm_tables *tables, const sm_table **out)
{
    return find_or_build(tables, KIND_PHI, 0, 0, out);
}

sm_status sm_tables_t_scale(sm_tables *tables, double dof, const sm_table **out)
{
    return find_or_build(tables, KIND_T_SCALE, dof, 0, out);
}

/* 2. Looking up, one at a time */

/* The cell of each z and how far into it z lies, 0 to 1. */
SM_WIDE static void find_cells(const double *restrict z, int32_t *restrict place, double *restrict into, int n)
{
    sm_ends_place(z, -Z_END, Z_STEP, CELLS, into, n);
    for (int i = 0; i < n; i++) {
        place[i] = (int32_t)into[i];
        into[i] -= place[i];
    }
}

static void look_up(const sm_table *t, const int32_t *restrict place, const double *restrict into, double *restrict out,
                    int n)
{
    for (int i = 0; i < n; i++) {
        const cell *c = &t->cell[place[i]];
        out[i] = c->value + into[i] * (c->slope + into[i] * (c->square + into[i] * c->cube));
    }
}

/* 3. Looking up, four at a time */

/* Written out for AVX2: each cell is one load, and four of them are turned from rows to columns. gcc 12 finds no such
 * thing; one by one it is 16 instructions a draw, this is 5. The same operations in the same order: the same bits. */
#ifdef SM_AVX2
#include <immintrin.h>

__attribute__((target("avx2"))) static void look_up_wide(const sm_table *t, const int32_t *restrict place,
                                                         const double *restrict into, double *restrict out, int n)
{
    const double *cells = &t->cell[0].value;
    int i = 0;
    for (; i + 4 <= n; i += 4) {
        const __m256d a = _mm256_loadu_pd(cells + 4 * place[i]), b = _mm256_loadu_pd(cells + 4 * place[i + 1]);
        const __m256d c = _mm256_loadu_pd(cells + 4 * place[i + 2]), d = _mm256_loadu_pd(cells + 4 * place[i + 3]);
        const __m256d ab = _mm256_unpacklo_pd(a, b), cd = _mm256_unpacklo_pd(c, d);   /* values, then squares */
        const __m256d ab1 = _mm256_unpackhi_pd(a, b), cd1 = _mm256_unpackhi_pd(c, d); /* slopes, then cubes */
        const __m256d value = _mm256_permute2f128_pd(ab, cd, 0x20), square = _mm256_permute2f128_pd(ab, cd, 0x31);
        const __m256d slope = _mm256_permute2f128_pd(ab1, cd1, 0x20), cube = _mm256_permute2f128_pd(ab1, cd1, 0x31);
        const __m256d f = _mm256_loadu_pd(into + i);
        const __m256d bend = _mm256_add_pd(square, _mm256_mul_pd(f, cube));
        const __m256d rise = _mm256_add_pd(slope, _mm256_mul_pd(f, bend));
        _mm256_storeu_pd(out + i, _mm256_add_pd(value, _mm256_mul_pd(f, rise)));
    }
    look_up(t, place + i, into + i, out + i, n - i);
}
#else
#define look_up_wide look_up
#endif

SM_WIDE static void shift_and_scale(double location, double scale, double *x, int n)
{
    for (int i = 0; i < n; i++)
        x[i] = location + scale * x[i];
}

void sm_table_apply(const sm_table *t, double location, double scale, const double *restrict z, double *restrict out,
                    int n)
{
    int32_t place[SM_LANES];
    double into[SM_LANES];
    for (int i = 0; i < n; i += SM_LANES) {
        const int m = n - i < SM_LANES ? n - i : SM_LANES;
        find_cells(z + i, place, into, m);
        if (sm_lanes_wide())
            look_up_wide(t, place, into, out + i, m);
        else
            look_up(t, place, into, out + i, m);
        shift_and_scale(location, scale, out + i, m);
    }
}
