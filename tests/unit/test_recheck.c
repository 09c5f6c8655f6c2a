/* test_recheck.c - sensitivity and the worth of a re-check, against closed forms and brute force.
 *
 * Contents: 1. Sobol indices of known functions  2. do the errors cover?  3. the worth of knowing, in closed form
 *           4. what must hold  5. the demo case against nested trials  6. odd cases
 * Expected values: recomputed with R and mpmath; each names its source.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "decision/nested.h"
#include "decision/policy.h"
#include "decision/recheck.h"
#include "casefile/casefile.h"
#include "report/json/recheck_json.h"
#include "report/blocks/write.h"
#include "report/text/recheck_text.h"
#include "sampling/rng.h"

/* 1. Sobol indices of known functions */

enum { MOST_INPUTS = 8, GROUP = 1024 };

typedef double (*model)(const double *x, int n);

typedef struct {
    model f;
    int inputs;
    bool normal; /* standard normals, else uniforms on (0, 1) */
    double shift;
} study;

static void draw_inputs(const study *s, gsl_rng *r, double (*x)[GROUP])
{
    for (int i = 0; i < s->inputs; i++) {
        if (s->normal)
            sm_rng_normals(r, x[i], GROUP);
        else
            sm_rng_uniforms(r, x[i], GROUP);
    }
}

static void evaluate(const study *s, double (*A)[GROUP], double (*B)[GROUP], int from_B, double *f)
{
    for (int t = 0; t < GROUP; t++) {
        double x[MOST_INPUTS];
        for (int i = 0; i < s->inputs; i++)
            x[i] = i == from_B ? B[i][t] : A[i][t];
        f[t] = s->f(x, s->inputs) + s->shift;
    }
}

/* Indices of every input from SM_BATCHES batches of `groups` x 1024 trials. */
static void indices(const study *s, gsl_rng *r, int groups, sm_sobol *out)
{
    static double A[MOST_INPUTS][GROUP], B[MOST_INPUTS][GROUP], f_A[GROUP], f_B[GROUP], f_AB[GROUP];
    static sm_sobol_sums sums[MOST_INPUTS][SM_BATCHES];
    sm_moments f[SM_BATCHES] = {0};
    memset(sums, 0, sizeof sums);
    for (int b = 0; b < SM_BATCHES; b++)
        for (int g = 0; g < groups; g++) {
            draw_inputs(s, r, A);
            draw_inputs(s, r, B);
            evaluate(s, A, B, -1, f_A);
            evaluate(s, B, A, -1, f_B);
            sm_moments_add(&f[b], f_A, GROUP);
            sm_moments_add(&f[b], f_B, GROUP);
            for (int i = 0; i < s->inputs; i++) {
                evaluate(s, A, B, i, f_AB);
                sm_sobol_add(&sums[i][b], f_A, f_B, f_AB, GROUP);
            }
        }
    for (int i = 0; i < s->inputs; i++)
        out[i] = sm_sobol_of(sums[i], f);
}

static double ishigami(const double *x, int n)
{
    double a = M_PI * (2 * x[0] - 1), b = M_PI * (2 * x[1] - 1), c = M_PI * (2 * x[2] - 1);
    (void)n;
    return sin(a) + 7 * sin(b) * sin(b) + 0.1 * gsl_pow_4(c) * sin(a);
}

static double g_function(const double *x, int n)
{
    static const double a[] = {0, 1, 4.5, 9, 99, 99, 99, 99};
    double product = 1;
    for (int i = 0; i < n; i++)
        product *= (fabs(4 * x[i] - 2) + a[i]) / (1 + a[i]);
    return product;
}

static double linear(const double *x, int n)
{
    double sum = 0;
    for (int i = 0; i < n; i++)
        sum += (i + 1) * x[i];
    return sum;
}

static double product(const double *x, int n)
{
    (void)n;
    return (1 + 0.5 * x[0]) * (2 + 0.3 * x[1]);
}

typedef struct {
    study s;
    double first[MOST_INPUTS], total[MOST_INPUTS];
} known;

