/* selfcheck_probability.c - published probabilities of crossing a limit, and intervals for them.
 *
 * Contents: 1. conformity with a limit  2. global risks  3. structural limits  4. the table  5. proportions
 *           6. sequences
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <gsl/gsl_math.h>

#include "engine/interval.h"
#include "selfcheck/selfcheck_groups.h"

/* 1. Conformity with a limit */

static void within_limits(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        c->event[0][i] = c->x[0][i] <= -5.40;
        c->event[1][i] = c->x[1][i] >= 490;
        c->event[2][i] = c->x[2][i] >= 12.5 && c->x[2][i] <= 16.3;
        c->event[3][i] = c->x[3][i] > 2;
    }
}

/* Does the item lie within its tolerance [0, 1]? constant: 1/(4 C_m), which is the standard uncertainty, and then what
 * was measured, one value an event. */
static void within_tolerance(const double *constant, sm_formula_columns *c)
{
    for (int e = 0; e < SM_FORMULA_EVENTS; e++)
        for (int i = 0; i < SM_LANES; i++) {
            const double item = constant[1 + e] + constant[0] * c->x[0][i];
            c->event[e][i] = item >= 0 && item <= 1;
        }
}

/* Closed form: the limit is the quantile of the quantity at its conformance probability. */
void sm_selfcheck_conformity(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    const sm_dist unit = sm_dist_normal(0, 1), upper = sm_dist_normal(-5.47, 0.05), lower = sm_dist_normal(509.7, 8.6);
    const double z = sm_dist_quantile(&unit, 0.95);
    sm_checks_group(t, "Limits and guard bands", "closed form; inputs as we recall them from JCGM 106:2012",
                    SM_SEEN_IN_MEMORY);
    sm_checks_exact(t, "limit at 0.91924334", -5.40, sm_dist_quantile(&upper, 0.9192433407662289), 1e-10);
    sm_checks_exact(t, "limit at 1 - 0.98900955", 490, sm_dist_quantile(&lower, 1 - 0.9890095474), 1e-6);
    sm_checks_exact(t, "guard band, 95 % one-sided", 1.644853627, z, 1e-9);
    sm_checks_exact(t, "guarded rejection of 100, 99.9 %", 106.5876095,
                    100 / (1 - 0.02 * sm_dist_quantile(&unit, 0.999)), 1e-6);
}

/* 2. Global risks: an item, its measured value, and what is decided on it */

/* x: four uniforms make a gamma variate of shape 4 and scale 0.25; x[4]: the error of measurement. Limit 2. */
static void ball_bearing(const double *constant, sm_formula_columns *c)
{
    const double guarded = constant[0];
    for (int i = 0; i < SM_LANES; i++) {
        double X = -0.25 * log(c->x[0][i] * c->x[1][i] * c->x[2][i] * c->x[3][i]), measured = X + c->x[4][i];
        c->event[0][i] = X > 2;
        c->event[1][i] = X > 2 && measured <= 2;
        c->event[2][i] = X <= 2 && measured > 2;
        c->event[3][i] = X > 2 && measured <= guarded;
        c->event[4][i] = X <= 2 && measured > guarded;
    }
}

/* constant: the SDs of process and measurement, then the tolerance, which is also the limit of acceptance. */
static void normal_process(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++) {
        double X = constant[0] * c->x[0][i], measured = X + constant[1] * c->x[1][i];
        c->event[0][i] = fabs(X) > constant[2];
        c->event[1][i] = fabs(X) > constant[2] && fabs(measured) <= constant[2];
        c->event[2][i] = fabs(X) <= constant[2] && fabs(measured) > constant[2];
        c->event[3][i] = fabs(measured) <= constant[2];
    }
}

/* 3. Structural limits: benchmarks of the probability that a limit state is crossed */

static void two_normals(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double a = c->x[0][i], b = c->x[1][i], d = a - b, s = (a + b) / M_SQRT2;
        const double curved = 3 + 0.1 * d * d, flat = 7 / M_SQRT2;
        c->event[0][i] = (4 + a) - (2 + b) < 0;
        c->event[1][i] = 2.5 - s + 0.1 * d * d < 0;
        c->event[2][i] = 3 - a * b < 0;
        c->event[3][i] = fmin(fmin(curved - s, curved + s), fmin(d + flat, -d + flat)) < 0;
    }
}

