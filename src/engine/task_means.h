/* task_means.h - what the sums of independent tasks say about a probability, and when they say enough.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_TASK_MEANS_H
#define SM_ENGINE_TASK_MEANS_H

#include <stddef.h>

#include "engine/interval.h"

/* Sums over the points of one task: of weights, their squares, weights times the probability of the event, and times
 * that of its contrary. */
typedef struct {
    double points, w, ww, in, out;
} sm_task_sums;

/* The sums of one event in n tasks: that of task i stands at task[i * stride]. widened: each weight undoes a widened
 * draw, so that their mean is known to be 1; else weights are 1 or those of second looks, and are divided by. */
typedef struct {
    const sm_task_sums *task;
    size_t stride;
    int n;
    bool widened;
} sm_task_series;

/* The probability from all tasks (at least 2), its standard error from how they differ, and Student's 95 % interval
 * with n - 1 degrees of freedom on the scale of the logit. Where the error is more than a tenth of the event or of its
 * contrary (a quarter, if widened), few points decide and the tasks may not show it: then the interval is no narrower
 * than Wilson's for so many counted points. Result's n: how many counted trials would err by as much. */
sm_probability sm_task_means_probability(sm_task_series s);

/* The probability of a less that of b, with its error: of equally many tasks, each of which randomised both alike. */
sm_estimate sm_task_means_difference(sm_task_series a, sm_task_series b);

/* The covariance of the errors of two probabilities, of equally many tasks, each of which randomised both alike. */
double sm_task_means_covariance(sm_task_series a, sm_task_series b);
/* By how many standard errors of so many tasks Student's 95 % interval reaches out. */
double sm_task_means_reach(int n);

/* The mixture e-process of Student's t (Lai, Ann Stat 1976;4:265; Wang and Ramdas, Anytime-valid t-tests and confidence
 * sequences, 2024; formula from memory) over the means of the first n tasks: true if p is excluded. The chance that the
 * true p ever is, over all n at once, is at most epsilon as far as a task's mean is normal. */
bool sm_task_means_exclude(sm_task_series s, double p, double epsilon);
/* The ends of what is not excluded. */
void sm_task_means_sequence(sm_task_series s, double epsilon, double *low, double *high);

#endif