/* Within 5 standard errors, and the standard error itself below a ceiling, so that a small sample cannot pass. */
static void check_known(const known *k)
{
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    sm_sobol got[MOST_INPUTS];
    sm_rng_seek(r, 1, sm_rng_stream("test_recheck", 0), 0);
    indices(&k->s, r, 8, got);
    for (int i = 0; i < k->s.inputs; i++) {
        assert_true(got[i].first.standard_error < 0.006 && got[i].total.standard_error < 0.006);
        assert_near(got[i].first.value, k->first[i], 0, 5 * got[i].first.standard_error + 1e-12);
        assert_near(got[i].total.value, k->total[i], 0, 5 * got[i].total.standard_error + 1e-12);
    }
    gsl_rng_free(r);
}

static void test_known_functions(void **state)
{
    (void)state;
    /* Ishigami, a = 7, b = 0.1: closed form, computed (C), formula seen in full. */
    check_known(
        &(known){{ishigami, 3, false, 0}, {.3139051911, .4424111448, 0}, {.5575888552, .4424111448, .2436836641}});
    /* g-function, a = (0, 1, 4.5, 9, 99 x 4): closed form, computed (C). */
    check_known(
        &(known){{g_function, 8, false, 0},
                 {.7161921688, .1790480422, .0236757742, .0071619217, 7.1619e-5, 7.1619e-5, 7.1619e-5, 7.1619e-5},
                 {.7871441267, .2421981928, .0343169102, .0104603871, 1.04949e-4, 1.04949e-4, 1.04949e-4, 1.04949e-4}});
    /* Y = x1 + 2 x2 + 3 x3: c^2/sum, exact. */
    check_known(&(known){{linear, 3, true, 0}, {1. / 14, 4. / 14, 9. / 14}, {1. / 14, 4. / 14, 9. / 14}});
    /* N(1, .5) N(2, .3): closed form, computed (C). */
    check_known(&(known){{product, 2, true, 0}, {.8988764045, .0808988764}, {.9191011236, .1011235955}});
}

/* Without centring Ishigami + 1000 gives a first index of -1.03. */
static void test_adding_a_constant(void **state)
{
    (void)state;
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    sm_sobol plain[3], shifted[3];
    sm_rng_seek(r, 1, 1, 0);
    indices(&(study){ishigami, 3, false, 0}, r, 2, plain);
    sm_rng_seek(r, 1, 1, 0);
    indices(&(study){ishigami, 3, false, 1000}, r, 2, shifted);
    for (int i = 0; i < 3; i++) {
        assert_near(shifted[i].first.value, plain[i].first.value, 0, 1e-8);
        assert_near(shifted[i].total.value, plain[i].total.value, 0, 1e-8);
    }
    gsl_rng_free(r);
}

static double nothing(const double *x, int n)
{
    (void)x;
    (void)n;
    return 4.2;
}

static void test_no_variance(void **state)
{
    (void)state;
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    sm_sobol got[1];
    indices(&(study){nothing, 1, true, 0}, r, 1, got);
    assert_near(got[0].first.value, 0, 0, 0);
    assert_near(got[0].total.value, 0, 0, 0);
    gsl_rng_free(r);
}

/* 2. Do the errors cover? */

/* 1 if x1 + 2 x2 + 3 x3 > 1.645 sqrt(14): p = 0.05. */
static double indicator(const double *x, int n)
{
    return linear(x, n) > 1.6448536269514722 * sqrt(14) ? 1 : 0;
}

typedef struct {
    double own, rest; /* SDs of the input's term and of all others */
} split_sd;

static double squared_conditional(double z, void *arg)
{
    const split_sd *s = arg;
    double p = gsl_cdf_ugaussian_Q((1.6448536269514722 * sqrt(14) - s->own * z) / s->rest);
    return p * p * gsl_ran_ugaussian_pdf(z);
}

/* Var(E[y | term of SD own])/Var(y) for the indicator, by quadrature. */
static double indicator_index(double own)
{
    split_sd s = {own, sqrt(14 - own * own)};
    gsl_integration_workspace *w = gsl_integration_workspace_alloc(200);
    gsl_function f = {squared_conditional, &s};
    double value = 0, error = 0, p = 0.05;
    gsl_integration_qag(&f, -9, 9, 1e-12, 1e-10, 200, GSL_INTEG_GAUSS61, w, &value, &error);
    gsl_integration_workspace_free(w);
    return (value - p * p) / (p * (1 - p));
}

