/* crossed.h - readings of one quantity sorted into cells: one cell for each case and reader that met.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_CROSSED_H
#define SM_READERS_CROSSED_H

#include <stddef.h>

#include "base/status.h"

/* Repeats of one case by one reader. */
typedef struct {
    size_t row, col; /* case and reader, counted within this quantity */
    size_t n, first; /* readings y[first] to y[first + n - 1], in the order given */
    double mean, ss; /* mean less the grand mean; squared deviations from it */
} sm_crossed_cell;

/* Any crossed design, complete or not. Every value is kept less the grand mean `centre`, so that a large mean costs no
 * digits. */
typedef struct {
    size_t n_readings, n_cases, n_readers, n_cells;
    size_t *case_id, *reader_id; /* the caller's numbers of row and column */
    double *y;
    sm_crossed_cell *cell; /* by row, then by column */
    size_t *row_start;     /* first cell of each row; n_cases + 1 of them */
    double centre;
    double within_ss;  /* sum of ss over the cells */
    size_t within_dof; /* n_readings - n_cells: what repeats alone can tell */
    size_t parts;      /* groups of cases and readers without a link between them; 1 if the design is connected */
} sm_crossed;

/* case_id and reader_id are any numbers below `ids`. */
typedef struct {
    size_t n, ids;
    const size_t *case_id, *reader_id;
    const double *y;
} sm_readings_list;

sm_status sm_crossed_create(const sm_readings_list *list, sm_crossed **out);
void sm_crossed_destroy(sm_crossed *d);

/* Dimension of the space of case effects + reader effects. */
size_t sm_crossed_rank(const sm_crossed *d);

#endif
