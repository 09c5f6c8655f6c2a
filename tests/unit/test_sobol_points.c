/* test_sobol_points.c - Sobol's points and their scramble, normal quantiles, the tables of Phi and of a t's scale.
 *
 * Coordinates: scipy 1.10.1, qmc.Sobol(128, scramble=False).random(1024), which counts in Gray code; quantiles and
 * distribution functions: GSL.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

#include "check.h"
#include "sampling/normal.h"
#include "sampling/points.h"
#include "sampling/table.h"

static uint32_t gray(uint32_t i)
{
    return i ^ i >> 1;
}

static void test_published(void **state)
{
    (void)state;
    static const struct {
        uint32_t point;
        unsigned dimension;
        double at;
    } known[] = {{1, 0, 0.5},
                 {1, 2, 0.5},
                 {5, 0, 0.875},
                 {5, 2, 0.125},
                 {5, 3, 0.375},
                 {5, 9, 0.125},
                 {677, 0, 0.9365234375},
                 {677, 1, 0.6923828125},
                 {677, 2, 0.1689453125},
                 {677, 6, 0.4228515625},
                 {677, 39, 0.9736328125},
                 {677, 127, 0.3701171875}};
    double x[SM_POINT_DIMENSIONS];
    gsl_qrng *q = gsl_qrng_alloc(sm_qrng_points, SM_POINT_DIMENSIONS);
    assert_non_null(q);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        sm_qrng_points_seek(q, gray(known[i].point), NULL);
        gsl_qrng_get(q, x);
        assert_near(x[known[i].dimension], known[i].at, 0, 0x1p-32);
    }
    gsl_qrng_free(q);
}

/* Columns and GSL's interface give the same points, scrambled, at any index. */
static void test_any_index(void **state)
{
    (void)state;
    enum { N = 17 };
    uint32_t seed[N];
    double x[N], column[SM_LANES];
    sm_point_axis axis;
    gsl_qrng *q = gsl_qrng_alloc(sm_qrng_points, N);
    for (int d = 0; d < N; d++)
        seed[d] = 0x9e3779b9u * (uint32_t)(d + 5);
    for (uint32_t index = 3 * SM_LANES; index < 400 * SM_LANES; index += 41 * SM_LANES) {
        sm_qrng_points_seek(q, index + 77, seed);
        gsl_qrng_get(q, x);
        gsl_qrng_get(q, x);
        for (int d = 0; d < N; d++) {
            sm_point_axis_create(d, &axis);
            sm_points_fill(&axis, seed[d], index, column);
            assert_near(x[d], column[78], 0, 0);
        }
    }
    gsl_qrng_free(q);
}

/* Any 256 points from a multiple of 256 on fall one into each 256th part, in every dimension and with every seed. */
static void test_net(void **state)
{
    (void)state;
    sm_point_axis axis;
    double x[SM_LANES];
    for (int d = 0; d < SM_POINT_DIMENSIONS; d++) {
        sm_point_axis_create(d, &axis);
        for (uint32_t seed = 1; seed < 200000; seed = 7 * seed + 3) {
            bool taken[SM_LANES] = {false};
            sm_points_fill(&axis, seed, seed / SM_LANES * SM_LANES, x);
            for (int i = 0; i < SM_LANES; i++) {
                const int part = (int)(x[i] * SM_LANES);
                assert_true(x[i] > 0 && x[i] < 1 && !taken[part]);
                taken[part] = true;
            }
        }
    }
}

/* In two dimensions too the first 256 points of the first two axes fall one into each box of 2^-a by 2^(a-8). */
static void test_net_of_two(void **state)
{
    (void)state;
    sm_point_axis a, b;
    double x[SM_LANES], y[SM_LANES];
    sm_point_axis_create(0, &a);
    sm_point_axis_create(1, &b);
    sm_points_fill(&a, 1234577, 0, x);
    sm_points_fill(&b, 89898989, 0, y);
    for (int wide = 0; wide <= 8; wide++) {
        bool taken[SM_LANES] = {false};
        for (int i = 0; i < SM_LANES; i++) {
            const int box = (int)(x[i] * (1 << wide)) << (8 - wide) | (int)(y[i] * (1 << (8 - wide)));
            assert_false(taken[box]);
            taken[box] = true;
        }
    }
}

/* Over seeds a point is uniform by itself, and two neighbours are alike only in what a net asks for: their coordinates'
 * squared distance from 1/2 and product have the mean of Owen's scramble (different halves: E xy = 3/16, by hand). */