static bool covers(const sm_estimate *e, double truth)
{
    return fabs(e->value - truth) <= 2.0395134464 * e->standard_error; /* t with 31 degrees of freedom at 0.975 */
}

/* How many of 400 nominal 95 % intervals hold the truth: between 91.5 and 98 %. */
static void check_coverage(const study *s, const double *first, const double *total)
{
    enum { REPEATS = 400 };
    int held_first[3] = {0}, held_total[3] = {0};
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    sm_sobol got[3];
    for (uint32_t repeat = 0; repeat < REPEATS; repeat++) {
        sm_rng_seek(r, 7, sm_rng_stream("coverage", 0), repeat);
        indices(s, r, 1, got);
        for (int i = 0; i < 3; i++) {
            held_first[i] += covers(&got[i].first, first[i]);
            held_total[i] += covers(&got[i].total, total[i]);
        }
    }
    for (int i = 0; i < 3; i++) {
        assert_in_range(held_first[i], 366, 392);
        assert_in_range(held_total[i], 366, 392);
    }
    gsl_rng_free(r);
}

static void test_coverage(void **state)
{
    (void)state;
    const double exact[3] = {1. / 14, 4. / 14, 9. / 14};
    double first[3], total[3];
    check_coverage(&(study){linear, 3, true, 0}, exact, exact);
    for (int i = 0; i < 3; i++) {
        first[i] = indicator_index(i + 1);
        total[i] = 1 - indicator_index(sqrt(14 - (i + 1) * (i + 1)));
    }
    check_coverage(&(study){indicator, 3, true, 0}, first, total);
}

/* 3. The worth of knowing, in closed form */

/* An event whose probability is q + k (z + delta) for a standard normal z: with D = P - q normal of mean k delta and SD
 * k, knowing z is worth k L(|delta|), L the unit normal linear loss (Raiffa and Schlaifer 1961); knowing a part of
 * correlation rho k rho L(|delta|/rho). */
typedef struct {
    double q, k, delta;
    int dims; /* further coordinates have no influence */
    bool circular;
} linear_risk;

/* P(event | z) for coordinates z. */
typedef double (*risk)(const void *arg, const double *z);

static sm_cell_counts *simulate(risk P, const void *arg, const sm_grid *g, int groups)
{
    static double z[SM_MAX_DIMS][GROUP], u[GROUP], quiet[GROUP];
    int32_t at[GROUP];
    sm_cell_counts *cell = calloc((size_t)sm_grid_cells(g), sizeof *cell);
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    sm_rng_seek(r, 3, sm_rng_stream("linear risk", 0), 0);
    for (int group = 0; group < groups; group++) {
        for (int d = 0; d < SM_MAX_DIMS; d++)
            sm_rng_normals(r, z[d], GROUP);
        sm_rng_uniforms(r, u, GROUP);
        sm_rng_uniforms(r, quiet, GROUP);
        const double *x[SM_MAX_DIMS] = {g->circular ? quiet : z[0], z[1], z[2]};
        sm_grid_cell(g, x, quiet, GROUP, at);
        for (int i = 0; i < GROUP; i++) {
            cell[at[i]].n[group % 2]++;
            cell[at[i]].events[group % 2] += u[i] < P(arg, (const double[]){z[0][i], z[1][i], z[2][i]});
        }
    }
    gsl_rng_free(r);
    return cell;
}

static double linear_at(const void *arg, const double *z)
{
    const linear_risk *l = arg;
    return l->q + l->k * (z[0] + l->delta);
}

static sm_cell_counts *simulate_cells(const linear_risk *l, const sm_grid *g, int groups)
{
    return simulate(linear_at, l, g, groups);
}

/* L at 0, 0.5, 1, 2: computed to 30 digits (C); Raiffa and Schlaifer's table to four figures from memory. */
static const double loss_at[][2] = {{0, .398942280401}, {.5, .197796557401}, {1, .0833154705877}, {2, .00849070261683}};