/* x: strength (mean 300, sd 30), load, and two uniforms on [-1, 1]. */
static void beam_and_branches(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++) {
        const double d = c->x[2][i] - c->x[3][i], curved = 0.2 + 0.6 * d * d * d * d, flat = 5 / M_SQRT2 - 2.2;
        c->event[0][i] = c->x[0][i] - c->x[1][i] / (100 * M_PI) < 0;
        c->event[1][i] = fmin(fmin(curved - d / M_SQRT2, curved + d / M_SQRT2), fmin(d + flat, -d + flat)) < 0;
    }
}

/* 4. The table */

/* clang-format off */
#define NORMAL_PROCESS(process, measurement, limit)                                                                    \
    {.name = "normal process", .n_inputs = 2, .n_events = 4, .input = {SM_UNIT, SM_UNIT},                              \
     .constant = {process, measurement, limit}, .evaluate = normal_process}
#define EITHER {SM_UNIFORM, {-1, 1}}
/* clang-format on */
#define RECALL "closed form; inputs as we recall them from JCGM 106:2012"

const sm_example sm_examples_of_probability[] = {
    {.title = "Probability of conforming",
     .source = RECALL,
     .seen = SM_SEEN_IN_MEMORY,
     .formula = {.name = "conformity",
                 .n_inputs = 4,
                 .n_events = 4,
                 .input = {{SM_NORMAL, {-5.47, 0.05}}, {SM_NORMAL, {509.7, 8.6}}, {SM_NORMAL, {13.6, 1.8}}, SM_UNIT},
                 .evaluate = within_limits},
     .answer = {{SM_ASK_EVENT, "upper limit", .expected = 0.9192433408},
                {SM_ASK_EVENT, "lower limit", .expected = 0.9890095474, .of = 1},
                {SM_ASK_EVENT, "two limits", .expected = 0.6626297865, .of = 2},
                {SM_ASK_EVENT, "guarded by U, at the limit", .expected = 0.0227501319, .of = 3}}},
    {.title = "Probability of conforming, C_m = 1",
     .source = RECALL,
     .seen = SM_SEEN_IN_MEMORY,
     .formula = {.name = "tolerance",
                 .n_inputs = 1,
                 .n_events = 6,
                 .input = {SM_UNIT},
                 .constant = {0.25, 0.5, 0.25, 0, 0.4490531801, 0.5509468199, 1},
                 .evaluate = within_tolerance},
     .answer = {{SM_ASK_EVENT, "read in the middle", .expected = 0.9544997361},
                {SM_ASK_EVENT, "read at a quarter", .expected = 0.8399948480, .of = 1},
                {SM_ASK_EVENT, "read at the lower limit", .expected = 0.4999683288, .of = 2},
                {SM_ASK_EVENT, "read where the 95 % zone starts", .expected = 0.95, .of = 3},
                {SM_ASK_EVENT, "read where the 95 % zone ends", .expected = 0.95, .of = 4},
                {SM_ASK_EVENT, "read at the upper limit", .expected = 0.4999683288, .of = 5}}},
    {.title = "Probability of conforming, C_m = 2",
     .source = RECALL,
     .seen = SM_SEEN_IN_MEMORY,
     .formula = {.name = "tolerance",
                 .n_inputs = 1,
                 .n_events = 2,
                 .input = {SM_UNIT},
                 .constant = {0.125, 0.2056067035, 0.7943932965},
                 .evaluate = within_tolerance},
     .answer = {{SM_ASK_EVENT, "read where the 95 % zone starts", .expected = 0.95},
                {SM_ASK_EVENT, "read where the 95 % zone ends", .expected = 0.95, .of = 1}}},
    {.title = "Global risks, ball bearing",
     .source = "JCGM 106:2012, 9.5.4",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "ball bearing",
                 .n_inputs = 5,
                 .n_events = 5,
                 .input = {SM_DRAW, SM_DRAW, SM_DRAW, SM_DRAW, {SM_NORMAL, {0, 0.25}}},
                 .constant = {1.6718287716},
                 .evaluate = ball_bearing},
     .answer = {{SM_ASK_EVENT, "nonconforming", .expected = 0.0423801120},
                {SM_ASK_EVENT, "consumer's risk", .expected = 0.0080191119, .of = 1},
                {SM_ASK_EVENT, "producer's risk", .expected = 0.0174445692, .of = 2},
                {SM_ASK_EVENT, "consumer's risk, guarded", .expected = 0.001, .of = 3},
                {SM_ASK_EVENT, "producer's risk, guarded", .expected = 0.0754938761, .of = 4}}},
    {.title = "Global risks, normal process",
     .source = "quadrature",
     .seen = SM_SEEN_COMPUTED,
     .formula = NORMAL_PROCESS(0.12, 0.04, 0.2),
     .answer = {{SM_ASK_EVENT, "nonconforming", .expected = 0.0955807045},
                {SM_ASK_EVENT, "consumer's risk", .expected = 0.0189422067, .of = 1},
                {SM_ASK_EVENT, "producer's risk", .expected = 0.0372078002, .of = 2}}},
    /* Four times as accurate as the process is wide; both SDs from the share in tolerance, the limit being 1. */
    {.title = "False acceptance, 60 % in tolerance",
     .source = "NCSLI RP-19, draft",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(1.1881829499, 0.25 * 1.1881829499, 1),
     .answer = {{SM_ASK_EVENT, "in all", .expected = 0.04838603208, .of = 1},
                {SM_ASK_SHARE, "among the accepted", .expected = 0.08260081910, .of = 1, .given = 3}}},
    {.title = "False acceptance, 70 % in tolerance",
     .source = "NCSLI RP-19, draft",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(0.9648473410, 0.25 * 0.9648473410, 1),
     .answer = {{SM_ASK_EVENT, "in all", .expected = 0.03922341071, .of = 1},
                {SM_ASK_SHARE, "among the accepted", .expected = 0.05723220398, .of = 1, .given = 3}}},
    {.title = "False acceptance, 80 % in tolerance",
     .source = "NCSLI RP-19, draft",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(0.7803041461, 0.25 * 0.7803041461, 1),
     .answer = {{SM_ASK_EVENT, "in all", .expected = 0.02855830621, .of = 1},
                {SM_ASK_SHARE, "among the accepted", .expected = 0.03632271784, .of = 1, .given = 3}}},
    {.title = "False acceptance, 90 % in tolerance",
     .source = "NCSLI RP-19, draft",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(0.6079568319, 0.25 * 0.6079568319, 1),
     .answer = {{SM_ASK_EVENT, "in all", .expected = 0.01599953530, .of = 1},
                {SM_ASK_SHARE, "among the accepted", .expected = 0.01798804771, .of = 1, .given = 3}}},
    {.title = "False acceptance, 95 % in tolerance",
     .source = "NCSLI RP-19, draft",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(0.5102134569, 0.25 * 0.5102134569, 1),
     .answer = {{SM_ASK_EVENT, "in all", .expected = 0.008710101881, .of = 1},
                {SM_ASK_SHARE, "among the accepted", .expected = 0.009238976306, .of = 1, .given = 3}}},
    {.title = "False acceptance, 99 % in tolerance",
     .source = "NCSLI RP-19, draft",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(0.3882244831, 0.25 * 0.3882244831, 1),
     .answer = {{SM_ASK_EVENT, "in all", .expected = 0.001999169629, .of = 1},
                {SM_ASK_SHARE, "among the accepted", .expected = 0.002024387815, .of = 1, .given = 3}}},
    {.title = "False decisions, limit at 2 SD",
     .source = "Deaver, test uncertainty ratio 4 to 1",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(0.5, 0.125, 1),
     .answer = {{SM_ASK_EVENT, "false acceptance", .expected = 0.0080060848, .of = 1},
                {SM_ASK_EVENT, "false rejection", .expected = 0.0148508842, .of = 2}}},
    {.title = "False decisions, limit at 2.5 SD",
     .source = "Deaver, test uncertainty ratio 4 to 1",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = NORMAL_PROCESS(0.4, 0.1, 1),
     .answer = {{SM_ASK_EVENT, "false acceptance", .expected = 0.0024453487, .of = 1},
                {SM_ASK_EVENT, "false rejection", .expected = 0.0053193891, .of = 2}}},
    {.title = "Structural limit states",
     .source = "definitions as in otbenchmark",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula =
         {.name = "two normals", .n_inputs = 2, .n_events = 4, .input = {SM_UNIT, SM_UNIT}, .evaluate = two_normals},
     .answer = {{SM_ASK_EVENT, "R - S, means 4 and 2", .expected = 0.0786496035},
                {SM_ASK_EVENT, "RP22", .expected = 0.00420730551130, .of = 1},
                {SM_ASK_EVENT, "RP75", .expected = 0.00981929872155, .of = 2},
                {SM_ASK_EVENT, "four branches", .expected = 0.00222279506619, .of = 3}}},
    /* Strength of mean 300 and SD 30, that is of median 300/sqrt(1.01) and geometric SD exp(sqrt(ln 1.01)). */
    {.title = "Structural limit states, two more",
     .source = "definitions as in otbenchmark",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "beam",
                 .n_inputs = 4,
                 .n_events = 2,
                 .input = {{SM_LOGNORMAL, {298.51115706299674, 1.1048961460962965}},
                           {SM_NORMAL, {75000, 5000}},
                           EITHER,
                           EITHER},
                 .evaluate = beam_and_branches},
     .answer = {{SM_ASK_EVENT, "axially stressed beam", .expected = 0.0291981946248},
                {SM_ASK_EVENT, "RP55", .expected = 0.5600144282864, .of = 1}}}};

