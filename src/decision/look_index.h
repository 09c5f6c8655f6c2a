/* look_index.h - what a look with several coordinates says of the event, as one number: the index (model.md 6.1).
 *
 * Each clearance, cover and reach is regressed on what is shown, by least squares over trials of their own. What is
 * predicted, and how far it errs, give by the normal how probable each limit is crossed, and so each side's event and
 * the patient's. Only the order that this number puts the trials in matters: how probable the event really is at each
 * value is counted (policy.h).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_LOOK_INDEX_H
#define SM_DECISION_LOOK_INDEX_H

#include "decision/look_draws.h"

enum { SM_MARGINS = 2 * SM_GAPS }; /* of a side: of each gap the room beyond the limit, and the height left above it */

/* One straight line, of a margin by what is shown. */
typedef struct {
    double constant, rest_sd; /* mm */
    double *slope;            /* by the side's coordinates */
} sm_margin_line;

/* One side, as one look shows it. */
typedef struct {
    bool counts;       /* its event is one */
    int n_used, *used; /* by which coordinates, among all: the look's; of more than SM_LINE_MOST the side's own and the
                          valve's alone, as a system of hundreds would take longer than it is worth */
    sm_margin_line line[SM_MARGINS];
    double *slopes;     /* of all lines */
    double mean, scale; /* bring its index to mean 0 and SD 1 */
    double spread;      /* SD of its probability: how much the look says of it */
} sm_side_index;

enum { SM_LINE_MOST = 32 };

/* One look. */
typedef struct {
    int dims, *which; /* its coordinates among all */
    int n_sides;
    sm_side_index *side; /* if it has several coordinates */
    double mean, scale;  /* bring its one coordinate, or the patient's index, to mean 0 and SD 1 */
} sm_look_index;

typedef struct {
    const sm_look_draws *draws;
    int n;
    sm_look_index *look;
    double *normal; /* table of the normal distribution */
} sm_look_indices;

/* Finds the lines from trials of their own. SM_NO_MEMORY. On any status but SM_OK out is empty. */
sm_status sm_look_indices_create(const sm_look_draws *d, sm_look_indices *out);
void sm_look_indices_destroy(sm_look_indices *s);

/* What look `look` shows of a group, y being what all show: its one coordinate, or the patient's index; of mean 0 and
 * SD 1 about. Of a look with several coordinates also the indices of n sides. */
void sm_look_index_show(const sm_look_indices *s, int look, double (*y)[SM_LANES], double *restrict patient,
                        const int *side, int n, double (*sides)[SM_LANES]);

#endif