static void test_worth_of_one_source(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof loss_at / sizeof *loss_at; i++)
        for (int sign = -1; sign <= 1; sign += 2) {
            linear_risk l = {.q = 0.4, .k = 0.05, .delta = sign * loss_at[i][0]};
            sm_grid g = {.dims = 1};
            sm_status s;
            sm_cell_counts *cell = simulate_cells(&l, &g, 2000);
            sm_worth w = sm_policy_worth(&g, cell, l.q, (sm_watch){0}, &s);
            assert_int_equal(s, SM_OK);
            assert_true(w.value.standard_error < 4e-4);
            assert_near(w.value.value, l.k * loss_at[i][1], 0, 4 * w.value.standard_error + 1e-5);
            assert_near(w.change.value, gsl_cdf_ugaussian_Q(loss_at[i][0]), 0, 0.03);
            free(cell);
        }
}

static void test_worth_of_a_part(void **state)
{
    (void)state;
    /* delta/rho = 1: a part worth k rho L(1); delta = 0.5, rho = 0.5. */
    linear_risk l = {.q = 0.4, .k = 0.05, .delta = 0.5};
    sm_grid g = {.dims = 1};
    sm_status s;
    sm_cell_counts *cell = simulate_cells(&l, &g, 2000);
    sm_worth part = sm_policy_partial_worth(cell, (sm_known_part){.rho = 0.5}, l.q, &s),
             all = sm_policy_worth(&g, cell, l.q, (sm_watch){0}, &s);
    assert_near(part.value.value, l.k * 0.5 * .0833154705877, 0, 4 * part.value.standard_error + 1e-5);
    assert_true(part.value.value <= all.value.value);
    sm_worth none = sm_policy_partial_worth(cell, (sm_known_part){0}, l.q, &s);
    assert_near(none.value.value, 0, 0, 0);
    free(cell);
}

/* A difference D = mean + sum of part z between two acts, normal: the event has the probability q + k D, so that
 * knowing what the parts are worth in D is worth k times that. Expected: sd L(|mean|/sd), sd^2 the sum of the known
 * parts' squares (30 digits of L; recomputed). */
typedef struct {
    const char *of;
    double k, mean, part[SM_MAX_DIMS];
    int known;          /* how many of the parts become known, from the first */
    double correlation; /* to the part that is known in part; 1: it is known in full */
    double worth;
} published_worth;

#define WORTH_Q 0.4

static double difference_at(const void *arg, const double *z)
{
    const published_worth *w = arg;
    double D = w->mean;
    for (int d = 0; d < SM_MAX_DIMS; d++)
        D += w->part[d] * z[d];
    return WORTH_Q + w->k * D;
}

static const published_worth worths[] = {
    /* The vignette of R's package voi (seen in full): net benefit p1 - p2, N(1, 1) and N(0, 2). */
    {"vignette, p1", .05, 1, {1, 2}, 1, 1, .0833154706},
    {"vignette, p2", .05, 1, {2, 1}, 1, 1, .3955931148},
    {"vignette, both", .05, 1, {1, 2}, 2, 1, .4798107063},
    /* A test of the same package (inputs seen): p1 + p2, N(0, 1) and N(0, 2). */
    {"toy, p1", .05, 0, {1, 2}, 1, 1, .3989422804},
    {"toy, p2", .05, 0, {2, 1}, 1, 1, .7978845608},
    {"toy, both", .05, 0, {1, 2}, 2, 1, .8920620581},
    /* Three sources to rank, D of mean 1 (computed); known in full, together, and read once more with equal noise. The
     * least of the re-readings, 2.4e-4, is below what these trials can tell from nothing. */
    {"ranking, 0.6", .1, 1, {.6, .8, .5}, 1, 1, .0118959310},
    {"ranking, 0.8", .1, 1, {.8, .6, .5}, 1, 1, .0404694946},
    {"ranking, 0.5", .1, 1, {.5, .8, .6}, 1, 1, .0042453514},
    {"ranking, all", .1, 1, {.6, .8, .5}, 3, 1, .1134368552},
    {"ranking, 0.6 read again", .1, 1, {.6, .8, .5}, 1, M_SQRT1_2, .0013127414},
    {"ranking, 0.8 read again", .1, 1, {.8, .6, .5}, 1, M_SQRT1_2, .0087542886},
};

