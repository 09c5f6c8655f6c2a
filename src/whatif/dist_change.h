/* dist_change.h - a distribution scaled or moved as a whole, and as JSON.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_DIST_CHANGE_H
#define SM_WHATIF_DIST_CHANGE_H

#include "format/json_write.h"
#include "sampling/dist.h"

/* Made `times` as large: shape and relative spread stay. */
sm_dist sm_dist_scaled(sm_dist d, double times);
/* Moved by so much; a family that begins at 0 by its nature (lognormal, half-normal) is scaled to the new mean instead.
 */
sm_dist sm_dist_moved(sm_dist d, double by);
/* {"mean": 22.3, "sd": 0.3}; and with its family, a constant as a bare number. */
void sm_dist_parameters_json(sm_json *w, const char *name, const sm_dist *d);
void sm_dist_json(sm_text *out, const sm_dist *d);

#endif
