/* sum.c - sums of columns in an order that is fixed and that vectors can keep.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/sum.h"

#include "base/lanes.h"

enum { PARTS = 8 };

/* One array of parts and nothing else in the loop: with a second array gcc 12 vectorises over i, transposing, and takes
 * twice as long as a scalar loop. */
SM_WIDE double sm_sum(const double *x, int n)
{
    double part[PARTS] = {0};
    int i = 0;
    for (; i + PARTS <= n; i += PARTS)
        for (int j = 0; j < PARTS; j++)
            part[j] += x[i + j];
    for (int j = 0; i < n; i++, j++)
        part[j] += x[i];
    return ((part[0] + part[4]) + (part[2] + part[6])) + ((part[1] + part[5]) + (part[3] + part[7]));
}