static void test_scramble(void **state)
{
    (void)state;
    enum { SEEDS = 40000 };
    sm_point_axis axis;
    double x[SM_LANES], mean = 0, square = 0, product = 0;
    sm_point_axis_create(4, &axis);
    for (uint32_t s = 0; s < SEEDS; s++) {
        sm_points_fill(&axis, s * 2654435769u + 12345, 512, x);
        mean += x[6] / SEEDS;
        square += (x[6] - 0.5) * (x[6] - 0.5) / SEEDS;
        product += x[6] * x[7] / SEEDS;
    }
    assert_near(mean, 0.5, 0, 5 * sqrt(1.0 / 12 / SEEDS));
    assert_near(square, 1.0 / 12, 0, 5 * sqrt(1.0 / 180 / SEEDS));
    assert_near(product, 3.0 / 16, 0, 5 * 0.12 / sqrt(SEEDS));
}

static void test_quantiles(void **state)
{
    (void)state;
    double u[1000], z[1000];
    int n = 0;
    for (double p = 1e-250; p < 0.01; p *= 7.1)
        u[n++] = p;
    for (double p = 0.01003; p < 1; p += 0.00173)
        u[n++] = p;
    u[n++] = 0.02425;
    u[n++] = 1 - 1e-9;
    assert_true(n < 1000);
    sm_normal_quantiles(u, z, n);
    for (int i = 0; i < n; i++)
        assert_near(z[i], gsl_cdf_ugaussian_Pinv(u[i]), 1.2e-9, 1e-12);
    u[0] = 0;
    u[1] = 1;
    sm_normal_quantiles(u, z, 2);
    assert_true(z[0] < -37 && z[1] > 8.2 && z[1] < 9);
}

static void check_phi(sm_tables *tables)
{
    const sm_table *phi = NULL, *again = NULL;
    double z, out;
    assert_int_equal(sm_tables_phi(tables, &phi), SM_OK);
    assert_int_equal(sm_tables_phi(tables, &again), SM_OK);
    assert_ptr_equal(phi, again);
    for (z = -8.3; z < 8.4; z += 0.00917) {
        sm_table_apply(phi, 0, 1, &z, &out, 1);
        assert_near(out, gsl_cdf_ugaussian_P(z), 0, 4e-10);
    }
}

/* By their tails: an error of 1e-6 of the scale, as table.c claims, is 1.5e-3 of a tail at 30,000 degrees of freedom.
 */
static void test_tables(void **state)
{
    (void)state;
    const double dof[] = {3, 4.7, 21, 380, 30000};
    sm_tables *tables = sm_tables_create();
    const sm_table *scale = NULL;
    double z, out;
    check_phi(tables);
    for (size_t j = 0; j < sizeof dof / sizeof *dof; j++) {
        assert_int_equal(sm_tables_t_scale(tables, dof[j], &scale), SM_OK);
        for (z = -6.1; z < 6.2; z += 0.137) {
            sm_table_apply(scale, 0, 1, &z, &out, 1);
            const double chi_square = dof[j] / (out * out);
            assert_near(gsl_cdf_chisq_Q(chi_square, dof[j]), gsl_cdf_ugaussian_P(z), 1.5e-3, 0);
        }
    }
    assert_int_equal(sm_tables_t_scale(tables, 1e9, &scale), SM_OK);
    z = 2.3; /* sqrt(2 dof) of the normal that a chi-square is by then */
    sm_table_apply(scale, 0, 1, &z, &out, 1);
    assert_near(out, 1 + 2.3 / sqrt(2e9), 0, 1e-8);
    sm_tables_destroy(tables);
}

/* At a table's own places, of which most are read from a polynomial: as exactly as GSL's quantiles agree. */
static void test_places(void **state)
{
    (void)state;
    const double dof[] = {3, 3.3, 7.9, 52, 990};
    sm_tables *tables = sm_tables_create();
    const sm_table *scale = NULL;
    double out;
    for (size_t j = 0; j < sizeof dof / sizeof *dof; j++) {
        assert_int_equal(sm_tables_t_scale(tables, dof[j], &scale), SM_OK);
        for (int i = 0; i <= 1024; i++) {
            const double z = -8.5 + i * 17.0 / 1024;
            const double x = z < 0 ? gsl_cdf_chisq_Qinv(gsl_cdf_ugaussian_P(z), dof[j])
                                   : gsl_cdf_chisq_Pinv(gsl_cdf_ugaussian_Q(z), dof[j]);
            sm_table_apply(scale, 0, 1, &z, &out, 1);
            assert_near(out, sqrt(dof[j] / x), 5e-14, 0);
        }
    }
    sm_tables_destroy(tables);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_published),  cmocka_unit_test(test_any_index), cmocka_unit_test(test_net),
        cmocka_unit_test(test_net_of_two), cmocka_unit_test(test_scramble),  cmocka_unit_test(test_quantiles),
        cmocka_unit_test(test_tables),     cmocka_unit_test(test_places),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