/* Within 4 standard errors, and those small enough to tell the worth from nothing. */
static void test_published_worths(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof worths / sizeof *worths; i++) {
        const published_worth *w = &worths[i];
        const sm_grid g = {.dims = w->known};
        sm_status s;
        sm_cell_counts *cell = simulate(difference_at, w, &g, 4000);
        const sm_worth got = w->correlation < 1
                                 ? sm_policy_partial_worth(cell, (sm_known_part){.rho = w->correlation}, WORTH_Q, &s)
                                 : sm_policy_worth(&g, cell, WORTH_Q, (sm_watch){0}, &s);
        assert_int_equal(s, SM_OK);
        assert_true(got.value.standard_error < 0.2 * w->k * w->worth);
        assert_near(got.value.value, w->k * w->worth, 0, 4 * got.value.standard_error + (w->known > 1 ? 1e-4 : 1e-5));
        free(cell);
    }
}

/* To call D > 0 if D = 0.5 + own z + rest noise is N(0.5, 1): a missed one costs fn, a false alarm fp. That is the
 * line q = fp/(fp + fn) and a worth in units of fp + fn. Not linear in z; quadrature (the first three recomputed). */
typedef struct {
    double own, rest, fn, fp;
    double correlation; /* of what becomes known to z */
    double worth;
} published_call;

static double call_at(const void *arg, const double *z)
{
    const published_call *c = arg;
    return gsl_cdf_ugaussian_P((0.5 + c->own * z[0]) / c->rest);
}

static void test_published_calls(void **state)
{
    (void)state;
    static const published_call calls[] = {
        {.6, .8, 4, 1, 1, .0078943186},         {.8, .6, 4, 1, 1, .0556186368},         {.6, .8, 1, 1, 1, .0615081095},
        {.8, .6, 4, 1, M_SQRT1_2, .0048889864}, {.6, .8, 1, 1, M_SQRT1_2, .0211751867}, /* read again: computed */
    };
    for (int i = 0; i < 5; i++) {
        const published_call *c = &calls[i];
        const double unit = c->fn + c->fp;
        const sm_grid g = {.dims = 1};
        sm_status s;
        sm_cell_counts *cell = simulate(call_at, c, &g, 4000);
        const sm_worth got =
            c->correlation < 1 ? sm_policy_partial_worth(cell, (sm_known_part){.rho = c->correlation}, c->fp / unit, &s)
                               : sm_policy_worth(&g, cell, c->fp / unit, (sm_watch){0}, &s);
        assert_int_equal(s, SM_OK);
        assert_true(got.value.standard_error < 0.05 * c->worth / unit);
        assert_near(got.value.value, c->worth / unit, 0, 4 * got.value.standard_error + 1e-5);
        free(cell);
    }
}

/* One more reading if SDs rest on few degrees of freedom: the error and that of the new reading are normal with one
 * scale that nobody knows. The event has the probability Phi((at + own e)/rest), e the error in units of its SD.
 * Expected: sums over 4,000 values of the scale, closed forms inside (computed apart from this program). */
typedef struct {
    double dof, rho, own, rest, at, q;
    double worth;
} shared_scale;

static double shared_at(const void *arg, const double *z)
{
    const shared_scale *c = arg;
    const double e = gsl_cdf_tdist_Qinv(gsl_cdf_ugaussian_Q(fabs(z[0])), c->dof);
    return gsl_cdf_ugaussian_P((c->at + c->own * (z[0] < 0 ? -e : e)) / c->rest);
}

static void test_one_more_of_a_t(void **state)
{
    (void)state;
    static const shared_scale cases[] = {{3, M_SQRT1_2, .6, .8, -.5, .2, .0173659010},
                                         {3, .5, .8, .6, -1, .2, .0467041030},
                                         {6, M_SQRT1_2, .8, .6, .2, .4, .0339585160},
                                         {21, M_SQRT1_2, .6, .8, -.5, .2, .0173883749}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const shared_scale *c = &cases[i];
        const sm_grid g = {.dims = 1};
        sm_status s;
        sm_cell_counts *cell = simulate(shared_at, c, &g, 2000);
        const sm_worth got = sm_policy_partial_worth(cell, (sm_known_part){c->rho, c->dof}, c->q, &s),
                       all = sm_policy_worth(&g, cell, c->q, (sm_watch){0}, &s);
        assert_int_equal(s, SM_OK);
        assert_true(got.value.standard_error < 0.05 * c->worth && got.value.value < all.value.value);
        assert_near(got.value.value, c->worth, 0, 4 * got.value.standard_error + 1e-5);
        free(cell);
    }
}

