/* mean_sd.h - mean and standard deviation that keep their digits when the spread is small beside the mean.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_MEAN_SD_H
#define SM_READERS_MEAN_SD_H

#include <stddef.h>

/* A sum that carries its own rounding error (Neumaier 1974). Zero-initialise; the value is sum + carry. */
typedef struct {
    double sum, carry;
} sm_sum;

void sm_sum_add(sm_sum *s, double x);
double sm_sum_value(const sm_sum *s);

typedef struct {
    size_t n;
    double mean; /* NaN for n = 0 */
    double ss;   /* sum of squared deviations from the mean */
    double sd;   /* divisor n - 1; NaN for n < 2 */
} sm_mean_sd;

sm_mean_sd sm_mean_sd_of(const double *x, size_t n);

#endif
