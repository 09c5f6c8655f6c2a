/* pairs.h - in which trials roots have an event, and in how many two of them both have one: what the joint error of
 * several paired probabilities needs.
 *
 * The flags of SM_LANES trials are packed into bits, so that a pair costs a few instructions a group. Without weights
 * they are whole numbers: exact. All roots of a pair have the same weights.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_PAIRS_H
#define SM_ENGINE_PAIRS_H

#include <stdint.h>

#include "base/lanes.h"
#include "base/status.h"

enum { SM_MAX_PAIRED = 64, SM_MASK_WORDS = SM_LANES / 64 };

/* One bit a trial. */
typedef struct {
    uint64_t word[SM_MASK_WORDS];
} sm_mask;

/* n = 0: nothing is counted. */
typedef struct {
    int n;
    double *both; /* n x n, by rows; filled if the column is not above the row */
} sm_pairs;

/* n: 0 to SM_MAX_PAIRED. */
sm_status sm_pairs_create(int n, sm_pairs *p);
void sm_pairs_clear(sm_pairs *p);
void sm_pairs_merge(sm_pairs *p, const sm_pairs *other);
void sm_pairs_destroy(sm_pairs *p);

/* The bits of the first n of SM_LANES flags; the others are 0. */
sm_mask sm_mask_of(const double *flag, int n);
/* Where the bits of a that b has not are set, in rising order; returns how many. */
int sm_mask_without(const sm_mask *a, const sm_mask *b, int place[SM_LANES]);
/* Adds one group; mask has p->n places. weight: of the trials, NULL if each is 1. */
void sm_pairs_add(sm_pairs *p, const sm_mask *mask, const double *weight);

/* Sum of the squared weights, without weights the number, of trials in which both i and j have the event; i = j: in
 * which i has it. */
double sm_pairs_both(const sm_pairs *p, int i, int j);

#endif