const int sm_n_examples_of_probability = sizeof sm_examples_of_probability / sizeof *sm_examples_of_probability;

/* 5. Proportions */

static void check_wilson(sm_checks *t, const char *low_name, const char *high_name, int64_t k, int64_t n, double low,
                         double high, double tolerance)
{
    const sm_probability p = sm_probability_of(k, n);
    sm_checks_exact(t, low_name, low, p.low, tolerance);
    sm_checks_exact(t, high_name, high, p.high, tolerance);
}

void sm_selfcheck_proportions(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    sm_checks_group(t, "Wilson 95 % intervals", "cases of Newcombe, Stat Med 1998;17:857", SM_SEEN_IN_MEMORY);
    check_wilson(t, "81 of 263, low end", "81 of 263, high end", 81, 263, 0.2552885, 0.3662096, 1e-7);
    check_wilson(t, "15 of 148, low end", "15 of 148, high end", 15, 148, 0.0623864, 0.1604872, 1e-7);
    check_wilson(t, "0 of 20, low end", "0 of 20, high end", 0, 20, 0, 0.1611252, 1e-7);
    check_wilson(t, "1 of 29, low end", "1 of 29, high end", 1, 29, 0.0061132, 0.1717552, 1e-7);
    sm_checks_group(t, "Wilson 95 % intervals of many trials", "closed form", SM_SEEN_COMPUTED);
    check_wilson(t, "490 of 10000, low end", "490 of 10000, high end", 490, 10000, 0.044940, 0.053407, 1e-6);
    check_wilson(t, "0 of 10000, low end", "0 of 10000, high end", 0, 10000, 0, 0.000384, 1e-6);
}

