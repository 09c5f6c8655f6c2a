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
void sm_weighted_merge(sm_weighted *s, const sm_weighted *other);

/* (sum w)^2/sum w^2: so many trials of weight 1 would know as much. 0 if none was added. */
double sm_weighted_effective(const sm_weighted *s);

/* sum(w e)/sum(w), its standard error sqrt(sum w^2 (e - p)^2)/sum(w) (delta method) and the Wilson interval of as many
 * trials as have that error; n is the effective number, rounded. NaN if all weights are 0. */
sm_probability sm_weighted_probability(const sm_weighted *s);

#endif
