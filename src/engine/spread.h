/* spread.h - what is gathered of a continuous output: moments and a histogram whose memory does not grow with the
 * trials.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_SPREAD_H
#define SM_ENGINE_SPREAD_H

#include <stdint.h>

#include "base/status.h"

/* Number, weight, mean and weighted sum of squared differences from the mean (Chan, Golub and LeVeque 1983): loses no
 * digits on large means. Without weights the weight is the number. */
typedef struct {
    int64_t n;
    double weight, mean, sum_sq;
} sm_moments;

/* Every y is taken: one that is not a number makes the moments NaN. */
void sm_moments_add(sm_moments *m, const double *y, int n);
/* weight: NULL if each is 1. What has no weight is not taken. */
void sm_moments_add_weighted(sm_moments *m, const double *y, const double *weight, int n);
void sm_moments_merge(sm_moments *m, const sm_moments *other);
/* With n - 1 (n - 1 shares of the weight if there are weights); 0 below two numbers. */
double sm_moments_sd(const sm_moments *m);

enum { SM_BINS = 4096 };

/* Where the bins lie, and what is kept beside them. */
typedef struct {
    sm_moments moments;
    double low, high, min, max; /* low, high: the ends of the bins; min, max: of the values */
    int64_t not_numbers;
} sm_span;

/* Equal bins over [low, high), one more at either end for what lies outside. Interpolated quantiles then err by less
 * than a tenth of their sampling error up to 1e9 trials (docs/numerics.md). */
typedef struct {
    sm_span span;
    double bin[SM_BINS + 2];
} sm_spread;

/* The same for one task: bins of 16 bits, for 65,535 numbers at most. Those of all outputs of two sides then take 131
 * kB and stay in the second cache, where bins of 64 bits do not. */
enum { SM_PART_NUMBERS = UINT16_MAX };

typedef struct {
    sm_span span;
    uint16_t bin[SM_BINS + 2];
    double *heavy; /* SM_BINS + 2 places in place of bin, if there are weights; borrowed */
} sm_spread_part;

/* The symmetric interval runs from the 2.5 % to the 97.5 % quantile; the shortest is the shortest that holds 95 %. */
typedef struct {
    int64_t n, not_numbers;
    double outside; /* weight of what lies outside the bins */
    double mean, sd, median, low95, high95, shortest95[2], min, max;
} sm_continuous;

/* An empty spread for outputs near the given mean and sd (from a pilot). What is not a finite number stands for 0. */
void sm_spread_init(sm_spread *s, double mean, double sd);
/* Empties s, its bins staying where they are. */
void sm_spread_clear(sm_spread *s);
void sm_spread_add(sm_spread *s, const double *y, int n);
/* other must have been made for the same mean and sd. */
void sm_spread_merge(sm_spread *s, const sm_spread *other);
/* An empty part of s, with room for weights or NULL; adding to it, with weights if it has that room; what it holds
 * added to s. */
void sm_spread_part_init(sm_spread_part *part, const sm_spread *s, double *heavy);
void sm_spread_part_add(sm_spread_part *part, const double *y, const double *weight, int n);
void sm_spread_take(sm_spread *s, const sm_spread_part *part);
/* The quantile at 0 < p < 1, with a density that is linear within a bin; NaN if nothing was added. */
double sm_spread_quantile(const sm_spread *s, double p);
sm_continuous sm_spread_summary(const sm_spread *s);

/* A spread reduced for drawing: the share of `of` trials, or of that weight, (0: none) in equal bins from low on. They
 * cover the middle half of the spread's range, four standard deviations to either side; what lies further out is not
 * drawn. */
enum { SM_OUTLINE_BINS = 128 };

typedef struct {
    double low, width; /* width: of one bin */
    double share[SM_OUTLINE_BINS];
} sm_outline;

sm_outline sm_spread_outline(const sm_spread *s, double of);

#endif
