/* ci95.h - a value with its 95 % confidence interval, and the intervals that every part of a reader study uses.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_CI95_H
#define SM_READERS_CI95_H

/* NaN if it cannot be told. */
typedef struct {
    double value, low, high;
} sm_ci95;

#define SM_Z95 1.95996398454005 /* normal quantile at 0.975 */

/* value -+ t(dof) * se. */
sm_ci95 sm_ci95_t(double value, double se, double dof);
/* The SD whose square is `variance`, estimated with variance `var_of_variance`: the chi-square interval with the
 * Welch-Satterthwaite dof 2 variance^2 / var_of_variance. Below one degree of freedom (a component near 0) chi-square
 * has no use: the lower end is then 0 and the upper end the normal one, variance + 1.96 standard errors. */
sm_ci95 sm_ci95_sd(double variance, double var_of_variance);
/* 2 variance^2 / var_of_variance; 0 if the variance is 0. */
double sm_satterthwaite_dof(double variance, double var_of_variance);
/* The degrees of freedom whose chi-square interval of an SD is as wide, as the ratio of its ends, as this one. 0 if
 * the low end is 0 or the high one has none; NaN if the ends are not told or are one. */
double sm_ci95_dof(sm_ci95 sd);

#endif
