/* coordinates.h - what a re-check of a source would show, as at most three numbers.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_COORDINATES_H
#define SM_DECISION_COORDINATES_H

#include "engine/plan.h"
#include "decision/policy.h"

typedef enum {
    SM_SHOWS_NOTHING, /* the source does not vary in this case */
    SM_SHOWS_COLUMNS, /* one or two base draws as they are */
    SM_SHOWS_PLANE,   /* a, b and c */
    SM_SHOWS_OUTLINE, /* ecc/2 cos 2 psi and ecc/2 sin 2 psi: all that the model uses of the ring's outline */
    SM_SHOWS_TRUTH    /* X of a quantity that has a second look: to know it perfectly is to know its X */
} sm_shows;

typedef struct {
    sm_shows shows;
    sm_grid grid;
    int column[2];
    bool uniform[2];                                /* that column is a uniform: stretched over [-4.5, 4.5] */
    double centre[SM_MAX_DIMS], scale[SM_MAX_DIMS]; /* of the other kinds */
    int look;                                       /* of the steering, SM_SHOWS_TRUTH */
    int one_more;                                   /* column of the reader error that one more reading informs, -1 */
    sm_known_part part;                             /* what it reveals of that error */
} sm_coordinates;

/* What source `source` of root[root] shows; nothing if it is not reducible. The source of a second look shows nothing
 * of its own: what both readings are at does. */
sm_coordinates sm_coordinates_of(const sm_plan *p, int root, int source);
/* The same of any source of root[0], of those of the deployment what they draw. */
sm_coordinates sm_coordinates_of_any(const sm_plan *p, int source);

/* The cell of each of SM_LANES trials. column, at: of root[0], evaluated. */
void sm_coordinates_cell(const sm_coordinates *c, const sm_plan *p, const double *const *column, const sm_places *at,
                         int32_t *cell);

#endif
