/* selfcheck_sensitivity.c - published functions whose shares of variance are known in closed form.
 *
 * First-order and total indices of every input, by the estimators that a case's sources go through (sobol.h). `widest`
 * is 5 standard deviations of a trial's contribution over 1,000 (1,000,000 trials); those standard deviations were
 * computed for this project with numpy, 2 million trials each.
 *
 * Contents: 1. the functions  2. the table
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>

#include <gsl/gsl_math.h>

#include "selfcheck/selfcheck_example.h"

/* 1. The functions */

/* constant: a, b, and a number that is added and must change nothing. */
static void ishigami(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double s1 = sin(c->x[0][i]), s2 = sin(c->x[1][i]);
        c->y[0][i] = s1 + constant[0] * s2 * s2 + constant[1] * gsl_pow_4(c->x[2][i]) * s1 + constant[2];
    }
}

/* constant: a of each of six inputs. */
static void g_of_sobol(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = 1;
    for (int k = 0; k < 6; k++)
        for (int i = 0; i < SM_LANES; i++)
            c->y[0][i] *= (fabs(4 * c->x[k][i] - 2) + constant[k]) / (1 + constant[k]);
}

static void sum_of_three(const double *constant, sm_formula_columns *c)
{
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = constant[0] * c->x[0][i] + constant[1] * c->x[1][i] + constant[2] * c->x[2][i];
}

static void product(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = c->x[0][i] * c->x[1][i];
}

static void product_and_third(const double *constant, sm_formula_columns *c)
{
    (void)constant;
    for (int i = 0; i < SM_LANES; i++)
        c->y[0][i] = c->x[0][i] * c->x[1][i] + c->x[2][i];
}

/* 2. The table */

/* clang-format off */
#define TURN {SM_UNIFORM, {-M_PI, M_PI}}
#define ISHIGAMI(added)                                                                                                \
    {.name = "ishigami", .n_inputs = 3, .n_outputs = 1, .input = {TURN, TURN, TURN},                                   \
     .constant = {7, 0.1, added}, .evaluate = ishigami}
#define ANSWERS_OF_ISHIGAMI                                                                                            \
    {{SM_ASK_FIRST, "input 1, first order", .expected = 0.3139051911, .widest = 0.0051},                               \
     {SM_ASK_FIRST, "input 2, first order", .expected = 0.4424111448, .widest = 0.0045, .of = 1},                      \
     {SM_ASK_FIRST, "input 3, first order", .expected = 0, .widest = 0.0047, .of = 2},                                 \
     {SM_ASK_TOTAL, "input 1, total", .expected = 0.5575888552, .widest = 0.0072},                                     \
     {SM_ASK_TOTAL, "input 2, total", .expected = 0.4424111448, .widest = 0.0034, .of = 1},                            \
     {SM_ASK_TOTAL, "input 3, total", .expected = 0.2436836641, .widest = 0.0022, .of = 2}}
#define G_OF_SOBOL(...)                                                                                                \
    {.name = "g", .n_inputs = 6, .n_outputs = 1,                                                                       \
     .input = {SM_DRAW, SM_DRAW, SM_DRAW, SM_DRAW, SM_DRAW, SM_DRAW}, .constant = {__VA_ARGS__}, .evaluate = g_of_sobol}
/* clang-format on */

