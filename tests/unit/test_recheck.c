/* test_recheck.c - sensitivity and the worth of a re-check, against closed forms and brute force.
 *
 * Contents: 1. Sobol indices of known functions  2. do the errors cover?  3. the worth of knowing, in closed form
 *           4. a case of two sources, in closed form  5. what must hold  6. the demo case against nested trials
 *           7. odd cases
 * Expected values: recomputed with R and mpmath; each names its source.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

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
        sm_grid_cell(g, x, GROUP, at);
        for (int i = 0; i < GROUP; i++) {
            cell[at[i]].n[group % 2]++;
            cell[at[i]].events[group % 2] += u[i] < P(arg, (const double[]){x[0][i], z[1][i], z[2][i]});
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

/* A source without influence: far from the line exactly 0; at the line 0 within its error, in one to three dimensions
 * and round a circle. */
static void test_worth_of_nothing(void **state)
{
    (void)state;
    static const sm_grid grids[] = {{.dims = 1}, {.dims = 2}, {.dims = 3}, {.dims = 1, .circular = true}};
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

/* A part of what has no influence, at the line: what a rule learns of the noise of one half is worth nothing on the
 * other. The value is kept above 0, so that its mean over data sets is 0.4 standard errors; paid on the half that it
 * was learned on it would be above 1. */
static void test_worth_of_no_part(void **state)
{
    (void)state;
    enum { SETS = 40 };
    const linear_risk l = {.q = 0.4, .k = 1e-9};
    const sm_grid g = {.dims = 1};
    double sum = 0;
    sm_cell_counts *cell = simulate_cells(&l, &g, SETS * 50), *part = calloc(SM_GRID_LINE, sizeof *part);
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    for (uint32_t set = 0; set < SETS; set++) {
        sm_status s;
        sm_rng_seek(r, 3, sm_rng_stream("no part", 0), set);
        for (int c = 0; c < SM_GRID_LINE; c++)
            for (int h = 0; h < 2; h++) {
                part[c].n[h] = cell[c].n[h] / SETS;
                part[c].events[h] = gsl_ran_binomial(r, l.q, (unsigned)part[c].n[h]);
            }
        const sm_worth w = sm_policy_partial_worth(part, (sm_known_part){.rho = 0.8}, l.q, &s);
        assert_int_equal(s, SM_OK);
        sum += w.value.standard_error > 0 ? w.value.value / w.value.standard_error : 0;
    }
    gsl_rng_free(r);
    free(part);
    free(cell);
    assert_true(sum / SETS < 0.75);
}

/* Three crests round a circle, 0.4 + 0.3 cos 6 pi t: knowing the turn is worth 0.3/pi. */
static double crests_at(const void *arg, const double *z)
{
    (void)arg;
    return 0.4 + 0.3 * cos(6 * M_PI * z[0]);
}

static void test_worth_round_a_circle(void **state)
{
    (void)state;
    const sm_grid g = {.dims = 1, .circular = true};
    sm_status s;
    sm_cell_counts *cell = simulate(crests_at, NULL, &g, 2000);
    const sm_worth w = sm_policy_worth(&g, cell, 0.4, (sm_watch){0}, &s);
    assert_int_equal(s, SM_OK);
    assert_near(w.value.value, 0.3 / M_PI, 0, 4 * w.value.standard_error + 1e-5);
    free(cell);
}

/* A risk that jumps from 0 to 1 at a z of p[0]: to know it saves all but the bound, min(P, q) - q P. */
static double jump_at(const void *arg, const double *z)
{
    return z[0] > *(const double *)arg ? 1 : 0;
}

static void test_worth_of_a_jump(void **state)
{
    (void)state;
    static const double jump[] = {-2, -1, 0.25, 1, 1.7, 2.5};
    for (int i = 0; i < 6; i++) {
        const sm_grid g = {.dims = 1};
        const double P = gsl_cdf_ugaussian_Q(jump[i]), q = 0.3;
        sm_status s;
        sm_cell_counts *cell = simulate(jump_at, &jump[i], &g, 500);
        const sm_worth w = sm_policy_worth(&g, cell, q, (sm_watch){0}, &s);
        assert_int_equal(s, SM_OK);
        assert_near(w.value.value, fmin(P, q) - q * P, 0.03, 4 * w.value.standard_error);
        free(cell);
    }
}

/* 4. A case of two sources, in closed form */

static const sm_recheck_options quick = {.redraws = 32768, .nested = 1024};
static const sm_run_context few = {.trials = 200000, .seed = 1};

static demo_case two;

/* The left clearance beside the ostium is its gap, 5.7 mm + N(0, 0.6), less the offset of the new valve toward it,
 * N(0, 0.3); the limit is 5.7 mm. Nothing else moves, and nothing else can happen. The offset across adds 0.0027 mm. */
static void two_sources(void)
{
    sm_surgical_valve *v = &two.c.valve;
    demo_still_case(&two);
    v->leaflet_mount = SM_MOUNT_INTERNAL;
    v->inner_diameter.value = sm_dist_constant(22.4);
    v->ring_give_mm = v->mount_offset_mm = sm_dist_constant(0);
    v->leaflet_thickness.value = sm_dist_constant(0.5);
    two.c.implant.flare = sm_dist_constant(0);
    two.c.implant.offset_sd_mm = 0.3;
    two.c.limits.ostium_clearance_mm = sm_dist_constant(5.7);
    two.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].between_reader_sd_mm = 0.6;
    two.mm[DEMO_RIGHT][SM_OSTIUM_GAP][0][0] = 15;
}

