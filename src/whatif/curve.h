/* curve.h - a probability along a quantity: where it meets the action line, and whether it moves at all.
 *
 * All points come from the same draws, so that the curve is smooth and differences between its points are known far
 * better than its height.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_CURVE_H
#define SM_WHATIF_CURVE_H

#include "engine/interval.h"

/* One point: the quantity, the probability there, and its paired difference from the case as it is. */
typedef struct {
    double x;
    sm_probability p;
    sm_estimate difference;
} sm_curve_point;

/* Where the curve meets the line between points i and i + 1 of a list in rising x. rises: the probability is at or
 * above the line beyond it. */
typedef struct {
    int i;
    bool rises;
    sm_estimate at; /* of x */
} sm_meeting;

/* Finds all places where one of two neighbours is at or above the line and the other is below it; at most `most`.
 * Between the two the curve is taken as straight in the normal score of the probability; the error of the place is the
 * Monte Carlo error of the probability there over the slope. Returns how many. */
int sm_curve_meetings(const sm_curve_point *point, int n, double line, sm_meeting *out, int most);

/* How far a probability lies above the line, as a difference of normal scores: at least 0 exactly where it is at or
 * above it. */
double sm_curve_height(const sm_probability *p, double line);

/* The largest less the smallest probability. Its standard error is at most the sum of those of the two points' paired
 * differences from the case. low, high: places of the two. */
sm_estimate sm_curve_range(const sm_curve_point *point, int n, int *low, int *high);
/* Whether the range is more than two of its standard errors. */
bool sm_curve_moves(const sm_estimate *range);

#endif
