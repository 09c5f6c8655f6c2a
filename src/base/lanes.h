/* lanes.h - how many trials travel together.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_LANES_H
#define SM_BASE_LANES_H

enum {
    SM_BLOCK = 1024, /* trials drawn at a time: the unit of the random streams */
    SM_LANES = 256   /* trials evaluated at a time: the columns of one evaluation stay in the first caches */
};

#endif