static sm_plan plan_of_two(void)
{
    sm_plan p;
    two_sources();
    assert_int_equal(sm_plan_create(&two.c, 5, &p), SM_OK);
    return p;
}

/* Of two normals, what was read and how common it is, the product is a normal: precisions add up. The right gap, exact,
 * weighs all trials alike. */
static void test_a_population_is_a_product(void **state)
{
    (void)state;
    two_sources();
    two.c.population.ostium_gap_mm = sm_dist_normal(6.3, 0.9);
    const double read = 1 / 0.36, common = 1 / 0.81, mean = (5.7 * read + 6.3 * common) / (read + common);
    const double want = gsl_cdf_ugaussian_P((5.7 - mean) / sqrt(1 / (read + common) + 0.09));
    sm_assessment a;
    assert_int_equal(sm_assess(&two.c, few, &a), SM_OK);
    const sm_probability *p = &a.event_in_population;
    assert_true(p->standard_error < 0.0015);
    assert_near(p->probability, want, 0, 5 * p->standard_error + 5e-4); /* the offset across: 0.0027 mm */
    assert_true(p->n > 100000 && p->n < few.trials);
    assert_true(p->low < p->probability && p->probability < p->high);
    sm_assessment_destroy(&a);
    two.c.population.ostium_gap_mm =
        (sm_dist){SM_STUDENT_T, {6.3, 0.9, 1e9}}; /* the same by the density of any family */
    assert_int_equal(sm_assess(&two.c, few, &a), SM_OK);
    assert_near(a.event_in_population.probability, want, 0, 5 * a.event_in_population.standard_error + 5e-4);
    sm_assessment_destroy(&a);
}

static void expect_index(const sm_sobol *got, double first, double total)
{
    assert_near(got->first.value, first, 0, 5 * got->first.standard_error + 0.004);
    assert_near(got->total.value, total, 0, 5 * got->total.standard_error + 0.004);
    assert_true(got->first.standard_error < 0.03 && got->total.standard_error < 0.03);
}

/* Two normals that share a part of correlation r are both below their middle with probability 1/4 + asin(r)/(2 pi). So
 * much of the event's variance of 1/4 is the first order of what they share; the total is what the rest leaves. */
static double shared(double r)
{
    return asin(r) / (2 * M_PI) / 0.25;
}

static void test_shares_of_two_sources(void **state)
{
    (void)state;
    const double gap = 0.36 / 0.45, offset = 0.09 / 0.45; /* of the clearance */
    sm_sensitivity s;
    sm_plan p = plan_of_two();
    assert_int_equal(sm_sensitivity_run(&p, (sm_run_context){.trials = 131072}, &s), SM_OK);
    const sm_share *of_gap = &s.share[sm_sources_find(&p.sources, "left.ostium_gap")],
                   *of_offset = &s.share[sm_sources_find(&p.sources, "offset")],
                   *of_other = &s.share[sm_sources_find(&p.sources, "right.ostium_gap")];
    assert_int_equal(of_gap->n_outputs, SM_OUTPUTS);
    assert_int_equal(of_offset->n_outputs, DEMO_SIDES * SM_OUTPUTS);
    expect_index(&of_gap->output[SM_OSTIUM_CLEARANCE], gap, gap);
    expect_index(&of_offset->output[SM_OSTIUM_CLEARANCE], offset, offset);
    expect_index(&of_offset->output[SM_OUTPUTS + SM_OSTIUM_CLEARANCE], 1, 1); /* on the right nothing else moves */
    expect_index(&of_gap->event, shared(gap), 1 - shared(offset));
    expect_index(&of_offset->event, shared(offset), 1 - shared(gap));
    expect_index(&of_other->event, 0, 0);
    assert_near(s.irreducible_variance.value, (1 - shared(gap)) / 4, 0,
                5 * s.irreducible_variance.standard_error + 0.001);
    sm_sensitivity_destroy(&s);
    sm_plan_destroy(&p);
}

