/* dist.h - the families of distributions that a case may name, each a transform of one base draw.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_DIST_H
#define SM_SAMPLING_DIST_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

/* id, name in a case file, number of parameters, their names in the order of sm_dist.p */
#define SM_FAMILY_LIST(X)                                                                                              \
    X(SM_CONSTANT, "constant", 1, "value", "", "", "")                                                                 \
    X(SM_NORMAL, "normal", 2, "mean", "sd", "", "")                                                                    \
    X(SM_UNIFORM, "uniform", 2, "min", "max", "", "")                                                                  \
    X(SM_TRIANGULAR, "triangular", 3, "min", "mode", "max", "")                                                        \
    X(SM_LOGNORMAL, "lognormal", 2, "median", "gsd", "", "")                                                           \
    X(SM_HALF_NORMAL, "half_normal", 1, "sd", "", "", "")                                                              \
    X(SM_STUDENT_T, "student_t", 3, "location", "scale", "dof", "")                                                    \
    X(SM_ARCSINE, "arcsine", 2, "min", "max", "", "")                                                                  \
    X(SM_TRUNCATED_NORMAL, "truncated_normal", 4, "mean", "sd", "min", "max")                                          \
    X(SM_BETA, "beta", 4, "a", "b", "min", "max")

#define SM_FAMILY_ENUM(id, name, n, a, b, c, d) id,
typedef enum { SM_FAMILY_LIST(SM_FAMILY_ENUM) SM_FAMILY_COUNT } sm_family;
#undef SM_FAMILY_ENUM

/* A distribution by value. p holds the parameters in the order of SM_FAMILY_LIST; the rest are 0. */
typedef struct {
    sm_family family;
    double p[4];
} sm_dist;

/* Sets out member by member and leaves the bytes between members as they are: zeroed storage can be compared whole. */
void sm_dist_set(sm_dist *out, const sm_dist *d);

/* The name of a family in files, the number of its parameters, the name of parameter i. */
const char *sm_dist_family_name(sm_family f);
/* The family of that name; false if there is none. */
bool sm_dist_family_named(const char *name, sm_family *out);
size_t sm_dist_parameters(sm_family f);
const char *sm_dist_parameter_name(sm_family f, size_t i);

sm_dist sm_dist_constant(double value);
sm_dist sm_dist_normal(double mean, double sd);
sm_dist sm_dist_uniform(double min, double max);

/* NULL if the parameters make a distribution, else what is wrong in words ("sd must not be below 0").
 * Degenerate ones (sd 0, min = max, gsd 1) are allowed and mean a constant; so is triangular with an end as mode. */
const char *sm_dist_check(const sm_dist *d);

/* True if every draw is the same number. */
bool sm_dist_is_constant(const sm_dist *d);
/* Mean and standard deviation. The SD is NaN for a student_t with dof up to 2, which sm_dist_check refuses. */
double sm_dist_mean(const sm_dist *d);
double sm_dist_sd(const sm_dist *d);
/* The density at x, 0 outside the support; NaN for a constant. */
double sm_dist_density(const sm_dist *d, double x);
/* The quantile at probability 0 < p < 1, to a relative accuracy of 1e-8 of the spread. */
double sm_dist_quantile(const sm_dist *d, double p);
/* The quantile at probability Phi(z) of the standard form of a family that has no cheap one: lognormal (median 1,
 * s1 gsd), half_normal (sd 1), student_t (s1 dof), truncated_normal (standard parent cut to [s1, s2]), beta (s1 a, s2
 * b, on [0, 1]). Both tails keep their digits. NaN for other families. */
double sm_dist_standard_quantile(sm_family f, double s1, double s2, double z);
/* The lower end of the support, -INFINITY if there is none. */
double sm_dist_lower_end(const sm_dist *d);

#endif
