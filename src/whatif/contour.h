/* contour.h - where a field over a grid of points passes through zero, as lines from point to point.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_CONTOUR_H
#define SM_WHATIF_CONTOUR_H

#include <stdbool.h>
#include <stddef.h>

#include "base/status.h"

typedef struct {
    double x, y;
} sm_contour_point;

/* Points first to first + n - 1 in their order; closed: the last is joined to the first. An open piece begins and ends
 * at the rim of the grid. */
typedef struct {
    size_t first, n;
    bool closed;
} sm_contour_piece;

typedef struct {
    sm_contour_point *point;
    sm_contour_piece *piece;
    size_t n_points, n;
} sm_contour;

/* height[i + j * nx] stands at (x[i], y[j]); zero counts as above. Between two neighbours the height is taken as
 * straight; if a cell has its corners above and below crosswise, the mean of the four says which of them are joined.
 * SM_OK or SM_NO_MEMORY. Destroy out in every case. */
sm_status sm_contour_trace(const double *height, const double *x, int nx, const double *y, int ny, sm_contour *out);
void sm_contour_destroy(sm_contour *c);

#endif