static bool is_gap_known(const void *self, const sm_sources *s, int column)
{
    (void)self;
    return s->source[s->column[column].source].reducible;
}

/* With the gap known, P(event) = Phi(2 Z): at a line of 1/2 what remains is E[min(Phi(2 Z), 1/2)] = 1/4 + atan(1/2)/(2
 * pi) = 0.32379. From 4 inner trials twice the plain estimate less that of halves is 0.32003 on average (30 digits,
 * computed), the plain estimate alone 0.31062. */
static void test_nested_trials_are_hardly_biased(void **state)
{
    (void)state;
    sm_plan p = plan_of_two();
    const sm_nested_request few_inner = {.known = is_gap_known, .q = 0.5, .inner = 4},
                            many_inner = {.known = is_gap_known, .q = 0.5, .inner = 64};
    sm_estimate cost;
    assert_int_equal(sm_nested_run(&p, &few_inner, (sm_run_context){.trials = 131072}, &cost), SM_OK);
    assert_true(cost.standard_error < 1e-3);
    assert_near(cost.value, 0.320026, 0, 4 * cost.standard_error + 5e-4);
    assert_int_equal(sm_nested_run(&p, &many_inner, (sm_run_context){.trials = 32768}, &cost), SM_OK);
    assert_near(cost.value, 0.25 + atan(0.5) / (2 * M_PI), 0, 4 * cost.standard_error + 5e-4);
    sm_plan_destroy(&p);
}

/* At the same line: knowing the gap is worth 1/2 less that, of at most 1/4. One more reading reveals a part of the gap
 * with the variance 0.36^2/(0.36 + 0.36) = 0.18, so that P(event) = Phi(Z sqrt(0.18/0.27)). P is 0.4984. */
static void test_worths_of_two_sources(void **state)
{
    (void)state;
    sm_plan p = plan_of_two();
    sm_worths w;
    assert_int_equal(sm_worth_run(&p, 0.5, 32768, (sm_run_context){.trials = 400000}, &w), SM_OK);
    const sm_source_worth *gap = &w.source[sm_sources_find(&p.sources, "left.ostium_gap")];
    const double remains = 0.25 + atan(0.5) / (2 * M_PI), read_again = 0.25 + atan(sqrt(0.27 / 0.18)) / (2 * M_PI);
    assert_near(w.event.probability, 0.4984, 0, 5 * w.event.standard_error);
    assert_near(w.bound.value, 0.25, 0, 0.002);
    assert_near(w.expected_cost.value, remains, 0, 5 * w.expected_cost.standard_error + 5e-4);
    assert_near(gap->perfect.value.value, 0.5 - remains, 0, 5 * gap->perfect.value.standard_error + 0.002);
    assert_true(gap->one_more_defined);
    assert_near(gap->one_more.value.value, 0.5 - read_again, 0, 5 * gap->one_more.value.standard_error + 0.002);
    assert_false(w.source[sm_sources_find(&p.sources, "offset")].varies); /* nobody can check it */
    sm_worths_destroy(&w);
    sm_plan_destroy(&p);
}

/* Two readers far apart: one more reading, which is exact beside that, all but settles the gap, and no more. */
static void test_one_more_is_never_worth_more(void **state)
{
    (void)state;
    two_sources();
    sm_quantity *gap = &two.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP];
    double a[] = {4.7}, b[] = {6.7};
    sm_reader_row row[] = {{"A", 1, a}, {"B", 1, b}};
    gap->readings = (sm_readings){2, row};
    gap->between_reader_sd_mm = 0.001;
    for (uint64_t seed = 1; seed <= 12; seed++) {
        sm_plan p;
        sm_worths w;
        assert_int_equal(sm_plan_create(&two.c, seed, &p), SM_OK);
        assert_int_equal(sm_worth_run(&p, 0.5, 1024, (sm_run_context){.trials = 65536}, &w), SM_OK);
        const sm_source_worth *of_gap = &w.source[sm_sources_find(&p.sources, "left.ostium_gap")];
        assert_true(of_gap->one_more.value.value > 0.1);
        assert_true(of_gap->one_more.value.value <= of_gap->perfect.value.value);
        sm_worths_destroy(&w);
        sm_plan_destroy(&p);
    }
}

static sm_recheck ranked(double line)
{
    sm_recheck k;
    two.c.action_line = line;
    assert_int_equal(sm_recheck_run(&two.c, &quick, few, &k), SM_OK);
    return k;
}

