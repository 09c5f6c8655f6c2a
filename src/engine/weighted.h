/* weighted.h - events counted with weights, whole or in part; a count is the case of weight 1.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_WEIGHTED_H
#define SM_ENGINE_WEIGHTED_H

#include "engine/interval.h"

/* Sums over trials of w, w^2, w e, w^2 e and w^2 e^2, with weight w >= 0 and event 0 <= e <= 1. Zeroed: empty. */
typedef struct {
    double w, ww, we, wwe, wwee;
} sm_weighted;

/* Adds n trials. Sums in a fixed order: equal numbers make equal bytes. */
void sm_weighted_add(sm_weighted *s, const double *w, const double *e, int n);
/* Adds n trials of weight 1, k of them events. */
void sm_weighted_count(sm_weighted *s, int64_t k, int64_t n);
void sm_weighted_merge(sm_weighted *s, const sm_weighted *other);

/* (sum w)^2/sum w^2: so many trials of weight 1 would know as much. 0 if none was added. */
double sm_weighted_effective(const sm_weighted *s);

/* sum(w e)/sum(w), its standard error sqrt(sum w^2 (e - p)^2)/sum(w) (delta method) and the Wilson interval of as many
 * trials as have that error: n of weight 1, k of them events, rounded. If every weight is 1, exactly those of counts.
 * NaN if all weights are 0. */
sm_probability sm_weighted_probability(const sm_weighted *s);
/* sum(w e)/sum(w). */
double sm_weighted_share(const sm_weighted *s);
/* The same with its error, of any e. */
sm_estimate sm_weighted_mean(const sm_weighted *s);

/* Two events, a and b, each with weights of its own, in the same trials: sums of w_a w_b, and of that times e_a, e_b,
 * e_a e_b. */
typedef struct {
    double ww, wwa, wwb, wwab;
} sm_joint_sums;

/* va, vb: the weights; NULL for both if every weight is 1. Events are 0 or 1. */
void sm_joint_add(sm_joint_sums *s, const double *va, const double *a, const double *vb, const double *b, int n);
/* Of an event and itself. */
sm_joint_sums sm_joint_of_one(const sm_weighted *s);
void sm_joint_merge(sm_joint_sums *s, const sm_joint_sums *other);
/* The probability of a less that of b, with its error (delta method). */
sm_estimate sm_joint_difference(const sm_weighted *a, const sm_weighted *b, const sm_joint_sums *both);

#endif
