/* new_points.h - a case from points that readers picked in a scan.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_NEW_POINTS_H
#define SM_COMMAND_NEW_POINTS_H

#include "command/options.h"

/* --from-points FILE and the files after the first argument, one a reader, become readings in the case of the first
 * argument, whose rest is that of --onto or blank. Every fault of every file is reported; then nothing is written. */
sm_status sm_new_points(const sm_options *o);

#endif