const sm_example sm_examples_of_sensitivity[] = {
    {.title = "Shares of variance, Ishigami",
     .source = "Ishigami function, defined as in otbenchmark",
     .seen = SM_SEEN_IN_FULL,
     .formula = ISHIGAMI(0),
     .answer = ANSWERS_OF_ISHIGAMI},
    /* Estimators that are not centred about the mean give -1.03 for 0.31 here. */
    {.title = "Shares of variance, Ishigami + 1000",
     .source = "Ishigami function, defined as in otbenchmark",
     .seen = SM_SEEN_IN_FULL,
     .formula = ISHIGAMI(1000),
     .answer = ANSWERS_OF_ISHIGAMI},
    /* The first order of inputs 5 and 6, 5.9e-5, is less than a million trials can tell from 0; their totals are not.
     */
    {.title = "Shares of variance, g of Sobol",
     .source = "g-function, defined as in otbenchmark",
     .seen = SM_SEEN_IN_FULL,
     .formula = G_OF_SOBOL(0, 0.5, 3, 9, 99, 99),
     .answer = {{SM_ASK_FIRST, "input 1, first order", .expected = 0.5867811898, .widest = 0.0055},
                {SM_ASK_FIRST, "input 2, first order", .expected = 0.2607916399, .widest = 0.0041, .of = 1},
                {SM_ASK_FIRST, "input 3, first order", .expected = 0.0366738244, .widest = 0.0017, .of = 2},
                {SM_ASK_FIRST, "input 4, first order", .expected = 0.0058678119, .widest = 0.00069, .of = 3},
                {SM_ASK_TOTAL, "input 1, total", .expected = 0.6900858924, .widest = 0.0059},
                {SM_ASK_TOTAL, "input 2, total", .expected = 0.3561733638, .widest = 0.0036, .of = 1},
                {SM_ASK_TOTAL, "input 3, total", .expected = 0.0563335422, .widest = 0.00065, .of = 2},
                {SM_ASK_TOTAL, "input 4, total", .expected = 0.0091705766, .widest = 0.00011, .of = 3},
                {SM_ASK_TOTAL, "input 5, total", .expected = 9.20083854e-5, .widest = 1e-06, .of = 4},
                {SM_ASK_TOTAL, "input 6, total", .expected = 9.20083854e-5, .widest = 1e-06, .of = 5}}},
    {.title = "Shares of variance, g with six weights",
     .source = "g-function, weights of a published test vector",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = G_OF_SOBOL(78, 12, 0.5, 2, 97, 33),
     .answer = {{SM_ASK_FIRST, "input 2, first order", .expected = 0.0101948042, .widest = 0.00079, .of = 1},
                {SM_ASK_FIRST, "input 3, first order", .expected = 0.7657430682, .widest = 0.0056, .of = 2},
                {SM_ASK_FIRST, "input 4, first order", .expected = 0.1914357671, .widest = 0.0032, .of = 3},
                {SM_ASK_FIRST, "input 6, first order", .expected = 0.0014904169, .widest = 0.00031, .of = 5},
                {SM_ASK_TOTAL, "input 1, total", .expected = 3.29457686e-4, .widest = 3.1e-06},
                {SM_ASK_TOTAL, "input 2, total", .expected = 0.0121432396, .widest = 0.00011, .of = 1},
                {SM_ASK_TOTAL, "input 3, total", .expected = 0.7959697691, .widest = 0.0052, .of = 2},
                {SM_ASK_TOTAL, "input 4, total", .expected = 0.2203130611, .widest = 0.0019, .of = 3},
                {SM_ASK_TOTAL, "input 5, total", .expected = 2.14096613e-4, .widest = 2e-06, .of = 4},
                {SM_ASK_TOTAL, "input 6, total", .expected = 0.0017782547, .widest = 1.6e-05, .of = 5}}},
    {.title = "Shares of variance, a sum",
     .source = "closed form",
     .seen = SM_SEEN_COMPUTED,
     .formula = {.name = "sum",
                 .n_inputs = 3,
                 .n_outputs = 1,
                 .input = {SM_UNIT, SM_UNIT, SM_UNIT},
                 .constant = {1, 2, 3},
                 .evaluate = sum_of_three},
     .answer = {{SM_ASK_FIRST, "input 1, first order", .expected = 1.0 / 14, .widest = 0.0019},
                {SM_ASK_FIRST, "input 2, first order", .expected = 4.0 / 14, .widest = 0.0039, .of = 1},
                {SM_ASK_FIRST, "input 3, first order", .expected = 9.0 / 14, .widest = 0.0058, .of = 2},
                {SM_ASK_TOTAL, "input 1, total", .expected = 1.0 / 14, .widest = 0.00062},
                {SM_ASK_TOTAL, "input 2, total", .expected = 4.0 / 14, .widest = 0.0023, .of = 1},
                {SM_ASK_TOTAL, "input 3, total", .expected = 9.0 / 14, .widest = 0.0043, .of = 2}}},
    {.title = "Shares of variance, a product",
     .source = "closed form",
     .seen = SM_SEEN_COMPUTED,
     .formula = {.name = "product",
                 .n_inputs = 2,
                 .n_outputs = 1,
                 .input = {{SM_NORMAL, {1, 0.5}}, {SM_NORMAL, {2, 0.3}}},
                 .evaluate = product},
     .answer = {{SM_ASK_FIRST, "input 1, first order", .expected = 0.8988764045, .widest = 0.007},
                {SM_ASK_FIRST, "input 2, first order", .expected = 0.0808988764, .widest = 0.0023, .of = 1},
                {SM_ASK_TOTAL, "input 1, total", .expected = 0.9191011236, .widest = 0.0055},
                {SM_ASK_TOTAL, "input 2, total", .expected = 0.1011235955, .widest = 0.0011, .of = 1}}},
    {.title = "Shares of variance, x1 x2 + x3",
     .source = "Borgonovo 2017",
     .seen = SM_SEEN_IN_EXCERPT,
     .formula = {.name = "product and third",
                 .n_inputs = 3,
                 .n_outputs = 1,
                 .input = {SM_DRAW, SM_DRAW, SM_DRAW},
                 .evaluate = product_and_third},
     .answer = {{SM_ASK_FIRST, "input 1, first order", .expected = 3.0 / 19, .widest = 0.0032},
                {SM_ASK_FIRST, "input 2, first order", .expected = 3.0 / 19, .widest = 0.0032, .of = 1},
                {SM_ASK_FIRST, "input 3, first order", .expected = 12.0 / 19, .widest = 0.0051, .of = 2},
                {SM_ASK_TOTAL, "input 1, total", .expected = 4.0 / 19, .widest = 0.0021},
                {SM_ASK_TOTAL, "input 2, total", .expected = 4.0 / 19, .widest = 0.0021, .of = 1},
                {SM_ASK_TOTAL, "input 3, total", .expected = 12.0 / 19, .widest = 0.0042, .of = 2}}}};

const int sm_n_examples_of_sensitivity = sizeof sm_examples_of_sensitivity / sizeof *sm_examples_of_sensitivity;