/* More coordinates hide nothing and invent nothing. */
static void test_worth_in_more_dimensions(void **state)
{
    (void)state;
    for (int dims = 2; dims <= 3; dims++) {
        linear_risk l = {.q = 0.4, .k = 0.05, .delta = 0.5};
        sm_grid g = {.dims = dims};
        sm_status s;
        sm_cell_counts *cell = simulate_cells(&l, &g, 2000);
        sm_worth w = sm_policy_worth(&g, cell, l.q, (sm_watch){0}, &s);
        assert_near(w.value.value, l.k * .197796557401, 0, 4 * w.value.standard_error + 1e-4);
        free(cell);
    }
}

/* A source without influence: far from the line exactly 0; at the line 0 within its error, in one dimension, round a
 * circle, and with a coin. */
static void test_worth_of_nothing(void **state)
{
    (void)state;
    static const sm_grid grids[] = {
        {.dims = 1}, {.dims = 2}, {.dims = 3}, {.dims = 1, .circular = true}, {.dims = 1, .coin = true}};
    for (size_t i = 0; i < sizeof grids / sizeof *grids; i++)
        for (int near = 0; near < 2; near++) {
            linear_risk l = {.q = 0.4, .k = 1e-9, .delta = near ? 0.0 : 0.1 / 1e-9};
            sm_status s;
            sm_cell_counts *cell = simulate_cells(&l, &grids[i], 500);
            sm_worth w = sm_policy_worth(&grids[i], cell, l.q, (sm_watch){0}, &s);
            assert_near(w.value.value, 0, 0, near ? 3 * w.value.standard_error + 1e-12 : 0);
            free(cell);
        }
}

/* 4. What must hold */

static char *read_file(const char *path)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    char *text = calloc(1, 1 << 16);
    assert_true(fread(text, 1, (1 << 16) - 1, f) > 0);
    fclose(f);
    return text;
}

/* The demo case, with overrides. */
static sm_casefile *demo(const sm_override *override, size_t n)
{
    char *case_text = read_file("scenarios/demo.json"), *profile = read_file("scenarios/site.json");
    sm_diag d = {0};
    sm_casefile *f = NULL;
    sm_status s = sm_casefile_read((sm_file_text){"demo", case_text, strlen(case_text)},
                                   (sm_file_text){"site", profile, strlen(profile)}, override, n, &d, &f);
    sm_text words = {0};
    sm_diag_write(&d, &words);
    if (s != SM_OK)
        fprintf(stderr, "%s", words.s ? words.s : "");
    assert_int_equal(s, SM_OK);
    sm_text_destroy(&words);
    sm_diag_destroy(&d);
    free(case_text);
    free(profile);
    return f;
}

static const sm_recheck_options quick = {.redraws = 32768, .nested = 1024};
static const sm_run_context few = {.trials = 200000, .seed = 1};

static sm_recheck recheck_of(const sm_casefile *f)
{
    sm_recheck k;
    assert_int_equal(sm_recheck_run(sm_casefile_case(f), &quick, few, &k), SM_OK);
    return k;
}

static const sm_recheck_source *source_of(const sm_recheck *k, const char *name)
{
    for (int i = 0; i < k->n_sources; i++)
        if (strcmp(k->source[i].name, name) == 0)
            return &k->source[i];
    fail_msg("no source %s", name);
    return NULL;
}

static void test_order_of_values(void **state)
{
    (void)state;
    sm_casefile *f = demo(NULL, 0);
    sm_recheck k = recheck_of(f);
    for (int i = 0; i < k.n_sources; i++) {
        const sm_source_worth *w = &k.source[i].worth;
        assert_true(w->one_more.value.value >= 0);
        assert_true(w->one_more.value.value <= w->perfect.value.value);
        assert_true(w->perfect.value.value <= k.worths.bound.value);
        assert_true(k.source[i].reducible || w->perfect.value.value == 0);
    }
    const double P = k.assessment.patient.event.probability;
    assert_true(k.worths.expected_cost.value <= fmin(P, 0.2) + 1e-12);
    assert_true(k.sensitivity.irreducible_variance.value <= P * (1 - P));
    for (int i = 1; i < k.n_reducible; i++) /* ranked */
        assert_true(k.source[k.order[i - 1]].worth.perfect.value.value >=
                    k.source[k.order[i]].worth.perfect.value.value - SM_WORTH_FLOOR);
    /* One more reading is defined for a t too: the demo's gaps have degrees of freedom. */
    assert_true(source_of(&k, "left.ostium_gap")->worth.one_more_defined);
    assert_true(source_of(&k, "left.ostium_gap")->worth.one_more.value.value > 0);
    assert_true(source_of(&k, "left.ostium_height")->worth.one_more_defined);
    sm_recheck_destroy(&k);
    sm_casefile_destroy(f);
}

