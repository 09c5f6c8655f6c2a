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
    const sm_tables *known;
    sm_table *first;
};

sm_tables *sm_tables_create(void)
{
    return calloc(1, sizeof(sm_tables));
}

sm_tables *sm_tables_create_beside(const sm_tables *known)
{
    sm_tables *t = sm_tables_create();
    if (t)
        t->known = known;
    return t;
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

/* Some quantiles are so smooth, as a function of z and in a form of their own, that every eighth is taken from GSL,
 * which takes 8,000 to 20,000 instructions for each, and those between from the polynomial through the twelve nodes
 * about them; at the ends through the last twelve. */
enum { STRIDE = 8, ROW = 12, ASIDE = ROW / 2 - 1, NODES = CELLS / STRIDE + 1, MOST_NODES = NODES + 2 * ASIDE + 1 };

static double node_z(int j)
{
    return -Z_END + j * STRIDE * Z_STEP;
}

/* Lagrange's weights of a row of nodes at a place, counted in nodes from the first of them. */
static void weights_at(double place, double weight[ROW])
{
    for (int a = 0; a < ROW; a++) {
        weight[a] = 1;
        for (int b = 0; b < ROW; b++)
            if (b != a)
                weight[a] *= (place - b) / (a - b);
    }
}

/* Fills all values from n nodes, of which `before` come before the first place. */
static void fill_between(const double *node, int n, int before, cell *k)
{
    double weight[ROW], known = -1;
    for (int part = 0; part < STRIDE; part++)
        for (int i = part; i <= CELLS; i += STRIDE) {
            const int about = i / STRIDE + before - ASIDE, last = n - ROW;
            const int first = about < 0 ? 0 : about > last ? last : about;
            const double place = i / STRIDE + before - first + (double)part / STRIDE;
            double sum = 0;
            if (place != known)
                weights_at(place, weight);
            known = place;
            for (int a = 0; a < ROW; a++)
                sum += weight[a] * node[first + a];
            k[i].value = sum;
        }
}

/* By its logarithm: within 2e-14 of the value from 3 degrees on (tested). It is known beyond the ends. */
static void fill_t_scales(double dof, cell *k)
{
    double node[MOST_NODES];
    for (int j = 0; j < MOST_NODES; j++)
        node[j] = log(t_scale(dof, node_z(j - ASIDE)));
    fill_between(node, MOST_NODES, ASIDE, k);
    for (int i = 0; i <= CELLS; i++)
        k[i].value = exp(k[i].value);
}

/* t = sqrt(dof) sinh(y), where y rises like z about 0 and like its square far out: within 1e-13 of the value from 3
 * degrees on (tested). Odd, so that the lower half is enough. */
#define LEAST_SMOOTH_DOF 3

static void fill_t(double dof, cell *k)
{
    double node[NODES];
    for (int j = 0; 2 * j < NODES; j++) {
        node[j] = asinh(sm_dist_standard_quantile(SM_STUDENT_T, dof, 0, node_z(j)) / sqrt(dof));
        node[NODES - 1 - j] = -node[j];
    }
    fill_between(node, NODES, 0, k);
    for (int i = 0; i <= CELLS; i++)
        k[i].value = sqrt(dof) * sinh(k[i].value);
}

/* The logarithm of a beta's odds, x/(1 - x); of the upper half by 1 - x, which is the beta with a and b in each other's
 * place: within 1e-12 of the value where neither is below 1 (tested). */
#define LEAST_SMOOTH_SHAPE 1

static double log_odds(double a, double b, double z)
{
    const double x = z < 0 ? sm_dist_standard_quantile(SM_BETA, a, b, z) : sm_dist_standard_quantile(SM_BETA, b, a, -z);
    return z < 0 ? log(x / (1 - x)) : log((1 - x) / x);
}

static void fill_beta(double a, double b, cell *k)
{
    double node[NODES];
    for (int j = 0; j < NODES; j++)
        node[j] = log_odds(a, b, node_z(j));
    fill_between(node, NODES, 0, k);
    for (int i = 0; i <= CELLS; i++)
        k[i].value = 1 / (1 + exp(-k[i].value));
}

static double value_at(int kind, double s1, double s2, double z)
{
    return kind == KIND_PHI ? gsl_cdf_ugaussian_P(z) : sm_dist_standard_quantile((sm_family)kind, s1, s2, z);
}

static void fill_values(sm_table *t)
{
    if (t->kind == KIND_T_SCALE)
        fill_t_scales(t->s1, t->cell);
    else if (t->kind == SM_STUDENT_T && t->s1 >= LEAST_SMOOTH_DOF)
        fill_t(t->s1, t->cell);
    else if (t->kind == SM_BETA && t->s1 >= LEAST_SMOOTH_SHAPE && t->s2 >= LEAST_SMOOTH_SHAPE)
        fill_beta(t->s1, t->s2, t->cell);
    else
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

static const sm_table *find(const sm_tables *tables, int kind, double s1, double s2)
{
    for (; tables; tables = tables->known)
        for (const sm_table *t = tables->first; t; t = t->next)
            if (t->kind == kind && t->s1 == s1 && t->s2 == s2)
                return t;
    return NULL;
}

static sm_status find_or_build(sm_tables *tables, int kind, double s1, double s2, const sm_table **out)
{
    const sm_table *found = find(tables, kind, s1, s2);
    if (found) {
        *out = found;
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
        if (location != 0 || scale != 1)
            shift_and_scale(location, scale, out + i, m);
    }
}
