/* interval.h - what n trials say about a probability, and when they say enough.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_INTERVAL_H
#define SM_ENGINE_INTERVAL_H

#include <stdbool.h>
#include <stdint.h>

/* k events in n trials: the proportion, its standard error sqrt(p(1-p)/n) and the Wilson 95 % interval. All of it is
 * Monte Carlo error only. n = 0 gives NaN. */
typedef struct {
    int64_t n, k;
    double probability, standard_error, low, high;
} sm_probability;

sm_probability sm_probability_of(int64_t k, int64_t n);
/* The Wilson 95 % interval of k events in n trials, which need not be whole numbers. */
void sm_wilson_interval(double k, double n, double *low, double *high);

/* An estimate with its Monte Carlo standard error. */
typedef struct {
    double value, standard_error;
} sm_estimate;

/* The paired difference of two probabilities: trials that gained an event less trials that lost one. */
sm_estimate sm_paired_difference(int64_t gained, int64_t lost, int64_t n);

/* The confidence sequence of Robbins and Lai: p is in the set after n trials iff C(n,k) p^k (1-p)^(n-k) >
 * epsilon/(n+1). The chance that the true p is ever outside, over all n at once, is at most epsilon. */
#define SM_SEQUENCE_EPSILON 0.001
bool sm_sequence_excludes(int64_t k, int64_t n, double p, double epsilon);
/* The ends of that set. */
void sm_sequence_interval(int64_t k, int64_t n, double epsilon, double *low, double *high);

#endif
