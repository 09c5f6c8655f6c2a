/* mixed_model.h - the REML deviance of case, reader and reader-within-case effects at given ratios of SDs.
 *
 * Model: reading = mean + case + reader + (reader within case) + repeat, all four independent and normal.
 * theta = SD of an effect / repeat SD. Everything is in units of the repeat variance; that variance is profiled out.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_MIXED_MODEL_H
#define SM_READERS_MIXED_MODEL_H

#include <gsl/gsl_matrix.h>
#include <stdbool.h>
#include <stddef.h>

#include "readers/crossed.h"

typedef enum { SM_THETA_CASE, SM_THETA_READER, SM_THETA_READER_CASE, SM_THETAS } sm_theta;

/* The data and the room to work in; made once, used for every evaluation. */
typedef struct {
    const sm_crossed *d;
    double *count;    /* readings that the mean of each cell stands for */
    double readings;  /* their sum */
    double within_ss; /* squared deviations inside the cells */
    double within_dof;
    double theta[SM_THETAS];
    double *weight;                             /* of each cell mean: 1 / its variance given case and reader */
    double *row_weight, *row_shrink, *row_pull; /* sum of weights of a case, 1/(1 + theta^2 sum), its own estimate */
    double log_det;
    gsl_matrix *system; /* readers and the mean, after the cases are eliminated */
    gsl_vector *rhs, *solution;
    double repeat_variance; /* at theta, REML */
    size_t evaluations;
} sm_mixed_model;

/* cells_only: take each cell mean as one reading and leave the spread inside the cells out. */
sm_mixed_model *sm_mixed_model_create(const sm_crossed *d, bool cells_only);
void sm_mixed_model_destroy(sm_mixed_model *m);

/* Minus twice the log restricted likelihood at theta, with its constants (the REML criterion of lme4), and fills
 * repeat_variance, weight and solution (reader effects in units of theta, then the mean less the grand mean).
 * INFINITY if it cannot be computed. */
double sm_mixed_model_deviance(sm_mixed_model *m, const double theta[SM_THETAS]);

#endif