/* Both gaps alike: the same worth but for Monte Carlo error, and apart from the rest, which has none. */
static void test_equal_worths_are_tied(void **state)
{
    (void)state;
    two_sources();
    two.mm[DEMO_RIGHT][SM_OSTIUM_GAP][0][0] = 5.7;
    two.side[DEMO_RIGHT].quantity[SM_OSTIUM_GAP].between_reader_sd_mm = 0.6;
    sm_recheck k = ranked(0.7);
    const sm_recheck_source *first = &k.source[k.order[0]], *second = &k.source[k.order[1]];
    assert_int_equal(first->id, SM_SOURCE_OSTIUM_GAP);
    assert_int_equal(second->id, SM_SOURCE_OSTIUM_GAP);
    assert_true(first->worth.perfect.value.value > second->worth.perfect.value.value);
    assert_true(second->worth.perfect.value.value > SM_WORTH_FLOOR);
    for (int i = 0; i < 2; i++)
        assert_true(k.source[k.order[i]].tied_from == 0 && k.source[k.order[i]].tied_to == 1);
    assert_true(k.source[k.order[2]].tied_from == 2);
    sm_recheck_destroy(&k);
}

/* Worths below 0.001 are not told from 0: the event's shares rank them. On the left the line is never reached, whatever
 * the gap, yet the gap carries a seventh of the event's variance; on the right 8 of 10,000 are told for sure by the
 * gap, which is worth 8 in 10,000 times 1 - q and carries next to nothing. */
static void test_worths_that_are_nothing_do_not_rank(void **state)
{
    (void)state;
    two_sources();
    two.c.implant.offset_sd_mm = 0.6;
    two.mm[DEMO_LEFT][SM_OSTIUM_GAP][0][0] = 6.7;
    two.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].between_reader_sd_mm = 0.13;
    two.mm[DEMO_RIGHT][SM_OSTIUM_GAP][0][0] = 5.7 + 9.6;
    two.side[DEMO_RIGHT].quantity[SM_OSTIUM_GAP].between_reader_sd_mm = 3;
    sm_recheck k = ranked(0.2);
    const sm_recheck_source *first = &k.source[k.order[0]], *second = &k.source[k.order[1]];
    assert_int_equal(first->side, DEMO_LEFT);
    assert_int_equal(second->side, DEMO_RIGHT);
    assert_true(first->share.event.total.value > second->share.event.total.value + 0.05);
    assert_true(first->worth.perfect.value.value < 1e-4);
    assert_true(second->worth.perfect.value.value > 4e-4 && second->worth.perfect.value.value < SM_WORTH_FLOOR);
    sm_recheck_destroy(&k);
}

/* 5. What must hold */

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

/* 6. The demo case against nested trials */

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

/* 7. Odd cases */

static char *text_of(const sm_casefile *f, const sm_recheck *k)
{
    sm_text out = {0};
    const sm_style style = {.width = 80, .plain = true};
    const sm_result r = sm_result_of(f, NULL, &k->assessment);
    sm_blocks b = {0};
    sm_recheck_tell(&b, &r, k);
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
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_known_functions),
                                       cmocka_unit_test(test_adding_a_constant),
                                       cmocka_unit_test(test_no_variance),
                                       cmocka_unit_test(test_coverage),
                                       cmocka_unit_test(test_worth_of_one_source),
                                       cmocka_unit_test(test_worth_of_a_part),
                                       cmocka_unit_test(test_published_worths),
                                       cmocka_unit_test(test_published_calls),
                                       cmocka_unit_test(test_one_more_of_a_t),
                                       cmocka_unit_test(test_worth_in_more_dimensions),
                                       cmocka_unit_test(test_worth_of_nothing),
                                       cmocka_unit_test(test_order_of_values),
                                       cmocka_unit_test(test_guarded_limit),
                                       cmocka_unit_test(test_against_nested),
                                       cmocka_unit_test(test_no_recheck_can_change),
                                       cmocka_unit_test(test_source_without_spread),
                                       cmocka_unit_test(test_without_line),
                                       cmocka_unit_test(test_same_bytes),
                                       cmocka_unit_test(test_worth_of_no_part),
                                       cmocka_unit_test(test_worth_round_a_circle),
                                       cmocka_unit_test(test_worth_of_a_jump),
                                       cmocka_unit_test(test_shares_of_two_sources),
                                       cmocka_unit_test(test_nested_trials_are_hardly_biased),
                                       cmocka_unit_test(test_a_population_is_a_product),
                                       cmocka_unit_test(test_worths_of_two_sources),
                                       cmocka_unit_test(test_one_more_is_never_worth_more),
                                       cmocka_unit_test(test_equal_worths_are_tied),
                                       cmocka_unit_test(test_worths_that_are_nothing_do_not_rank)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
