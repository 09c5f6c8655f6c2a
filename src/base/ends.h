/* ends.h - the least and the largest of a column, and columns clamped between two ends.
 *
 * For finite numbers: what comes out for others is not defined. -0 and 0 count as one. The same digits on any
 * processor.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_BASE_ENDS_H
#define SM_BASE_ENDS_H

/* The least or the largest of x[0 .. n - 1], at least one number. */
double sm_ends_min(const double *x, int n);
double sm_ends_max(const double *x, int n);

/* out[i] = where x[i] lies among equal steps, (x[i] - low) / step, clamped between 0 and top. */
void sm_ends_place(const double *restrict x, double low, double step, double top, double *restrict out, int n);

#endif