/* 6. Sequences */

/* The first n after which p is left out when no event has been seen; 0: none up to 1000. */
static double first_excluding(double p, double epsilon)
{
    for (int64_t n = 1; n <= 1000; n++)
        if (sm_sequence_excludes(0, n, p, epsilon))
            return (double)n;
    return 0;
}

void sm_selfcheck_sequences(const sm_selfcheck_size *size, sm_checks *t)
{
    (void)size;
    double low, high;
    sm_checks_group(t, "Confidence sequence of Robbins and Lai", "closed form", SM_SEEN_COMPUTED);
    sm_checks_exact(t, "no event: 0.05 out at, 0.001", 242, first_excluding(0.05, 0.001), 0);
    sm_checks_exact(t, "no event: 0.05 out at, 0.05", 158, first_excluding(0.05, 0.05), 0);
    sm_checks_exact(t, "no event: 0.1 out at, 0.01", 87, first_excluding(0.1, 0.01), 0);
    sm_checks_exact(t, "no event: 0.5 out at, 0.001", 14, first_excluding(0.5, 0.001), 0);
    sm_sequence_interval(30, 1000, 0.001, &low, &high);
    sm_checks_exact(t, "30 of 1000, low end", 0.0110421126, low, 1e-9);
    sm_checks_exact(t, "30 of 1000, high end", 0.0628085569, high, 1e-9);
    sm_sequence_interval(300, 10000, 0.001, &low, &high);
    sm_checks_exact(t, "300 of 10000, low end", 0.0222787756, low, 1e-9);
    sm_checks_exact(t, "300 of 10000, high end", 0.0392681961, high, 1e-9);
}
