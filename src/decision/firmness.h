/* firmness.h - how firm a choice is: over Monte Carlo error, over the burdens, and over the action line.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_FIRMNESS_H
#define SM_DECISION_FIRMNESS_H

#include "engine/assess.h"
#include "base/status.h"

/* The first of the least of n costs. */
int sm_least(const double *cost, int n);

/* The probability, over Monte Carlo error, that each of n actions is the cheapest: costs are taken as jointly normal
 * about their estimates with the given covariance (n x n, perhaps singular: actions that share most of their events
 * differ by little noise), drawn 65,536 times from a stream of their own. Costs that agree to 1e-12 share. */
sm_status sm_probability_cheapest(int n, const double *cost, const double *covariance, uint64_t seed,
                                  double *probability);

/* The action that is cheapest if every burden is multiplied by any factor between from and to. */
typedef struct {
    double from, to;
    int action;
} sm_burden_range;

/* The ranges that cover [from, to], in order; returns their number, at most n (one place for each action in out).
 * Exact: the cost of an action is a straight line in the factor. */
int sm_burden_ranges(int n, const double *burden, const double *events, double from, double to, sm_burden_range *out);

/* Net benefit of acting (Vickers and Elkin, Med Decis Making 2006;26:565): true positives less false positives weighed
 * by the odds of the threshold probability, in n, per one of n. Waiting has 0. Acting is right if it is above 0. */
double sm_net_benefit(double true_positives, double false_positives, double n, double threshold);

enum { SM_LINES = 10 };

/* To act or not at one action line, for a case in which every root is acted on or none. */
typedef struct {
    double line;
    sm_call call;       /* above: act; below: do not; unresolved: the interval holds the line */
    double net_benefit; /* of acting */
} sm_line_step;

/* 0.01 to 0.5. */
void sm_line_steps(const sm_probability *event, sm_line_step out[SM_LINES]);

#endif