/* The guarded limit: read there, the case lies at the line. */
static void test_guarded_limit(void **state)
{
    (void)state;
    sm_casefile *f = demo(NULL, 0);
    sm_recheck k = recheck_of(f);
    const sm_guard *g = &k.guard[0][SM_GAP_OSTIUM];
    assert_int_equal(g->kind, SM_GUARD_FOUND);
    assert_true(g->at.standard_error < 0.05);
    char json[64];
    snprintf(json, sizeof json, "{\"A\": [%.6f]}", g->at.value);
    sm_casefile *at = demo(&(sm_override){"/coronaries/left/ostium_gap/readings_mm", json}, 1);
    sm_assessment a;
    assert_int_equal(sm_assess(sm_casefile_case(at), (sm_run_context){.trials = 1000000, .seed = 9}, &a), SM_OK);
    assert_near(a.patient.event.probability, 0.2, 0, 5 * sqrt(0.16 / 1e6 + 0.16 / 131072));
    sm_assessment_destroy(&a);
    sm_casefile_destroy(at);
    assert_int_equal(k.guard[0][SM_GAP_STJ].kind, SM_GUARD_OTHER_RULE);
    sm_recheck_destroy(&k);
    sm_casefile_destroy(f);
}

/* 5. The demo case against nested trials */

static bool is_source(const void *self, const sm_sources *s, int column)
{
    return s->column[column].source == *(const int *)self;
}

/* Three sources that matter, one of three dimensions, one of one, one a circle: within 3 standard errors of brute force
 * whose own standard error is at most 0.002. tests/nested does every source of three scenarios. */
static void test_against_nested(void **state)
{
    (void)state;
    const double line = 0.27; /* near the answer, so that each of them matters */
    static const char *const names[] = {"base_plane", "left.ostium_gap", "post_azimuth"};
    sm_casefile *f = demo(NULL, 0);
    sm_plan p;
    sm_worths w;
    assert_int_equal(sm_plan_create(sm_casefile_case(f), 5, &p), SM_OK);
    assert_int_equal(sm_worth_run(&p, line, 1024, (sm_run_context){.trials = 500000}, &w), SM_OK);
    const int gap = sm_sources_find(&p.sources, "left.ostium_gap"); /* its SDs rest on 21 degrees of freedom */
    assert_near(sm_coordinates_of(&p, 0, gap).part.dof, 21, 0, 0);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        int source = sm_sources_find(&p.sources, names[i]);
        const sm_nested_request request = {.known = is_source, .self = &source, .q = line, .inner = 1024};
        sm_estimate cost, value = w.source[source].perfect.value;
        assert_int_equal(sm_nested_run(&p, &request, (sm_run_context){.trials = 4096}, &cost), SM_OK);
        assert_true(cost.standard_error <= 0.002);
        assert_near(value.value, fmin(w.event.probability, line) - cost.value, 0,
                    3 * hypot(value.standard_error, cost.standard_error));
    }
    sm_worths_destroy(&w);
    sm_plan_destroy(&p);
    sm_casefile_destroy(f);
}

/* 6. Odd cases */

static char *text_of(const sm_casefile *f, const sm_recheck *k)
{
    sm_text out = {0};
    const sm_style style = {.width = 80, .plain = true};
    const sm_result r = sm_result_of(f, NULL, &k->assessment);
    sm_blocks b = {0};
    sm_recheck_tell(&b, &r, k, NULL);
    sm_write_text(&out, &style, &b);
    return sm_text_take(&out);
}

