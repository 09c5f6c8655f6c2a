/* ends.c - the least and the largest of a column, and columns clamped between two ends.
 *
 * Compiled with -ffinite-math-only and -fno-signed-zeros (Makefile): without them gcc may not use the processor's
 * minimum and maximum, because those forget a NaN, and takes four to nine times as long. Nothing else is compiled so.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "base/ends.h"

#include "base/lanes.h"

SM_WIDE double sm_ends_min(const double *x, int n)
{
    double least = x[0];
    for (int i = 1; i < n; i++)
        least = x[i] < least ? x[i] : least;
    return least;
}

SM_WIDE double sm_ends_max(const double *x, int n)
{
    double largest = x[0];
    for (int i = 1; i < n; i++)
        largest = x[i] > largest ? x[i] : largest;
    return largest;
}

SM_WIDE void sm_ends_place(const double *restrict x, double low, double step, double top, double *restrict out, int n)
{
    const double scale = 1 / step;
    for (int i = 0; i < n; i++) {
        double at = (x[i] - low) * scale;
        at = at > 0 ? at : 0;
        out[i] = at < top ? at : top;
    }
}
