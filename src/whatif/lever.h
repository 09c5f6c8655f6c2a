/* lever.h - what of a case is in doubt, as levers: each a value, or values that move as one, with its range.
 *
 * The same default on every side, and the two SDs of a reading, which come from one total, are one lever.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_LEVER_H
#define SM_WHATIF_LEVER_H

#include "whatif/overrides.h"

typedef struct {
    int assumption;   /* the first of those that move as one, in the order of sm_casefile_assumptions */
    bool judged;      /* moves in the settings; else it is asked about by itself alone */
    double low, high; /* of the point that is moved (casefile/doubts.h), */
    double own;       /* which lies here in the case */
} sm_lever;

typedef struct {
    int n, n_judged;
    sm_lever *at; /* the judged ones first, each kind in the order of the assumptions */
    int n_assumptions;
    int *first; /* of each assumption: the one that stands for it, its own place or an earlier one; -1: in no doubt */
} sm_levers;

/* SM_NO_MEMORY. Destroy out in every case. */
sm_status sm_levers_find(const sm_casefile *f, sm_levers *out);
void sm_levers_destroy(sm_levers *l);

/* Where the point lies at u, 0 to 1: at 1/2 the case's own, uniformly to either end on either side. */
double sm_lever_value(const sm_lever *l, double u);
/* Puts lever i, and all that moves with it, at a value. */
void sm_lever_put(const sm_casefile *f, const sm_levers *l, int i, double value, sm_overrides *o);

/* "thickness of the old leaflets (median)"; "the wall at the left ostium gap". What moves on every side at once loses
 * the name of its side. */
void sm_lever_words(const sm_assumption *a, sm_text *out);
/* Whether it asks if a wall is bright. */
bool sm_lever_is_wall(const sm_assumption *a);

#endif
