/* agreement.h - how well readers agree: intraclass correlations, and limits of agreement of each pair.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_AGREEMENT_H
#define SM_READERS_AGREEMENT_H

#include <stdbool.h>
#include <stddef.h>

#include "readers/ci95.h"
#include "base/status.h"

/* The six forms of Shrout and Fleiss (Psychol Bull 1979;86:420): first number the model (1 each case by other readers,
 * 2 the readers are a sample, 3 these readers only), second one reading or the mean of all k readers. */
typedef enum { SM_ICC_1_1, SM_ICC_2_1, SM_ICC_3_1, SM_ICC_1_K, SM_ICC_2_K, SM_ICC_3_K, SM_ICCS } sm_icc_form;

typedef struct {
    size_t cases, readers;
    double bms, wms, jms, ems; /* mean squares: between cases, within cases, between readers, rest */
    sm_ci95 form[SM_ICCS];
} sm_icc;

/* y: one reading of each case by each reader, y[i * readers + j]; at least 2 cases and 2 readers, else SM_REFUSED.
 * If the rest is exactly 0, the intervals shrink to the value. */
sm_status sm_icc_fit(const double *y, size_t cases, size_t readers, sm_icc *out);

/* One pair of readers, on the cases that both read. */
typedef struct {
    size_t n;                    /* cases */
    const double *a, *b;         /* mean reading of each case by each of the two, mm */
    double within_a, within_b;   /* repeat variance of each reader, mm^2; 0 if nobody repeated */
    double dof_a, dof_b;         /* their degrees of freedom */
    double inverse_a, inverse_b; /* mean of 1/(repeats) over the cases; 1 if nobody repeated */
    double factor;               /* limits are bias -+ factor SD: 1.96, or the paper's 2 */
} sm_agreement_readings;

typedef struct {
    size_t n;
    sm_ci95 bias;                        /* of a - b, mm */
    sm_ci95 lower, upper;                /* limits of agreement between single readings, each with its interval, mm */
    double sd_of_means;                  /* of the differences of mean readings */
    double sd_single;                    /* of differences of single readings: sd_of_means with the repeats put back */
    double bias_slope, bias_slope_p;     /* change of a - b per mm of (a + b)/2, and its two-sided p */
    double spread_slope, spread_slope_p; /* change of |a - b - its line| per mm */
} sm_agreement;

/* Bland and Altman (Lancet 1986;i:307; repeats as in Stat Methods Med 1999;8:135). Standard error of a limit:
 * sqrt(s^2/n + factor^2 var(SD)), which is the paper's sqrt(3 s^2/n) without repeats and with factor 2. All intervals
 * by t(n - 1). At least 3 cases, else SM_REFUSED. Slopes are NaN if all cases have the same size. */
sm_status sm_agreement_fit(const sm_agreement_readings *in, sm_agreement *out);

#endif
