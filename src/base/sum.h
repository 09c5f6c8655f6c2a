/* sum.h - sums of columns in an order that is fixed and that vectors can keep.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_SUM_H
#define SM_BASE_SUM_H

/* The sum of x[0 .. n - 1]. Eight parts are summed side by side, each over every eighth number, and joined in pairs:
 * the same digits on any processor. */
double sm_sum(const double *x, int n);

#endif