static void assert_no_nan(const char *text)
{
    assert_null(strstr(text, "nan"));
    assert_null(strstr(text, "inf "));
}

/* A line that the probability cannot come near: nothing is worth anything, and that is said first. */
static void test_no_recheck_can_change(void **state)
{
    (void)state;
    static const char *const lines[] = {"0.0001", "0.9999"};
    for (int i = 0; i < 2; i++) {
        sm_casefile *f = demo(&(sm_override){"/action_line", lines[i]}, 1);
        sm_recheck k = recheck_of(f);
        assert_false(sm_recheck_can_change(&k));
        char *text = text_of(f, &k);
        assert_contains(text, "No re-check can change the call");
        assert_no_nan(text);
        free(text);
        sm_recheck_destroy(&k);
        sm_casefile_destroy(f);
    }
}

/* A source of SD 0 is listed with zeros. */
static void test_source_without_spread(void **state)
{
    (void)state;
    const sm_override still[] = {{"/scan/centreline_sd_mm", "0"}, {"/surgical_valve/eccentricity", "0"}};
    sm_casefile *f = demo(still, 2);
    sm_recheck k = recheck_of(f);
    const sm_recheck_source *s = source_of(&k, "centreline");
    assert_false(s->worth.varies);
    assert_near(s->worth.perfect.value.value, 0, 0, 0);
    assert_near(s->share.event.total.value, 0, 0, 0);
    assert_false(source_of(&k, "eccentricity")->worth.varies);
    sm_recheck_destroy(&k);
    sm_casefile_destroy(f);
}

static void test_without_line(void **state)
{
    (void)state;
    sm_casefile *f = demo(NULL, 0);
    sm_case without = *sm_casefile_case(f);
    without.action_line = 0;
    sm_recheck k;
    assert_int_equal(sm_recheck_run(&without, &quick, few, &k), SM_OK);
    assert_string_equal(k.source[k.order[0]].name, "base_plane"); /* the largest total index */
    char *text = text_of(f, &k);
    assert_contains(text, "without an action line no worth can be named");
    assert_no_nan(text);
    free(text);
    sm_recheck_destroy(&k);
    sm_casefile_destroy(f);
}

/* The same bytes whatever the number of tasks at a time. */
static void run_backwards(void *self, int n, void (*task)(void *arg, int i), void *arg)
{
    (void)self;
    for (int i = n - 1; i >= 0; i--)
        task(arg, i);
}

static char *json_of(const sm_casefile *f, sm_executor executor)
{
    sm_run_context context = few;
    sm_recheck k;
    sm_text out = {0};
    context.executor = executor;
    assert_int_equal(sm_recheck_run(sm_casefile_case(f), &quick, context, &k), SM_OK);
    const sm_result r = sm_result_of(f, NULL, &k.assessment);
    const sm_recheck_part part = {.c = r.c, .recheck = &k};
    const sm_result_part parts = sm_recheck_json_part(&part);
    sm_result_json_write(&r, &parts, 1, &out);
    sm_recheck_destroy(&k);
    return sm_text_take(&out);
}

static void test_same_bytes(void **state)
{
    (void)state;
    sm_casefile *f = demo(NULL, 0);
    char *one = json_of(f, (sm_executor){0}), *three = json_of(f, (sm_executor){.width = 3, .run = run_backwards});
    assert_string_equal(one, three);
    free(one);
    free(three);
    sm_casefile_destroy(f);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_known_functions),       cmocka_unit_test(test_adding_a_constant),
        cmocka_unit_test(test_no_variance),           cmocka_unit_test(test_coverage),
        cmocka_unit_test(test_worth_of_one_source),   cmocka_unit_test(test_worth_of_a_part),
        cmocka_unit_test(test_published_worths),      cmocka_unit_test(test_published_calls),
        cmocka_unit_test(test_one_more_of_a_t),       cmocka_unit_test(test_worth_in_more_dimensions),
        cmocka_unit_test(test_worth_of_nothing),      cmocka_unit_test(test_order_of_values),
        cmocka_unit_test(test_guarded_limit),         cmocka_unit_test(test_against_nested),
        cmocka_unit_test(test_no_recheck_can_change), cmocka_unit_test(test_source_without_spread),
        cmocka_unit_test(test_without_line),          cmocka_unit_test(test_same_bytes)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
